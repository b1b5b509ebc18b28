"""The shop itself: one row, the same on all its machines."""

from django.db import models


class Shop(models.Model):
    """Name and settings of the shop. `host` is printed on every ski for ever."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    host = models.CharField(max_length=14, default="T.EXAMPLE")
    reach = models.CharField(max_length=200, blank=True)  # how a stranger reaches the shop
    demo = models.BooleanField(default=False)
