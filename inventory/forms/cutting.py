"""What people measure and scan when they cut sheets and glue up blanks, to plain values. Sizes are in mm."""

import re
from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Amount, Base
from inventory.forms.fields import CodeField, ThingField, find_thing, read_amount
from inventory.queries import ledger, materials, things
from inventory.queries.cutting_plan import KEEP_FROM_MM, TRIM_MM, Asked
from inventory.queries.offcuts import Lying

ROWS = 4
MOST_LINES = 40
_APART = re.compile(r"[\sx×*/,;]+", re.IGNORECASE)


class SizesField(forms.CharField):
    """Sizes, one a line: `4 x 1900 x 130`, count first; `1900 x 130` without counts. mm, whole numbers."""

    def __init__(self, *, counted: bool, **kwargs: Any) -> None:
        self.counted = counted
        super().__init__(**{"max_length": 2000, "widget": forms.Textarea(attrs={"rows": 2}), **kwargs})

    def clean(self, value: Any) -> list[list[int]]:
        """Each line's numbers."""
        lines = [line.strip() for line in super().clean(value).splitlines() if line.strip()]
        if len(lines) > MOST_LINES:
            raise forms.ValidationError(_("That are more lines than one cut has."), code="cutting.lines")
        return [self._numbers(line) for line in lines]

    def _numbers(self, line: str) -> list[int]:
        parts = [part for part in _APART.split(line.lower().removesuffix("mm")) if part]
        fits = (2, 3) if self.counted else (1, 2)
        if len(parts) not in fits or not all(part.isdecimal() and len(part) <= 7 for part in parts):
            raise forms.ValidationError(
                _("“%(line)s” is not read: whole millimetres, such as %(example)s."),
                code="cutting.lines",
                params={"line": line[:40], "example": "4 x 1900 x 130" if self.counted else "700 x 130"},
            )
        return [int(part) for part in parts]


class Cut(forms.Form):
    """What was cut, and what is kept of the rest."""

    pieces = SizesField(
        counted=True,
        label=_("Pieces, mm"),
        help_text=_("One size a line: how many x length, of a sheet x width. 4 x 1900 x 130"),
    )
    offcuts = SizesField(
        counted=False,
        label=_("Offcuts kept, mm"),
        required=False,
        help_text=_("One a line, as measured: length, of a sheet x width. The next plan uses them."),
    )
    lengths = forms.IntegerField(
        label=_("How many sheets or sticks, all cut alike"), min_value=1, max_value=10_000, initial=1
    )
    kerf_mm = forms.FloatField(label=_("Kerf, mm"), min_value=0, max_value=50, initial=1)
    override = forms.CharField(
        label=_("Past its date: an owner's reason to use it all the same"), max_length=200, required=False
    )
    workshop = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "pieces": [Some(_size(numbers[1:]), numbers[0]) for numbers in data["pieces"]],
            "offcuts": [_size(numbers) for numbers in data["offcuts"]],
            **{name: data[name] for name in ("lengths", "kerf_mm", "override", "workshop")},
        }


def _size(numbers: list[int]) -> Size:
    return Size(numbers[0], numbers[1] if len(numbers) > 1 else None)


class Ask(forms.Form):
    """What a cutting plan is asked with; empty is as usual."""

    kerf_mm = forms.FloatField(
        label=_("Kerf, mm"),
        min_value=0,
        max_value=50,
        required=False,
        help_text=_("Empty: 3 mm for what is sawn, 1 mm for knife and shears, assumed."),
    )
    trim_mm = forms.IntegerField(
        label=_("Added to each piece for trimming, mm"), min_value=0, max_value=500, required=False
    )
    keep_from_mm = forms.IntegerField(
        label=_("Offcuts are kept from, mm"), min_value=0, max_value=5000, required=False
    )
    lengths_mm = forms.CharField(
        label=_("Which length suits: lengths for sale, mm"),
        required=False,
        max_length=100,
        help_text=_("Such as 2000 2500 3000."),
    )

    def clean_lengths_mm(self) -> tuple[int, ...]:
        """Whole millimetres, each once."""
        parts = [part for part in _APART.split(self.cleaned_data["lengths_mm"]) if part]
        if len(parts) > 8 or not all(part.isdecimal() and 0 < int(part) <= 1_000_000 for part in parts):
            raise forms.ValidationError(
                _("Enter at most eight lengths in whole millimetres, apart by spaces."), code="cutting.lines"
            )
        return tuple(dict.fromkeys(int(part) for part in parts))

    def asked(self) -> Asked:
        """As the question takes it."""
        data = self.cleaned_data
        trim, keep = data["trim_mm"], data["keep_from_mm"]
        return Asked(
            data["kerf_mm"],
            TRIM_MM if trim is None else trim,
            KEEP_FROM_MM if keep is None else keep,
            data["lengths_mm"],
        )


