"""What people type about materials, to plain values."""

from functools import partial
from typing import Any
from uuid import UUID

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from inventory.compute.retest import Chemistry
from inventory.compute.units import Base, Dimension
from inventory.forms import cards
from inventory.queries import materials

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
    ("wood", _("wood for cores")),
    ("edge", _("edge")),
    ("base", _("base sheet")),
    ("glass", _("glass")),
    ("sidewall", _("sidewall")),
    ("rubber", _("rubber foil")),
    ("top", _("top sheet")),
    ("glue", _("glue")),
    ("solvent", _("solvent")),
    ("fuel", _("fuel")),
    ("waste", _("waste of resin, glue or solvent")),
    ("food", _("food or drink")),
]
KINDS = [
    ("", _("not known")),
    (Chemistry.EPOXY_RESIN.value, _("epoxy resin")),
    (Chemistry.AMINE_HARDENER.value, _("amine hardener")),
    (Chemistry.CYANOACRYLATE.value, _("cyanoacrylate")),
    (Chemistry.ISOCYANATE.value, _("isocyanate")),
    (Chemistry.OTHER.value, _("something else")),
]
PACKING = [("", _("not known")), ("I", "I"), ("II", "II"), ("III", "III")]
_DIMENSION, _TEMPERATURE = Dimension, (Dimension.TEMPERATURE, "CEL")
_Sheet = partial(cards.Property, sheet=True)


class MakeMaterial(forms.Form):
    """What is needed to receive a material; the rest of its card is filled in later."""

    name = forms.CharField(label=_("Name"), max_length=80)
    base = forms.ChoiceField(
        label=_("Kept by"), choices=UNITS, help_text=_("How it is weighed or measured; it stays so.")
    )
    purpose = forms.ChoiceField(label=_("Used as"), choices=PURPOSES, required=False)

    def values(self) -> dict[str, Any]:
        """As the action takes them; the key is made from the name."""
        data = self.cleaned_data
        key = slugify(data["name"], allow_unicode=False)[:40] or "material"
        return {"key": key, "name": data["name"], "base": Base(data["base"]), "purpose": data["purpose"]}


