"""READ the usage factors that people accepted: they outrank what is usual, and what a card says is lost."""

from uuid import UUID

from inventory.compute.needs import Factor
from inventory.compute.reasons import Basis
from inventory.models import UsageFactor


def accepted() -> dict[UUID, dict[str, Factor]]:
    """The factors that people accepted, by lay-up and the key of the material."""
    found: dict[UUID, dict[str, Factor]] = {}
    for row in UsageFactor.objects.filter(ended=False).select_related("material"):
        source = f"learned from {row.pairs} pairs on {row.trips} trips, accepted"
        factor = Factor(row.lowest, row.expected, row.highest, Basis.LEARNED, source)
        found.setdefault(row.layup_id, {})[row.material.key] = factor
    return found
