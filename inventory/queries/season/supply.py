"""READ what covers a season: stock in date, what is on order, and who sells what, as the plan takes it.

What was cut or glued up here is stock; what is missing is none. A flat number of statements. What passes its
date is seen by labels and openings; warmth is not looked at.
"""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from inventory.compute import expiry
from inventory.compute.choose import KEEPS, Lot
from inventory.compute.codes import Kind
from inventory.compute.netting import arriving
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.compute.suppliers import Closed, Offer, Supplier, order_by
from inventory.compute.supply import Lead, life_left
from inventory.models import Line, Material
from inventory.models import Offer as OfferCard
from inventory.models import Supplier as SupplierCard
from inventory.queries import cutting, trace
from inventory.queries import orders as order_queries
from inventory.queries.coming import Coming, on_order
from inventory.queries.cutting import Made
from inventory.queries.missing import missing
from inventory.queries.orders import Seen
from inventory.queries.stock_list import Listing, Row, Wanted, within

WEEKEND = frozenset({5, 6})
NO_PRICE = ((1, 0),)


@dataclass(frozen=True, slots=True)
class Sold:
    """An offer as the plan takes it, its card, its lead time. `priced`: a price is known."""

    card: OfferCard
    offer: Offer
    lead: Lead
    priced: bool


@dataclass(frozen=True, slots=True)
class Supply:
    """Everything that can cover a need, by material's id."""

    stock: Mapping[UUID, tuple[Row, ...]]
    coming: Mapping[UUID, tuple[Coming, ...]]
    sold: Mapping[UUID, tuple[Sold, ...]]
    lives: Mapping[UUID, Given[int]]
    suppliers: tuple[Supplier, ...]
    supplier_ids: Mapping[str, UUID]  # by the code the plan knows them by
    made: Mapping[UUID, tuple[Made, ...]] = field(default_factory=dict)  # cut batches, glued-up blanks
    held: AbstractSet[UUID] = frozenset()  # what is on hold, or has in it what is


def supply(
    materials: Mapping[UUID, Material], *, today: date, currency: str, an_order: int, put_away: int
) -> Supply:
    """Stock, orders and offers of these materials."""
    orders = order_queries.orders()
    took = order_queries.seen(orders)
    lost = missing()
    around = set(within(lost))  # a bin that is missing has all in it with it
    held = trace.on_hold()
    stock = _stock(materials, today, around, held)
    lives = _lives(materials, stock)
    cards = list(SupplierCard.objects.order_by("name", "id"))
    codes = _codes(cards)
    suppliers = tuple(_supplier(card, codes[card.id], currency, an_order) for card in cards)
    offers = OfferCard.objects.filter(ended=False, material_id__in=list(materials))
    return Supply(
        stock,
        on_order(orders, took, today),
        _sold_of(offers, codes, lives, took),
        lives,
        suppliers,
        {code: id for id, code in codes.items()},
        _made(around),
        held,
    )


def _made(lost: AbstractSet[UUID]) -> dict[UUID, tuple[Made, ...]]:
    """Cut batches and glued-up blanks, by material; an offcut may be too short for any pair."""
    found: dict[UUID, list[Made]] = {}
    for row in cutting.in_stock(Kind.CUT_BATCH, Kind.CORE_BLANK):
        if not {row.thing, row.place} & lost:
            found.setdefault(row.material.id, []).append(row)
    return {id: tuple(rows) for id, rows in found.items()}


def _stock(
    materials: Mapping[UUID, Material], today: date, lost: AbstractSet[UUID], held: AbstractSet[UUID]
) -> dict[UUID, tuple[Row, ...]]:
    by_key = {card.key: id for id, card in materials.items()}
    found: dict[UUID, list[Row]] = {}
    for row in Listing(Wanted(), today=today).all():
        if row.key in by_key and not {row.thing, row.place} & lost:
            found.setdefault(by_key[row.key], []).append(replace(row, held=row.thing in held))
    return {id: tuple(rows) for id, rows in found.items()}


def _lives(materials: Mapping[UUID, Material], stock: Mapping[UUID, Iterable[Row]]) -> dict[UUID, Given[int]]:
    """How long what comes in lasts, of materials that have a date at all."""
    received = Line.objects.filter(
        role=Role.INPUT, event__step="received", event__skipped__isnull=True, thing__lot__isnull=False
    )
    seen: dict[UUID, list[int]] = {}
    for material, expires_on, at in received.order_by("-event__sort").values_list(
        "thing__lot__material_id", "thing__lot__expires_on", "event__at"
    ):
        if material is not None and expires_on is not None:
            days = (expires_on - timezone.localtime(at).date()).days
            seen.setdefault(material, []).append(days)
    found = {}
    for id, card in materials.items():
        months = card.shelf_life_months
        shelf = None if months is None else expiry.days_of_months(months=months)
        life = life_left(seen=seen.get(id, ()), shelf_days=shelf)
        if life is not None:
            found[id] = life
    return found


