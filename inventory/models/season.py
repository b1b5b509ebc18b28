"""Seasons, what people decided otherwise than the list, and orders. Money in whole minor units.

What has come in of an order is the ledger's: its deliveries name the order line. An empty field is not known.
"""

from django.db import models

from inventory.models.stock import Material, Offer, Supplier

COVERS = ("tight", "usual", "ample", "full")  # how sure it is that a material lasts; compute knows how sure


class Season(models.Model):
    """All workshops between two days, and how they are planned for."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField()
    fill_percent = models.PositiveSmallIntegerField(null=True)  # how sure it is that an open seat fills
    cover = models.CharField(max_length=5, default="usual", choices=[(word, word) for word in COVERS])
    put_away_days = models.PositiveSmallIntegerField(null=True)  # from a delivery to being ready to load
    an_order = models.BigIntegerField(null=True)  # what placing and receiving one costs in work


class Ruling(models.Model):
    """What people decided for one material of a season, whatever the list says; one a season and material."""

    id = models.UUIDField(primary_key=True)
    season = models.ForeignKey(Season, models.PROTECT, related_name="rulings")
    material = models.ForeignKey(Material, models.PROTECT, related_name="+")
    cover = models.CharField(max_length=5, blank=True, choices=[(word, word) for word in COVERS])
    offer = models.ForeignKey(Offer, models.PROTECT, null=True, related_name="+")  # from nobody else
    packs = models.PositiveIntegerField(null=True)  # in all; 0: none is bought


class Order(models.Model):
    """What is ordered from one supplier at once."""

    id = models.UUIDField(primary_key=True)
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="orders")
    season = models.ForeignKey(Season, models.PROTECT, null=True, related_name="orders")
    order_by = models.DateField(null=True)  # the last day that is in time, as the list said
    sent_on = models.DateField(null=True)  # empty: being written
    promised_on = models.DateField(null=True)
    freight = models.BigIntegerField(null=True)
    given_up = models.BooleanField(default=False)


class OrderLine(models.Model):
    """Packs of one material in an order, at the price of the day. `ended`: the rest is waited for no more."""

    id = models.UUIDField(primary_key=True)
    order = models.ForeignKey(Order, models.PROTECT, related_name="lines")
    material = models.ForeignKey(Material, models.PROTECT, related_name="+")
    article = models.CharField(max_length=60, blank=True)
    pack = models.BigIntegerField()  # in the material's base unit
    packs = models.PositiveIntegerField()
    price = models.BigIntegerField(null=True)  # of one pack
    lead_days = models.PositiveSmallIntegerField(null=True)
    ended = models.BooleanField(default=False)
