"""The day an act falls on, in the shop's own time zone. Writes nothing."""

from datetime import date

from django.utils import timezone

from inventory.actions.ledger import Act


def day_of(act: Act) -> date:
    """The calendar day at the shop when the act happened, or is said to have happened."""
    return timezone.localtime(act.at).date()
