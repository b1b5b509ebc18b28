"""Why a trip's trailers cannot leave as they were weighed: what the scale showed, against the plates.

Reads facts only. What was weighed stands beside what is reckoned, and neither hides the other.
"""

from collections.abc import Iterator

from inventory.compute.load import Quantity
from inventory.compute.reasons import How, Input, Level
from inventory.compute.units import Amount, Base
from inventory.errors import say
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.facts import Facts, TrailerOf

RULE = "what the scale showed is not above the lowest plate that bears on it; axle: mass less nose weight"
SOURCE = "plates as entered; the scale as read"
AGAIN = say("Take load off or move it, and weigh again.")


def reasons(facts: Facts) -> list[Note]:
    """Each quantity that was weighed and has a plate: over it, or not."""
    return [note for trailer in facts.trailers for note in _of(facts, trailer)]


def _of(facts: Facts, trailer: TrailerOf) -> Iterator[Note]:
    mass, nose = facts.weighed.get(trailer.id, (None, None))
    card, car = trailer.card, trailer.car
    axle = None if mass is None or nose is None else mass - nose
    draws = [car.towed_mg] if car else []
    bears = [car.nose_mg, car.ball_nose_mg, car.bar_nose_mg] if car else []
    for quantity, mg, plates in (
        (Quantity.GROSS, mass, [card.gross_mg, *draws]),
        (Quantity.AXLE, axle, [card.axle_load_mg]),
        (Quantity.NOSE, nose, [card.nose_mg, *bears]),
    ):
        known = [plate for plate in plates if plate is not None]
        if mg is not None and known:
            yield _said(facts, trailer, quantity, mg, min(known))


def _said(facts: Facts, trailer: TrailerOf, quantity: Quantity, mg: int, plate: int) -> Note:
    values = {
        "trailer": trailer.name,
        "quantity": quantity,
        "weighed": Amount(mg, Base.MG),
        "plate": Amount(plate, Base.MG),
        "over": Amount(max(0, mg - plate), Base.MG),
    }
    how = How(RULE, SOURCE, (Input(quantity, values["weighed"]), Input("lowest plate", values["plate"])))
    if mg <= plate:
        sentence = say("{trailer} on the scale: {quantity} {weighed}; lowest plate {plate}.", **values)
        return Note(sentence, Level.FINE, how=how, code="ready.weighed_below")
    about = (str(facts.trip.id),)
    return Note(
        say(
            "{trailer} on the scale: {quantity} {weighed} is {over} over its lowest plate, {plate}.", **values
        ),
        Level.STOP,
        page="trips-list",
        about=about,
        how=how,
        code="ready.weighed_over",
        cures=(Cure(AGAIN, page="road-weigh", about=about),),
    )
