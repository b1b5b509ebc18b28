"""What is written once and never changed: things, acts, events, lines, taggings, revisions; and who writes.

Knows no topic. Triggers in both databases guard all but machines and notes (`models.guards`).
A note may be erased, so no event holds its text.
"""

from django.db import models
from django.db.models import Q

from inventory.compute.codes import Kind
from inventory.compute.steps import Basis, Role
from inventory.compute.units import Base

# Below 2^53, so that every sum survives JSON and spreadsheets; 9,000 t in mg.
GREATEST = 9_000_000_000_000_000


class Machine(models.Model):
    """One installation of the shop. A restored or copied data folder is a new one."""

    id = models.UUIDField(primary_key=True)
    letter = models.CharField(max_length=1)
    name = models.CharField(max_length=80, blank=True)
    here = models.BooleanField(default=False)
    number = models.BigIntegerField(default=0)  # of its newest event known here
    revision = models.BigIntegerField(default=0)  # of its newest revision known here
    clock = models.BigIntegerField(default=0)  # of its newest record known here, microseconds
    ahead = models.BigIntegerField(default=0)  # its clock less ours at the last meeting, microseconds
    replaces = models.UUIDField(null=True, blank=True)  # the machine whose letter it carries on
    fingerprint = models.CharField(max_length=64, blank=True)  # of the data folder; local, never leaves
    backed_up_at = models.DateTimeField(null=True)  # the last backup that was read again whole; local

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["here"], condition=Q(here=True), name="one_machine_is_here"),
        ]


class Thing(models.Model):
    """Anything with an identity. `base`: the unit of its amount; empty when it has none."""

    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=20, choices=[(kind.value, kind.value) for kind in Kind])
    base = models.CharField(max_length=5, blank=True, choices=[(base.value, base.value) for base in Base])

    class Meta:
        indexes = [models.Index(fields=["kind", "id"], name="thing_by_kind")]


class Act(models.Model):
    """One tap: its token, what was asked, and what was answered. Two machines may hold the same token."""

    machine = models.UUIDField()
    token = models.UUIDField()
    content = models.CharField(max_length=64)
    answer = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["token", "machine"], name="one_act_a_token_and_machine")
        ]


class Event(models.Model):
    """Something that happened: what, when, where, who, why."""

    id = models.UUIDField(primary_key=True)
    machine = models.UUIDField()
    number = models.BigIntegerField()
    clock = models.BigIntegerField()  # microseconds; greater than any known when it was written
    sort = models.BigIntegerField()  # the clock, or the claimed time of a late record
    act = models.UUIDField()  # the token of its act
    type = models.CharField(max_length=20)  # EPCIS event type
    action = models.CharField(max_length=7, blank=True)  # ADD, OBSERVE, DELETE
    biz_step = models.CharField(max_length=30)  # CBV word
    step = models.CharField(max_length=30)  # our own word
    version = models.SmallIntegerField(default=1)
    at = models.DateTimeField()  # claimed
    offset = models.SmallIntegerField(default=0)  # minutes east of UTC where it was claimed
    late = models.BooleanField(default=False)
    where = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="+", db_column="place")
    who = models.UUIDField(null=True)
    reverses = models.UUIDField(null=True)
    facts = models.JSONField(default=dict)
    note = models.UUIDField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["machine", "number"], name="one_number_an_event"),
            models.CheckConstraint(condition=Q(number__gte=1), name="event_numbers_begin_at_one"),
        ]
        indexes = [
            models.Index(fields=["sort", "machine", "id"], name="event_in_order"),
            models.Index(fields=["act"], name="event_by_act"),
            models.Index(fields=["reverses"], name="event_by_reversed", condition=Q(reverses__isnull=False)),
            models.Index(fields=["step", "sort"], name="event_by_step"),
        ]


class Line(models.Model):
    """One thing's part in an event. No event without, but reversals, meetings and settlements."""

    event = models.ForeignKey(Event, models.PROTECT, related_name="lines")
    position = models.SmallIntegerField()
    thing = models.ForeignKey(Thing, models.PROTECT, related_name="lines")
    role = models.CharField(max_length=10, choices=[(role.value, role.value) for role in Role])
    amount = models.BigIntegerField(null=True)
    basis = models.CharField(
        max_length=12, default=Basis.UNSAID, choices=[(basis.value, basis.value) for basis in Basis]
    )
    source = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="+", db_column="from_place")
    to = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="+", db_column="to_place")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "position"], name="one_line_a_position"),
            models.CheckConstraint(
                condition=Q(amount__isnull=True) | Q(amount__gte=0, amount__lte=GREATEST),
                name="line_amount_is_no_less_than_nothing",
            ),
        ]
        indexes = [
            models.Index(fields=["thing", "role", "event"], name="line_by_thing"),
            models.Index(fields=["event", "role", "thing"], name="line_by_event"),
        ]


class Tagging(models.Model):
    """A code printed, or tied to a thing, by an event."""

    event = models.ForeignKey(Event, models.PROTECT, related_name="taggings")
    code = models.CharField(max_length=8)
    thing = models.ForeignKey(Thing, models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["event", "code"], name="one_tagging_a_code_and_event")]
        indexes = [models.Index(fields=["code"], name="tagging_by_code")]


class Revision(models.Model):
    """One edit of one card: field by field, before and after. A person's card keeps field names only."""

    id = models.UUIDField(primary_key=True)
    machine = models.UUIDField()
    number = models.BigIntegerField()
    clock = models.BigIntegerField()
    act = models.UUIDField()
    card = models.CharField(max_length=20)
    card_id = models.UUIDField()
    at = models.DateTimeField()
    who = models.UUIDField(null=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["machine", "number"], name="one_number_a_revision")]
        indexes = [models.Index(fields=["card", "card_id", "clock"], name="revision_by_card")]


class Note(models.Model):
    """Free text beside an event, kept apart so that it can be erased."""

    id = models.UUIDField(primary_key=True)
    text = models.TextField(blank=True)
    erased = models.BooleanField(default=False)
