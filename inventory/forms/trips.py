"""What people type about a trip, to plain values."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Dimension
from inventory.forms import cards
from inventory.forms.fields import Degrees, Several
from inventory.queries import trips
from inventory.queries.readiness.facts import Supposing

SORTS = [("workshop", _("to work with skis and goods")), ("supply run", _("a supply run, to store them"))]
CROSSINGS = [
    ("unknown", _("not known")),
    ("none", _("neither")),
    ("ferry", _("a ferry")),
    ("tunnel", _("a tunnel")),
    ("ferry tunnel", _("a ferry and a tunnel")),
]
RULES = [
    ("", _("not chosen: both are stated, and nothing stops the trip by them")),
    ("adr", _("ADR, Europe")),
    ("trade", _("materials of trade, United States")),
]
MOST_GUESTS, MOST_COLDER_C = 10, 40.0


def _warmth(label: object, help_text: object = "") -> cards.Property:
    return cards.Property(Dimension.TEMPERATURE, "CEL", label=label, help_text=help_text)


class TripCard(cards.Card):
    """A trip: its days, what drives, where to, how warm it will be there and on the way."""

    GROUPS: tuple[tuple[object, tuple[str, ...]], ...] = (
        (_("The trip"), ("name", "sort", "loads_on", "leaves_on", "back_on", "trailers", "workshops")),
        (_("Who draws what, who drives"), ()),
        (_("Where it is worked"), ("bay_c", "heated", "watchers")),
        (_("On the way"), ("rules", "crossings", "road_low_c", "road_high_c")),
        (_("If it does not take place"), ("cancelled",)),
    )

    name = cards.Text(label=_("Where to"), max_length=80)
    sort = cards.Choice(
        label=_("Kind of trip"), choices=SORTS, help_text=_("The rules for goods differ between the two.")
    )
    loads_on = cards.Day(label=_("Load day"), required=False, help_text=_("Empty: the day it leaves."))
    leaves_on = cards.Day(label=_("Leaves on"))
    back_on = cards.Day(label=_("Back on"))
    trailers = Several(label=_("Trailers"))
    workshops = Several(label=_("Workshops"), required=False)
    bay_c = _warmth(_("How warm it is expected where skis are laid up"))
    heated = cards.YesNo(label=_("Is it heated"))
    watchers = Several(
        label=_("Who stays with heated cycles"),
        required=False,
        help_text=_("No heated cycle without a named watcher; nobody sleeps in that trailer."),
    )
    rules = cards.Choice(label=_("Rules for dangerous goods there"), choices=RULES, required=False)
    crossings = cards.Choice(label=_("A ferry or a tunnel on the way"), choices=CROSSINGS, required=False)
    road_low_c = _warmth(_("Coldest expected in the trailers"), _("On the way and standing there."))
    road_high_c = _warmth(_("Warmest expected in the trailers"))
    cancelled = cards.YesNo(label=_("Cancelled"))

    def __init__(self, *args: Any, today: Any = None, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        if card is None:
            del self.fields["cancelled"]
        near = list(trips.workshops_from(today)) if today else []
        near += [row for row in trips.workshops_named(card.workshops if card else []) if row not in near]
        self.homes = trips.trailers()
        people = [
            (str(row.id), f"{row.name} ({row.licence})" if row.licence else row.name)
            for row in trips.people()
        ]
        self._offer("trailers", [(str(id), name) for id, name in self.homes])
        if not self.homes:
            self.fields["trailers"].help_text = _("There is none yet: make one under Places first.")
        if not near:
            self.fields["workshops"].help_text = _("None is planned: plan one at the bench first.")
        self._offer(
            "workshops", [(str(row.id), f"{row.name}, {date_format(row.starts_on, 'j M Y')}") for row in near]
        )
        self._offer("watchers", people)
        self._draws(people, getattr(card, "tows", None) or {})

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = choices

    def _draws(self, people: list[tuple[str, str]], tows: Mapping[str, list[str]]) -> None:
        """For each trailer a field for the car and one for who drives."""
        cars = [(str(id), name) for id, name in trips.tow_cars()]
        names = []
        for at, (id, name) in enumerate(self.homes):
            car, driver = tows.get(str(id)) or ("", "")
            for what, label, choices, value in (
                ("car", _("Tow car of %(trailer)s"), cars, car),
                ("driver", _("Who drives with %(trailer)s"), people, driver),
            ):
                field = cards.Choice(
                    label=label % {"trailer": name},
                    choices=[("", _("not said")), *choices],
                    required=False,
                    initial=value,
                )
                field.show_hidden_initial = self.card is not None
                self.fields[f"{what}_{at}"] = field
                self.initial[f"{what}_{at}"] = value
                names.append(f"{what}_{at}")
        self.draw_names = tuple(names)
        self.GROUPS = tuple((title, fields or self.draw_names) for title, fields in type(self).GROUPS)
        if self.card is not None:
            for name in names:
                setattr(self.card, name, self.initial[name])

    def values(self) -> dict[str, Any]:
        """As the action takes them; of a card that is edited only what was changed."""
        found = super().values()
        drawn = {name: found.pop(name) for name in self.draw_names if name in found}
        if drawn:
            found["tows"] = self._tows()
        for name in ("trailers", "workshops", "watchers"):
            if name in found:
                found[name] = [UUID(id) for id in found[name]]
        if "crossings" in found:
            crossed = found["crossings"]
            found["crossings"] = None if crossed in ("", "unknown") else crossed.replace("none", "").split()
        if "cancelled" in found:
            found["cancelled"] = bool(found["cancelled"])
        return found

    def _tows(self) -> dict[str, list[str]]:
        data = self.cleaned_data
        every = {
            str(id): [data[f"car_{at}"], data[f"driver_{at}"]] for at, (id, _name) in enumerate(self.homes)
        }
        return {trailer: pair for trailer, pair in every.items() if any(pair) and trailer in data["trailers"]}


class CopyTrip(forms.Form):
    """The next trip, as one before it."""

    name = forms.CharField(label=_("Where to"), max_length=80)
    leaves_on = cards.Day(label=_("Leaves on"))
    workshops = forms.MultipleChoiceField(
        label=_("Workshops"), widget=forms.CheckboxSelectMultiple, required=False
    )

    def __init__(self, *args: Any, trip: Any, today: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trip = trip
        field = self.fields["workshops"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
        field.choices = [
            (str(row.id), f"{row.name}, {date_format(row.starts_on, 'j M Y')}")
            for row in trips.workshops_from(today)
        ]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return data | {"trip": self.trip.id, "workshops": [UUID(id) for id in data["workshops"]]}


class WhatIf(forms.Form):
    """What is supposed; nothing of it is saved."""

    guests = forms.IntegerField(label=_("Guests more"), required=False, min_value=0, max_value=MOST_GUESTS)
    colder = Degrees(label=_("Colder by"), required=False, low=0, high=MOST_COLDER_C, apart=True)
    without = forms.ChoiceField(label=_("A trailer stays at home"), required=False)
    generator = forms.BooleanField(label=_("Power from a generator only"), required=False)

    def __init__(self, *args: Any, trip: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["without"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        named = [(str(id), name) for id, name in trips.trailers() if str(id) in trip.trailers]
        field.choices = [("", _("none")), *named]

    def supposing(self) -> Supposing:
        """As the question takes it."""
        data = self.cleaned_data
        return Supposing(
            guests=data["guests"] or 0,
            without=UUID(data["without"]) if data["without"] else None,
            colder_c=data["colder"] or 0.0,
            generator_only=data["generator"],
        )
