"""READ the shop's own card, and how far it is set up."""

from collections.abc import Mapping

from inventory.compute import shop_limits
from inventory.compute.finished import Tolerances
from inventory.compute.moisture import Limits
from inventory.models import Machine, Shop, SignIn
from inventory.models.shop import UNITS

__all__ = ["UNITS", "card", "is_set_up", "moisture_limits", "next_step", "tolerances"]


def card() -> Shop | None:
    """The shop's name and settings; None before it is set up."""
    return Shop.objects.first()


def tolerances() -> Tolerances:
    """How far a finished ski may be off its spec and its partner: the shop's own, else as shipped."""
    return shop_limits.tolerances(_limits())


def moisture_limits() -> Limits:
    """Between what wood is glued: the shop's own, else as shipped."""
    return shop_limits.moisture(_limits())


def _limits() -> Mapping[str, float]:
    return Shop.objects.values_list("limits", flat=True).first() or {}


def is_set_up() -> bool:
    """True once somebody can sign in on this laptop: the last thing the first run asks for."""
    return SignIn.objects.exists()


def next_step() -> str:
    """What the first run asks next: letter, shop, host, owner; empty when nothing is left."""
    shop = card()
    done = {
        "letter": Machine.objects.filter(here=True).exists(),
        "shop": shop is not None,
        "host": bool(shop and shop.host),
        "owner": is_set_up(),
    }
    return next((step for step, finished in done.items() if not finished), "")
