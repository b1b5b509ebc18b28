"""What the load sheet, the goods paper and the timetable of a trip show, as rows. Has no address."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inventory.compute import load
from inventory.compute.load import adr as load_adr
from inventory.compute.load import trade as load_trade
from inventory.compute.reasons import Level, Reason
from inventory.compute.units import Amount, Base, metres
from inventory.errors import Sentence, say
from inventory.queries.notes import Note
from inventory.queries.readiness import by_scale as readiness_by_scale
from inventory.queries.readiness import goods as readiness_goods
from inventory.queries.readiness import load as readiness_load
from inventory.queries.readiness import press as readiness_press
from inventory.queries.readiness import scale as readiness_scale
from inventory.queries.readiness.dangerous import Combination, combinations
from inventory.queries.readiness.facts import Facts
from inventory.queries.readiness.masses import MG_IN_KG, Carried, Loaded, carried, loaded
from inventory.queries.readiness.timetable import Planned, plans
from inventory.templatetags.parts import word
from inventory.views.load_drawing import SidePicture, side_picture
from inventory.views.press_strip import Strip, strips

LEVELS = {
    load.Word.BELOW: Level.FINE,
    load.Word.WEIGH: Level.UNKNOWN,
    load.Word.CANNOT_SAY: Level.UNKNOWN,
    load.Word.STOP: Level.STOP,
}

WORDS = {
    load.Word.BELOW: say("below"),
    load.Word.WEIGH: say("weigh"),
    load.Word.CANNOT_SAY: say("cannot say"),
    load.Word.STOP: say("stop"),
}


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One bin or loose thing of a zone."""

    name: str
    code: str
    kg: float
    unknown: bool
    aboard: bool


@dataclass(frozen=True, slots=True)
class ZoneRow:
    """One zone with what lies there; the last of a sheet is what lies in none."""

    name: str
    behind: Amount | None
    kg: float
    unknown: bool
    loads: tuple[LoadRow, ...]


@dataclass(frozen=True, slots=True)
class LineRow:
    """One quantity against its lowest plate; `weighed` on the scale, which then decides."""

    quantity: str
    weighed: Amount | None
    estimate: load.Estimate
    lowest: str | None
    lowest_kg: float | None
    word: Sentence
    level: Level


@dataclass(frozen=True, slots=True)
class Sheet:
    """One trailer."""

    trailer: Any
    zones: tuple[ZoneRow, ...]
    scale: tuple[Sentence, ...]
    lines: tuple[LineRow, ...]
    missing: str
    refused: Any
    picture: SidePicture | None


def load_sheet(facts: Facts) -> dict[str, object]:
    """What the load sheet shows."""
    loads = carried(facts)
    found = [loaded(facts, trailer, loads) for trailer in facts.trailers]
    return {
        "sheets": [_sheet(facts, each) for each in found],
        "notes": [
            note for note in (*readiness_scale.reasons(facts), *readiness_load.reasons(facts)) if note.level
        ],
        "cautions": load.CAUTIONS,
    }


def _sheet(facts: Facts, found: Loaded) -> Sheet:
    weighed = {each.quantity: each for each in readiness_scale.shown(facts, found.trailer)}
    against = readiness_scale.against_list(facts, found.trailer)
    by_scale = readiness_by_scale.judged(facts, found)
    return Sheet(
        found.trailer,
        tuple(_zones(found)),
        (*readiness_scale.told_of(facts, found.trailer), *(note.sentence for note in against)),
        tuple(
            _line(each, weighed.get(each.quantity), by_scale.get(each.quantity))
            for each in (found.load.against if found.load else ())
        ),
        ", ".join(map(word, found.missing)),
        found.refused,
        side_picture(found),
    )


def _line(each: load.Against, on: readiness_scale.Shown | None, by_scale: load.Against | None) -> LineRow:
    """One quantity; by the scale where it answers, else by the harder of it and what is reckoned."""
    words = [each.word]
    if by_scale is not None:
        words = [by_scale.word] if by_scale.word is load.Word.BELOW else [each.word, by_scale.word]
    if on is not None and on.over:
        words.append(load.Word.STOP)
    judged = max(words, key=list(load.Word).index)
    return LineRow(
        str(each.quantity),
        None if on is None else Amount(on.mg, Base.MG),
        each.estimate,
        each.lowest,
        each.lowest_kg,
        WORDS[judged],
        LEVELS[judged],
    )


