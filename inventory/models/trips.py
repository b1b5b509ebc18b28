"""Trips: one drive with one or more trailers to one or more workshops. What goes aboard is the ledger's."""

from django.db import models


class Trip(models.Model):
    """When a trip leaves and is back, which trailers it takes, to which workshops: their ids as text."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    leaves_on = models.DateField()
    back_on = models.DateField()
    trailers = models.JSONField(default=list)
    workshops = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["leaves_on"], name="trip_by_day")]
