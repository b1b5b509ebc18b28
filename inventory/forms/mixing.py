"""What people scan, measure and weigh when they mix, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.damp import Air
from inventory.compute.units import Amount, Base
from inventory.forms.fields import AmountField, Degrees, ThingField, ThingsField, cursor
from inventory.forms.press import Hands
from inventory.queries import bench

# A scale that types like a keyboard ends each weight with Enter, as a hand scanner ends a code.
_TYPED = {"autocomplete": "off", "inputmode": "decimal", "data-scan": ""}


def _both(things: list[UUID]) -> list[UUID]:
    """Skis; for the code of a pair both of its skis."""
    found: list[UUID] = []
    for thing in things:
        found += bench.skis_of(thing) or [thing]
    return list(dict.fromkeys(found))


class MixFor(forms.Form):
    """For which skis, and what was measured just now."""

    skis = ThingsField(Kind.SKI, Kind.PAIR, label=_("For which skis, or pairs"))
    air_c = Degrees(label=_("Air"), low=-40, high=60)
    humidity_pct = forms.FloatField(label=_("Humidity of the air, %"), min_value=1, max_value=100)
    surface_c = Degrees(
        label=_("Coldest surface"),
        low=-40,
        high=120,
        help_text=_("Measure edges, mould and core; the coldest counts."),
    )
    heater = forms.ChoiceField(
        label=_("A fuel-burning heater runs"),
        choices=[("no", _("no")), ("yes", _("yes"))],
        widget=forms.RadioSelect,
    )
    step = AmountField(base=Base.MG, default="GRM", label=_("Smallest step of the scale"), initial="0.1 g")
    first = forms.ChoiceField(
        label=_("Who lays up"),
        choices=[("yes", _("first-time builders: more is lost")), ("no", _("practised hands"))],
        initial="yes",
    )
    total = AmountField(
        base=Base.MG,
        default="GRM",
        label=_("Mix this much instead"),
        required=False,
        help_text=_("Empty: what the skis need."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("air_c", "humidity_pct"):
            self.fields[name].widget.attrs |= {"data-scan": ""}
        cursor(self, "air_c" if self.is_bound or self.initial.get("skis") else "skis")

    def values(self) -> dict[str, Any]:
        """As the plan of a mix takes them."""
        data = self.cleaned_data
        total = data["total"]
        return {
            "skis": _both(data["skis"]),
            "air": Air(data["air_c"], data["humidity_pct"], data["surface_c"], data["heater"] == "yes"),
            "step_mg": data["step"].value,
            "first_timers": data["first"] == "yes",
            "total_mg": total.value if isinstance(total, Amount) else None,
        }


class Weighed(Hands):
    """Two scans and two weights."""

    resin = ThingField(Kind.PACKAGE, label=_("Scan the resin"))
    resin_weight = AmountField(base=Base.MG, default="GRM", label=_("Resin, as weighed"))
    hardener = ThingField(Kind.PACKAGE, label=_("Scan the hardener"))
    hardener_weight = AmountField(base=Base.MG, default="GRM", label=_("Hardener, as weighed"))
    apart = forms.BooleanField(
        label=_("It is poured and off its ratio: record it as set apart"), required=False
    )
    override = forms.CharField(
        label=_("Past its date: an owner's reason to use it all the same"), max_length=200, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("resin_weight", "hardener_weight"):
            self.fields[name].widget.attrs |= _TYPED
        del self.fields["hardener_weight"].widget.attrs["data-scan"]  # the last weight sends the cup
        cursor(self, "resin")

    def values(self) -> dict[str, Any]:
        """As the action takes them; skis, air and scale come with the plan."""
        data = self.cleaned_data
        return {
            "resin": data["resin"],
            "hardener": data["hardener"],
            "resin_mg": data["resin_weight"].value,
            "hardener_mg": data["hardener_weight"].value,
            "doer": data["doer"],
            "apart": data["apart"],
            "override": data["override"],
        }


class Seen(forms.Form):
    """What a person sees of a cup that is off."""

    tare_checked = forms.BooleanField(
        label=_("The weights are certain: the tare was checked"), required=False
    )
    cup_cool = forms.BooleanField(label=_("The cup is cool to the hand"), required=False)
    step = AmountField(base=Base.MG, default="GRM", label=_("Smallest step of the scale"), initial="0.1 g")

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "tare_checked": data["tare_checked"],
            "cup_cool": data["cup_cool"],
            "scale_step_mg": data["step"].value,
        }


class Added(forms.Form):
    """What was weighed in to put a cup right."""

    package = ThingField(Kind.PACKAGE, label=_("Scan the jug it comes out of"))
    added = AmountField(base=Base.MG, default="GRM", label=_("Weighed in"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["added"].widget.attrs |= _TYPED

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"package": self.cleaned_data["package"], "added_mg": self.cleaned_data["added"].value}


class Discard(forms.Form):
    """Why a cup is thrown away."""

    why = forms.CharField(label=_("Why"), max_length=200)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)
