"""READ the shop's own list of steps, and which of them it left out."""

from uuid import UUID

from inventory.compute import build_steps as rules
from inventory.compute.build_steps import BY_KEY, POSITIONS, Job, Kept
from inventory.models import BuildStep


def kept() -> list[Kept]:
    """What the shop says of steps, shipped ones and its own."""
    return [_kept(row) for row in BuildStep.objects.all()]


def jobs() -> tuple[Job, ...]:
    """The steps of the build card in the shop's order; one statement."""
    return rules.of_shop(kept())


def positions() -> dict[str, float]:
    """Where each step stands, shipped ones and the shop's own."""
    return POSITIONS | {row.key: row.position for row in kept()}


def left_out() -> list[Kept]:
    """Steps that are not on the card, by name."""
    return sorted((row for row in kept() if row.ended), key=lambda row: row.label)


def one(key: str) -> Kept | None:
    """One step as the shop keeps it, or as it came."""
    row = BuildStep.objects.filter(key=key).first()
    if row is not None:
        return _kept(row)
    shipped = BY_KEY.get(key)
    return Kept(key, shipped.label, POSITIONS[key], shipped.least) if shipped else None


def card_of(key: str) -> UUID | None:
    """The id of a step's card; None while the shop said nothing of it."""
    return BuildStep.objects.filter(key=key).values_list("id", flat=True).first()


def _kept(row: BuildStep) -> Kept:
    return Kept(row.key, row.label, row.position, rules.Who(row.who), row.ended)
