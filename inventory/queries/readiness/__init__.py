"""READ whether a trip can leave: ready, not ready or cannot say, and why. The door to the answer's rooms.

Everything is read once; each room looks at a part of it and gives its reasons. Nothing is saved, so that what
is only supposed is answered the same way.
"""

from collections.abc import Callable
from datetime import date

from inventory.compute.reasons import Level
from inventory.errors import say
from inventory.models import Trip
from inventory.queries.notes import Answer, Note, soonest_first
from inventory.queries.readiness import goods, load, materials, parts, power, press, safety, scale, stowage
from inventory.queries.readiness.facts import Facts, Supposing
from inventory.queries.readiness.reader import read

Room = Callable[[Facts], list[Note]]
ON_THE_ROAD: tuple[Room, ...] = (
    load.reasons,
    scale.reasons,
    goods.reasons,
    stowage.reasons,
    safety.reasons,
)
AT_WORK: tuple[Room, ...] = (
    materials.reasons,
    parts.reasons,
    press.reasons,
    power.reasons,
)


def answer(trip: Trip, today: date, supposing: Supposing | None = None) -> Answer:
    """Can this trip leave? Its reasons, worst first, and of one weight what can be put right soonest."""
    return judged(read(trip, today, supposing))


def judged(facts: Facts) -> Answer:
    """The answer to these facts; on a supply run nobody builds."""
    rooms = ON_THE_ROAD if facts.trip.sort == "supply run" else AT_WORK + ON_THE_ROAD
    found = [*_itself(facts), *(note for room in rooms for note in room(facts))]
    return Answer(tuple(soonest_first(found)))


def _itself(facts: Facts) -> list[Note]:
    """What the trip's own card says: it was cancelled, or a workshop of it was."""
    found = []
    about = {"page": "trips-edit", "about": (str(facts.trip.id),)}
    if facts.trip.cancelled:
        sentence = say("This trip was cancelled.")
        found.append(Note(sentence, Level.STOP, code="ready.cancelled", **about))  # type: ignore[arg-type]
    for workshop in facts.cancelled:
        sentence = say("The workshop {name} was cancelled; nothing is counted for it.", name=workshop.name)
        level = Level.LOOK if facts.workshops else Level.STOP
        found.append(Note(sentence, level, code="ready.workshop_cancelled", **about))  # type: ignore[arg-type]
    return found
