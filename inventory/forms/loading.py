"""What people scan for a loading list, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.forms import reader
from inventory.forms.fields import ThingField, ThingsField, read_amount
from inventory.queries import loading, stock

GOODS = (
    Kind.BIN,
    Kind.PACKAGE,
    Kind.EQUIPMENT,
    Kind.MOULD,
    Kind.PRESS,
    Kind.CORE_BLANK,
    Kind.CUT_BATCH,
    Kind.OFFCUT,
    Kind.SKI,
    Kind.PAIR,
)


class _ForTrip(forms.Form):
    """A form about one trip's list; where something goes is one of its vehicles or their zones."""

    zone = forms.ChoiceField(label=_("Where it goes"), required=False, choices=())
    why = forms.CharField(label=_("Why it goes"), max_length=120, required=False)

    def __init__(self, *args: Any, trip: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trip = trip
        places = loading.zones_of(trip)
        field = self.fields["zone"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [
            ("", _("not chosen yet")),
            *((str(id), _words(places, id)) for id in sorted(places, key=lambda id: _words(places, id))),
        ]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return data | {"trip": self.trip.id, "zone": UUID(data["zone"]) if data["zone"] else None}


def _words(places: Any, id: UUID) -> str:
    """A vehicle by its name, a zone after its vehicle's."""
    place = places[id]
    outer = places.get(place.inside)
    return f"{outer.name}, {place.name}" if outer else place.name


class PutOn(_ForTrip):
    """Things that go as a whole."""

    things = ThingsField(
        *GOODS, label=_("Scan what goes aboard"), help_text=_("One code a line. A bin goes with all in it.")
    )
    field_order = ("things", "zone", "why")


class SetAside(_ForTrip):
    """So much of one package."""

    package = ThingField(Kind.PACKAGE, label=_("Scan the package"))
    amount = forms.CharField(
        label=_("How much of it"),
        max_length=60,
        help_text=reader.either(_("With its unit: 4.1 m, 500 g, 12."), _("With its unit: 13 ft, 18 oz, 12.")),
    )
    field_order = ("package", "amount", "zone", "why")

    def clean(self) -> dict[str, Any]:
        """The amount in the unit the package is kept in."""
        data = super().clean() or self.cleaned_data
        package, text = data.get("package"), data.get("amount")
        row = stock.package(package) if package else None
        if row is not None and text:
            base = Base(row.lot.material.base)
            try:
                data["amount"] = read_amount(text, base, "H87" if base is Base.PIECE else None)
            except forms.ValidationError as error:
                self.add_error("amount", error)
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        values = super().values()
        assert isinstance(values["amount"], Amount)  # noqa: S101 - for the type checker
        return values


class TakeOff(forms.Form):
    """Things that need not go."""

    things = ThingsField(label=_("Scan what stays"), help_text=_("One code a line."))

    def __init__(self, *args: Any, trip: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trip = trip

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"trip": self.trip.id, "things": self.cleaned_data["things"]}
