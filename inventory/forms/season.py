"""What people type about a season, and what they decide by hand, to plain values."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms import cards
from inventory.forms.money import Money, in_currency

COVERS = (
    ("tight", _("enough in 8 seasons of 10")),
    ("usual", _("enough in 9 seasons of 10")),
    ("ample", _("enough in 19 seasons of 20")),
    ("full", _("enough in 99 seasons of 100")),
)
FILLS = (
    ("", _("not said: every second one")),
    ("10", _("hardly: 1 of 10")),
    ("25", _("some: 1 of 4")),
    ("50", _("every second one")),
    ("75", _("most: 3 of 4")),
    ("90", _("nearly all: 9 of 10")),
)


class Percent(cards.Choice):
    """How sure an open seat is, kept as a whole number of a hundred."""

    def clean(self, value: Any) -> Any:
        """The number; None for what is not said."""
        text = super().clean(value)
        return int(text) if text else None

    def prepare_value(self, value: Any) -> Any:
        """As the choices have it."""
        return "" if value is None else str(value)


class SeasonCard(cards.Card):
    """The card of a season."""

    GROUPS = (
        (_("Which workshops"), ("name", "starts_on", "ends_on")),
        (_("How sure it has to be"), ("fill_percent", "cover")),
        (_("What an order costs beside its goods"), ("put_away_days", "an_order")),
    )

    name = cards.Text(label=_("Name"), max_length=80, help_text=_("Such as: Winter 27."))
    starts_on = cards.Day(label=_("From"))
    ends_on = cards.Day(label=_("To"), help_text=_("Every workshop that starts between belongs to it."))
    fill_percent = Percent(label=_("How many open seats will fill"), choices=FILLS, required=False)
    cover = cards.Choice(
        label=_("How sure materials have to last"), choices=COVERS, required=False, initial="usual"
    )
    put_away_days = cards.Whole(
        unit=_("days"),
        label=_("From a delivery to ready to load"),
        required=False,
        max_value=60,
        help_text=_("Not said: 3 days."),
    )
    an_order = Money(
        label=_("Work of one order"), help_text=_("What writing, receiving and putting away is worth to you.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self)
        said, fill = getattr(self.card, "fill_percent", None), self.fields["fill_percent"]
        assert isinstance(fill, Percent)  # noqa: S101 - for the type checker
        if said is not None and str(said) not in dict(FILLS):
            fill.choices = [*FILLS, (str(said), f"{said} %")]

    def clean_cover(self) -> str:
        """As usual when it is not said."""
        return self.cleaned_data["cover"] or "usual"

    def values(self) -> dict[str, Any]:
        """As the action takes them: a new season's name and days apart from its other facts."""
        given = super().values()
        if self.card:
            return given
        own = {key: given.pop(key) for key in ("name", "starts_on", "ends_on")}
        return {**own, "facts": given}


class Rule(forms.Form):
    """What people decide for one material whatever the list says."""

    packs = forms.IntegerField(
        label=_("Packs in all"),
        required=False,
        min_value=0,
        max_value=10_000,
        help_text=_("Empty: as many as the list finds. 0: none is bought."),
    )
    offer = forms.ChoiceField(label=_("From whom"), required=False)
    cover = forms.ChoiceField(label=_("How sure it has to last"), required=False)

    def __init__(self, *args: Any, offers: Iterable[tuple[UUID, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, first, rows in (
            ("offer", _("whom the list finds"), [(str(id), words) for id, words in offers]),
            ("cover", _("as the season"), list(COVERS)),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = [("", first), *rows]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "packs": data["packs"],
            "cover": data["cover"],
            "offer": UUID(data["offer"]) if data["offer"] else None,
        }
