"""What people scan, check and read at a press, and a logger's file, to plain values."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.pressing import Logged
from inventory.compute.codes import Kind
from inventory.compute.press import lists as press_lists
from inventory.compute.press.lists import Item
from inventory.errors import Refused
from inventory.formats import logger
from inventory.formats.logger import Hints, Reading, Unit
from inventory.forms.fields import Degrees, Gauge, ThingField, ThingsField, as_error, cursor, words
from inventory.forms.press import Hands
from inventory.queries import bench, pressing

PROBES = 3
ROUND = timedelta(minutes=30)  # of a log before closing and after opening: it shows the start and the end


class CloseOn(forms.Form):
    """Which press, which mould, which skis; heated or not."""

    press = ThingField(Kind.PRESS, label=_("Scan the press"))
    mould = ThingField(Kind.MOULD, label=_("Scan the mould"), required=False)
    skis = ThingsField(Kind.SKI, Kind.PAIR, label=_("Scan the skis in it, or the pair"))
    heated = forms.ChoiceField(
        label=_("How"), choices=[("yes", _("heated")), ("no", _("unheated, overnight"))], initial="yes"
    )
    bay_c = Degrees(
        label=_("The bay"),
        low=-30,
        high=60,
        required=False,
        help_text=_("Unheated, it decides how long it takes."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cursor(self, "press")

    def values(self) -> dict[str, Any]:
        """As the proposal and the action take them; for the code of a pair both of its skis."""
        data = self.cleaned_data
        skis = [ski for thing in data["skis"] for ski in (bench.skis_of(thing) or [thing])]
        return {
            "press": data["press"],
            "mould": data["mould"],
            "skis": list(dict.fromkeys(skis)),
            "heated": data["heated"] == "yes",
            "bay_c": data["bay_c"],
        }


class CheckList(forms.Form):
    """A list of things to look at: each ticked by itself, none ticked beforehand."""

    def __init__(self, *args: Any, items: tuple[Item, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.items = items
        for at, item in enumerate(items):
            self.fields[f"check_{at}"] = forms.BooleanField(label=words(item.sentence), required=False)

    def checks(self) -> list[forms.BoundField]:
        """The ticks, in order."""
        return [self[f"check_{at}"] for at in range(len(self.items))]

    def checked(self) -> list[str]:
        """What was ticked."""
        return [item.key for at, item in enumerate(self.items) if self.cleaned_data[f"check_{at}"]]


class Close(CheckList, Hands):
    """Set points, who watches, and what was looked at."""

    set_c = Degrees(label=_("Temperature set"), low=-30, high=200)
    set_kpa = Gauge(label=_("Pressure set"), low=0, high=2000)
    minutes = forms.FloatField(label=_("Time at it, minutes"), min_value=0, max_value=10_000)
    watcher = forms.TypedChoiceField(label=_("Who watches it"), required=False, coerce=UUID, empty_value=None)

    def __init__(self, *args: Any, heated: bool, **kwargs: Any) -> None:
        super().__init__(*args, items=press_lists.closing(heated=heated), **kwargs)
        field = self.fields["watcher"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [("", _("nobody named")), *((str(row.id), row.name) for row in pressing.watchers())]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        names = ("set_c", "set_kpa", "minutes", "watcher", "doer")
        return {name: self.cleaned_data[name] for name in names} | {"checked": self.checked()}


class Open(CheckList, Hands):
    """What was looked at before a press was opened."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, items=press_lists.OPENING, **kwargs)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"checked": self.checked(), "doer": self.cleaned_data["doer"]}


class Early(forms.Form):
    """Why a press was opened before its schedule."""

    why = forms.CharField(label=_("What happened"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Read(forms.Form):
    """What thermometers and gauge show now."""

    kpa = Gauge(label=_("Gauge"), low=-20, high=2000, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in range(1, PROBES + 1):
            self.fields[f"probe_{number}"] = Degrees(
                label=_("Probe %(number)s") % {"number": number},
                low=-60,
                high=400,
                required=False,
            )
        self.order_fields([*(f"probe_{number}" for number in range(1, PROBES + 1)), "kpa"])

    def values(self) -> dict[str, Any]:
        """As the action takes them; what was left empty was not read."""
        data = self.cleaned_data
        read = {str(number): data[f"probe_{number}"] for number in range(1, PROBES + 1)}
        return {
            "probes_c": {name: value for name, value in read.items() if value is not None},
            "kpa": data["kpa"],
        }


class LogFile(forms.Form):
    """A logger's file, and what it does not say itself."""

    file = forms.FileField(
        label=_("The logger's file"),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,text/csv,text/plain"}),
        help_text=_("Exported as CSV: date, time and readings in each row."),
    )
    temperature = forms.ChoiceField(
        label=_("Temperatures, where the file does not say"),
        choices=[("", _("as the file says")), (Unit.CELSIUS.value, "°C"), (Unit.FAHRENHEIT.value, "°F")],
        required=False,
    )
    pressure = forms.ChoiceField(
        label=_("Pressures, where the file does not say"),
        choices=[
            ("", _("as the file says")),
            *((unit.value, unit.value) for unit in (Unit.KPA, Unit.BAR, Unit.PSI)),
        ],
        required=False,
    )
    left_out = forms.CharField(
        label=_("Probes set aside on purpose"),
        max_length=200,
        required=False,
        help_text=_("Names as in the file, apart by semicolons: a probe that broke, or lay in the bay."),
    )

    def __init__(self, *args: Any, starts: datetime, ends: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.starts, self.ends = starts - ROUND, ends + ROUND

    def clean(self) -> dict[str, Any]:
        """The readings of the cycle's hours; what a file cannot be read for stands beside it."""
        data = super().clean() or {}
        if data.get("file"):
            try:
                data["log"] = self._read(data)
            except Refused as refused:
                self.add_error("file", as_error(refused))
        return data

    def _read(self, data: dict[str, Any]) -> Logged:
        hints = Hints(
            temperature=Unit(data["temperature"]) if data.get("temperature") else None,
            pressure=Unit(data["pressure"]) if data.get("pressure") else None,
        )
        text = logger.as_text(data["file"])
        look = logger.find_shape(text, hints)
        text.seek(0)
        log = logger.Log(text, look.shape, zone=timezone.get_current_timezone())
        rows: list[Reading] = []
        outer: list[Reading] = []
        for reading in log:
            if self.starts <= reading.at <= self.ends:
                rows.append(reading)
            elif len(outer) < 2:
                outer.append(reading)
            else:
                outer[1] = reading
        told = log.told()
        kept = rows if len(rows) > 1 else sorted([*rows, *outer])  # of other hours: the action says so
        if len(kept) < 2:
            raise forms.ValidationError(_("The file has one reading only."), code="one_reading")
        first = kept[0].at
        probes = list(enumerate(look.shape.probes))
        pressures = [at for at, probe in probes if probe.unit.is_pressure]
        return Logged(
            starts=first,
            at_s=tuple((row.at - first).total_seconds() for row in kept),
            probes_c={
                probe.name: tuple(_rounded(row.values[at]) for row in kept)
                for at, probe in probes
                if not probe.unit.is_pressure
            },
            kpa=tuple(_rounded(row.values[pressures[0]]) for row in kept) if pressures else (),
            serial=told.serial or "",
        )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        names = [name.strip() for name in data["left_out"].split(";") if name.strip()]
        return {"log": data["log"], "left_out": names}


def _rounded(value: float | None) -> float | None:
    """To a hundredth: no sensor of a press tells more."""
    return None if value is None else round(value, 2)
