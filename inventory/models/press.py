"""Presses and moulds: what the card says."""

from django.db import models

from inventory.models.ledger import Thing


class Equipment(models.Model):
    """A press, a mould or anything else that travels and comes back."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="equipment")
    name = models.CharField(max_length=80)
