"""Workshops, seats, pairs and their artwork, lay-up cards. Who a guest is, is on the guest's own card only.

An empty field is not known.
"""

from django.db import models

from inventory.compute.build_steps import Who
from inventory.compute.outline.base import Tail
from inventory.models.ledger import Thing
from inventory.models.people import Guest


class Workshop(models.Model):
    """One to four days at a venue."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField()
    venue = models.CharField(max_length=120, blank=True)
    capacity = models.PositiveSmallIntegerField(null=True)
    access = models.CharField(max_length=200, blank=True)  # how one gets there with a trailer
    opens_min = models.PositiveSmallIntegerField(null=True)  # minutes after midnight, of each day
    closes_min = models.PositiveSmallIntegerField(null=True)
    hands = models.PositiveSmallIntegerField(null=True)  # crew at work there
    circuits = models.JSONField(null=True)  # [[name, volts, amps], ...]; empty list: no power there
    cancelled = models.BooleanField(default=False)
    closed_on = models.DateField(null=True)  # from then on a change at its skis needs a reason


class Seat(models.Model):
    """A guest's place in a workshop: booked, on the wait list, given back. Open ones are only counted."""

    STATES = ("booked", "wait list", "given back")

    id = models.UUIDField(primary_key=True)
    workshop = models.ForeignKey(Workshop, models.PROTECT, related_name="seats")
    guest = models.ForeignKey(Guest, models.PROTECT, related_name="seats")
    state = models.CharField(max_length=10, choices=[(state, state) for state in STATES])


class BuildStep(models.Model):
    """What the shop says of one step of the build card: a shipped one by its key, or one of its own."""

    id = models.UUIDField(primary_key=True)
    key = models.SlugField(max_length=30, unique=True)
    label = models.CharField(max_length=60)
    position = models.FloatField()
    who = models.CharField(max_length=20, choices=[(who.value, who.value) for who in Who])
    ended = models.BooleanField(default=False)


class LayupCard(models.Model):
    """A lay-up that pairs are built by: its layers in order, from the base up."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    layers = models.JSONField(default=list)  # as compute.layup reads them
    ended = models.BooleanField(default=False)


class Pair(models.Model):
    """A pair as booked, and its build spec."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="pair")
    workshop = models.ForeignKey(Workshop, models.PROTECT, null=True, related_name="pairs")
    guest = models.ForeignKey(Guest, models.PROTECT, null=True, related_name="pairs")
    length_mm = models.IntegerField()
    tip_mm = models.FloatField(null=True)
    waist_mm = models.FloatField(null=True)
    tail_mm = models.FloatField(null=True)
    shovel_mm = models.FloatField(null=True)  # from the shoulder line to the tip
    tail_turn_mm = models.FloatField(null=True)  # from the heel line to the tail's end
    tail_shape = models.CharField(max_length=6, default=Tail.BLUNT, choices=[(tail, tail) for tail in Tail])
    camber_mm = models.FloatField(null=True)
    mount_mm = models.FloatField(null=True)  # from the middle of the length, towards the tip above zero
    layup = models.ForeignKey(LayupCard, models.PROTECT, null=True, related_name="pairs")
    chose = models.CharField(max_length=300, blank=True)  # what the guest chose; no names


class Ski(models.Model):
    """One ski of a pair; or, rejected, of the pair it `was_of`, where another took its place."""

    thing = models.OneToOneField(Thing, models.PROTECT, primary_key=True, related_name="ski")
    pair = models.ForeignKey(Pair, models.PROTECT, null=True, related_name="skis")
    was_of = models.ForeignKey(Pair, models.PROTECT, null=True, related_name="skis_out")
    side = models.CharField(max_length=5, choices=[("left", "left"), ("right", "right")])


class Artwork(models.Model):
    """The printed top sheet of a pair: the day each step was done, and the file as its header says."""

    pair = models.OneToOneField(Pair, models.PROTECT, primary_key=True, related_name="artwork")
    printer_days = models.PositiveSmallIntegerField(null=True)  # from sending to having it here
    came_on = models.DateField(null=True)
    proof_sent_on = models.DateField(null=True)
    agreed_on = models.DateField(null=True)
    at_printer_on = models.DateField(null=True)
    here_on = models.DateField(null=True)
    checked_on = models.DateField(null=True)
    bleed_mm = models.FloatField(default=5)  # beyond the outline, all round
    sha256 = models.CharField(max_length=64, blank=True)
    media_type = models.CharField(max_length=60, blank=True)
    width_px = models.IntegerField(null=True)
    height_px = models.IntegerField(null=True)
    dpi = models.FloatField(null=True)  # as the file says; empty: it does not say
    mirrored = models.BooleanField(null=True)  # as the file's header says
    colours = models.CharField(max_length=10, blank=True)
    wanted_colours = models.CharField(max_length=10, blank=True)  # by the printer; empty: not asked yet
