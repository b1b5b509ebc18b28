"""READ one lot reckoned up: what came, and what became of it, each figure with the events it is made of."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from inventory.compute.reasons import How
from inventory.compute.reconcile import Became, Share, reckon
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.models import Balance, Line, Lot, Package
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import chunks

_USED = {
    "written off": Became.WASTE,
    "drawn": Became.TAKEN,
    "mixed": Became.BATCHES,
    "mix corrected": Became.BATCHES,
    "laid up": Became.SKIS,
    "layer added": Became.SKIS,
    "repaired": Became.SKIS,
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One event's part in a figure: from which package, into what, how much. A count's may be below zero."""

    at: datetime
    step: str
    package: Named
    into: Named | None
    amount: Amount


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the reckoning, and what it is made of."""

    share: Share
    amount: Amount
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class ReckonedUp:
    """A lot reckoned up: what was received, and every line of what became of it."""

    received: Amount
    deliveries: tuple[Entry, ...]
    figures: tuple[Figure, ...]
    how: How


@dataclass(frozen=True, slots=True)
class _Part:
    """A line of a package with what it counts as; `became` None: it was received."""

    line: Line
    became: Became | None
    amount: int


def lot(thing: UUID) -> Lot | None:
    """One lot's card, with its material and supplier."""
    return Lot.objects.select_related("material", "supplier").filter(thing_id=thing).first()


def twins() -> list[list[UUID]]:
    """Lots of one material, supplier and printed number that no event says are one, as laptops apart make."""
    alike: dict[tuple[UUID, UUID | None, str], list[UUID]] = {}
    rows = Lot.objects.exclude(number="").filter(thing__state__isnull=False).order_by("thing_id")
    for material, supplier, number, lot in rows.values_list("material", "supplier", "number", "thing_id"):
        alike.setdefault((material, supplier, number), []).append(lot)
    groups = [group for group in alike.values() if len(group) > 1]
    return [group for group in groups if not {*group} <= {group[0], *one_with(group[0])}]


def one_with(lot: UUID) -> list[UUID]:
    """The other lots that are said to be one with this one."""
    said = Line.objects.filter(thing_id=lot, event__step="one lot", event__skipped__isnull=True)
    events = list(said.values_list("event_id", flat=True))  # few; a query in the query is planned badly
    rows = Line.objects.filter(event_id__in=events).exclude(thing_id=lot)
    return list(rows.order_by("thing_id").values_list("thing_id", flat=True).distinct())


def packages_of(lot: UUID) -> list[UUID]:
    """The packages of a lot that are in the books, oldest first."""
    rows = Package.objects.filter(lot_id=lot, thing__state__isnull=False)
    return list(rows.order_by("thing_id").values_list("thing_id", flat=True))


def reckon_up(row: Lot) -> ReckonedUp:
    """What came of a lot and what became of it; the same few statements however much happened."""
    packages, base = packages_of(row.thing_id), Base(row.material.base)
    parts = [part for lines in _lines(packages).values() for part in _parts(lines)]
    became: dict[Became, int] = {}
    for part in parts:
        if part.became is not None:
            became[part.became] = became.get(part.became, 0) + part.amount
    left, short = _balances(packages)
    became |= {Became.STOCK: left, Became.SHORT: -short}
    came = [part for part in parts if part.became is None]
    reckoned = reckon(received=sum(part.amount for part in came), became=became)
    entries = _entries(parts, base)
    return ReckonedUp(
        Amount(reckoned.received, base),
        entries.get(None, ()),
        tuple(
            Figure(share, Amount(share.amount, base), entries.get(share.became, ()))
            for share in reckoned.shares
        ),
        reckoned.how,
    )


def _lines(packages: Iterable[UUID]) -> dict[UUID, list[Line]]:
    """The live lines with an amount of each package, in the order of the fold."""
    found: dict[UUID, list[Line]] = {}
    for part in chunks(packages):
        lines = Line.objects.filter(thing_id__in=part, amount__isnull=False, event__skipped__isnull=True)
        ordered = lines.select_related("event").order_by(
            "event__sort", "event__machine", "event_id", "position"
        )
        for line in ordered:
            found.setdefault(line.thing_id, []).append(line)
    return found


def _parts(lines: Iterable[Line]) -> list[_Part]:
    """What each line of one package counts as. A pouring within the lot counts as nothing."""
    value, found = 0, []
    for line in lines:
        amount, step = line.amount or 0, line.event.step
        if line.role == Role.INPUT:
            value -= amount
            if step != "split":
                found.append(_Part(line, _USED.get(step, Became.OTHER), amount))
        elif line.role in (Role.OUTPUT, Role.GAINS):
            value += amount
            if step != "split":
                found.append(_Part(line, None, amount))
        elif step == "counted":
            found.append(_Part(line, Became.COUNTED, value - amount))
            value = amount
    return found


def _balances(packages: Iterable[UUID]) -> tuple[int, int]:
    """What is left in these packages, and what was drawn beyond."""
    left = short = 0
    for part in chunks(packages):
        for amount, beyond in Balance.objects.filter(thing_id__in=part).values_list("amount", "short"):
            left, short = left + amount, short + beyond
    return left, short


def _entries(parts: list[_Part], base: Base) -> Mapping[Became | None, tuple[Entry, ...]]:
    """The parts by what they count as, newest first, with names; a count that changed nothing is left out."""
    told = [part for part in parts if part.amount]
    into = _into([part.line.event_id for part in told])
    known = named([*(part.line.thing_id for part in told), *into.values()])
    found: dict[Became | None, list[Entry]] = {}
    for part in sorted(told, key=lambda part: part.line.event.sort, reverse=True):
        event = part.line.event
        made = into.get(event.id)
        other = known[made] if made and part.became is not None else None
        entry = Entry(event.at, event.step, known[part.line.thing_id], other, Amount(part.amount, base))
        found.setdefault(part.became, []).append(entry)
    return {became: tuple(entries) for became, entries in found.items()}


def _into(events: Iterable[UUID]) -> dict[UUID, UUID]:
    """What each of these events made or added to."""
    found: dict[UUID, UUID] = {}
    for part in chunks(dict.fromkeys(events)):
        rows = Line.objects.filter(event_id__in=part, role__in=[Role.OUTPUT, Role.GAINS]).order_by(
            "-position"
        )
        found.update(rows.values_list("event_id", "thing_id"))
    return found
