"""READ how warm it was in a place, and what stood there beyond its storage limits while it stood there.

Only what was measured counts here; how old stock is by its warmth is `ages`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from inventory.compute import hours, storage, warm_curve
from inventory.compute.hours import Hour
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.storage import Stay
from inventory.compute.warm_curve import Curve, Spell
from inventory.errors import Sentence, say
from inventory.models import Material, Package, Place, State
from inventory.queries import ages, ledger, logged
from inventory.queries.ages import Stood, Warmth
from inventory.queries.notes import Note

RECENT = timedelta(days=30)
_YEAR = timedelta(days=365)
_LEAST_H = 1.0  # beyond a limit, before it is said: common practice, no source


@dataclass(frozen=True, slots=True)
class Beyond:
    """A package that stood beyond its storage limits. `verdict` says for how long.

    `place_name`: where it stood so longest, as that place stood then.
    """

    package: UUID
    code: str
    material: str
    place: UUID
    place_name: str
    lowest_c: float | None
    highest_c: float | None
    warmest_c: float
    coldest_c: float
    above_h: float
    below_h: float
    verdict: object

    @property
    def sentences(self) -> list[Sentence]:
        """For how long it stood beyond which limit."""
        return [reason.sentence for reason in self.verdict.reasons]  # type: ignore[attr-defined]


@dataclass(frozen=True, slots=True)
class Month:
    """One month of a place in words."""

    first: datetime
    lowest_c: float
    highest_c: float
    measured_h: float
    kinetic_c: float


@dataclass(frozen=True, slots=True)
class Panel:
    """One stretch of time, drawn; None where nothing was measured."""

    starts: datetime
    ends: datetime
    curve: Curve | None
    lowest_limit: float | None = None  # heights in the drawing
    highest_limit: float | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """How warm it was in a place: this stretch of time, and the same a year before."""

    panels: tuple[Panel, ...]
    months: tuple[Month, ...]
    lowest_limit_c: float | None
    highest_limit_c: float | None
    measured: bool


def beyond(*, now: datetime, since: datetime, place: UUID | None = None) -> list[Beyond]:
    """What is in stock and stood beyond its limits since a moment, as it was measured, in the order of codes.

    `place`: only what stood in it. The same few statements however much there is.
    """
    limited = Q(lot__material__stored_from_c__isnull=False) | Q(lot__material__stored_to_c__isnull=False)
    rows = Package.objects.filter(limited, thing__balance__amount__gt=0).select_related("lot__material")
    packages = {row.thing_id: row for row in rows}
    stood = {thing: _since(own, since) for thing, own in ages.stood_of(packages, now).items()}
    places = {inner for stretches in stood.values() for each in stretches for inner in each.places}
    warmth, names, codes = Warmth(places), _names(places), ledger.codes_of(packages)
    words = ages.stood_words({each for stretches in stood.values() for each in stretches})
    measured: dict[Stood, list[Stay]] = {}
    found = []
    for thing, stretches in stood.items():
        inside = [each for each in stretches if place is None or place in each.places]
        for each in inside:
            if each not in measured:
                measured[each] = warmth.measured(each)
        stays = [stay for each in inside for stay in measured[each]]
        if stays:
            material = packages[thing].lot.material
            row = _judged(material, stays)
            if row.above_h >= _LEAST_H or row.below_h >= _LEAST_H:
                worst = _worst(material, {each: measured[each] for each in inside if measured[each]})
                where = (place, names.get(place, "")) if place else (worst.places[0], words[worst])
                found.append(_beyond(thing, codes.get(thing, ""), packages[thing], where, row))
    return sorted(found, key=lambda each: (each.material, each.code))


def _since(stood: Iterable[Stood], since: datetime) -> list[Stood]:
    return [replace(each, starts=max(each.starts, since)) for each in stood if each.ends > since]


def _worst(material: Material, measured: Mapping[Stood, Sequence[Stay]]) -> Stood:
    """The stretch in which it stood beyond its limits longest."""

    def hours_beyond(each: Stood) -> float:
        row = _judged(material, measured[each])
        return row.above_h + row.below_h

    return max(measured, key=hours_beyond)


def _beyond(thing: UUID, code: str, package: Package, where: tuple[UUID, str], row: storage.Stood) -> Beyond:
    material = package.lot.material
    return Beyond(
        package=thing,
        code=code,
        material=material.name,
        place=where[0],
        place_name=where[1],
        lowest_c=material.stored_from_c,
        highest_c=material.stored_to_c,
        warmest_c=row.warmest_c,
        coldest_c=row.coldest_c,
        above_h=row.above_h,
        below_h=row.below_h,
        verdict=row.verdict,
    )


def _judged(material: Material, stays: Sequence[Stay]) -> storage.Stood:
    low, high = material.stored_from_c, material.stored_to_c
    sheet = material.source or "the material's card"
    return storage.stood(
        stays=stays,
        lowest_c=None if low is None else Given(low, Basis.DATA_SHEET, sheet),
        highest_c=None if high is None else Given(high, Basis.DATA_SHEET, sheet),
    )


def _names(places: Iterable[UUID]) -> dict[UUID, str]:
    return dict(Place.objects.filter(thing_id__in=list(places)).values_list("thing_id", "name"))


def notes(now: datetime) -> list[Note]:
    """What stood beyond its limits lately, gathered by material and place."""
    found = []
    rows = sorted(beyond(now=now, since=now - RECENT), key=_alike)
    codes = ledger.codes_of({row.place for row in rows})
    for _, same in groupby(rows, key=_alike):
        group = list(same)
        material, place = group[0].material, group[0].place
        hot = max(group, key=lambda each: each.above_h)
        cold = max(group, key=lambda each: each.below_h)
        if hot.above_h >= _LEAST_H:
            sentence = say(
                "In 30 days {material} stood {hours} h above {limit} °C in {place}, up to {most} °C.",
                material=material,
                hours=round(hot.above_h),
                limit=hot.highest_c,
                place=hot.place_name,
                most=round(hot.warmest_c, 1),
            )
        else:
            sentence = say(
                "In 30 days {material} stood {hours} h below {limit} °C in {place}, down to {least} °C.",
                material=material,
                hours=round(cold.below_h),
                limit=cold.lowest_c,
                place=cold.place_name,
                least=round(cold.coldest_c, 1),
            )
        page = ("loggers-curve", (codes[place],)) if place in codes else ("", ())
        shown = tuple(each.code for each in group if each.code)
        found.append(Note(sentence, Level.LOOK, page=page[0], about=page[1], codes=shown))
    return found


def _alike(each: Beyond) -> tuple[str, str, str]:
    return each.material, str(each.place), each.place_name


def picture(place: UUID, *, now: datetime, span: timedelta) -> Picture:
    """How warm it was in a place for so long up to now, and in the same time a year before."""
    wrote = logged.hours_of([place]).get(place, [])
    typed = _typed(place, now)
    spells = sorted([*_spells(wrote), *typed], key=lambda spell: spell.starts)
    limits = _limits(place)
    panels, known = [], [spell for spell in spells if spell.ends > now - span - _YEAR]
    within = warm_curve.scale(known) if known else (0.0, 10.0)
    for back in (timedelta(0), _YEAR):
        starts, ends = now - back - span, now - back
        panels.append(
            _panel(
                [each for each in spells if each.ends > starts and each.starts < ends],
                starts,
                ends,
                within,
                limits,
            )
        )
    if panels[1].curve is None:
        panels = panels[:1]
    months = _months(wrote, now - span, now)
    return Picture(tuple(panels), tuple(months), *limits, measured=bool(known))


def _panel(
    spells: list[Spell],
    starts: datetime,
    ends: datetime,
    within: tuple[float, float],
    limits: tuple[float | None, float | None],
) -> Panel:
    if not spells:
        return Panel(starts, ends, None)
    drawn = warm_curve.curve(spells, starts=starts, ends=ends, within=within)
    low, high = (
        None if limit is None or not within[0] <= limit <= within[1] else drawn.level(limit)
        for limit in limits
    )
    return Panel(starts, ends, drawn, low, high)


def _spells(found: Iterable[Hour]) -> Iterable[Spell]:
    for hour in found:
        starts = hours.moment_of(hour) + timedelta(seconds=hour.begins_s)
        yield Spell(starts, starts + timedelta(seconds=hour.seconds), hour.lowest / 100, hour.highest / 100)


def _typed(place: UUID, now: datetime) -> list[Spell]:
    """What people read, as spells of one hour."""
    return [
        Spell(
            row.at,
            min(row.at + timedelta(hours=1), max(now, row.at + timedelta(minutes=1))),
            row.celsius if row.lowest_c is None else min(row.celsius, row.lowest_c),
            row.celsius if row.highest_c is None else max(row.celsius, row.highest_c),
        )
        for row in ages.readings_of([place])
    ]


def _limits(place: UUID) -> tuple[float | None, float | None]:
    """The narrowest storage limits of what lies in a place now."""
    inside = inside_of(place)
    rows = Material.objects.filter(lots__packages__thing_id__in=inside).values_list(
        "stored_from_c", "stored_to_c"
    )
    lows, highs = [], []
    for low, high in rows.distinct():
        lows += [low] if low is not None else []
        highs += [high] if high is not None else []
    return max(lows, default=None), min(highs, default=None)


def inside_of(place: UUID) -> list[UUID]:
    """What lies in a place, at any depth: a statement a level."""
    found, level = [], [place]
    while level:
        level = list(State.objects.filter(place_id__in=level).values_list("thing_id", flat=True))
        found += level
    return found


def _months(found: Sequence[Hour], starts: datetime, ends: datetime) -> Iterable[Month]:
    """Month by month what a logger wrote."""

    def first(hour: Hour) -> datetime:
        local = timezone.localtime(hours.moment_of(hour))
        return local.replace(day=1, hour=0, minute=0, second=0)

    inside = [hour for hour in found if starts <= hours.moment_of(hour) < ends]
    for _month, own in groupby(inside, key=lambda hour: (first(hour).year, first(hour).month)):
        rows = list(own)
        stays = list(hours.stays(rows, starts=starts, ends=ends))
        yield Month(
            first=first(rows[0]),
            lowest_c=min(row.lowest for row in rows) / 100,
            highest_c=max(row.highest for row in rows) / 100,
            measured_h=sum(row.seconds for row in rows) / 3600,
            kinetic_c=storage.kinetic_c(stays),
        )
