"""READ press cycles: what was set, what the log says, verdict and forecast; which are closed now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from inventory.compute import cure
from inventory.compute.codes import Kind
from inventory.compute.cure import (
    CycleVerdict,
    Forecast,
    Limits,
    Log,
    Opening,
    PressureLog,
    Schedule,
)
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.errors import Refused
from inventory.models import Equipment, Event, Line, Person
from inventory.queries import pressing
from inventory.queries.ledger import chunks, codes_of, microseconds

KEPT_SHARE = 0.9  # of the pressure set: below it the pressure counts as lost
KEPT = "0.9 of the pressure set: common practice, no source"
LATELY = timedelta(days=31)


@dataclass(frozen=True, slots=True)
class Curve:
    """What was read during a cycle, in seconds after closing. `typed`: read by people, not by a logger."""

    at_s: tuple[float, ...]
    probes_c: Mapping[str, tuple[float | None, ...]]
    kpa: tuple[float | None, ...]
    left_out: tuple[str, ...]
    typed: bool

    @property
    def log(self) -> Log:
        """The temperatures as they are judged."""
        return Log(self.at_s, self.probes_c, self.left_out)

    @property
    def pressure(self) -> PressureLog | None:
        """The pressure as it is judged; None when nobody read it."""
        if all(value is None for value in self.kpa):
            return None
        return PressureLog(self.at_s, self.kpa)


@dataclass(frozen=True, slots=True)
class Cycle:
    """One closing of one press. `opened_at` is None while it is closed; `live`: its closing was recorded at
    the press, not from paper."""

    id: UUID
    code: str
    press: UUID | None
    press_name: str
    mould_name: str
    skis: tuple[UUID, ...]
    ski_codes: tuple[str, ...]
    set_kpa: float
    set_c: float
    minutes: float
    heated: bool
    bay_c: float | None
    watcher: str
    closed_at: datetime
    opened_at: datetime | None
    early: bool
    live: bool
    beyond: bool = False  # a rating or an inspection day of its press

    @property
    def ends_s(self) -> float | None:
        """Seconds from closing to opening; None while it is closed."""
        return None if self.opened_at is None else (self.opened_at - self.closed_at).total_seconds()


@dataclass(frozen=True, slots=True)
class Judged:
    """What the log of a cycle says: `verdict` once opened, `opening` before; `refused`: why neither."""

    curve: Curve | None
    schedule: Schedule | None
    limits: Limits
    opening: Opening | None = None
    verdict: CycleVerdict | None = None
    forecast: Forecast | None = None
    refused: Refused | None = None

    @property
    def ready_at_s(self) -> float | None:
        """When the schedule was or will be reached, in seconds after closing."""
        if self.opening is not None and self.opening.progress.reached_at_s is not None:
            return self.opening.progress.reached_at_s
        return None if self.forecast is None else self.forecast.reached_at_s


def one(cycle: UUID) -> Cycle | None:
    """One press cycle."""
    return next(iter(_cycles([cycle])), None)


def closed(now: datetime) -> list[Cycle]:
    """The cycles whose press is closed now, the one closed first before the others."""
    lines = Line.objects.filter(
        role=Role.BY,
        thing__kind=Kind.PRESS_CYCLE,
        event__step__in=("press closed", "press opened"),
        event__skipped__isnull=True,
        event__sort__gte=microseconds(now - LATELY),
    )
    steps: dict[UUID, set[str]] = {}
    for thing, step in lines.values_list("thing_id", "event__step"):
        steps.setdefault(thing, set()).add(step)
    still = [thing for thing, own in steps.items() if "press opened" not in own]
    return sorted(_cycles(still), key=lambda row: row.closed_at)


def pressed_since(skis: Iterable[UUID], since: datetime) -> list[Cycle]:
    """The cycles in which any of these skis was pressed since then, the first before the others."""
    events: set[UUID] = set()
    for part in chunks(skis):
        rows = Line.objects.filter(
            thing_id__in=part,
            role=Role.OBSERVED,
            event__step="pressed",
            event__skipped__isnull=True,
            event__at__gte=since,
        )
        events |= set(rows.values_list("event_id", flat=True))
    found: set[UUID] = set()
    for part in chunks(events):
        rows = Line.objects.filter(event_id__in=part, role=Role.BY, thing__kind=Kind.PRESS_CYCLE)
        found |= set(rows.values_list("thing_id", flat=True))
    return sorted(_cycles(found), key=lambda row: row.closed_at)


def skis_pressed_now(skis: Iterable[UUID], now: datetime) -> dict[UUID, Cycle]:
    """Those of these skis that lie in a press that is closed now."""
    wanted = set(skis)
    return {ski: row for row in closed(now) for ski in row.skis if ski in wanted}


def _cycles(ids: Iterable[UUID]) -> list[Cycle]:
    """These cycles; a flat number of statements."""
    events: dict[UUID, dict[str, Event]] = {}
    for part in chunks(ids):
        lines = Line.objects.filter(
            thing_id__in=part,
            role=Role.BY,
            event__step__in=("pressed", "press closed", "press opened"),
            event__skipped__isnull=True,
        ).select_related("event")
        for line in lines.order_by("event__sort"):
            events.setdefault(line.thing_id, {})[line.event.step] = line.event
    pressed = {id: own["pressed"] for id, own in events.items() if "pressed" in own}
    beside: dict[UUID, list[Line]] = {}
    for part in chunks(event.id for event in pressed.values()):
        for line in Line.objects.filter(event_id__in=part).select_related("thing").order_by("position"):
            beside.setdefault(line.event_id, []).append(line)
    things = {line.thing_id for own in beside.values() for line in own}
    codes = codes_of(things)
    names = dict(Equipment.objects.filter(thing_id__in=things).values_list("thing_id", "name"))
    said = {UUID(event.facts["watcher"]) for event in pressed.values() if event.facts.get("watcher")}
    people = dict(Person.objects.filter(id__in=said).values_list("id", "name")) if said else {}
    return [
        _cycle(id, event, events[id], beside.get(event.id, []), codes, names, people)
        for id, event in pressed.items()
    ]


def _cycle(
    id: UUID,
    event: Event,
    own: Mapping[str, Event],
    lines: list[Line],
    codes: Mapping[UUID, str],
    names: Mapping[UUID, str],
    people: Mapping[UUID, str],
) -> Cycle:
    def by(kind: Kind) -> UUID | None:
        found = (line.thing_id for line in lines if line.role == Role.BY and line.thing.kind == kind)
        return next(found, None)

    facts, opened = event.facts, own.get("press opened")
    press, mould = by(Kind.PRESS), by(Kind.MOULD)
    skis = tuple(line.thing_id for line in lines if line.role == Role.OBSERVED)
    watcher = facts.get("watcher")
    return Cycle(
        id=id,
        code=codes.get(id, ""),
        press=press,
        press_name=names.get(press, "") if press else "",
        mould_name=names.get(mould, "") if mould else "",
        skis=skis,
        ski_codes=tuple(codes.get(ski, "") for ski in skis),
        set_kpa=facts["set_kpa"],
        set_c=facts["set_c"],
        minutes=facts["minutes"],
        heated=facts.get("heated", True),
        bay_c=facts.get("bay_c"),
        watcher=people.get(UUID(watcher), "") if watcher else "",
        closed_at=event.at,
        opened_at=opened.at if opened else None,
        early=bool(opened and opened.facts.get("early")),
        live="press closed" in own,
        beyond=bool(facts.get("beyond")),
    )


def curve_of(row: Cycle) -> Curve | None:
    """What was read during a cycle: its newest log; without one what people typed."""
    lines = Line.objects.filter(
        thing_id=row.id, role=Role.OBSERVED, event__step="press read", event__skipped__isnull=True
    )
    rows = lines.order_by("-event__sort", "-event__machine").values_list("event__at", "event__facts")
    typed: list[tuple[datetime, dict[str, Any]]] = []
    for at, facts in rows:
        if "log" in facts:
            return _logged(facts["log"], facts.get("left_out", ()), row.closed_at)
        typed.append((at, facts))
    return _typed(typed[::-1], row.closed_at) if typed else None


def has_log(cycle: UUID) -> bool:
    """True when anything was read of this cycle: without that a person judges."""
    return Line.objects.filter(
        thing_id=cycle, role=Role.OBSERVED, event__step="press read", event__skipped__isnull=True
    ).exists()


def _logged(log: Mapping[str, Any], left_out: Iterable[str], closed_at: datetime) -> Curve:
    from_s = (datetime.fromisoformat(log["from"]) - closed_at).total_seconds()
    at_s = tuple(from_s + second for second in log["at_s"])
    probes = {name: tuple(column) for name, column in log["probes_c"].items()}
    kpa = tuple(log["kpa"]) if log.get("kpa") else (None,) * len(at_s)
    return Curve(at_s, probes, kpa, tuple(left_out), typed=False)


def _typed(rows: list[tuple[datetime, dict[str, Any]]], closed_at: datetime) -> Curve:
    """Readings people typed, each moment once: a later one of the same second stands for it."""
    at = {(moment - closed_at).total_seconds(): facts for moment, facts in rows}
    names = list(dict.fromkeys(name for _, facts in rows for name in facts["probes_c"]))
    ordered = sorted(at)
    return Curve(
        at_s=tuple(ordered),
        probes_c={name: tuple(at[second]["probes_c"].get(name) for second in ordered) for name in names},
        kpa=tuple(at[second].get("kpa") for second in ordered),
        left_out=(),
        typed=True,
    )


def judged(row: Cycle, now: datetime) -> Judged:
    """What the log of a cycle says: the verdict once it was opened; else whether it may be, and when."""
    curve, schedule = curve_of(row), pressing.schedule_of(row.skis)
    found = pressing.machine(row.press) if row.press else None
    hottest = None if found is None else found.hottest_c
    limits = Limits(
        pressure_at_least_kpa=Given(max(row.set_kpa * KEPT_SHARE, 1.0), Basis.ASSUMED, KEPT),
        highest_c=None if hottest is None else Given(hottest, Basis.DATA_SHEET, pressing.PLATE),
    )
    told = Judged(curve, schedule, limits)
    if schedule is None:
        return told
    ends_s = row.ends_s or (now - row.closed_at).total_seconds()
    try:
        return _by_log(row, told, schedule, ends_s)
    except Refused as refused:
        return Judged(curve, schedule, limits, forecast=_forecast(row, schedule, None), refused=refused)


def _by_log(row: Cycle, told: Judged, schedule: Schedule, ends_s: float) -> Judged:
    curve, limits = told.curve, told.limits
    if curve is None or not curve.probes_c or len(curve.at_s) < 2:
        return Judged(curve, schedule, limits, forecast=_forecast(row, schedule, None))
    facts = {"schedule": schedule, "log": curve.log, "pressure": curve.pressure, "closed_at_s": 0.0}
    if row.opened_at is not None:
        verdict = cure.judge(**facts, opened_at_s=ends_s, limits=limits)  # type: ignore[arg-type]
        return Judged(curve, schedule, limits, verdict.opening, verdict)
    opening = cure.may_open(**facts, at_s=max(ends_s, 1.0), limits=limits)  # type: ignore[arg-type]
    return Judged(curve, schedule, limits, opening, forecast=_forecast(row, schedule, opening))


def _forecast(row: Cycle, schedule: Schedule, opening: Opening | None) -> Forecast | None:
    """When the schedule will be reached: by the coldest probe; unheated without one by the bay."""
    bay = None if row.heated or row.bay_c is None else Given(row.bay_c, Basis.MEASURED, "read at closing")
    if opening is None and bay is None:
        return None
    share, at_s, coldest = 0.0, 0.0, None
    if opening is not None:
        run = opening.progress
        share, at_s = run.cautious_share, run.last_at_s
        coldest = Given(run.last_coldest_c, Basis.MEASURED, "the newest reading")
    try:
        return cure.forecast(
            schedule=schedule, share=share, at_s=at_s, heated=row.heated, coldest_c=coldest, bay_c=bay
        )
    except Refused:
        return None


def moment_of(row: Cycle, second: float | None) -> datetime | None:
    """The moment so many seconds after closing."""
    return None if second is None else row.closed_at + timedelta(seconds=second)


def verdict_on_record(cycle: UUID) -> bool | None:
    """The newest verdict on record; None before anybody judged."""
    events = Event.objects.filter(
        lines__thing_id=cycle, lines__role=Role.BY, step="judged", skipped__isnull=True
    ).order_by("-sort", "-machine", "-id")
    event = events.first()
    return None if event is None else bool(event.facts["passed"])
