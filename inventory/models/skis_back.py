"""Recalls, whom they were told to, tried recalls, and warranty terms. That a ski came back is an event.

Which skis a recall took in stands in its events (`recalled`), and is never edited; the card says the rest.
"""

from django.db import models

from inventory.models.builds import Pair
from inventory.models.ledger import Thing


class Recall(models.Model):
    """One recall: what it starts from, what failed, whether an authority was asked, how it ended."""

    AUTHORITY = ("not asked yet", "asked", "told", "need not be told")

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=120)
    failure = models.CharField(max_length=20)
    may_hurt = models.BooleanField(default=True)
    roots = models.JSONField(default=list)  # ids of the things it starts from, as text
    rule = models.PositiveSmallIntegerField()  # compute.skis_back.RULE_VERSION as it was opened
    opened_on = models.DateField()
    authority = models.CharField(max_length=20, default=AUTHORITY[0])
    closed_on = models.DateField(null=True)
    learned = models.CharField(max_length=2000, blank=True)  # no names


class Told(models.Model):
    """What became of telling the owner of one pair. No row: to tell. Its id follows from recall and pair."""

    STATES = ("to tell", "told", "answered", "back", "cannot reach")
    MEANS = ("", "letter", "text message", "call", "in person")

    id = models.UUIDField(primary_key=True)
    recall = models.ForeignKey(Recall, models.PROTECT, related_name="told")
    pair = models.ForeignKey(Pair, models.PROTECT, related_name="told")
    state = models.CharField(max_length=12, default=STATES[0])
    means = models.CharField(max_length=12, blank=True)
    passed_on = models.BooleanField(default=False)  # the guest says the pair has another owner now
    on = models.DateField(null=True)


class MockRecall(models.Model):
    """One recall that was tried: a lot at random, both ways timed, and what the sheet says. Kept for good."""

    id = models.UUIDField(primary_key=True)
    lot = models.ForeignKey(Thing, models.PROTECT, related_name="+")
    tried_at = models.DateTimeField()
    result = models.JSONField(default=dict)  # counts, microseconds, base units


class WarrantyTerms(models.Model):
    """What the shop promises for pairs handed over between two days. It suggests; people decide."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    from_on = models.DateField()
    to_on = models.DateField()
    months = models.PositiveSmallIntegerField()
    not_for = models.JSONField(default=list)  # causes that are not covered
    source = models.CharField(max_length=400, blank=True)  # where the terms are written
