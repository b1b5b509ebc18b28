"""Why a trip's trailers cannot leave as loaded: each quantity against its plate, by what was entered.

Reads facts only. It never says that a load will do; it says what is over, what to weigh, what is not known.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from uuid import UUID

from inventory.compute.load import Against, Quantity, Word
from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base, metres
from inventory.errors import Listed, Sentence, say
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.cures import move
from inventory.queries.readiness.facts import Facts, TrailerOf
from inventory.queries.readiness.masses import (
    MG_IN_KG,
    NO_ZONE,
    Carried,
    Loaded,
    Side,
    carried,
    coded,
    harder,
    loaded,
)

TRIED = 12  # moves that are worked out before none is named
WEIGH = say("By what was entered; weigh it before you drive.")
_CAR = frozenset({Quantity.REAR_AXLE, Quantity.CAR, Quantity.TRAIN})
_CAR_PLATES = frozenset({"what the tow car may tow", "ball", "tow bar", "tow car"})
_BACKWARD = frozenset({Quantity.NOSE, Quantity.REAR_AXLE})


def reasons(facts: Facts) -> list[Note]:
    """What stands against the load of each trailer, and what was found below its plates."""
    if not facts.trailers:
        sentence = say("No trailer is on this trip's card: nothing can be said of its load.")
        about = (str(facts.trip.id),)
        return [Note(sentence, Level.UNKNOWN, page="trips-edit", about=about, code="ready.load_no_trailer")]
    loads = carried(facts)
    notes = list(_nowhere(facts, loads))
    for trailer in facts.trailers:
        notes += _of_trailer(facts, loaded(facts, trailer, loads), loads)
    return notes


def _nowhere(facts: Facts, loads: Sequence[Carried]) -> Iterator[Note]:
    """What comes along without a place: in no trailer, or in one but in no zone of it."""
    rows = [(each.row.name, each.code) for each in facts.gear if each.spot.goes_in is None]
    rows += [(facts.materials[p.material].name, p.code) for p in facts.aboard if p.spot.goes_in is None]
    if rows:
        sentence = say(
            "Into which trailer and zone these go is not said, so no load can be worked out: {things}.",
            things=_listed(name for name, _ in rows),
        )
        codes = tuple(code for _, code in rows[:12])
        yield Note(sentence, Level.UNKNOWN, codes=codes, code="ready.load_nowhere", cures=(_list(facts),))
    for trailer in facts.trailers:
        zones = {place.id for place, _ in trailer.zones}
        loose = [each for each in loads if each.vehicle == trailer.id and each.zone not in zones]
        if loose:
            sentence = say(
                "In {trailer} these lie in no zone, so what they do to the nose is not known: {things}.",
                trailer=trailer.name,
                things=_listed(each.name for each in loose),
            )
            codes = tuple(each.code for each in loose[:12])
            yield Note(sentence, Level.UNKNOWN, codes=codes, code="ready.load_no_zone", cures=(_list(facts),))


def _list(facts: Facts) -> Cure:
    return Cure(say("Say into which zone they go."), page="trips-list", about=(str(facts.trip.id),))


def _listed(names: Iterable[str], most: int = 6) -> str:
    found = list(dict.fromkeys(names))
    return ", ".join(found[:most]) + (" …" if len(found) > most else "")


def _of_trailer(facts: Facts, found: Loaded, loads: Sequence[Carried]) -> Iterator[Note]:
    trailer = found.trailer
    card = {"page": "places-edit", "about": (trailer.code,)}
    if found.missing:
        sentence = say(
            "{trailer}: its load cannot be worked out; its card does not say: {missing}.",
            trailer=trailer.name,
            missing=Listed(found.missing),
        )
        yield Note(sentence, Level.UNKNOWN, WEIGH, code="ready.load_card", cures=(_card(trailer),), **card)  # type: ignore[arg-type]
        return
    if found.refused is not None:
        sentence = say(
            "{trailer}: its load cannot be worked out. {why}",
            trailer=trailer.name,
            why=found.refused.sentence,
        )
        yield Note(sentence, Level.UNKNOWN, found.refused.what_to_do, code=coded(found.refused.code), **card)  # type: ignore[arg-type]
        return
    yield from _not_weighed(facts, found)
    yield from _against(facts, found, loads)


def _card(trailer: TrailerOf) -> Cure:
    sentence = say("Read the plates of {trailer}, measure it, and enter them.", trailer=trailer.name)
    return Cure(sentence, page="places-edit", about=(trailer.code,))


def _not_weighed(facts: Facts, found: Loaded) -> Iterator[Note]:
    """One note for all that has no mass: each of its cards wants one number."""
    unknown = [thing for each in found.loads for thing in each.unknown]
    if not unknown:
        return
    names = dict.fromkeys(thing.name for thing in unknown)
    sentence = say(
        "{trailer}: nobody entered what these weigh: {things}. The loads below leave them out.",
        trailer=found.trailer.name,
        things=_listed(names),
    )
    yield Note(
        sentence,
        Level.UNKNOWN,
        say("Enter the weight on the card of each, or weigh the trailer."),
        codes=tuple(thing.code for thing in unknown[:12]),
        code="ready.load_not_weighed",
        cures=tuple(enter_weights(facts, found)),
    )


def enter_weights(facts: Facts, found: Loaded) -> Iterator[Cure]:
    """The cards that want a weight, each once."""
    seen: set[str] = set()
    for thing in (thing for each in found.loads for thing in each.unknown):
        if thing.name in seen or len(seen) == 6:
            continue
        seen.add(thing.name)
        sentence = say("Enter what {thing} weighs.", thing=thing.name)
        if thing.material is None:
            yield Cure(sentence, page="equipment-edit", about=(thing.code,))
        else:
            yield Cure(sentence, page="materials-edit", about=(facts.materials[thing.material].key,))


def _against(facts: Facts, found: Loaded, loads: Sequence[Carried]) -> Iterator[Note]:
    assert found.load is not None  # noqa: S101 - _of_trailer asked
    unread: list[str] = []
    unknown: list[str] = []
    for line in found.load.against:
        if line.quantity in _CAR and found.trailer.car is None:
            continue
        if line.word is Word.CANNOT_SAY:
            unknown += [name for name in line.estimate.missing if not _said_already(found, name)]
            unread += [name for name, kg in line.plates.items() if kg is None and _asked(found, name)]
        else:
            yield _said(facts, found, line, loads)
    yield from _unread(facts, found, unread, unknown)
    yield from _ends(found)


def _said_already(found: Loaded, name: str) -> bool:
    """Masses of what is loaded and things in no zone have notes of their own."""
    car = found.trailer.car
    of_car = car is not None and name == f"mass of {car.name}"
    return (name.startswith("mass of ") and not of_car) or name.startswith(f"place of {NO_ZONE} ")


def _asked(found: Loaded, plate: str) -> bool:
    """Without a tow car its plates are no question yet."""
    return found.trailer.car is not None or plate not in _CAR_PLATES


def _unread(facts: Facts, found: Loaded, unread: Sequence[str], unknown: Sequence[str]) -> Iterator[Note]:
    """What nobody read or entered, once for the whole trailer; without a tow car, that there is none."""
    trailer = found.trailer
    if trailer.car is None:
        sentence = say(
            "{trailer} has no tow car on this trip's card: what its axle and the train carry cannot be said.",
            trailer=trailer.name,
        )
        yield Note(sentence, Level.UNKNOWN, code="ready.load_no_car", cures=(_to_car(facts, found),))
    if unread:
        sentence = say(
            "{trailer}: cannot say; plate not read: {plates}.", trailer=trailer.name, plates=_listed(unread)
        )
        yield Note(
            sentence, Level.UNKNOWN, WEIGH, code="ready.load_no_plate", cures=tuple(_plates(trailer, unread))
        )
    if unknown:
        sentence = say(
            "{trailer}: cannot say; not known: {missing}.", trailer=trailer.name, missing=_listed(unknown)
        )
        yield Note(sentence, Level.UNKNOWN, WEIGH, code="ready.load_not_known", cures=(_card(trailer),))


def _plates(trailer: TrailerOf, unread: Sequence[str]) -> Iterator[Cure]:
    """The card of the trailer, of its car, or both."""
    of_car = {name for name in unread if name in _CAR_PLATES or "tow car" in name or "train" in name}
    if set(unread) - of_car:
        yield _card(trailer)
    if of_car and trailer.car is not None:
        sentence = say("Read the plates and papers of {car}, and enter them.", car=trailer.car.name)
        yield Cure(sentence, page="places-edit", about=(trailer.car_code,))


def _to_car(facts: Facts, found: Loaded) -> Cure:
    sentence = say("Name what draws {trailer}.", trailer=found.trailer.name)
    return Cure(sentence, page="trips-edit", about=(str(facts.trip.id),))


def _ends(found: Loaded) -> Iterator[Note]:
    """Heavy ends sway, also where they balance on the nose."""
    card = found.trailer.card
    if found.load is None or card.floor_from_mm is None or card.floor_to_mm is None:
        return
    for reason in found.load.verdict.reasons:
        if reason.code == "load.ends" and reason.level is Level.LOOK:
            sentence = say(
                "{trailer}: the load lies {spread} from the axle (root mean square), an even one {even}. "
                "Heavy ends can balance on the nose and still sway.",
                trailer=found.trailer.name,
                spread=metres(found.load.spread_m or 0.0),
                even=metres(found.load.even_spread_m),
            )
            yield Note(sentence, Level.LOOK, how=reason.how, code=coded(reason.code))


def told(kg: float) -> Amount:
    """A mass to 100 g, in the unit of whoever reads it."""
    return Amount(round(round(kg, 1) * MG_IN_KG), Base.MG)


def _said(facts: Facts, found: Loaded, line: Against, loads: Sequence[Carried]) -> Note:
    """One quantity that could be judged, and what would help it."""
    values = {
        "trailer": found.trailer.name,
        "quantity": line.quantity,
        "kg": told(line.estimate.kg),
        "give": told(line.estimate.together_kg),
        "plate": line.lowest,
        "limit": None if line.lowest_kg is None else told(line.lowest_kg),
        "over": told(-(line.room_kg or 0.0)),
    }
    worst = max(line.reasons, key=lambda reason: reason.level)
    if line.word is Word.BELOW:
        template = (
            "{trailer}: {quantity} {kg}, give or take {give}, by what was entered; lowest plate: "
            "{plate}, {limit}."
        )
        return Note(say(template, **values), Level.FINE, WEIGH, how=line.how, code="ready.load_below")
    moves = list(_moves(facts, found, line, loads))
    return Note(
        _heavy_sentence(worst.code, values),
        worst.level,
        moves[0][0] if moves else WEIGH,
        page="trips-list",
        about=(str(facts.trip.id),),
        how=line.how,
        code=coded(worst.code),
        cures=tuple(cure for _, cure in moves),
    )


def helping(facts: Facts, trailer: TrailerOf, loads: Sequence[Carried]) -> list[Sentence]:
    """What of a trailer is over, or may be, when all of these come along, each with the move that helps."""
    found = loaded(facts, trailer, loads)
    if found.load is None:
        return []
    notes = [
        _said(facts, found, line, loads)
        for line in found.load.against
        if line.word not in (Word.BELOW, Word.CANNOT_SAY) and (trailer.car or line.quantity not in _CAR)
    ]
    return [sentence for note in notes for sentence in (note.sentence, note.why) if sentence is not None]


def _heavy_sentence(code: str, values: dict[str, object]) -> Sentence:
    if code == "load.nose_lifts":
        template = "{trailer}: the nose lifts, {kg}, give or take {give}: it can sway. Move load forward."
        return say(template, **values)
    if code == "load.nose_may_lift":
        template = "{trailer}: the nose may lift, {kg}, give or take {give}. Weigh it, or move load forward."
        return say(template, **values)
    if code == "load.over":
        template = (
            "{trailer}: {quantity} {kg}, give or take {give}, is {over} over its lowest plate "
            "({plate}, {limit})."
        )
        return say(template, **values)
    template = (
        "{trailer}: {quantity} {kg} is within {give} of its lowest plate ({plate}, {limit}). Weigh "
        "it, or move something."
    )
    return say(template, **values)


def _moves(
    facts: Facts, found: Loaded, line: Against, loads: Sequence[Carried]
) -> Iterator[tuple[Sentence, Cure]]:
    """The least to carry into another zone that brings this below its plate and nothing else above."""
    tried = 0
    for each, zone in _candidates(found, line):
        tried += 1
        if tried > TRIED:
            return
        moved = replace(each, zone=zone)
        after = loaded(facts, found.trailer, [moved if other is each else other for other in loads])
        if after.load is None or not _better(found, after, line.quantity):
            continue
        values = {
            "thing": each.name,
            "zone": found.names[zone],
            "quantity": line.quantity,
            "kg": told(after.load.of(line.quantity).estimate.kg),
            "mass": told(each.mass_mg / MG_IN_KG),
        }
        template = "With {thing}, {mass}, in {zone} instead it is {kg}, by what was entered."
        yield say(template, **values), move(facts, each, facts.places[zone])
        return


def _better(before: Loaded, after: Loaded, quantity: Quantity) -> bool:
    """This one is below, and no other is judged harder than before."""
    below = after.load is not None and after.load.of(quantity).word is Word.BELOW
    return below and not harder(before, after)


def _candidates(found: Loaded, line: Against) -> list[tuple[Carried, UUID]]:
    """What could go where: what still waits, then the lightest; never beside what it must not lie beside."""
    behind = {p.id: card.behind_mm for p, card in found.trailer.zones if card.behind_mm is not None}
    right = {p.id: card.right_mm or 0 for p, card in found.trailer.zones}
    pairs = [
        (each, zone)
        for each in found.loads
        if each.zone in behind and each.mass_mg and not each.unknown
        for zone in behind
        if zone != each.zone and _beside(found, each, zone)
        if _helps(line, found, behind[each.zone], behind[zone], right[each.zone], right[zone])
        if _enough(line, found, each.mass_mg, behind[zone] - behind[each.zone])
    ]

    def effort(pair: tuple[Carried, UUID]) -> tuple[bool, int]:
        each, zone = pair
        return each.aboard, each.mass_mg * abs(behind[zone] - behind[each.zone])  # type: ignore[index]

    return sorted(pairs, key=effort)


def _enough(line: Against, found: Loaded, mass_mg: int, by_mm: int) -> bool:
    """False when a move cannot take the nose below its plate, by its lever alone."""
    axle, room = found.trailer.card.axle_mm, line.room_kg
    if line.quantity is not Quantity.NOSE or not axle or room is None or line.estimate.low_kg < 0:
        return True
    return mass_mg / MG_IN_KG * by_mm / axle >= -room


def _beside(found: Loaded, each: Carried, zone: UUID) -> bool:
    there = {side for other in found.in_zone(zone) for side in other.sides} | each.sides
    return not {Side.CLEAN, Side.HARM} <= there


def _helps(line: Against, found: Loaded, was: int, becomes: int, right: int, new_right: int) -> bool:
    """True when the move pulls the quantity the right way at all."""
    if line.quantity is Quantity.SIDE and found.load is not None:
        lean = found.load.right_over_left_kg.kg
        return new_right < right if lean > 0 else new_right > right
    lifts = line.estimate.low_kg < 0
    if line.quantity in _BACKWARD and not lifts:
        return becomes > was
    return line.quantity in (Quantity.AXLE, Quantity.NOSE) and becomes < was
