"""READ what stock is worth, and what passed its date: enough money to decide by, no bookkeeping.

A lot is worth what was paid for it by its order; else what its material was last ordered for; else what an
offer asks for a single pack; else it is not known, and counted apart.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.expiry import Ends
from inventory.compute.steps import Role
from inventory.compute.units import Amount
from inventory.models import Event, Line, Material, Offer, OrderLine, Package, Place, State
from inventory.queries.ledger import chunks
from inventory.queries.stock_list import Listing, Row, Wanted

TOP = (Kind.STORE, Kind.TRAILER, Kind.YARD)


class Till(StrEnum):
    """How long it may still be used."""

    PAST = "past its date"
    MONTH = "within a month"
    QUARTER = "within three months"
    LATER = "later, or no date"


class Known(StrEnum):
    """Where a price is from."""

    PAID = "paid for this lot"
    LAST = "last ordered for"
    OFFER = "an offer's single pack"


@dataclass(frozen=True, slots=True)
class PriceOf:
    """The price of one base unit in minor units of money, and where it is from."""

    each: Fraction
    known: Known


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices of lots and materials."""

    lots: Mapping[UUID, PriceOf]
    materials: Mapping[UUID, PriceOf]

    def of(self, lot: UUID | None, material: UUID) -> PriceOf | None:
        """That of the lot, else that of its material."""
        return (self.lots.get(lot) if lot else None) or self.materials.get(material)


def prices() -> Prices:
    """All prices there are; five statements."""
    materials = _offered() | _ordered()
    tied = {
        row[0]: row[1]["order_line"]
        for row in Event.objects.filter(
            step="received", skipped__isnull=True, facts__has_key="order_line"
        ).values_list("id", "facts")
        if not row[1].get("instead")
    }
    paid = {
        str(id): Fraction(price, pack)
        for id, price, pack in OrderLine.objects.filter(price__isnull=False).values_list(
            "id", "price", "pack"
        )
        if price is not None
    }
    lots: dict[UUID, PriceOf] = {}
    for part in chunks(tied):
        rows = Line.objects.filter(event_id__in=part, role=Role.INPUT).values_list("event_id", "thing_id")
        for event, lot in rows:
            if tied[event] in paid:
                lots[lot] = PriceOf(paid[tied[event]], Known.PAID)
    return Prices(lots, materials)


def _offered() -> dict[UUID, PriceOf]:
    found: dict[UUID, PriceOf] = {}
    for material, pack, rows in Offer.objects.filter(ended=False).values_list(
        "material_id", "pack", "prices"
    ):
        if rows:
            each = Fraction(rows[0][1], pack)
            if material not in found or each < found[material].each:
                found[material] = PriceOf(each, Known.OFFER)
    return found


def _ordered() -> dict[UUID, PriceOf]:
    rows = OrderLine.objects.filter(
        price__isnull=False, order__sent_on__isnull=False, order__given_up=False
    ).order_by("order__sent_on", "id")
    return {
        material: PriceOf(Fraction(price, pack), Known.LAST)
        for material, price, pack in rows.values_list("material_id", "price", "pack")
        if price is not None
    }


@dataclass(frozen=True, slots=True)
class Worth:
    """What lies in one store or trailer is worth, by how long it may be used, in minor units.

    `unpriced`: packages whose price nobody knows, counted nowhere else.
    """

    place: str
    by_till: Mapping[Till, int]
    unpriced: int

    @property
    def total(self) -> int:
        """All of it: the sum of its parts as shown."""
        return sum(self.by_till.values())


def stock_worth(today: date) -> tuple[Worth, ...]:
    """Every store and trailer, and what lies nowhere known; a flat number of statements."""
    found = prices()
    tops = _tops()
    materials = dict(Material.objects.values_list("key", "id"))
    sums: dict[str, dict[Till, Fraction]] = {}
    unpriced: dict[str, int] = {}
    for row in Listing(Wanted(), today=today).all():
        place = tops.get(row.place, "") if row.place else ""
        cells = sums.setdefault(place, {})
        price = found.of(row.lot, materials[row.key])
        if price is None:
            unpriced[place] = unpriced.get(place, 0) + 1
            continue
        till = _till(row.usable.through, today)
        cells[till] = cells.get(till, Fraction(0)) + price.each * row.left.value
    return tuple(
        Worth(place, {till: round(cells.get(till, Fraction(0))) for till in Till}, unpriced.get(place, 0))
        for place, cells in sorted(sums.items())
    )


def _till(through: date | None, today: date) -> Till:
    if through is None:
        return Till.LATER
    if through < today:
        return Till.PAST
    days = (through - today).days
    return Till.MONTH if days <= 30 else Till.QUARTER if days <= 91 else Till.LATER


def _tops() -> dict[UUID, str]:
    """For every place the store or trailer it stands in, by name."""
    cards = {
        id: (name, kind) for id, name, kind in Place.objects.values_list("thing_id", "name", "thing__kind")
    }
    above = dict(State.objects.filter(thing__place_card__isnull=False).values_list("thing_id", "place_id"))
    found = {}
    for place in cards:
        at: UUID | None = place
        for _ in range(6):
            if at is None or at not in cards or cards[at][1] in TOP:
                break
            at = above.get(at)
        found[place] = cards[at][0] if at in cards else ""
    return found


@dataclass(frozen=True, slots=True)
class Passed:
    """A package that passed its date with something in it: how much, what that was worth, and why."""

    code: str
    material: str
    key: str
    left: Amount
    held: Amount  # what the whole lot held when it came
    on: date
    why: Ends
    worth: int | None


def passed(today: date, since: date | None = None) -> tuple[Passed, ...]:
    """What passed its date in stock and was not used up, the newest first."""
    found = prices()
    materials = dict(Material.objects.values_list("key", "id"))
    rows = [
        row
        for row in Listing(Wanted(until=today - timedelta(1)), today=today).all()
        if row.usable.through is not None and (since is None or row.usable.through >= since)
    ]
    came = _came({row.lot for row in rows})
    out = [_passed(row, found.of(row.lot, materials[row.key]), came) for row in rows]
    return tuple(sorted(out, key=lambda each: (each.on, each.code), reverse=True))


def _passed(row: Row, price: PriceOf | None, came: Mapping[UUID, int]) -> Passed:
    assert row.usable.through is not None  # noqa: S101 - for the type checker
    return Passed(
        row.code,
        row.material,
        row.key,
        row.left,
        Amount(came.get(row.lot, row.left.value), row.left.base),
        row.usable.through,
        row.usable.by,
        None if price is None else round(price.each * row.left.value),
    )


def _came(lots: Iterable[UUID]) -> dict[UUID, int]:
    """How much of each lot was received."""
    packages: dict[UUID, UUID] = {}
    for part in chunks(lots):
        packages |= dict(Package.objects.filter(lot_id__in=part).values_list("thing_id", "lot_id"))
    sums: dict[UUID, int] = {}
    for part in chunks(packages):
        lines = Line.objects.filter(
            thing_id__in=part, role=Role.OUTPUT, event__step="received", event__skipped__isnull=True
        )
        for thing, amount in lines.values_list("thing_id", "amount"):
            sums[packages[thing]] = sums.get(packages[thing], 0) + (amount or 0)
    return sums


@dataclass(frozen=True, slots=True)
class PairCost:
    """The material of one pair, by what its skis took: in minor units, and what has no price."""

    pair: UUID
    code: str
    cents: int
    parts: tuple[tuple[str, Amount, int | None], ...]
    unpriced: tuple[str, ...] = field(default=())
    built: bool = True
