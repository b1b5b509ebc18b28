"""What people type about materials and suppliers, to plain values."""

from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Base

UNITS = [
    (Base.MG.value, _("weight (g, kg, oz, lb)")),
    (Base.MM.value, _("length (m, ft)")),
    (Base.MM2.value, _("area (m², ft²)")),
    (Base.UL.value, _("volume (ml, l, fl oz)")),
    (Base.PIECE.value, _("pieces")),
]
PURPOSES = [
    ("", _("something else")),
    ("resin", _("resin")),
    ("hardener", _("hardener")),
    ("blank", _("core blank")),
    ("edge", _("edge")),
    ("base", _("base sheet")),
    ("glass", _("glass")),
    ("sidewall", _("sidewall")),
    ("rubber", _("rubber foil")),
    ("top", _("top sheet")),
    ("glue", _("glue")),
]


class MakeMaterial(forms.Form):
    """The card of a material."""

    name = forms.CharField(label=_("Name"), max_length=80)
    base = forms.ChoiceField(label=_("Kept by"), choices=UNITS)
    purpose = forms.ChoiceField(label=_("Used as"), choices=PURPOSES, required=False)

    def values(self) -> dict[str, Any]:
        """As the action takes them; the key is made from the name."""
        data = self.cleaned_data
        key = slugify(data["name"], allow_unicode=False)[:40] or "material"
        return {"key": key, "name": data["name"], "base": Base(data["base"]), "purpose": data["purpose"]}
