"""Places: yard, store, trailer, zone, bin: what they are called. What lies where is the ledger's."""

from django.db import models

from inventory.models.ledger import Thing


class Place(models.Model):
    """The card of one place."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="place_card")
    name = models.CharField(max_length=80)
