"""Places: yard, store, trailer, zone, bin: what they are called and measure. What lies where is the ledger's.

An empty field is not known; a plate not read is never an assumed number.
"""

from django.db import models

from inventory.models.ledger import Thing


class Place(models.Model):
    """The card of one place. `assumed_c`: how warm it gets where nobody measures; empty: as what it is in."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="place_card")
    name = models.CharField(max_length=80)
    assumed_c = models.FloatField(null=True)


class Zone(models.Model):
    """Where a zone's middle lies in its trailer, each with how far off that may be either way."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="zone_card")
    behind_mm = models.IntegerField(null=True)  # the coupling
    behind_doubt_mm = models.IntegerField(null=True)
    right_mm = models.IntegerField(null=True)  # of the middle; left is below zero
    right_doubt_mm = models.IntegerField(null=True)


class Trailer(models.Model):
    """What a trailer's plates say and what it measures. Lengths from the coupling backwards."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="trailer_card")
    gross_mg = models.BigIntegerField(null=True)
    axle_load_mg = models.BigIntegerField(null=True)
    nose_mg = models.BigIntegerField(null=True)  # the coupling's plate
    tyres_side_mg = models.BigIntegerField(null=True)  # all tyres of one side together
    empty_mg = models.BigIntegerField(null=True)
    empty_doubt_mg = models.BigIntegerField(null=True)
    empty_nose_mg = models.BigIntegerField(null=True)
    empty_nose_doubt_mg = models.BigIntegerField(null=True)
    axles = models.PositiveSmallIntegerField(null=True)
    axle_mm = models.IntegerField(null=True)  # the middle of the axles
    axle_doubt_mm = models.IntegerField(null=True)
    floor_from_mm = models.IntegerField(null=True)
    floor_to_mm = models.IntegerField(null=True)
    track_mm = models.IntegerField(null=True)
