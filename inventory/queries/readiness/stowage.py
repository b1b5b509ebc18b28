"""What must not lie side by side on the road, and what the road would be too cold or too warm for.

Reads facts only. A move it names keeps every plate as it was judged.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from uuid import UUID

from inventory.compute.reasons import Basis, How, Input, Level
from inventory.errors import Listed, Sentence, Term, say
from inventory.models import Material
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.cures import move
from inventory.queries.readiness.facts import Facts, PlaceOf, TrailerOf
from inventory.queries.readiness.masses import Carried, Side, carried, harder, loaded

BOTH = frozenset(Side)
APART = say("Food, drink, clothing and clean gear never share a zone with resin, hardener, solvent or waste.")
BAND = How(
    "warmth expected on the road against the lowest and highest of the material's card",
    "the product's own sheet; common practice, no source",
)


def reasons(facts: Facts) -> list[Note]:
    """Zones and other spaces that hold both, then what the road is too cold or too warm for."""
    loads = carried(facts)
    notes: list[Note] = []
    for trailer in facts.trailers:
        for place, _ in trailer.zones:
            notes += _zone(facts, trailer, place, loads)
        notes += _in_no_zone(facts, trailer, loads)
        notes += _car(facts, trailer, loads)
    return [*notes, *_bands(facts)]


# --- side by side ---------------------------------------------------------------------------------------


def _zone(facts: Facts, trailer: TrailerOf, place: PlaceOf, loads: Sequence[Carried]) -> Iterator[Note]:
    there = [each for each in loads if each.vehicle == trailer.id and each.zone == place.id]
    if _both(there):
        sentence = say(
            "{zone} of {trailer} holds {harm} beside {clean}.",
            zone=place.name,
            trailer=trailer.name,
            harm=_names(there, Side.HARM),
            clean=_names(there, Side.CLEAN),
        )
        yield _beside(facts, trailer, there, loads, sentence)


def _in_no_zone(facts: Facts, trailer: TrailerOf, loads: Sequence[Carried]) -> Iterator[Note]:
    """A trailer without zones is one space; where it has some, nobody knows what lies beside what."""
    there = [each for each in loads if each.vehicle == trailer.id and each.zone is None]
    if not _both(there):
        return
    values = {
        "trailer": trailer.name,
        "harm": _names(there, Side.HARM),
        "clean": _names(there, Side.CLEAN),
    }
    if trailer.zones:
        sentence = say("{harm} and {clean} are in no zone of {trailer}: they may lie side by side.", **values)
        yield _beside(facts, trailer, there, loads, sentence, Level.UNKNOWN)
    else:
        sentence = say("{trailer} has no zones, and holds {harm} beside {clean}.", **values)
        yield _beside(facts, trailer, there, loads, sentence)


def _both(there: Sequence[Carried]) -> bool:
    return {side for each in there for side in each.sides} >= BOTH


def _beside(
    facts: Facts,
    trailer: TrailerOf,
    there: Sequence[Carried],
    loads: Sequence[Carried],
    sentence: Sentence,
    level: Level = Level.STOP,
) -> Note:
    return Note(
        sentence,
        level,
        APART,
        codes=tuple(each.code for each in there if each.sides)[:12],
        code="ready.stow_beside",
        cures=tuple(_apart(facts, trailer, there, loads)),
    )


def _names(there: Sequence[Carried], side: Side) -> str:
    """What of a side lies there, with the bin it is in."""
    found = dict.fromkeys(
        thing.name if thing.name == each.name else f"{thing.name} ({each.name})"
        for each in there
        for thing in each.things
        if thing.side is side
    )
    return ", ".join(list(found)[:4]) + (" …" if len(found) > 4 else "")


def _apart(
    facts: Facts, trailer: TrailerOf, there: Sequence[Carried], loads: Sequence[Carried]
) -> Iterator[Cure]:
    """One move into another zone of the trailer that parts them and makes no plate worse, lightest first."""
    before = loaded(facts, trailer, loads)
    for each in sorted(there, key=lambda each: each.mass_mg):
        others = {side for other in there if other is not each for side in other.sides}
        if not each.sides or each.sides >= BOTH or others >= BOTH:
            continue
        for zone, _ in trailer.zones:
            if zone.id == each.zone or _opposite(loads, zone.id, each.sides):
                continue
            there_then = replace(each, vehicle=trailer.id, zone=zone.id)
            moved = [there_then if other is each else other for other in loads]
            if not harder(before, loaded(facts, trailer, moved)):
                yield move(facts, each, zone)
                return


def _opposite(loads: Sequence[Carried], zone: UUID, sides: frozenset[Side]) -> bool:
    return any(each.zone == zone and each.sides - sides for each in loads)


def _car(facts: Facts, trailer: TrailerOf, loads: Sequence[Carried]) -> Iterator[Note]:
    """A tow car is one space, with people in it."""
    if trailer.car is None:
        return
    there = [each for each in loads if each.vehicle == trailer.car.thing_id]
    if _both(there):
        sentence = say(
            "{car} is one space, and holds {harm} beside {clean}.",
            car=trailer.car.name,
            harm=_names(there, Side.HARM),
            clean=_names(there, Side.CLEAN),
        )
        yield _beside(facts, trailer, there, loads, sentence)
    if any(Side.HARM in each.sides for each in there):
        sentence = say(
            "{harm} would ride with the people in {car}: tight, strapped, upright, with air.",
            harm=_names(there, Side.HARM),
            car=trailer.car.name,
        )
        codes = tuple(each.code for each in there if Side.HARM in each.sides)[:12]
        yield Note(sentence, Level.LOOK, codes=codes, code="ready.stow_car")


# --- warmth ---------------------------------------------------------------------------------------------


def _bands(facts: Facts) -> Iterator[Note]:
    """Each material that comes along and has limits, against what is expected on the way."""
    wanted = {
        each.material: facts.materials[each.material]
        for each in facts.aboard
        if each.spot.goes_in in {trailer.id for trailer in facts.trailers}
        if _limited(facts.materials[each.material])
    }
    rows = sorted(wanted.values(), key=lambda row: row.name)
    low, high = facts.trip.road_low_c, facts.trip.road_high_c
    unsaid = [
        name
        for name, celsius, field in (
            (Term("coldest"), low, "stored_from_c"),
            (Term("warmest"), high, "stored_to_c"),
        )
        if celsius is None and any(getattr(row, field) is not None for row in rows)
    ]
    if unsaid:
        sentence = say(
            "How warm the trailers get on the way is not entered ({missing}): {materials} have limits.",
            missing=Listed(unsaid),
            materials=", ".join(row.name for row in rows[:6]),
        )
        cure = Cure(say("Enter the coldest and the warmest expected."), "trips-edit", (str(facts.trip.id),))
        yield Note(sentence, Level.UNKNOWN, code="ready.stow_road", cures=(cure,))
    for row in rows:
        yield from _too_cold(facts, row, low)
        yield from _too_warm(row, high)


def _limited(row: Material) -> bool:
    return row.stored_from_c is not None or row.stored_to_c is not None


def _too_cold(facts: Facts, row: Material, low: float | None) -> Iterator[Note]:
    if low is None or row.stored_from_c is None:
        return
    expected = low - facts.supposing.colder_c
    if expected < row.stored_from_c:
        sentence = say(
            "{material} is stored no cooler than {limit} °C; on the way {expected} °C are expected.",
            material=row.name,
            limit=row.stored_from_c,
            expected=expected,
        )
        why = say("Take it in the warm, or keep the trailer warm while it stands; never with a flame.")
        if row.crystallises:
            why = say("Take it in the warm; if it was cold, look for cloud or grains before it is used.")
        yield _band_note(row, sentence, why, row.stored_from_c, expected, "ready.stow_cold")


def _too_warm(row: Material, high: float | None) -> Iterator[Note]:
    if high is None or row.stored_to_c is None or high <= row.stored_to_c:
        return
    sentence = say(
        "{material} is stored no warmer than {limit} °C; on the way {expected} °C are expected.",
        material=row.name,
        limit=row.stored_to_c,
        expected=high,
    )
    why = say("It ages faster there. Take it in the cool, or load it last and unload it first.")
    yield _band_note(row, sentence, why, row.stored_to_c, high, "ready.stow_warm")


def _band_note(
    row: Material, sentence: Sentence, why: Sentence, limit: float, expected: float, code: str
) -> Note:
    inputs = (
        Input("limit", limit, "°C", Basis.DATA_SHEET),
        Input("expected on the way", expected, "°C", Basis.ASSUMED),
    )
    how = replace(BAND, inputs=inputs)
    return Note(sentence, Level.LOOK, why, "materials-card", (row.key,), how=how, code=code)
