"""READ cups: what was mixed lately, for which skis, what is left in each, and how its working time runs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.mix.time import PotLife, Warmth, WorkingTime, working_time
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import Balance, Event, Line, Package, Ski
from inventory.queries.ledger import chunks, codes_of, microseconds

LATELY = timedelta(hours=12)
SHEET = "data sheet"
MIXES = ("mixed", "mix corrected")


@dataclass(frozen=True, slots=True)
class Cup:
    """One cup: what is in it, whom it is for, and how much of its working time is used.

    `since`: when its two parts met. `apart`: it was set apart, being off its ratio. `clock` is None where
    the product's card has no pot life or nobody measured the air.
    """

    id: UUID
    code: str
    since: datetime
    resin_mg: int
    hardener_mg: int
    per_hundred: float
    left: Amount
    skis: tuple[UUID, ...]
    packages: tuple[UUID, ...]
    apart: bool
    corrected: bool
    scale_step_mg: int | None
    clock: WorkingTime | None

    @property
    def level(self) -> Level:
        """How much its time weighs."""
        if self.clock is None:
            return Level.UNKNOWN
        return Level.STOP if self.clock.used >= 1 else self.clock.verdict.level

    @property
    def left_min(self) -> int | None:
        """Whole minutes left; None where nobody can say."""
        return None if self.clock is None else int(self.clock.left_min)

    @property
    def used_share(self) -> float | None:
        """The used share of the working time."""
        return None if self.clock is None else self.clock.used

    @property
    def resin_g(self) -> float:
        """Its resin in grams."""
        return self.resin_mg / 1000

    @property
    def hardener_g(self) -> float:
        """Its hardener in grams."""
        return self.hardener_mg / 1000

    @property
    def whole(self) -> bool:
        """True while nothing was taken out of it."""
        return self.left.value == self.resin_mg + self.hardener_mg


def running(now: datetime) -> list[Cup]:
    """Cups of the last hours with something in them, the one whose time ends first before the others."""
    found = [cup for cup in poured(now) if cup.left.value > 0 and not cup.apart]
    return sorted(found, key=lambda cup: (cup.clock is None, cup.left_min or 0, cup.since))


def poured(now: datetime, *, lately: timedelta = LATELY) -> list[Cup]:
    """Every cup mixed lately, oldest first; a corrected one stands for the one it was made of."""
    rows = Event.objects.filter(
        step__in=MIXES,
        sort__gte=microseconds(now - lately),
        skipped__isnull=True,
    )
    return _cups(list(rows.order_by("sort", "machine")), now)


def cup(batch: UUID, now: datetime) -> Cup | None:
    """One cup; None for what is no resin batch."""
    born = Line.objects.filter(
        thing_id=batch, thing__kind=Kind.RESIN_BATCH, role=Role.OUTPUT, event__skipped__isnull=True
    )
    return next(iter(_cups([line.event for line in born.select_related("event")[:1]], now)), None)


def facts_of(batch: UUID) -> dict[str, Any]:
    """What the event that bore a cup says of how it was mixed."""
    born = Event.objects.filter(
        lines__thing_id=batch, lines__role=Role.OUTPUT, step__in=MIXES, skipped__isnull=True
    ).first()
    return dict(born.facts) if born else {}


def apart(batches: Iterable[UUID]) -> list[UUID]:
    """Those of these things that are cups set apart, being off their ratio."""
    lines = Line.objects.filter(thing_id__in=list(batches), role=Role.OUTPUT, event__step__in=MIXES)
    rows = lines.filter(event__skipped__isnull=True).select_related("event")
    return [line.thing_id for line in rows if line.event.facts.get("apart")]


def for_skis(skis: Iterable[UUID], now: datetime) -> list[Cup]:
    """Cups of the last hours that were mixed for one of these skis; none that was set apart."""
    wanted = set(skis)
    return [cup for cup in poured(now) if wanted & set(cup.skis) and not cup.apart]


def _cups(events: list[Event], now: datetime) -> list[Cup]:
    lines: dict[UUID, list[Line]] = {event.id: [] for event in events}
    for part in chunks(lines):
        for line in Line.objects.filter(event_id__in=part).order_by("position"):
            lines[line.event_id].append(line)
    batches = [line.thing_id for own in lines.values() for line in own if line.role == Role.OUTPUT]
    inputs = [line.thing_id for own in lines.values() for line in own if line.role == Role.INPUT]
    left = {
        thing: amount
        for part in chunks(batches)
        for thing, amount in Balance.objects.filter(thing_id__in=part).values_list("thing_id", "amount")
    }
    packages = {
        thing for part in chunks(inputs) for thing in
        Package.objects.filter(thing_id__in=part).values_list("thing_id", flat=True)
    }  # fmt: skip
    codes = codes_of(batches)
    found = []
    for event in events:
        own = lines[event.id]
        batch = next((line.thing_id for line in own if line.role == Role.OUTPUT), None)
        if batch is None:
            continue
        used = tuple(line.thing_id for line in own if line.role == Role.INPUT and line.thing_id in packages)
        found.append(_cup(event, batch, codes.get(batch, ""), left.get(batch, 0), own, used, now))
    return found


def _cup(
    event: Event, batch: UUID, code: str, left: int, lines: list[Line], used: tuple[UUID, ...], now: datetime
) -> Cup:
    facts = event.facts
    inputs = [line.amount or 0 for line in lines if line.role == Role.INPUT]
    resin_mg, hardener_mg = facts.get("parts", inputs[:2])
    since = datetime.fromisoformat(facts["since"]) if "since" in facts else event.at
    return Cup(
        id=batch,
        code=code,
        since=since,
        resin_mg=resin_mg,
        hardener_mg=hardener_mg,
        per_hundred=facts["hardener_per_hundred"],
        left=Amount(left, Base.MG),
        skis=tuple(UUID(ski) for ski in facts.get("for", ())),
        packages=tuple(UUID(one) for one in facts["of"]) if "of" in facts else used,
        apart=bool(facts.get("apart")),
        corrected=event.step == "mix corrected",
        scale_step_mg=facts.get("scale_step_mg"),
        clock=_clock(facts, since, resin_mg + hardener_mg, now),
    )


def _clock(facts: dict[str, object], since: datetime, cup_mg: int, now: datetime) -> WorkingTime | None:
    """How the working time runs by the pot life told at the mix, and the air read then."""
    told, air = facts.get("pot_life"), facts.get("air")
    if not isinstance(told, list) or not isinstance(air, dict):
        return None
    minutes, at_c, cup_g = told
    sheet = Given(float(minutes), Basis.DATA_SHEET, SHEET)
    listed = PotLife(sheet, at_c) if cup_g is None else PotLife(sheet, at_c, Given(cup_g, Basis.DATA_SHEET))
    try:
        return working_time(
            pot_life=listed,
            cup_mg=cup_mg,
            warmth=[Warmth(0, bay_c=float(air["air_c"]))],
            now_min=max(0.0, (now - since).total_seconds() / 60),
        )
    except Refused:
        return None


def workshops_of(cups: Iterable[Cup]) -> dict[UUID, set[UUID]]:
    """Per cup the workshops of the skis it is for."""
    rows = list(cups)
    skis = {ski for row in rows for ski in row.skis}
    at: dict[UUID, UUID] = {}
    for part in chunks(skis):
        found = Ski.objects.filter(thing_id__in=part, pair__workshop__isnull=False)
        at.update(found.values_list("thing_id", "pair__workshop_id"))
    return {row.id: {at[ski] for ski in row.skis if ski in at} for row in rows}
