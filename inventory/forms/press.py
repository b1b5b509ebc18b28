"""What people scan, weigh and type at the bench, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.forms.fields import CodeField, Degrees, Gauge, ThingField, ThingsField, find_thing, read_amount
from inventory.queries import build_card, builds, ledger

ROWS = 8


class Hands(forms.Form):
    """A step whose hands may be another's than the recorder's: of a guest at work, or of the crew."""

    doer = forms.TypedChoiceField(
        label=_("Whose hands, if not yours"), required=False, coerce=UUID, empty_value=None
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["doer"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        guests = [
            (name or _("no workshop"), [(str(guest.id), guest.called) for guest in rows])
            for name, rows in builds.guests_at_work()
        ]
        crew = [(str(row.id), row.name) for row in build_card.crew()]
        field.choices = [("", _("mine")), *guests, (_("the crew"), crew)]
        self.order_fields([name for name in self.fields if name != "doer"])


class LayUp(Hands):
    """A ski and what goes into it: a code and an amount a row."""

    ski = ThingField(Kind.SKI, label=_("Scan the ski"))
    weighed = forms.BooleanField(label=_("The amounts were weighed or measured"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in range(1, ROWS + 1):
            self.fields[f"thing_{row}"] = CodeField(label=_("Scan"), required=row == 1)
            self.fields[f"amount_{row}"] = forms.CharField(label=_("Amount"), required=False, max_length=60)

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Code and amount side by side."""
        return [(self[f"thing_{row}"], self[f"amount_{row}"]) for row in range(1, ROWS + 1)]

    def clean(self) -> dict[str, Any]:
        """Each amount is read in its thing's own unit; a single piece needs none."""
        data = super().clean() or {}
        inputs: list[tuple[UUID, Amount]] = []
        printed: list[UUID] = []
        for row in range(1, ROWS + 1):
            code = data.get(f"thing_{row}")
            if code is None:
                continue
            try:
                thing = find_thing(code)
                kind, base = ledger.kinds([thing])[thing]
                if kind in (Kind.SKI, Kind.PAIR):
                    printed.append(thing)  # the code that the artwork of a top sheet carries
                else:
                    inputs.append((thing, self._amount(code, base, data.get(f"amount_{row}", ""))))
            except forms.ValidationError as error:
                self.add_error(f"amount_{row}", error)
        return data | {"inputs": inputs, "printed": printed}

    def _amount(self, code: Any, base: str, text: str) -> Amount:
        if not base:
            raise forms.ValidationError(
                _("%(code)s has no amount to lay up."), code="layup.no_amount", params={"code": code.shown}
            )
        if not text and base == Base.PIECE:
            return Amount(1, Base.PIECE)
        return read_amount(text, Base(base), {Base.MG: "GRM", Base.PIECE: "H87"}.get(Base(base)))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        basis = Basis.WEIGHED if data["weighed"] else Basis.FROM_NEEDS
        return {key: data[key] for key in ("ski", "inputs", "printed", "doer")} | {"basis": basis}


class Cycle(Hands):
    """One closing of a press."""

    press = ThingField(Kind.PRESS, label=_("Scan the press"))
    mould = ThingField(Kind.MOULD, label=_("Scan the mould"), required=False)
    skis = ThingsField(Kind.SKI, label=_("Scan the skis in it"))
    set_kpa = Gauge(label=_("Pressure set"), low=0, high=2000)
    set_c = Degrees(label=_("Temperature set"), low=-30, high=200)
    minutes = forms.FloatField(label=_("Time at it, minutes"), min_value=0, max_value=10_000)
    beyond = forms.CharField(
        label=_("It ran beyond a rating or an inspection: why"),
        max_length=300,
        required=False,
        help_text=_("Else empty. An owner enters it, and the skis go on hold."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Judged(forms.Form):
    """A verdict by a person, with its reason."""

    passed = forms.ChoiceField(
        label=_("Verdict"),
        choices=[("yes", _("passes")), ("no", _("does not pass"))],
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label=_("What was seen"), max_length=300, widget=forms.TextInput(attrs={"data-scan-here": ""})
    )

    def verdict(self) -> dict[str, Any]:
        """The verdict as the actions take it."""
        return {"passed": self.cleaned_data["passed"] == "yes", "why": self.cleaned_data["why"]}


class Judge(Judged):
    """A press cycle judged by a person."""

    cycle = ThingField(Kind.PRESS_CYCLE, label=_("Scan the press cycle"))
    field_order = ("cycle", "passed", "why")

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"cycle": self.cleaned_data["cycle"], **self.verdict()}


class Inspect(Judged):
    """One ski inspected."""

    ski = ThingField(Kind.SKI, label=_("Scan the ski"))
    field_order = ("ski", "passed", "why")

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"ski": self.cleaned_data["ski"], **self.verdict()}


class Finish(Hands):
    """Skis cut out, ground and waxed."""

    skis = ThingsField(Kind.SKI, label=_("Scan the skis"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class HandOver(Hands):
    """A pair that leaves."""

    pair = ThingField(Kind.PAIR, label=_("Scan the pair"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Equipment(forms.Form):
    """A press or a mould."""

    kind = forms.ChoiceField(
        label=_("What it is"),
        choices=[(kind.value, _(kind.value)) for kind in (Kind.PRESS, Kind.MOULD, Kind.EQUIPMENT)],
    )
    name = forms.CharField(label=_("What it is called"), max_length=80)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return self.cleaned_data | {"kind": Kind(self.cleaned_data["kind"])}
