"""What people type about workshops, pairs, their spec and their steps, to plain values."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from inventory.compute.build_steps import Job
from inventory.compute.outline.base import Tail
from inventory.compute.units import Dimension
from inventory.forms import cards
from inventory.forms.venue import Circuits, TimeOfDay
from inventory.queries import build_card, builds

TAILS = [
    (Tail.BLUNT.value, _("blunt")),
    (Tail.SQUARE.value, _("square")),
    (Tail.ROUND.value, _("round")),
]


class WorkshopCard(cards.Card):
    """A workshop's name, venue, days and seats."""

    GROUPS = (
        (_("What it is"), ("name", "venue", "starts_on", "ends_on", "capacity")),
        (_("The venue"), ("access", "opens_min", "closes_min", "hands", "circuits")),
        (_("If it does not take place"), ("cancelled",)),
    )

    name = cards.Text(label=_("Name"), max_length=80)
    venue = cards.Text(label=_("Venue"), max_length=120, required=False)
    starts_on = cards.Day(label=_("First day"))
    ends_on = cards.Day(label=_("Last day"))
    capacity = cards.Whole(label=_("Seats"), required=False, max_value=1000)
    access = cards.Text(label=_("How one gets there with a trailer"), max_length=200, required=False)
    opens_min = TimeOfDay(label=_("Open from, each day"))
    closes_min = TimeOfDay(label=_("Open until"))
    hands = cards.Whole(label=_("Crew at work there"), required=False, max_value=50)
    circuits = Circuits(
        label=_("Power there, a circuit a line"),
        help_text=_("Such as: by the door: 230 V, 16 A. Where there is none: none. Empty: not known."),
    )
    cancelled = cards.YesNo(label=_("Cancelled"))

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        if card is None:
            del self.fields["cancelled"]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        found = super().values()
        if "cancelled" in found:
            found["cancelled"] = bool(found["cancelled"])
        return found


def workshop_named(row: Any) -> str:
    """A workshop and its first day: a venue comes again within a season."""
    return f"{row.name}, {date_format(row.starts_on, 'j M Y')}"


