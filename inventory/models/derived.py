"""What is true now, folded from the events: written in the same transaction, rebuildable, never the source.

Knows the ledger, no topic. `manage.py check_ledger` compares every row with the fold.
"""

from django.db import models
from django.db.models import F, Q

from inventory.compute.fold import Trouble
from inventory.models.ledger import Event, Thing


class Balance(models.Model):
    """How much is left of a thing that has an amount; what was drawn beyond it is short."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="balance")
    amount = models.BigIntegerField(default=0)
    short = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(amount__gte=0), name="amount_is_no_less_than_nothing"),
            models.CheckConstraint(condition=Q(short__gte=0), name="short_is_no_less_than_nothing"),
            models.CheckConstraint(
                condition=Q(amount=0) | Q(short=0), name="nothing_is_left_of_what_is_short"
            ),
        ]


class State(models.Model):
    """Where a thing is, whether it was opened, and the event that bore it. No row: it was never born."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="state")
    place = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="+")
    opened_at = models.DateTimeField(null=True)
    born = models.ForeignKey(Event, models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(place__isnull=True) | ~Q(place=F("thing")), name="nothing_lies_in_itself"
            )
        ]
        indexes = [
            models.Index(fields=["opened_at"], name="state_opened", condition=Q(opened_at__isnull=False))
        ]


class Hold(models.Model):
    """One hold that has not been lifted. A thing may have several; lifting names one."""

    event = models.ForeignKey(Event, models.PROTECT, related_name="+")
    thing = models.ForeignKey(Thing, models.PROTECT, related_name="holds")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["event", "thing"], name="one_hold_a_thing_and_event")]


class Tag(models.Model):
    """The thing a code answers for; none when it was printed ahead."""

    code = models.CharField(max_length=8, primary_key=True)
    thing = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="tags")


class Skipped(models.Model):
    """An event the fold passes over: reversed, or recorded by another machine too."""

    event = models.OneToOneField(Event, models.PROTECT, primary_key=True, related_name="skipped")
    undone = models.BooleanField()


class Disagreement(models.Model):
    """Two truths that people must settle."""

    id = models.UUIDField(primary_key=True)
    trouble = models.CharField(max_length=24, choices=[(t.value, t.value) for t in Trouble])
    subject = models.UUIDField()  # a thing, an act or a card
    events = models.JSONField(default=list)
    amount = models.BigIntegerField(default=0)
    settled_by = models.UUIDField(null=True)

    class Meta:
        indexes = [models.Index(fields=["subject"], name="disagreement_by_subject")]
