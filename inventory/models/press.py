"""Presses, moulds and all else that travels and comes back: its cards, and what has to be inspected."""

from django.db import models

from inventory.models.ledger import Thing


class Equipment(models.Model):
    """A press, a mould or anything else that travels. What does not concern its sort stays empty."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="equipment")
    name = models.CharField(max_length=80)
    sort = models.CharField(max_length=20, blank=True)  # router, hose, respirator, ...
    size = models.CharField(max_length=20, blank=True)  # of what is worn
    lengths_mm = models.JSONField(default=list)  # of skis that a mould or template takes
    ratings = models.JSONField(default=list)  # [[up to °C, kPa], ...] of what stands under pressure
    relief_kpa = models.FloatField(null=True)
    frame_kn = models.FloatField(null=True)
    part_of = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="pressed_parts")  # a press
    bladders_mm = models.JSONField(default=list)  # [[length, width], ...] of what presses on the frame
    watts = models.FloatField(null=True)
    start_watts = models.FloatField(null=True)
    circuit = models.CharField(max_length=40, blank=True)  # of a venue, where it must be that one
    fuel_l_h = models.FloatField(null=True)  # that a generator burns
    air_l_min = models.FloatField(null=True)  # free air that it takes; a compressor: that it gives
    air_kpa = models.FloatField(null=True)  # that it needs; a compressor: at which it starts again
    heated = models.BooleanField(null=True)
    holds_c = models.FloatField(null=True)  # the temperature a heated press holds
    takes_pairs = models.PositiveSmallIntegerField(null=True)  # at one closing
    closing_min = models.PositiveSmallIntegerField(null=True)  # from the first hand on it to pressure
    heat_up_min = models.PositiveSmallIntegerField(null=True)
    cool_min = models.PositiveSmallIntegerField(null=True)
    opening_min = models.PositiveSmallIntegerField(null=True)
    closing_hands = models.PositiveSmallIntegerField(null=True)
    opening_hands = models.PositiveSmallIntegerField(null=True)
    contents = models.CharField(max_length=20, blank=True)  # of an extinguisher
    charge_mg = models.BigIntegerField(null=True)
    mass_mg = models.BigIntegerField(null=True)
    fitted_on = models.DateField(null=True)
    source = models.CharField(max_length=400, blank=True)  # where the numbers are from


class Inspection(models.Model):
    """One inspection a piece of equipment must have: what is looked at, by whom, how often, when last."""

    id = models.UUIDField(primary_key=True)
    equipment = models.ForeignKey(Equipment, models.PROTECT, related_name="inspections")
    what = models.CharField(max_length=80)
    who = models.CharField(max_length=80, blank=True)
    every_months = models.PositiveSmallIntegerField(null=True)
    last_on = models.DateField(null=True)
    ended = models.BooleanField(default=False)
