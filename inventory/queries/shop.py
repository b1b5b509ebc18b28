"""READ the shop's own card."""

from inventory.models import Shop


def card() -> Shop | None:
    """The shop's name and settings; None before it is set up."""
    return Shop.objects.first()
