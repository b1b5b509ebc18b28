"""WRITE suppliers and what they offer. Money is whole minor units of the shop's currency."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.errors import Refused, say
from inventory.formats.labels_ai import has_check_digit, is_digits
from inventory.models import Material, Offer, Supplier


@happening
def edit_supplier(act: Act, /, *, supplier: UUID, changes: Mapping[str, object]) -> None:
    """Change fields of a supplier's card.

    Afterwards: the card says so, and its history says what it said before.
    Refused: card.unknown, supplier.no_name.
    """
    cards.edit(act, Supplier, supplier, changes)
    if not Supplier.objects.get(id=supplier).name.strip():
        raise Refused("supplier.no_name", say("The supplier has no name."), say("Enter what you call it."))


@happening
def make_offer(
    act: Act,
    /,
    *,
    supplier: UUID,
    material: UUID,
    pack: int,
    facts: Mapping[str, object] | None = None,
) -> None:
    """Say that a supplier sells a material in packs of one size. `facts`: prices, lead time, minimum.

    Afterwards: it can be ordered there.
    Refused: card.unknown, offer.pack, offer.prices, offer.least, offer.gtin.
    """
    known = Supplier.objects.filter(id=supplier).exists() and Material.objects.filter(id=material).exists()
    if not known:
        raise Refused("card.unknown", say("There is no such card."), say("Open the list again."))
    offer = act.id("offer")
    cards.save(act, Offer, offer, supplier_id=supplier, material_id=material, pack=pack, **(facts or {}))
    _check(Offer.objects.get(id=offer))
    act.things.append(offer)


@happening
def edit_offer(act: Act, /, *, offer: UUID, changes: Mapping[str, object]) -> None:
    """Change an offer, or end it: what is ended is ordered no more.

    Afterwards: the card says so, and its history says what it said before.
    Refused: card.unknown, offer.pack, offer.prices, offer.least, offer.gtin.
    """
    cards.edit(act, Offer, offer, changes)
    _check(Offer.objects.get(id=offer))


def _check(card: Offer) -> None:
    if card.pack < 1:
        raise Refused("offer.pack", say("A pack of nothing cannot be."), say("Enter what one pack holds."))
    if card.least_packs < 1:
        raise Refused(
            "offer.least",
            say("At least {packs} packs cannot be.", packs=card.least_packs),
            say("Enter 1 or more."),
        )
    if card.gtin and not (is_digits(card.gtin) and len(card.gtin) == 14 and has_check_digit(card.gtin)):
        raise Refused(
            "offer.gtin",
            say("{number} is no article number: it fails its check digit.", number=card.gtin),
            say("Read the digits under the bars again: 8, 12, 13 or 14 of them; or leave it empty."),
        )
    _check_prices(card.prices)


def _check_prices(prices: Sequence[Sequence[int]]) -> None:
    """Rising numbers of packs from one on; the price of one never rises with them."""
    rising = all(one < other and cheap <= dear for (one, dear), (other, cheap) in pairwise(prices))
    sound = all(packs >= 1 and price >= 0 for packs, price in prices)
    if prices and not (rising and sound and prices[0][0] == 1):
        raise Refused(
            "offer.prices",
            say("The prices do not go on from one pack to more packs, each no dearer."),
            say("Enter the price of one pack first, then from how many packs on it is less."),
        )
