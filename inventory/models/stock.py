"""Materials, suppliers, lots, packages: what a label or a card says. Amounts and places are the ledger's."""

from django.db import models

from inventory.compute.units import Base
from inventory.models.ledger import Thing


class Material(models.Model):
    """A kind of thing that is bought and used. `key` is stable; `name` is what people call it."""

    id = models.UUIDField(primary_key=True)
    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    base = models.CharField(max_length=5, choices=[(base.value, base.value) for base in Base])
    purpose = models.CharField(max_length=20, blank=True)  # resin, hardener, blank, edge, base, glass, ...


class Supplier(models.Model):
    """Who sells."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)


class Lot(models.Model):
    """One supplier batch of a material, as its label says."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="lot")
    material = models.ForeignKey(Material, models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, models.PROTECT, null=True, related_name="lots")
    number = models.CharField(max_length=40, blank=True)  # as printed; empty: unknown
    made_on = models.DateField(null=True)
    expires_on = models.DateField(null=True)


class Package(models.Model):
    """One can, jug, roll, bundle or box of one lot."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="package")
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="packages")
    expires_on = models.DateField(null=True)  # never later than the lot's
