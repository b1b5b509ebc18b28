"""What people type about equipment and its inspections, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.units import Base, Dimension
from inventory.forms import cards, reader
from inventory.forms.fields import ThingField
from inventory.queries import equipment

KINDS = [
    (Kind.PRESS.value, _("press")),
    (Kind.MOULD.value, _("mould")),
    (Kind.EQUIPMENT.value, _("other equipment")),
]
SORTS = [
    ("", _("not said")),
    ("mould", _("mould")),
    ("template", _("template")),
    ("press", _("press")),
    ("bladder", _("bladder")),
    ("hose", _("hose")),
    ("blanket", _("heating blanket")),
    ("controller", _("controller")),
    ("compressor", _("compressor")),
    ("generator", _("generator")),
    ("cable", _("cable")),
    ("router", _("router")),
    ("saw", _("saw")),
    ("sander", _("sander")),
    ("extraction", _("extraction")),
    ("heater", _("electric heater")),
    ("fuel heater", _("heater that burns fuel")),
    ("respirator", _("respirator")),
    ("ear defender", _("ear defenders")),
    ("extinguisher", _("extinguisher")),
    ("eyewash", _("eyewash")),
    ("alarm", _("alarm")),
    ("first aid", _("first aid")),
    ("clothing", _("clothing")),
    ("food", _("food or drink")),
    ("clean gear", _("clean gear")),
    ("scale", _("scale")),
    ("thermometer", _("thermometer")),
    ("other", _("something else")),
]
CONTENTS = [
    ("", _("not said")),
    ("powder", _("powder")),
    ("foam", _("foam")),
    ("carbon dioxide", _("carbon dioxide")),
    ("water", _("water")),
    ("other", _("something else")),
]


def _minutes(label: object, help_text: object = "") -> cards.Whole:
    return cards.Whole(
        unit=_("min"), label=label, help_text=help_text, required=False, min_value=0, max_value=2_880
    )


def _hands(label: object) -> cards.Whole:
    return cards.Whole(label=label, required=False, min_value=1, max_value=20)


class EquipmentCard(cards.Card):
    """The card of a piece of equipment; what does not concern its sort stays empty."""

    GROUPS = (
        (_("What it is"), ("kind", "name", "sort", "size", "place", "mass_mg", "fitted_on", "source")),
        (_("Moulds and templates"), ("lengths_mm",)),
        (_("What stands under pressure"), ("part_of_id", "ratings", "relief_kpa", "frame_kn", "bladders_mm")),
        (_("What runs on electricity, or gives it"), ("watts", "start_watts", "circuit", "fuel_l_h")),
        (_("What takes compressed air, or gives it"), ("air_l_min", "air_kpa")),
        (
            _("A cycle of a press"),
            (
                "heated",
                "holds_c",
                "takes_pairs",
                "closing_min",
                "closing_hands",
                "heat_up_min",
                "cool_min",
                "opening_min",
                "opening_hands",
            ),
        ),
        (_("Extinguishers"), ("contents", "charge_mg")),
    )

    kind = cards.Choice(label=_("What it is"), choices=KINDS)
    name = cards.Text(label=_("What it is called"), max_length=80)
    sort = cards.Choice(label=_("Sort"), choices=SORTS, required=False)
    size = cards.Text(
        label=_("Size"),
        max_length=20,
        required=False,
        help_text=_("Of what is worn: S, M, L; or a hose's bore."),
    )
    place = ThingField(
        Kind.BIN,
        Kind.ZONE,
        Kind.STORE,
        Kind.TRAILER,
        Kind.YARD,
        label=_("Put in (scan, or its name)"),
        required=False,
    )
    mass_mg = cards.Kept(base=Base.MG, default="KGM", label=_("Weight"))
    fitted_on = cards.Day(
        label=_("Fitted or bought on"), required=False, help_text=_("Hoses, bladders and masks grow old.")
    )
    source = cards.Text(label=_("Where these numbers are from"), max_length=400, required=False)

    lengths_mm = cards.Lengths(label=_("Lengths of skis it takes, mm"), max_length=200)

    ratings = cards.Rows(
        "°C",
        "kPa",
        least=-60,
        label=_("What it bears"),
        help_text=reader.either(
            _("One line each, as the plate says: 60 °C: 410 kPa. Unknown when hot is not in order when hot."),
            _("One line each, as the plate says: 140 °F: 60 psi. Unknown when hot is not in order when hot."),
        ),
    )
    relief_kpa = cards.Property(Dimension.PRESSURE, "KPA", label=_("Its relief valve opens at"))
    part_of_id = cards.Choice(
        label=_("Part of the press"),
        required=False,
        help_text=_("Of a bladder, hose or blanket: the press it belongs to."),
    )
    frame_kn = cards.Number(unit="kN", label=_("Its frame carries"))
    bladders_mm = cards.Rows(
        "mm",
        "mm",
        label=_("Its bladders"),
        help_text=_("One line each, length and width: 2100 mm: 160 mm. The frame carries what they cover."),
    )

    watts = cards.Number(unit="W", label=_("Power"))
    start_watts = cards.Number(unit="W", label=_("Power as it starts"))
    circuit = cards.Text(
        label=_("Must be on this circuit of a venue"),
        max_length=40,
        required=False,
        help_text=_("Empty: on any."),
    )
    fuel_l_h = cards.Number(unit="l/h", most=100, label=_("Fuel it burns"))
    air_l_min = cards.Number(unit="l/min", label=_("Free air"), help_text=_("As its plate says."))
    air_kpa = cards.Property(
        Dimension.PRESSURE,
        "KPA",
        label=_("Pressure it needs"),
        help_text=_("A compressor: the pressure it starts again at."),
    )

    heated = cards.YesNo(label=_("Heated"))
    holds_c = cards.Property(Dimension.TEMPERATURE, "CEL", label=_("Temperature it holds"))
    takes_pairs = cards.Whole(label=_("Pairs at one closing"), required=False, min_value=1, max_value=8)
    closing_min = _minutes(_("Closing, in minutes"), _("From the first hand on it until it is at pressure."))
    closing_hands = _hands(_("People at closing"))
    heat_up_min = _minutes(_("Heating up, in minutes"))
    cool_min = _minutes(_("Cooling, in minutes"))
    opening_min = _minutes(_("Opening, in minutes"))
    opening_hands = _hands(_("People at opening"))

    contents = cards.Choice(label=_("Filled with"), choices=CONTENTS, required=False)
    charge_mg = cards.Kept(base=Base.MG, default="KGM", label=_("Filling"))

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        presses = [(str(row.thing_id), row.name) for row in equipment.presses()]
        part_of = self.fields["part_of_id"]
        assert isinstance(part_of, cards.Choice)  # noqa: S101 - for the type checker
        part_of.choices = [("", _("none")), *presses]
        if card is not None:
            del self.fields["kind"], self.fields["place"]

    def clean_part_of_id(self) -> UUID | None:
        """The press's id."""
        text = self.cleaned_data["part_of_id"]
        return UUID(text) if text else None

    def values(self) -> dict[str, Any]:
        """As the action takes them: new equipment's kind, name and place apart from its other facts."""
        given = super().values()
        if self.card:
            return given
        kind, name, place = Kind(given.pop("kind")), given.pop("name"), given.pop("place")
        return {"kind": kind, "name": name, "place": place, "facts": given}


