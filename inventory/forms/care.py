"""What people read, warm and re-test, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.retest import MOST_MONTHS, Trial
from inventory.compute.units import Dimension
from inventory.forms.cards import Property
from inventory.forms.fields import ThingField

MOST_MIN = 100_000  # two months; no bath and no gel takes longer


def _celsius(label: object, *, required: bool = False, help_text: object = "") -> Property:
    return Property(Dimension.TEMPERATURE, "CEL", label=label, required=required, help_text=help_text)


class Reading(forms.Form):
    """What a thermometer shows, and what it kept."""

    celsius = _celsius(_("It shows"), required=True, help_text=_("18, or 64 °F."))
    highest_c = _celsius(
        _("Highest since it was last read"),
        help_text=_("Counts for the whole time since then. Set it back afterwards."),
    )
    lowest_c = _celsius(_("Lowest since it was last read"))

    def __init__(self, *args: Any, place: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"place": self.place, **self.cleaned_data}


class OfPackage(forms.Form):
    """A form about one package."""

    def __init__(self, *args: Any, package: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.package = package


class Warm(OfPackage):
    """How crystals were warmed out. Each precaution is ticked, or it is refused."""

    cap_loosened = forms.BooleanField(label=_("The cap is loosened"), required=False)
    water_bath = forms.BooleanField(label=_("A water bath, and no flame anywhere near"), required=False)
    bath_c = _celsius(_("How warm the water is"), required=True)
    minutes = forms.FloatField(label=_("For how many minutes"), min_value=0, max_value=MOST_MIN)
    looked_clear = forms.ChoiceField(
        label=_("Stirred to the bottom, it is"),
        choices=[("yes", _("clear")), ("no", _("still cloudy or grainy"))],
        widget=forms.RadioSelect,
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = dict(self.cleaned_data)
        return data | {"package": self.package, "looked_clear": data["looked_clear"] == "yes"}


_SEEN = [("", _("not tried")), ("yes", _("as the control's")), ("no", _("not as the control's"))]


class Retest(OfPackage):
    """A small cup of the old beside one of a fresh control, out of one bath."""

    control = ThingField(Kind.PACKAGE, label=_("Scan the fresh control"))
    months = forms.IntegerField(
        label=_("Months to go on using it"), min_value=1, max_value=MOST_MONTHS, initial=1
    )
    gel_min = forms.FloatField(label=_("The old one gels after, minutes"), min_value=0, max_value=MOST_MIN)
    bath_c = _celsius(_("How warm the bath of the old one is"), required=True)
    control_gel_min = forms.FloatField(
        label=_("The control gels after, minutes"), min_value=0, max_value=MOST_MIN
    )
    control_bath_c = _celsius(_("How warm the bath of the control is"), required=True)
    hardness = forms.ChoiceField(label=_("Hardness of the old one"), choices=_SEEN, required=False)
    coupon = forms.ChoiceField(label=_("Its peel or bend coupon"), choices=_SEEN, required=False)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "package": self.package,
            "control": data["control"],
            "months": data["months"],
            "old": Trial(data["gel_min"], data["bath_c"]),
            "fresh": Trial(data["control_gel_min"], data["control_bath_c"]),
            "hardness_as_control": _seen(data["hardness"]),
            "coupon_as_control": _seen(data["coupon"]),
        }


def _seen(word: str) -> bool | None:
    return None if not word else word == "yes"
