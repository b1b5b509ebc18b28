"""What people type about seats and guests, to plain values. Health answers stay on paper."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.build_steps import AgeBand
from inventory.forms import cards
from inventory.forms.builds import workshop_named

BANDS = [
    ("", _("not known")),
    (AgeBand.CHILD.value, _("under 12")),
    (AgeBand.YOUTH.value, _("12 to 17")),
    (AgeBand.ADULT.value, _("18 to 64")),
    (AgeBand.OLDER.value, _("65 and up")),
]


class GuestCard(cards.Card):
    """Who a guest is: a band of age and no birth date, how to reach them, and whether this may be kept."""

    GROUPS: tuple[tuple[object, tuple[str, ...]], ...] = (
        (_("The guest"), ("name", "age_band", "size", "contact", "consent")),
    )

    name = cards.Text(label=_("Name"), max_length=120)
    age_band = cards.Choice(
        label=_("Age"),
        choices=BANDS,
        required=False,
        help_text=_("Decides which steps the guest may do. No birth date, and nothing about health."),
    )
    size = cards.Text(
        label=_("Size of what is worn"),
        max_length=20,
        required=False,
        help_text=_("As on the respirator: S, M, L."),
    )
    contact = cards.Text(
        label=_("How to reach them"),
        max_length=200,
        required=False,
        help_text=_("For a child, the parent. Owner and crew see it, nobody else."),
    )
    consent = cards.YesNo(label=_("Agreed that this card is kept"))


class BookSeat(GuestCard):
    """A seat for a new guest."""

    GROUPS = ((_("The guest"), ("name", "age_band", "size", "contact", "consent", "waiting")),)

    waiting = forms.BooleanField(label=_("Put on the wait list"), required=False)


class BookAgain(forms.Form):
    """Another seat for a guest whose card there is: at which workshop."""

    workshop = forms.ChoiceField(label=_("Workshop"))
    waiting = forms.BooleanField(label=_("Put on the wait list"), required=False)

    def __init__(self, *args: Any, ahead: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ahead = ahead
        field = self.fields["workshop"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [(str(row.id), workshop_named(row)) for row in ahead]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {
            "workshop": UUID(self.cleaned_data["workshop"]),
            "waiting": self.cleaned_data["waiting"],
        }


class ChangeSeat(forms.Form):
    """What becomes of a seat."""

    state = forms.ChoiceField(
        label=_("The seat is"),
        choices=[
            ("booked", _("booked")),
            ("wait list", _("on the wait list")),
            ("given back", _("given back")),
        ],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, seat: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs | {"initial": {"state": seat.state}})
        self.seat: UUID = seat.id

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"seat": self.seat, **self.cleaned_data}