class BookPair(forms.Form):
    """A pair for a guest: one who has a seat, or a new one."""

    seat = forms.ChoiceField(label=_("Guest with a seat"), required=False)
    workshop = forms.ChoiceField(label=_("Or a new guest at the workshop"), required=False)
    guest = forms.CharField(label=_("New guest's name"), max_length=120, required=False)
    contact = forms.CharField(
        label=_("How to reach the new guest"),
        max_length=200,
        required=False,
        help_text=_("Whom to tell should these skis be recalled; for a child, the parent."),
    )
    length_mm = forms.IntegerField(label=_("Length, mm"), min_value=1, max_value=100_000)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        first = self._asked_for()
        rows = [row for row in builds.workshops() if row.ends_on >= today or str(row.id) == first]
        rows.sort(key=lambda row: (str(row.id) != first, row.starts_on, row.name))
        seats = builds.guests_of(row.id for row in rows)
        self.seats = {str(seat.id): seat for seat in seats}
        guests = [
            (
                workshop_named(row),
                [(str(seat.id), seat.guest.called) for seat in seats if seat.workshop_id == row.id],
            )
            for row in rows
        ]
        for name, choices in (
            ("seat", [("", _("none")), *((name, own) for name, own in guests if own)]),
            ("workshop", [("", _("none yet")), *((str(row.id), workshop_named(row)) for row in rows)]),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = choices
            if len(choices) == 1:
                del self.fields[name]  # nothing to choose from
        self.no_workshop = not rows
        if "seat" not in self.fields:
            self.fields["guest"].required = True
            if rows:
                self.fields["workshop"].label = _("Workshop")

    def _asked_for(self) -> str:
        """The workshop whose guests stand first: the one the page was opened for, or the seat's."""
        seat = self.initial.get("seat", "")
        try:
            row = builds.seat(UUID(seat)) if seat else None
        except ValueError:
            row = None
        return str(row.workshop_id) if row else str(self.initial.get("workshop", ""))

    def clean(self) -> dict[str, Any]:
        """One guest, not two and not none."""
        data = super().clean() or {}
        if "seat" in self.fields and bool(data.get("seat")) == bool((data.get("guest") or "").strip()):
            raise forms.ValidationError(
                _("Choose a guest with a seat, or enter a new guest's name; one of the two."),
                code="one_guest",
            )
        if data.get("seat") and data.get("contact"):
            raise forms.ValidationError(
                _("A guest with a seat has a card: change there how to reach them, and leave it empty here."),
                code="contact_of_a_card",
            )
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        if data.get("seat"):
            row = self.seats[data["seat"]]
            return {"workshop": row.workshop_id, "of": row.guest_id, "length_mm": data["length_mm"]}
        workshop = UUID(data["workshop"]) if data.get("workshop") else None
        new = {"guest": data["guest"], "contact": data["contact"]}
        return {"workshop": workshop, "length_mm": data["length_mm"], **new}


class Signed(cards.Property):
    """A length that may lie on the other side of nothing: `-40 mm`."""

    def read(self, text: str) -> float:
        """Below zero with a minus of either kind before it."""
        bare = text.strip()
        if bare[:1] in ("-", "\u2212"):
            return -super().read(bare[1:])
        return super().read(bare)


def _mm(label: object, **more: Any) -> cards.Property:
    return cards.Property(Dimension.LENGTH, "MMT", label=label, required=False, **more)


_FINE = ("camber_mm", "mount_mm", "shovel_mm", "tail_turn_mm", "tail_shape")


class SpecCard(cards.Card):
    """The build spec of a pair."""

    GROUPS = (
        (_("The ski"), ("length_mm", "tip_mm", "waist_mm", "tail_mm", "layup_id", "chose")),
        (_("Camber, mount line, tip and tail"), _FINE),
    )

    length_mm = cards.Whole(label=_("Length"), unit="mm", max_value=100_000, help_text=_("In mm."))
    tip_mm = _mm(_("Tip width"))
    waist_mm = _mm(_("Waist width"))
    tail_mm = _mm(_("Tail width"))
    camber_mm = Signed(
        Dimension.LENGTH, "MMT", label=_("Camber"), required=False, help_text=_("Below zero for rocker.")
    )
    mount_mm = Signed(
        Dimension.LENGTH,
        "MMT",
        label=_("Mount line from the middle"),
        required=False,
        help_text=_("Towards the tail below zero: -40 mm."),
    )
    layup_id = cards.Choice(label=_("Lay-up card"), required=False)
    chose = cards.Text(
        label=_("What the guest chose"),
        max_length=300,
        required=False,
        help_text=_("Veneer, edge, base colour. No names here."),
    )
    shovel_mm = _mm(_("Shoulder line to tip"))
    tail_turn_mm = _mm(_("Heel line to the tail's end"))
    tail_shape = cards.Choice(label=_("Tail"), choices=TAILS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = [(str(row.id), row.name) for row in builds.layups()]
        field = self.fields["layup_id"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [("", _("none yet")), *rows]

    def values(self) -> dict[str, Any]:
        """What was changed, as the action takes it."""
        changes = super().values()
        if "layup_id" in changes:
            changes["layup_id"] = UUID(changes["layup_id"]) if changes["layup_id"] else None
        return {"changes": changes}


class RecordStep(forms.Form):
    """Who did a step, to which skis, and what was read."""

    skis = forms.ChoiceField(label=_("Which"), widget=forms.RadioSelect)
    doer = forms.ChoiceField(label=_("Whose hands"))
    reading = forms.FloatField(label=_("What was read"), required=False)
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def __init__(self, *args: Any, job: Job, pair: Any, skis: Any, me: UUID | None, **kwargs: Any) -> None:
        initial = {"skis": "both", "doer": str(me or "")}
        super().__init__(*args, **kwargs | {"initial": initial})
        self.job, self.sides = job, {ski.side: ski.id for ski in skis}
        hands = [(str(row.id), row.name) for row in build_card.crew()]
        if pair.guest:
            hands.append((str(pair.guest_id), _("the guest, %(name)s") % {"name": pair.guest.called}))
        choices = [("both", _("both skis")), ("left", _("left")), ("right", _("right"))]
        for name, rows in (("skis", choices), ("doer", hands)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = rows
        if job.asks:
            self.fields["reading"].required = True
            self.fields["reading"].label = _("What was read, %(unit)s") % {"unit": job.asks}
        else:
            del self.fields["reading"]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        which = data["skis"]
        things = list(self.sides.values()) if which == "both" else [self.sides[which]]
        return {
            "things": things,
            "step": self.job.key,
            "doer": UUID(data["doer"]),
            "reading": data.get("reading"),
            "note": data["note"],
        }