def _codes(cards: Sequence[SupplierCard]) -> dict[UUID, str]:
    """What the plan calls each supplier: its name, told apart where two have one."""
    names = [card.name for card in cards]
    return {
        card.id: card.name if names.count(card.name) == 1 else f"{card.name} ({card.id.hex[-4:]})"
        for card in cards
    }


def _supplier(card: SupplierCard, code: str, currency: str, an_order: int) -> Supplier:
    return Supplier(
        code,
        card.freight or 0,
        card.freight_free_from,
        an_order,
        card.least_order or 0,
        tuple(Closed(date.fromisoformat(first), date.fromisoformat(last)) for first, last in card.closed),
        WEEKEND,
        currency,
    )


def _sold(card: OfferCard, supplier: str, lives: Mapping[UUID, Given[int]], took: Sequence[Seen]) -> Sold:
    lead = order_queries.lead_of(card.supplier_id, card.lead_days, took)
    prices = tuple((packs, price) for packs, price in card.prices) or NO_PRICE
    life = lives.get(card.material_id)
    offer = Offer(supplier, card.pack, prices, lead.planned, life, card.least_packs)
    return Sold(card, offer, lead, bool(card.prices))


def _sold_of(
    offers: QuerySet[OfferCard],
    codes: Mapping[UUID, str],
    lives: Mapping[UUID, Given[int]],
    took: Sequence[Seen],
) -> dict[UUID, tuple[Sold, ...]]:
    sold: dict[UUID, list[Sold]] = {}
    for card in offers.select_related("supplier").order_by("supplier__name", "pack", "id"):
        sold.setdefault(card.material_id, []).append(_sold(card, codes[card.supplier_id], lives, took))
    return {id: _priced_first(rows) for id, rows in sold.items()}


def last_days(*, load_on: date, put_away: Given[int]) -> dict[UUID, date]:
    """The last day to order each material for a load day, from whoever takes the shortest, as a plan does.

    Left out: a material whose lead time nobody said.
    """
    cards = list(SupplierCard.objects.order_by("name", "id"))
    codes = _codes(cards)
    suppliers = {codes[card.id]: _supplier(card, codes[card.id], "", 0) for card in cards}
    sold = _sold_of(
        OfferCard.objects.filter(ended=False), codes, {}, order_queries.seen(order_queries.orders())
    )
    found: dict[UUID, date] = {}
    for material, rows in sold.items():
        days = [
            order_by(
                load_on=load_on,
                put_away_days=put_away,
                lead_days=row.offer.lead_days,
                supplier=suppliers[row.offer.supplier],
            ).order_by
            for row in rows
            if row.lead.planned.basis is not Basis.ASSUMED
        ]
        if days:
            found[material] = max(days)
    return found


def _priced_first(rows: Sequence[Sold]) -> tuple[Sold, ...]:
    """Offers with a price; those without only where there is no other."""
    return tuple(row for row in rows if row.priced) or tuple(rows)


def lots(material: Material, supply: Supply, put_away: Given[int]) -> tuple[Lot, ...]:
    """Packages and orders of one material as the plan takes them."""
    undated = None if material.passes or material.id in supply.lives else KEEPS
    on_hand = [
        Lot(
            _shown(row.code),
            row.left.value,
            row.usable.through or undated,
            held=row.held,
        )
        for row in supply.stock.get(material.id, ())
    ]
    on_hand += [
        Lot(_shown(row.code), row.left, undated, held=row.thing in supply.held)
        for row in supply.made.get(material.id, ())
    ]
    on_way = [
        arriving(
            code=each.key,
            amount=each.line.left.value,
            promised_on=each.comes_on,
            put_away_days=put_away,
            life_days=_long_enough(supply.lives.get(material.id), put_away),
            margin_days=Given(0, Basis.ASSUMED),
        )
        for each in supply.coming.get(material.id, ())
    ]
    return (*on_hand, *on_way)


def _long_enough(life: Given[int] | None, put_away: Given[int]) -> Given[int] | None:
    """A life that is over before the goods are put away covers nothing, and is no error."""
    return None if life is None else Given(max(life.value, put_away.value), life.basis, life.source)


def _shown(code: str) -> str:
    """A package's code as its tag shows it."""
    return f"{code[:4]}-{code[4:]}" if len(code) == 8 else code
