"""Workshops, pairs, and whose they are."""

from django.db import models

from inventory.models.ledger import Thing
from inventory.models.people import Guest


class Workshop(models.Model):
    """One to four days at a venue."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField()


class Pair(models.Model):
    """A pair as booked: for whom, at which workshop, how long."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="pair")
    workshop = models.ForeignKey(Workshop, models.PROTECT, null=True, related_name="pairs")
    guest = models.ForeignKey(Guest, models.PROTECT, null=True, related_name="pairs")
    length_mm = models.IntegerField()


class Ski(models.Model):
    """One ski of a pair."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="ski")
    pair = models.ForeignKey(Pair, models.PROTECT, related_name="skis")
    side = models.CharField(max_length=5, choices=[("left", "left"), ("right", "right")])

    class Meta:
        constraints = [models.UniqueConstraint(fields=["pair", "side"], name="one_ski_a_side")]