class InspectionCard(cards.Card):
    """One inspection that a piece of equipment must have."""

    GROUPS = ((_("What is inspected"), ("what", "who", "every_months", "last_on", "ended")),)

    what = cards.Text(label=_("What is inspected"), max_length=80)
    who = cards.Text(
        label=_("Who may do it"),
        max_length=80,
        required=False,
        help_text=_("A qualified person where the law asks for one."),
    )
    every_months = cards.Whole(
        unit=_("months"), label=_("Every so many months"), required=False, min_value=1, max_value=240
    )
    last_on = cards.Day(label=_("Last done on"), required=False)
    ended = cards.YesNo(label=_("No longer asked for"))

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        if card is None:
            del self.fields["ended"]

    def clean_ended(self) -> bool:
        """Not known counts as still asked for."""
        return bool(self.cleaned_data["ended"])


class Inspected(forms.Form):
    """What an inspection found."""

    passed = forms.ChoiceField(
        label=_("It is"),
        choices=[("yes", _("in order")), ("no", _("not in order: it goes on hold"))],
        widget=forms.RadioSelect,
    )
    why = forms.CharField(label=_("What was seen, and by whom"), max_length=300)
    on = cards.Day(label=_("On"), required=False, help_text=_("Empty: today."))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {"passed": data["passed"] == "yes", "why": data["why"], "on": data["on"]}
