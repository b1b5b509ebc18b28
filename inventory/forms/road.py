"""What is said at departure, at home and of waste, to plain values."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code
from inventory.compute.units import Amount, Base
from inventory.forms import reader
from inventory.forms.cards import Kept
from inventory.forms.fields import AmountField, read_amount
from inventory.queries.home import Used

_WASTE = [
    ("chemical", _("Chemical: resin, hardener, glue, solvent, and what they are on")),
    ("other", _("All else")),
]


class Depart(forms.Form):
    """Leaving. `sure` is asked for when something stands against it."""

    sure = forms.BooleanField(label=_("We leave all the same"), required=False)

    def __init__(self, *args: Any, against: int, left: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.against, self.left = against, left
        if not (against or left):
            del self.fields["sure"]
        else:
            sure = self.fields["sure"]
            sure.required = True
            sure.error_messages["required"] = _("Tick it to leave with what stands against it.")

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"left_behind": self.left, "against": self.against}


class Nothing(forms.Form):
    """A button alone."""

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {}


class OfThing(forms.Form):
    """Which thing."""

    thing = forms.UUIDField()

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


_SCALES = {
    "mass": _("The scale for the mass, give or take"),
    "nose": _("The scale for the nose, give or take"),
}
_WHEN = [("leaving", _("as they leave")), ("home", _("as they are home"))]


class Weigh(forms.Form):
    """What the scale says of each trailer; an empty field was not weighed."""

    when = forms.ChoiceField(label=_("When"), choices=_WHEN, widget=forms.RadioSelect)

    def __init__(
        self,
        *args: Any,
        trailers: Sequence[tuple[UUID, str]],
        away: bool,
        assumed: Mapping[str, Amount],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.trailers = [id for id, _name in trailers]
        self.fields["when"].initial = "home" if away else "leaving"
        for id, name in trailers:
            self.fields[f"mass-{id}"] = AmountField(
                base=Base.MG,
                default="KGM",
                required=False,
                label=_("%(trailer)s weighs") % {"trailer": name},
                help_text=_("Trailer and load together, unhitched; or wheels and nose weight added up."),
            )
            self.fields[f"nose-{id}"] = AmountField(
                base=Base.MG,
                default="KGM",
                required=False,
                label=_("Nose weight of %(trailer)s") % {"trailer": name},
                help_text=_("Level, at the height of the ball, jockey wheel clear."),
            )
        for what, label in _SCALES.items():
            self.fields[f"{what}_doubt_mg"] = Kept(
                base=Base.MG,
                default="KGM",
                label=label,
                help_text=_("Its smallest step, or what its papers say. Empty: %(amount)s is assumed.")
                % {"amount": reader.told(assumed[what])},
            )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""

        def mg(field: str) -> int | None:
            amount = self.cleaned_data[field]
            return amount.value if amount else None

        weights = [(id, mg(f"mass-{id}"), mg(f"nose-{id}")) for id in self.trailers]
        doubts = {f"{what}_doubt_mg": self.cleaned_data[f"{what}_doubt_mg"] for what in _SCALES}
        return {"when": self.cleaned_data["when"], "weights": weights, **doubts}


class Waste(forms.Form):
    """One weighing of waste."""

    sort = forms.ChoiceField(label=_("Which waste"), choices=_WASTE, widget=forms.RadioSelect)
    mass = AmountField(
        base=Base.MG,
        default="KGM",
        label=_("It weighs"),
        help_text=reader.either(_("1.4 kg; without its drum."), _("3 lb; without its drum.")),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"sort": self.cleaned_data["sort"], "mass_mg": self.cleaned_data["mass"].value}


def _found(text: str, base: Base) -> Amount:
    """What was found in a package: pieces need no unit, and nothing is nothing in any."""
    if text.strip() == "0":
        return Amount(0, base)
    return read_amount(text, base, "H87" if base is Base.PIECE else None, allow_zero=True)


class CountHome(forms.Form):
    """What is left in each package that was opened or taken from; an empty field is not counted."""

    def __init__(self, *args: Any, rows: Sequence[Used], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = [row for row in rows if row.counted_at is None and not row.late]
        for row in self.rows:
            self.fields[str(row.package)] = forms.CharField(
                label=f"{row.material_name} {Code(row.code).shown}",
                help_text=_("It left with %(amount)s.") % {"amount": reader.told(row.shown["had"])},
                required=False,
                max_length=60,
            )

    def clean(self) -> dict[str, Any]:
        """The amounts, each in its package's unit."""
        found: dict[UUID, Amount] = {}
        for row in self.rows:
            text = self.cleaned_data.get(str(row.package))
            if text:
                try:
                    found[row.package] = _found(text, row.base)
                except forms.ValidationError as error:
                    self.add_error(str(row.package), error)
        return {"counts": list(found.items())}

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"counts": self.cleaned_data["counts"]}