def _zones(found: Loaded) -> Iterator[ZoneRow]:
    for place, card in found.trailer.zones:
        yield _zone(place.name, card.behind_mm, found.in_zone(place.id))
    known = {place.id for place, _ in found.trailer.zones}
    loose = [each for each in found.loads if each.zone not in known]
    if loose:
        yield _zone("–", None, loose)


def _zone(name: str, behind_mm: int | None, loads: Any) -> ZoneRow:
    return ZoneRow(
        name,
        None if behind_mm is None else metres(behind_mm / 1000).amount,
        sum(each.mass_mg for each in loads) / MG_IN_KG,
        any(each.unknown for each in loads),
        tuple(_load(each) for each in loads),
    )


def _load(each: Carried) -> LoadRow:
    return LoadRow(each.name, each.code, each.mass_mg / MG_IN_KG, bool(each.unknown), each.aboard)


@dataclass(frozen=True, slots=True)
class GoodRow:
    """One material of a combination."""

    material: Any
    count: int
    content: Amount
    points: float | None


@dataclass(frozen=True, slots=True)
class GoodsOf:
    """One tow car with its trailer."""

    name: str
    adr: load_adr.AdrTotal
    trade: load_trade.TradeTotal
    rows: tuple[GoodRow, ...]
    free: tuple[Reason, ...]


def goods_paper(facts: Facts) -> dict[str, object]:
    """What the goods paper shows, by the rules chosen for the trip, or by both."""
    found = [each for each in combinations(facts) if each.goods]
    adr, trade = (facts.trip.rules in ("", rules) for rules in (readiness_goods.ADR, readiness_goods.TRADE))
    rules = [each for each, wanted in ((load_adr, adr), (load_trade, trade)) if wanted]
    cautions = {str(caution): caution for each in rules for caution in each.CAUTIONS}  # some are in both
    return {
        "goods": [_goods(each) for each in found],
        "notes": [note for note in readiness_goods.reasons(facts) if note.level],
        "editions": [each.EDITION for each in rules],
        "cautions": list(cautions.values()),
        "adr": adr,
        "trade": trade,
    }


def _goods(each: Combination) -> GoodsOf:
    lines = zip(each.goods, each.adr.lines, strict=True)
    return GoodsOf(
        each.name,
        each.adr,
        each.trade,
        tuple(
            GoodRow(
                good.material, len(good.packages), Amount(good.left, Base(good.material.base)), line.points
            )
            for good, line in lines
        ),
        tuple(line.reason for line in each.adr.lines if line.points == 0 and line.counted_as is None),
    )


@dataclass(frozen=True, slots=True)
class CycleRow:
    """One cycle in a venue's own time."""

    pairs: tuple[str, ...]
    press: str
    moulds: str
    closing: datetime
    closed: datetime
    hold: datetime
    opening: datetime
    opened: datetime
    heated: bool
    watcher: str


@dataclass(frozen=True, slots=True)
class Room:
    """One workshop's timetable."""

    planned: Planned
    notes: tuple[Note, ...]
    strips: tuple[Strip, ...]
    rows: tuple[CycleRow, ...]


def timetable(facts: Facts) -> list[Room]:
    """What the timetable shows, workshop by workshop."""
    return [
        Room(
            planned,
            tuple(readiness_press.of_workshop(facts, planned)),
            tuple(strips(planned)),
            tuple(_cycles(planned)),
        )
        for planned in plans(facts)
    ]


def _cycles(planned: Planned) -> Iterator[CycleRow]:
    for each in planned.stretches:
        cycle = each.cycle
        yield CycleRow(
            cycle.pressings,
            each.press.row.name,
            ", ".join(planned.moulds[key] for key in cycle.moulds),
            planned.at(cycle.closing_from_min),
            planned.at(cycle.closed_min),
            planned.at(cycle.hold_until_min),
            planned.at(cycle.opening_from_min),
            planned.at(cycle.opened_min),
            each.heated,
            each.watcher,
        )
