"""The shop itself: one row, the same on all its machines."""

from django.db import models

UNITS = ("metric", "us")


class Shop(models.Model):
    """Name and settings of the shop. `host` is printed on every ski for ever; empty: not chosen yet."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    host = models.CharField(max_length=14, blank=True)
    reach = models.CharField(max_length=200, blank=True)  # how a stranger reaches the shop
    currency = models.CharField(max_length=3, default="EUR")  # ISO 4217
    units = models.CharField(max_length=6, default="metric", choices=[(units, units) for units in UNITS])
    language = models.CharField(max_length=10, default="en")  # BCP 47
    time_zone = models.CharField(max_length=64, blank=True)  # of the tz database; empty: the program's own
    demo = models.BooleanField(default=False)
    spare_pairs = models.PositiveSmallIntegerField(default=1)  # whose materials a workshop carries in reserve
    limits = models.JSONField(default=dict)  # the shop's own tolerances and moisture limits; else as shipped
    reserve_percent = models.PositiveSmallIntegerField(default=0)  # of each material, beyond what is needed
