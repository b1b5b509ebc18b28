"""Trips: one drive with one or more trailers to one or more workshops. What lies where is the ledger's.

An empty field is not known; a plate not read is never an assumed number.
"""

from django.db import models

from inventory.models.ledger import Thing


class TowCar(models.Model):
    """What a tow car's papers and plates say and what it measures. Goods in it count as in a trailer."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="tow_car")
    name = models.CharField(max_length=80)
    gross_mg = models.BigIntegerField(null=True)
    rear_axle_mg = models.BigIntegerField(null=True)
    towed_mg = models.BigIntegerField(null=True)  # the heaviest trailer it may draw
    train_mg = models.BigIntegerField(null=True)  # car and trailer together
    nose_mg = models.BigIntegerField(null=True)
    ball_nose_mg = models.BigIntegerField(null=True)
    bar_nose_mg = models.BigIntegerField(null=True)
    mass_mg = models.BigIntegerField(null=True)  # as it leaves, without the trailer
    mass_doubt_mg = models.BigIntegerField(null=True)
    rear_mg = models.BigIntegerField(null=True)  # on the rear axle, without the trailer
    rear_doubt_mg = models.BigIntegerField(null=True)
    wheelbase_mm = models.IntegerField(null=True)
    overhang_mm = models.IntegerField(null=True)  # from the rear axle to the ball


class Trip(models.Model):
    """When a trip loads, leaves and is back, what drives, to which workshops: ids as text."""

    SORTS = ("workshop", "supply run")  # goods carried to work with, or to store: the rules differ
    CROSSINGS = ("ferry", "tunnel")
    RULES = ("", "adr", "trade")  # for dangerous goods: ADR, or 49 CFR 173.6; empty: both are stated

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    loads_on = models.DateField(null=True)  # empty: the day it leaves
    leaves_on = models.DateField()
    back_on = models.DateField()
    trailers = models.JSONField(default=list)
    workshops = models.JSONField(default=list)
    tows = models.JSONField(default=dict)  # trailer: [tow car, driver]; either may be empty
    sort = models.CharField(max_length=10, default="workshop", choices=[(sort, sort) for sort in SORTS])
    rules = models.CharField(max_length=5, blank=True, choices=[(rules, rules) for rules in RULES])
    bay_c = models.FloatField(null=True)  # expected where skis are laid up
    heated = models.BooleanField(null=True)
    road_low_c = models.FloatField(null=True)  # coldest and warmest expected in the trailers on the way
    road_high_c = models.FloatField(null=True)
    crossings = models.JSONField(null=True)  # empty list: none; empty: not known
    watchers = models.JSONField(default=list)  # people who stay with heated cycles
    cancelled = models.BooleanField(default=False)
    planned_as = models.ForeignKey("self", models.PROTECT, null=True, related_name="copies")

    class Meta:
        indexes = [models.Index(fields=["leaves_on"], name="trip_by_day")]


class Listed(models.Model):
    """One line of a trip's loading list: this thing goes aboard. Whether it is aboard, its place says."""

    id = models.UUIDField(primary_key=True)
    trip = models.ForeignKey(Trip, models.PROTECT, related_name="listed")
    thing = models.ForeignKey(Thing, models.PROTECT, related_name="listed")
    amount = models.BigIntegerField(null=True)  # set aside of a package; empty: all of it
    zone = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="listed_into")
    why = models.CharField(max_length=120, blank=True)
    ended = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["trip", "thing"], condition=models.Q(ended=False), name="listed_once_a_trip"
            )
        ]