class GlueUp(forms.Form):
    """Bundles of wood with what was taken and read of them, the glue, and what came out."""

    blank = forms.TypedChoiceField(label=_("They stand for"), coerce=UUID)
    count = forms.IntegerField(label=_("How many blanks"), min_value=1, max_value=500)
    length_mm = forms.IntegerField(label=_("How long, mm"), min_value=1, max_value=10_000)
    glue = ThingField(Kind.PACKAGE, Kind.RESIN_BATCH, label=_("Scan the glue, or the cup"))
    glue_amount = forms.CharField(label=_("How much of it"), max_length=60)
    why = forms.CharField(
        label=_("Too wet, too dry or not read: why it is glued all the same"), max_length=200, required=False
    )
    override = forms.CharField(
        label=_("Past its date: an owner's reason to use it all the same"), max_length=200, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        blank = self.fields["blank"]
        assert isinstance(blank, forms.ChoiceField)  # noqa: S101 - for the type checker
        blank.choices = [
            (str(row.id), row.name) for row in materials.all_materials() if row.purpose == "blank"
        ]
        for row in range(1, ROWS + 1):
            self.fields[f"wood_{row}"] = CodeField(label=_("Scan the wood"), required=row == 1)
            self.fields[f"amount_{row}"] = forms.CharField(label=_("Amount"), required=False, max_length=60)
            self.fields[f"moisture_{row}"] = forms.FloatField(
                label=_("Moisture, %"), required=False, min_value=0, max_value=100
            )

    def rows(self) -> list[tuple[forms.BoundField, ...]]:
        """Code, amount and moisture side by side."""
        return [
            (self[f"wood_{row}"], self[f"amount_{row}"], self[f"moisture_{row}"])
            for row in range(1, ROWS + 1)
        ]

    def clean(self) -> dict[str, Any]:
        """Each amount is read in its thing's own unit."""
        data = super().clean() or {}
        wood = []
        for row in range(1, ROWS + 1):
            code = data.get(f"wood_{row}")
            if code is None:
                continue
            try:
                thing = find_thing(code, (Kind.PACKAGE,))
            except forms.ValidationError as error:
                self.add_error(f"wood_{row}", error)
                continue
            taken = self._amount(thing, f"amount_{row}")
            if taken is not None:
                wood.append((thing, taken, data.get(f"moisture_{row}")))
        glue = data.get("glue")
        return data | {"wood": wood, "taken": self._amount(glue, "glue_amount") if glue else None}

    def _amount(self, thing: UUID, name: str) -> Amount | None:
        base = Base(ledger.kinds([thing])[thing][1])
        try:
            default = {Base.MG: "GRM", Base.PIECE: "H87"}.get(base)
            return read_amount(self.cleaned_data.get(name, ""), base, default)
        except forms.ValidationError as error:
            self.add_error(name, error)
            return None

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        kept = {
            name: data[name] for name in ("blank", "count", "length_mm", "wood", "glue", "why", "override")
        }
        return kept | {"glue_amount": data["taken"]}


class Find(forms.Form):
    """Which offcuts: of one material, in one place with all that stands in it. What is wrong asks nothing."""

    material = forms.ChoiceField(label=_("Material"), required=False)
    place = forms.ChoiceField(label=_("In"), required=False)

    def __init__(self, *args: Any, listed: Sequence[Lying], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words, larger = things.place_words(), things.larger_places()
        kinds = {str(row.made.material.id): row.made.material.name for row in listed}
        places = {str(id): words[id] for id in larger if id in words}
        for name, choices in (("material", kinds), ("place", places)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = [("", _("any")), *sorted(choices.items(), key=lambda row: row[1])]

    def wanted(self) -> dict[str, UUID]:
        """What is asked."""
        self.is_valid()
        return {name: UUID(value) for name, value in self.cleaned_data.items() if value}
