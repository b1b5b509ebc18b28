"""READ cards of materials and suppliers."""

from django.db.models import QuerySet

from inventory.models import Material, Supplier


def all_materials() -> QuerySet[Material]:
    """Every material by name."""
    return Material.objects.order_by("name")


def all_suppliers() -> QuerySet[Supplier]:
    """Every supplier by name."""
    return Supplier.objects.order_by("name")