class MaterialCard(cards.Card):
    """The card of a material. What stays empty is not known, and never taken for nothing."""

    GROUPS = (
        (_("What it is"), ("name", "purpose", "lowest_stock", "source")),
        (
            _("Size and weight"),
            (
                "density_kg_m3",
                "areal_g_m2",
                "linear_g_m",
                "piece_mg",
                "length_mm",
                "width_mm",
                "thickness_mm",
            ),
        ),
        (
            _("How it keeps"),
            (
                "shelf_life_months",
                "opened_life_days",
                "stored_from_c",
                "stored_to_c",
                "chemistry",
                "crystallises",
                "retest_allowed",
            ),
        ),
        (
            _("Section 14 of the safety data sheet"),
            (
                "regulated",
                "un_number",
                "goods_class",
                "packing_group",
                "transport_category",
                "limited_quantity",
                "container_ul",
                "container_mg",
            ),
        ),
        (
            _("Mixing: on the hardener's card"),
            (
                "resin_id",
                "hardener_per_hundred",
                "largest_cup_mg",
                "pot_life_min",
                "pot_life_at_c",
                "pot_life_cup_mg",
                "cure_points",
            ),
        ),
    )

    name = cards.Text(label=_("Name"), max_length=80)
    purpose = cards.Choice(label=_("Used as"), choices=PURPOSES, required=False)
    lowest_stock = cards.Kept(base=Base.MG, label=_("Never less in stock than"))
    source = cards.Text(
        label=_("Where these numbers are from"),
        max_length=400,
        required=False,
        help_text=_("Which sheet, of when."),
    )

    density_kg_m3 = _Sheet(_DIMENSION.DENSITY, "KMQ", label=_("Density"))
    areal_g_m2 = _Sheet(_DIMENSION.AREAL_WEIGHT, "GM", label=_("Weight by area"))
    linear_g_m = _Sheet(_DIMENSION.LINEAR_WEIGHT, "GF", label=_("Weight by length"))
    piece_mg = cards.Kept(base=Base.MG, default="GRM", label=_("Weight of one"))
    length_mm = _Sheet(_DIMENSION.LENGTH, "MMT", label=_("Length"))
    width_mm = _Sheet(_DIMENSION.LENGTH, "MMT", label=_("Width"))
    thickness_mm = _Sheet(_DIMENSION.LENGTH, "MMT", label=_("Thickness"))

    shelf_life_months = cards.Whole(
        unit=_("months"),
        label=_("Shelf life from its making"),
        required=False,
        min_value=1,
        max_value=600,
        help_text=_("In months. Counts where a label has no date to use it by."),
    )
    opened_life_days = cards.Days(
        label=_("Once opened it lasts"), help_text=_("180 days, or 6 months, which are counted as 182 days.")
    )
    stored_from_c = _Sheet(*_TEMPERATURE, label=_("Stored no cooler than"))
    stored_to_c = _Sheet(*_TEMPERATURE, label=_("Stored no warmer than"))
    chemistry = cards.Choice(label=_("Ages like"), choices=KINDS, required=False)
    crystallises = cards.YesNo(label=_("Gets crystals in the cold"))
    retest_allowed = cards.YesNo(
        label=_("Its maker allows a re-test"), help_text=_("Yes only when the maker said so.")
    )

    regulated = cards.YesNo(
        label=_("A dangerous good"), help_text=_("No only where section 14 says that it is none.")
    )
    un_number = cards.Text(label=_("UN number"), max_length=7, required=False)
    goods_class = cards.Text(label=_("Class"), max_length=10, required=False)
    packing_group = cards.Choice(label=_("Packing group"), choices=PACKING, required=False)
    transport_category = cards.Whole(label=_("Transport category"), required=False, max_value=4)
    limited_quantity = cards.Text(
        label=_("Limited quantity"),
        max_length=12,
        required=False,
        help_text=_("Of one inner packaging: 5 l."),
    )
    container_ul = cards.Kept(
        base=Base.UL,
        default="LTR",
        label=_("Its largest container can hold"),
        help_text=_("However full it is: rules for goods go by it."),
    )
    container_mg = cards.Kept(base=Base.MG, default="KGM", label=_("That container weighs, empty"))

    resin_id = cards.Choice(label=_("Goes with the resin"), required=False)
    hardener_per_hundred = cards.Number(unit="g", most=10_000, label=_("Of this to 100 g of resin"))
    largest_cup_mg = cards.Kept(
        base=Base.MG, default="GRM", label=_("Largest cup"), help_text=_("Resin and hardener together.")
    )
    pot_life_min = cards.Number(unit="min", most=10_000, label=_("Working time, as the sheet tested it"))
    pot_life_at_c = _Sheet(*_TEMPERATURE, label=_("Working time was tested at"))
    pot_life_cup_mg = cards.Kept(base=Base.MG, default="GRM", label=_("Working time was tested in a cup of"))
    cure_points = cards.Rows(
        "°C",
        "h",
        least=-60,
        sheet=True,
        label=_("Cure schedule"),
        help_text=_(
            "One line for each time that is enough by itself: 60 °C: 4 h. Stages one after another do not."
        ),
    )

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        lowest, resin = self.fields["lowest_stock"], self.fields["resin_id"]
        assert isinstance(lowest, cards.Kept)  # noqa: S101 - for the type checker
        assert isinstance(resin, cards.Choice)  # noqa: S101
        lowest.base = Base(card.base) if card else Base.MG
        lowest.default = "H87" if lowest.base is Base.PIECE else None
        resin.choices = [("", _("none")), *((str(row.id), row.name) for row in materials.resins())]

    def clean_un_number(self) -> str:
        """The four digits, with or without the letters before them."""
        return str(self.cleaned_data["un_number"]).upper().removeprefix("UN").strip()

    def clean_resin_id(self) -> UUID | None:
        """The resin's id."""
        text = self.cleaned_data["resin_id"]
        return UUID(text) if text else None
