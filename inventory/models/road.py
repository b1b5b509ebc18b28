"""Temperature loggers, what trips were like, and what was learned of use.

What a logger wrote is the ledger's; its file lies in the data folder as a paper.
"""

from django.db import models

from inventory.models.builds import LayupCard
from inventory.models.ledger import Thing
from inventory.models.stock import Material
from inventory.models.trips import Trip


class Logger(models.Model):
    """One temperature logger: how it writes its files, and where it hangs."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    serial = models.CharField(max_length=40, blank=True)  # as its files say; empty: they do not
    shape = models.JSONField(default=dict)
    zone = models.CharField(max_length=60)
    probe = models.CharField(max_length=80, blank=True)  # the column that counts
    place = models.ForeignKey(Thing, models.PROTECT, related_name="loggers")


class TripRecord(models.Model):
    """What a trip was like, once it is over: words for the next one, and numbers that stay as they were."""

    trip = models.OneToOneField(Trip, models.PROTECT, primary_key=True, related_name="record")
    saved_us = models.CharField(max_length=2000, blank=True)
    failed = models.CharField(max_length=2000, blank=True)
    next_time = models.CharField(max_length=2000, blank=True)  # what to change on the card
    # [{layup, material, net, used, pairs}, ...]: what its counted packages teach
    taught = models.JSONField(default=list)
    # [{material, needed, gone}, ...] in base units, beside {waste, left_behind, masses}
    numbers = models.JSONField(default=dict)


class UsageFactor(models.Model):
    """What of a material is used for what ends up in a pair of a lay-up, as a person accepted it."""

    id = models.UUIDField(primary_key=True)
    layup = models.ForeignKey(LayupCard, models.PROTECT, related_name="factors")
    material = models.ForeignKey(Material, models.PROTECT, related_name="factors")
    lowest = models.FloatField()
    expected = models.FloatField()
    highest = models.FloatField()
    pairs = models.PositiveIntegerField()
    trips = models.PositiveIntegerField()
    ended = models.BooleanField(default=False)
