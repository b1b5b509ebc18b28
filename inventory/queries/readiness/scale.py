"""What the scale showed of a trip's trailers, against the plates and against the list. Reads facts only.

What was weighed stands before what is reckoned, and neither hides the other.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.compute.load import Against, Apart, Quantity, Word, apart
from inventory.compute.reasons import How, Input, Level
from inventory.compute.units import Amount, Base
from inventory.errors import Listed, Sentence, say
from inventory.queries.notes import Cure, Note, counted
from inventory.queries.readiness import by_scale
from inventory.queries.readiness.by_scale import SCALE_KG
from inventory.queries.readiness.facts import Facts, OnScale, TrailerOf
from inventory.queries.readiness.load import enter_weights
from inventory.queries.readiness.masses import MG_IN_KG, Carried, Loaded, carried, loaded, told

RULE = "what the scale showed is not above the lowest plate that bears on it; axle: mass less nose weight"
SOURCE = "plates as entered; the scale as read"
AGAIN = say("Take load off or move it, and weigh again.")
ASSUMED = {
    what: Amount(round(SCALE_KG[quantity] * MG_IN_KG), Base.MG)
    for what, quantity in (("mass", Quantity.GROSS), ("nose", Quantity.NOSE))
}
HEAVIEST = 3  # things named to look at first


@dataclass(frozen=True, slots=True)
class Shown:
    """One quantity by the scale, in mg. `plate`: the lowest that bears on it; None: none was read."""

    quantity: Quantity
    mg: int
    plate: int | None

    @property
    def over(self) -> int:
        """How much it is over that plate, in mg."""
        return 0 if self.plate is None else max(0, self.mg - self.plate)


def shown(facts: Facts, trailer: TrailerOf) -> tuple[Shown, ...]:
    """What the scale says of a trailer: mass, axle and nose, as far as they were weighed.

    The axle follows from mass and nose of one load only.
    """
    on = facts.weighed.get(trailer.id, OnScale())
    card, car = trailer.card, trailer.car
    together = on.mass_since == on.nose_since
    axle = on.mass_mg - on.nose_mg if on.mass_mg is not None and on.nose_mg is not None and together else None
    draws = [car.towed_mg] if car else []
    bears = [car.nose_mg, car.ball_nose_mg, car.bar_nose_mg] if car else []
    return tuple(
        Shown(quantity, mg, min((plate for plate in plates if plate is not None), default=None))
        for quantity, mg, plates in (
            (Quantity.GROSS, on.mass_mg, [card.gross_mg, *draws]),
            (Quantity.AXLE, axle, [card.axle_load_mg]),
            (Quantity.NOSE, on.nose_mg, [card.nose_mg, *bears]),
        )
        if mg is not None
    )


def reasons(facts: Facts) -> list[Note]:
    """Each quantity that was weighed and has a plate, over it or not; then the scale against the list."""
    loads = carried(facts) if facts.weighed else []
    against = [note for trailer in facts.trailers for note in _against(facts, trailer, loads)]
    return [*against, *(note for trailer in facts.trailers for note in against_list(facts, trailer))]


def _against(facts: Facts, trailer: TrailerOf, loads: Sequence[Carried]) -> Iterator[Note]:
    weighed = shown(facts, trailer)
    by = by_scale.judged(facts, loaded(facts, trailer, loads)) if weighed else {}
    for each in weighed:
        if each.plate is not None:
            line = by.get(each.quantity)
            if line is not None and line.word is Word.WEIGH and not each.over:
                yield _close(facts, trailer, line)
            else:
                yield _said(facts, trailer, each, each.plate)


def _close(facts: Facts, trailer: TrailerOf, line: Against) -> Note:
    """Below its plate by less than the scale may be off."""
    values = {
        "trailer": trailer.name,
        "quantity": line.quantity,
        "weighed": told(line.estimate.kg),
        "give": told(line.estimate.together_kg),
        "plate": told(line.lowest_kg or 0.0),
    }
    template = (
        "{trailer} on the scale: {quantity} {weighed}, give or take {give}, is too close to its lowest "
        "plate, {plate}, to answer for it."
    )
    return Note(
        say(template, **values),
        Level.LOOK,
        say("What is reckoned stands beside it. Take load off, or weigh it on a scale that is off by less."),
        page="road-weigh",
        about=(str(facts.trip.id),),
        how=line.how,
        code="ready.weighed_close",
    )


def _said(facts: Facts, trailer: TrailerOf, each: Shown, plate: int) -> Note:
    values = {
        "trailer": trailer.name,
        "quantity": each.quantity,
        "weighed": Amount(each.mg, Base.MG),
        "plate": Amount(plate, Base.MG),
        "over": Amount(each.over, Base.MG),
    }
    how = How(RULE, SOURCE, (Input(each.quantity, values["weighed"]), Input("lowest plate", values["plate"])))
    if not each.over:
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


def told_of(facts: Facts, trailer: TrailerOf) -> Iterator[Sentence]:
    """What the scale showed last, when and to whom, in one sentence; nothing when it was not weighed.

    What was read of an earlier load than the other is left out.
    """
    on = facts.weighed.get(trailer.id)
    if on is None:
        return
    by = {each.quantity: each for each in shown(facts, trailer)}
    gross, nose = by.get(Quantity.GROSS), by.get(Quantity.NOSE)
    if gross and nose and on.mass_since != on.nose_since:
        gross, nose = (gross, None) if on.mass_since < on.nose_since else (None, nose)
    values = {
        "trailer": trailer.name,
        "at": on.at,
        "by": on.by or "–",
        "mass": gross and Amount(gross.mg, Base.MG),
        "mass_most": _plate(gross),
        "nose": nose and Amount(nose.mg, Base.MG),
        "nose_most": _plate(nose),
    }
    if gross and nose:
        template = "{trailer} on the scale: {mass} of {mass_most}, nose {nose} of {nose_most}. {at}, {by}."
        yield say(template, **values)
    elif gross:
        yield say("{trailer} on the scale: {mass} of {mass_most}. {at}, {by}.", **values)
    elif nose:
        yield say("{trailer} on the scale: nose {nose} of {nose_most}. {at}, {by}.", **values)


def _plate(each: Shown | None) -> object:
    return "–" if each is None or each.plate is None else Amount(each.plate, Base.MG)


def against_list(facts: Facts, trailer: TrailerOf) -> Iterator[Note]:
    """Whether the scale and the list are further apart than doubt alone does, and where to look."""
    on = facts.weighed.get(trailer.id)
    if on is None:
        return
    if on.moved:
        yield _weigh_again(facts, trailer, on)
        return
    found = loaded(facts, trailer, [each for each in carried(facts) if each.aboard])
    if found.load is None:
        return
    for quantity, mg, doubt_mg, since in (
        (Quantity.GROSS, on.mass_mg, on.mass_doubt_mg, on.mass_since),
        (Quantity.NOSE, on.nose_mg, on.nose_doubt_mg, on.nose_since),
    ):
        listed = found.load.of(quantity).estimate
        unknown = bool(listed.missing) and quantity is Quantity.NOSE
        if mg is None or unknown:
            continue
        if since:
            yield _read_before(facts, trailer, quantity, since)
            continue
        result = apart(listed=listed, scale=by_scale.read(quantity, mg, doubt_mg))
        if result.differs:
            yield _differs(facts, found, quantity, result)


def _weigh_again(facts: Facts, trailer: TrailerOf, on: OnScale) -> Note:
    values = {"trailer": trailer.name, "at": on.at, "count": on.moved}
    sentence = counted(
        on.moved,
        say("Since {trailer} was weighed, {at}, 1 thing was loaded, unloaded or moved in it.", **values),
        say(
            "Since {trailer} was weighed, {at}, {count} things were loaded, unloaded or moved in it.",
            **values,
        ),
    )
    return _before(facts, trailer, sentence)


def _read_before(facts: Facts, trailer: TrailerOf, quantity: Quantity, count: int) -> Note:
    """The other number was read again, this one was not."""
    values = {"trailer": trailer.name, "quantity": quantity, "count": count}
    sentence = counted(
        count,
        say("{trailer}: {quantity} was read before 1 thing was loaded, unloaded or moved in it.", **values),
        say(
            "{trailer}: {quantity} was read before {count} things were loaded, unloaded or moved in it.",
            **values,
        ),
    )
    return _before(facts, trailer, sentence)


def _before(facts: Facts, trailer: TrailerOf, sentence: Sentence) -> Note:
    about = (str(facts.trip.id),)
    return Note(
        sentence,
        Level.LOOK,
        say("What the scale showed is of the load before; weigh it again."),
        page="road-weigh",
        about=about,
        code="ready.weighed_before",
        cures=(Cure(say("Weigh {trailer} again.", trailer=trailer.name), page="road-weigh", about=about),),
    )


def _differs(facts: Facts, found: Loaded, quantity: Quantity, result: Apart) -> Note:
    about = (str(facts.trip.id),)
    look = [thing for each in found.loads for thing in each.unknown]
    first = look or [each for each in found.loads if each.mass_mg][:HEAVIEST]
    names = Listed(dict.fromkeys(each.name for each in first[:6]))
    if look and result.more_kg > 0:
        why = say("Nobody entered what these weigh: {things}.", things=names)
    elif first:
        why = say("Look first at the heaviest: {things}.", things=names)
    else:
        why = say("By the list it is empty.")
    return Note(
        _differs_sentence(found, quantity, result),
        Level.LOOK,
        why,
        page="road-load",
        about=about,
        codes=tuple(dict.fromkeys(each.code for each in first))[:12],
        how=result.how,
        code="ready.weighed_apart",
        cures=(
            *enter_weights(facts, found),
            Cure(say("Scan what is aboard and on no list."), page="road-load", about=about),
            Cure(say("Read the scale again."), page="road-weigh", about=about),
        ),
    )


def _differs_sentence(found: Loaded, quantity: Quantity, result: Apart) -> Sentence:
    values: dict[str, object] = {
        "trailer": found.trailer.name,
        "more": told(abs(result.more_kg)),
        "allowed": told(result.allowed_kg),
    }
    if quantity is Quantity.NOSE:
        return _nose_sentence(result.more_kg > 0, values)
    if result.more_kg > 0:
        template = (
            "{trailer}: the scale shows {more} more than the list, where {allowed} are doubt alone: "
            "something is aboard that nobody scanned, or a mass is entered too small."
        )
        return say(template, **values)
    template = (
        "{trailer}: the scale shows {more} less than the list, where {allowed} are doubt alone: something is "
        "not aboard that the books have there, or a mass is entered too large."
    )
    return say(template, **values)


def _nose_sentence(more: bool, values: dict[str, object]) -> Sentence:
    if more:
        template = (
            "{trailer}: the scale shows {more} more on the nose than the list, where {allowed} are doubt "
            "alone: something lies further forward than the list has it, or in front and on no list."
        )
        return say(template, **values)
    template = (
        "{trailer}: the scale shows {more} less on the nose than the list, where {allowed} are doubt alone: "
        "something lies further back than the list has it, or behind the axle and on no list."
    )
    return say(template, **values)
