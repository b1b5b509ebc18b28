"""Materials, suppliers, lots, packages: what a label or a card says. Amounts and places are the ledger's.

An empty field of a card is not known; it is never taken for nothing.
"""

from django.db import models

from inventory.compute.retest import Chemistry
from inventory.compute.units import Base
from inventory.models.ledger import Thing

PASSES = frozenset({"resin", "hardener", "glue"})  # whatever its card says of shelf life


class Material(models.Model):
    """A kind of thing that is bought and used. `key` is stable; `name` is what people call it.

    What a mix asks stands on the hardener's card: one resin may have a fast and a slow one.
    """

    id = models.UUIDField(primary_key=True)
    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    base = models.CharField(max_length=5, choices=[(base.value, base.value) for base in Base])
    purpose = models.CharField(max_length=20, blank=True)  # resin, hardener, blank, edge, base, glass, ...
    source = models.CharField(max_length=400, blank=True)  # where the numbers below are from

    density_kg_m3 = models.FloatField(null=True)
    areal_g_m2 = models.FloatField(null=True)
    linear_g_m = models.FloatField(null=True)
    piece_mg = models.BigIntegerField(null=True)
    length_mm = models.FloatField(null=True)
    width_mm = models.FloatField(null=True)
    thickness_mm = models.FloatField(null=True)

    shelf_life_months = models.PositiveSmallIntegerField(null=True)  # from the day it was made
    opened_life_days = models.PositiveSmallIntegerField(null=True)
    stored_from_c = models.FloatField(null=True)
    stored_to_c = models.FloatField(null=True)
    crystallises = models.BooleanField(null=True)
    chemistry = models.CharField(
        max_length=20, blank=True, choices=[(kind.value, kind.value) for kind in Chemistry]
    )
    retest_allowed = models.BooleanField(null=True)  # by the maker
    lowest_stock = models.BigIntegerField(null=True)

    # section 14 of the safety data sheet; `regulated` False: the sheet says no dangerous good
    regulated = models.BooleanField(null=True)
    un_number = models.CharField(max_length=4, blank=True)
    goods_class = models.CharField(max_length=10, blank=True)
    packing_group = models.CharField(max_length=3, blank=True)
    transport_category = models.PositiveSmallIntegerField(null=True)
    limited_quantity = models.CharField(max_length=12, blank=True)  # of one inner packaging, as printed

    container_ul = models.BigIntegerField(null=True)  # how much its largest container can hold
    container_mg = models.BigIntegerField(null=True)  # what that weighs empty

    resin = models.ForeignKey("self", models.PROTECT, null=True, related_name="hardeners")
    hardener_per_hundred = models.FloatField(null=True)  # g of this to 100 g of `resin`
    largest_cup_mg = models.BigIntegerField(null=True)
    pot_life_min = models.FloatField(null=True)
    pot_life_at_c = models.FloatField(null=True)
    pot_life_cup_mg = models.BigIntegerField(null=True)
    cure_points = models.JSONField(default=list)  # [[°C, hours], ...]: each a complete schedule

    @property
    def passes(self) -> bool:
        """True when what has no date is of an unknown date, and not of one that never comes."""
        return bool(self.purpose in PASSES or self.chemistry or self.shelf_life_months)


class Supplier(models.Model):
    """Who sells. Money in whole minor units of the shop's currency."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    reach = models.CharField(max_length=200, blank=True)  # how to order there
    freight = models.BigIntegerField(null=True)
    freight_free_from = models.BigIntegerField(null=True)
    least_order = models.BigIntegerField(null=True)
    closed = models.JSONField(default=list)  # [[first day, last day], ...], both included


class Offer(models.Model):
    """A pack of a material from a supplier. Prices in whole minor units of the shop's currency.

    `prices` is [[from so many packs, price of one], ...], rising; empty: not known.
    """

    id = models.UUIDField(primary_key=True)
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="offers")
    material = models.ForeignKey(Material, models.PROTECT, related_name="offers")
    article = models.CharField(max_length=60, blank=True)  # what they call it
    gtin = models.CharField(max_length=14, blank=True)  # of the pack's own code, 14 digits
    pack = models.BigIntegerField()  # in the material's base unit
    prices = models.JSONField(default=list)
    lead_days = models.PositiveSmallIntegerField(null=True)  # on which they are open
    least_packs = models.PositiveIntegerField(default=1)
    ended = models.BooleanField(default=False)


class Lot(models.Model):
    """One supplier batch of a material, as its label says."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="lot")
    material = models.ForeignKey(Material, models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, models.PROTECT, null=True, related_name="lots")
    number = models.CharField(max_length=40, blank=True)  # as printed; empty: unknown
    made_on = models.DateField(null=True)
    expires_on = models.DateField(null=True)
    by_shelf_life = models.BooleanField(default=False)  # no date is printed: made on, and the shelf life

    class Meta:
        indexes = [models.Index(fields=["number"], name="lot_by_number")]


class Package(models.Model):
    """One can, jug, roll, bundle or box of one lot."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="package")
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="packages")
    expires_on = models.DateField(null=True)  # never later than the lot's
    extended_through = models.DateField(null=True)  # by the one re-test it may have
    tare_mg = models.BigIntegerField(null=True)  # the empty container, as last weighed
    written_in = models.CharField(max_length=16, blank=True)  # the unit its amount was typed in

    class Meta:
        indexes = [
            models.Index(fields=["expires_on", "thing"], name="package_by_date"),
            models.Index(
                fields=["extended_through"],
                name="package_extended",
                condition=models.Q(extended_through__isnull=False),
            ),
        ]


class Paper(models.Model):
    """A paper or photo kept with a card or a thing; the file lies in the data folder under its own hash."""

    id = models.UUIDField(primary_key=True)
    about = models.UUIDField()  # a lot, package or piece of equipment, or the card of a material or supplier
    what = models.CharField(max_length=20)
    title = models.CharField(max_length=120, blank=True)
    sha256 = models.CharField(max_length=64)
    media_type = models.CharField(max_length=60)
    size = models.BigIntegerField()
    withdrawn = models.BooleanField(default=False)

    class Meta:
        indexes = [models.Index(fields=["about"], name="paper_by_subject")]
