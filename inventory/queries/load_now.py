"""READ the load of a trip as it stands while it is loaded: what is left, masses, what is next, what helps.

Reads facts only; what helps is the answer's own word (`readiness.load`). It certifies nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from uuid import UUID

from inventory.compute.load import Quantity
from inventory.errors import Listed, Sentence, say
from inventory.queries.aboard import chain_of, last_day
from inventory.queries.loading import Walk
from inventory.queries.notes import Note
from inventory.queries.readiness import load as answer
from inventory.queries.readiness import scale
from inventory.queries.readiness.facts import Facts, Packed, Piece, TrailerOf
from inventory.queries.readiness.masses import Carried, carried, loaded, told


def lies_in(facts: Facts, thing: UUID) -> str:
    """Where a thing lies, in words, innermost first."""
    names = [facts.places[place].name for place in chain_of(facts, thing) if place in facts.places]
    return ", ".join(names[:2])


def to_know(facts: Facts, thing: UUID) -> list[Sentence]:
    """What is to be known of what was loaded, and of what is in it: on hold, past its date too soon."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    found = []
    if any(each.held and each.id == thing for each in rows):
        found.append(say("It is on hold: set it apart."))
    held = sorted(each.code for each in rows if each.held and thing in each.spot.chain)
    if held:
        found.append(say("On hold in it: {things}.", things=Listed(held)))
    inside = [each for each in facts.packages if each.through and thing in each.spot.chain]
    past = sorted(each.code for each in inside if each.through and each.through < last_day(facts))
    if past:
        found.append(say("In it, past its date before the trip is done: {things}.", things=Listed(past)))
    return found


def masses(facts: Facts, walk: Walk) -> list[Sentence]:
    """Each trailer by what is aboard now, what is next and where it goes."""
    coming = carried(facts)
    found = [
        sentence
        for trailer in facts.trailers
        for sentence in (*_weighed(facts, trailer), *_now(facts, trailer, coming))
    ]
    next_ = next((line for stop in walk.stops for line in stop.lines), None)
    if next_ is not None:
        words = {"thing": next_.thing.name, "zone": next_.zone}
        found.append(
            say("Next, {thing}: into {zone}.", **words)
            if next_.zone
            else say("Next, {thing}: where it goes is not chosen yet.", **words)
        )
    return found


def helps(facts: Facts) -> list[Note]:
    """What would be too heavy when all of the list is aboard, each with the move that helps, ready to tap."""
    coming = carried(facts)
    ends = [note for each in facts.trailers for note in answer.helping(facts, each, coming)]
    return [replace(note, how=None, page="") for note in ends]


def _weighed(facts: Facts, trailer: TrailerOf) -> Iterator[Sentence]:
    """What the scale showed comes first, and how far it is from the list."""
    yield from scale.told_of(facts, trailer)
    for note in scale.against_list(facts, trailer):
        yield from (sentence for sentence in (note.sentence, note.why) if sentence is not None)


def _now(facts: Facts, trailer: TrailerOf, coming: Sequence[Carried]) -> Iterator[Sentence]:
    """Its mass and nose weight against the lowest plates by what is aboard, and what is not in them."""
    now = loaded(facts, trailer, [each for each in coming if each.aboard])
    if now.load is None:
        words = say(
            "{trailer}: its load cannot be worked out; its card lacks something.", trailer=trailer.name
        )
        yield words
        return
    gross, nose = now.load.of(Quantity.GROSS), now.load.of(Quantity.NOSE)
    sums: dict[str, object] = {
        "trailer": trailer.name,
        "gross": told(gross.estimate.kg),
        "gross_most": "–" if gross.lowest_kg is None else told(gross.lowest_kg),
        "nose": told(nose.estimate.kg),
        "nose_most": "–" if nose.lowest_kg is None else told(nose.lowest_kg),
    }
    if trailer.id in facts.weighed:
        yield say("{trailer} reckoned by what was entered: {gross}, nose {nose}.", **sums)
    else:
        yield say(
            "{trailer}: {gross} of {gross_most}, nose {nose} of {nose_most}. By what was entered.", **sums
        )
    without = [each.name for each in now.loads if each.unknown or each.zone not in now.names]
    if without:
        yield say(
            "{trailer}: not in it, as their weight or their zone is not known: {things}.",
            trailer=trailer.name,
            things=", ".join(dict.fromkeys(without[:6])),
        )
