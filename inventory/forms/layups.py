"""What people type about lay-up cards, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.layup import Extent, Sort
from inventory.compute.units import Base, Dimension
from inventory.forms import cards
from inventory.forms.fields import read_amount
from inventory.queries import materials

SORTS = [
    (Sort.SHEET.value, _("a sheet, by area")),
    (Sort.STRIP.value, _("a strip, by length")),
    (Sort.PIECE.value, _("pieces, or a fixed amount")),
    (Sort.SPREAD.value, _("spread on a face")),
    (Sort.SOAK.value, _("taken up by fabric")),
]
EXTENTS = [
    (Extent.WHOLE.value, _("whole ski")),
    (Extent.CONTACT.value, _("contact length")),
    (Extent.MIDDLE.value, _("about the middle, so long")),
    (Extent.BETWEEN.value, _("from one place to another, from the tail")),
    (Extent.EDGE.value, _("edge, contact length and a little beyond")),
    (Extent.EDGE_WRAP.value, _("edge all round")),
    (Extent.SIDEWALL.value, _("both sidewalls")),
    (Extent.BLANK.value, _("a rectangle, so wide, cut later")),
    (Extent.PAIR.value, _("once a pair")),
]

_USUAL = {Base.MG: "GRM", Base.UL: "MLT"}  # what a number alone is of, a code of Recommendation 20
_WHOLE = forms.IntegerField(min_value=1, max_value=1000)


def _amount(text: str, base: Base) -> int:
    return read_amount(text, base, _USUAL[base]).value


class LayupName(cards.Card):
    """What a lay-up is called, and whether it is still built."""

    GROUPS = ((_("The card"), ("name", "ended")),)

    name = cards.Text(label=_("Name"), max_length=80)
    ended = cards.YesNo(label=_("No longer built"))

    def values(self) -> dict[str, Any]:
        """What was changed; not known is no."""
        changes = super().values()
        return {"changes": changes | ({"ended": bool(changes["ended"])} if "ended" in changes else {})}


class MakeLayup(forms.Form):
    """A new lay-up."""

    name = forms.CharField(label=_("Name"), max_length=80)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class AddLayer(forms.Form):
    """One layer."""

    material = forms.ChoiceField(label=_("Material"))
    kind = forms.ChoiceField(label=_("Measured as"), choices=SORTS)
    plies = forms.CharField(
        label=_("How many"),
        initial="1",
        max_length=60,
        help_text=_("Plies, strands, faces or pieces; of a liquid how much, such as 20 g."),
    )
    extent = forms.ChoiceField(label=_("Reaches"), choices=EXTENTS)
    from_mm = cards.Property(
        Dimension.LENGTH, "MMT", label=_("How long, how wide, or where it begins"), required=False
    )
    to_mm = cards.Property(Dimension.LENGTH, "MMT", label=_("Where it ends"), required=False)
    g_m2 = cards.Number(label=_("Spread or fabric weight"), unit="g/m²", most=5000, required=False)
    fibre = cards.Number(label=_("Fibre share by mass, 0 to 1"), unit="", most=1, required=False)
    hardener = forms.ChoiceField(label=_("Mixed with"), required=False)
    loss = cards.Number(
        label=_("Used over what stays in the ski"),
        unit="",
        most=5,
        required=False,
        help_text=_("Empty: the usual of its kind. 1.05 means that a twentieth is lost."),
    )
    after = forms.IntegerField(label=_("Above layer number"), required=False, min_value=0, max_value=100)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = list(materials.all_materials())
        self.bases = {row.key: Base(row.base) for row in rows}
        for name, choices in (
            ("material", [(row.key, row.name) for row in rows]),
            (
                "hardener",
                [("", _("nothing")), *((row.key, row.name) for row in rows if row.purpose == "hardener")],
            ),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = choices

    def clean(self) -> dict[str, Any]:
        """A fixed amount of a liquid in its smallest unit; of all else a whole number."""
        data: dict[str, Any] = super().clean() or {}
        text, base = data.get("plies"), self.bases.get(data.get("material", ""))
        if text:
            liquid = data.get("kind") == Sort.PIECE and base in _USUAL
            try:
                data["plies"] = _amount(text, base) if liquid and base else _WHOLE.clean(text)
            except forms.ValidationError as error:
                self.add_error("plies", error)
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them: what was left empty is left out."""
        data = dict(self.cleaned_data)
        after = data.pop("after")
        return {
            "layer": {name: value for name, value in data.items() if value not in (None, "")},
            "after": after,
        }
