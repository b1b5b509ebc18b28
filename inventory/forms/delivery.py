"""What people type about a delivery, row by row a lot, to plain values; and about a lot's card."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.actions.delivery import Apart, LotRow
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.forms import cards, reader
from inventory.forms.cards import exact
from inventory.forms.fields import ThingField
from inventory.forms.labels import name as _name
from inventory.forms.packages import read_packages, read_some, told, written_in
from inventory.forms.papers import kept_or_error
from inventory.queries import materials, orders
from inventory.queries.orders import LineRow, OrderRow

_SIZES = _(
    "One line a size: 4 x 5 kg are four packages, 22 m is one. Of what is counted in pieces 12 is one "
    "package of 12, and 12 x 1 are twelve of one piece. Each package gets a tag."
)
_SIZES_US = _(
    "One line a size: 4 x 10 lb are four packages, 72 ft is one. Of what is counted in pieces 12 is one "
    "package of 12, and 12 x 1 are twelve of one piece. Each package gets a tag."
)

MOST_ROWS, MOST_APART = 12, 5
_WHAT = ("label", "order_line", "material", "number", "packages")
_LABEL = ("made_on", "expires_on", "damaged")
_PLACES = (Kind.BIN, Kind.ZONE, Kind.STORE, Kind.TRAILER)
_SAYS = ("number", "packages", "made_on", "expires_on")


@dataclass(frozen=True, slots=True)
class RowFields:
    """The fields of one lot as the page shows them. `told`: how what was typed so far is read."""

    number: int
    what: list[forms.BoundField]
    told: list[str]
    opened: tuple[str, int]  # the name and the value that keep the further places open
    apart: list[tuple[forms.BoundField, forms.BoundField]]
    more: bool  # another place may be opened
    label: list[forms.BoundField]


def _is_empty(given: Mapping[str, Any]) -> bool:
    """True for a row that says nothing: of what was ordered, the material alone says nothing came."""
    return not any(given[name] for name in (_SAYS if given["order_line"] else ("material", *_SAYS)))


def _ordered(order: OrderRow, line: LineRow) -> str:
    """An open order line in words."""
    values = {
        "supplier": order.order.supplier.name,
        "material": line.line.material.name,
        "left": reader.told(line.left),
    }
    return gettext("%(supplier)s: %(material)s, %(left)s to come") % values


def expected(order: OrderRow) -> tuple[dict[str, str], int]:
    """A delivery's fields as all that is still to come of an order would fill them, and how many rows."""
    values = {"supplier": str(order.order.supplier_id)}
    lines = [line for line in order.lines if line.left.value][:MOST_ROWS]
    for row, line in enumerate(lines, 1):
        base = Base(line.line.material.base)
        whole, rest = divmod(line.left.value, line.line.pack)
        sizes = [f"{whole} x {exact(Amount(line.line.pack, base))}"] if whole else []
        sizes += [exact(Amount(rest, base))] if rest else []
        values |= {
            _name("order_line", row): str(line.line.id),
            _name("material", row): str(line.line.material_id),
            _name("packages", row): "\n".join(sizes),
        }
    return values, max(1, len(lines))


def _opened(given: Mapping[str, Any], row: int) -> int:
    """How many further places a row has; one more when that was just asked for."""
    text = str(given.get(_name("opened", row), "") or "")
    count = int(text) if text.isdecimal() and len(text) < 3 else 0
    return min(count + (given.get("apart") == str(row)), MOST_APART)


def _apart_fields(each: int) -> dict[str, forms.Field]:
    """How many go elsewhere, and where; both may stay empty."""
    return {
        f"some{each}": forms.CharField(
            label=_("How many packages go elsewhere"),
            max_length=200,
            required=False,
            help_text=_("4, or of several sizes 4 x 5 kg. All others go where the whole delivery goes."),
        ),
        f"there{each}": ThingField(*_PLACES, label=_("Where these go (scan, or its name)"), required=False),
    }


class Delivery(forms.Form):
    """The lots of one delivery. Row 1 has plain names, `material`; row 2 has `material_2`, and so on."""

    supplier = forms.ChoiceField(label=_("From"), required=False)
    place = ThingField(*_PLACES, label=_("Put in (scan, or its name)"), required=False)
    paper = forms.FileField(
        label=_("Certificate or delivery paper"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*,application/pdf"}),
        help_text=_("A PDF or a photo; it is kept with every lot of this delivery."),
    )

    def __init__(self, *args: Any, rows: int = 1, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.count = max(1, min(rows, MOST_ROWS))
        given = self.data if self.is_bound else self.initial
        self._opened = {row: _opened(given, row) for row in range(1, self.count + 1)}
        self._materials = {str(row.id): row for row in materials.all_materials()}
        supplier = self.fields["supplier"]
        assert isinstance(supplier, forms.ChoiceField)  # noqa: S101 - for the type checker
        suppliers = [(str(row.id), row.name) for row in materials.all_suppliers()]
        supplier.choices = [("", _("not said")), *suppliers]
        self._lines = [(str(line.line.id), _ordered(order, line)) for order, line in orders.open_lines()]
        for row in range(1, self.count + 1):
            self.fields |= self._row(row)

    def _row(self, row: int) -> dict[str, forms.Field]:
        """The fields of one row; all but the first may stay empty."""
        kinds = [(key, card.name) for key, card in self._materials.items()]
        first = row == 1
        needed = first and not self._lines  # of what was ordered and did not come, the row is left empty
        fields: dict[str, forms.Field] = {
            "label": forms.CharField(
                label=_("Supplier's label (scan)"),
                max_length=2_000,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
                help_text=_("A code with lot, date or amount; each package's label adds its amount."),
            ),
            "material": forms.ChoiceField(
                label=_("Material"),
                choices=[("", _("choose") if first else _("none")), *kinds],
                required=needed,
            ),
            "number": forms.CharField(label=_("Lot number, as printed"), max_length=40, required=False),
            "packages": forms.CharField(
                label=_("Packages"),
                max_length=2000,
                required=needed,
                widget=forms.Textarea(attrs={"rows": 2}),
                help_text=reader.either(_SIZES, _SIZES_US),
            ),
            "made_on": cards.Day(label=_("Made on"), required=False),
            "expires_on": cards.Day(
                label=_("Usable to, as printed"),
                required=False,
                help_text=_("Empty: the shelf life on the material's card counts from the making."),
            ),
            "damaged": forms.BooleanField(
                label=_("Came damaged"),
                required=False,
                help_text=_("It is received, and on hold until someone has looked at it."),
            ),
        }
        if self._lines:
            fields["order_line"] = forms.ChoiceField(
                label=_("Ordered as"), choices=[("", _("not ordered")), *self._lines], required=False
            )
        for each in range(1, self._opened[row] + 1):
            fields |= _apart_fields(each)
        newest = fields.get(f"some{self._opened[row]}")
        if newest is not None and not self.is_bound and self.initial.get("apart") == str(row):
            newest.widget.attrs["autofocus"] = True
        return {_name(name, row): field for name, field in fields.items()}

    def rows(self) -> list[RowFields]:
        """The rows' fields as the page shows them."""
        return [
            RowFields(
                row,
                self._shown(_WHAT, row),
                self._told(row),
                (_name("opened", row), self._opened[row]),
                [
                    (self[_name(f"some{each}", row)], self[_name(f"there{each}", row)])
                    for each in range(1, self._opened[row] + 1)
                ],
                self._opened[row] < MOST_APART,
                self._shown(_LABEL, row),
            )
            for row in range(1, self.count + 1)
        ]

    def material(self, row: LotRow) -> str:
        """What the material of a row is called."""
        return str(self._materials[str(row.material)].name)

    def _shown(self, names: tuple[str, ...], row: int) -> list[forms.BoundField]:
        return [self[_name(name, row)] for name in names if _name(name, row) in self.fields]

    def _told(self, row: int) -> list[str]:
        """How the packages that were typed so far are read; nothing of what cannot be read yet."""
        card = self._materials.get(str(self[_name("material", row)].value() or ""))
        text = str(self[_name("packages", row)].value() or "")
        if card is None or not text:
            return []
        try:
            return told(card.name, read_packages(text, Base(card.base)))
        except ValidationError:
            return []

    def clean(self) -> dict[str, Any]:
        """Packages are read in each material's own unit; the paper is cleaned and kept."""
        data = super().clean() or {}
        data["lots"] = [lot for row in range(1, self.count + 1) if (lot := self._lot(data, row))]
        if not self.errors:
            file = kept_or_error(self, "paper", "delivery paper")
            data["papers"] = [file] if file else []
        return data

    def _lot(self, data: Mapping[str, Any], row: int) -> LotRow | None:
        """One row; None for one that was left empty, or is wrong."""
        given = {name: data.get(_name(name, row)) for name in (*_WHAT[1:], *_LABEL)}
        if _is_empty(given):
            return None
        card = self._materials.get(given["material"] or "")
        if card is None or not given["packages"]:
            missing = "packages" if card else "material"
            if not self.has_error(_name(missing, row)):
                self.add_error(_name(missing, row), _("This row needs a material and its packages."))
            return None
        try:
            packages = read_packages(given["packages"], Base(card.base))
        except ValidationError as error:
            self.add_error(_name("packages", row), error)
            return None
        line = given["order_line"]
        return LotRow(
            card.id,
            given["number"] or "",
            packages,
            given["made_on"],
            given["expires_on"],
            written_in=written_in(given["packages"], Base(card.base)),
            order_line=UUID(line) if line else None,
            damaged=bool(given["damaged"]),
            apart=tuple(self._apart(data, row, packages, Base(card.base))),
        )

    def _apart(
        self, data: Mapping[str, Any], row: int, packages: tuple[Amount, ...], base: Base
    ) -> Iterator[Apart]:
        """The further places of a row; one that was left empty is none."""
        for each in range(1, self._opened[row] + 1):
            some, there = _name(f"some{each}", row), _name(f"there{each}", row)
            text, place = data.get(some), data.get(there)
            if text and place:
                try:
                    yield Apart(place, read_some(text, packages, base))
                except ValidationError as error:
                    self.add_error(some, error)
            elif (text or place) and not (self.has_error(some) or self.has_error(there)):
                self.add_error(there if text else some, _("Say both: how many, and where they go."))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "lots": data["lots"],
            "supplier": UUID(data["supplier"]) if data["supplier"] else None,
            "place": data["place"],
            "papers": data["papers"],
        }


class LotCard(cards.Card):
    """What a lot's label says, put right."""

    GROUPS = ((_("What the label says"), ("number", "supplier_id", "made_on", "expires_on")),)

    number = cards.Text(label=_("Lot number, as printed"), max_length=40, required=False)
    supplier_id = cards.Choice(label=_("From"), required=False)
    made_on = cards.Day(label=_("Made on"), required=False)
    expires_on = cards.Day(label=_("Usable to"), required=False)

    def __init__(self, *args: Any, card: Any, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        supplier = self.fields["supplier_id"]
        assert isinstance(supplier, cards.Choice)  # noqa: S101 - for the type checker
        rows = [(str(row.id), row.name) for row in materials.all_suppliers()]
        supplier.choices = [("", _("not said")), *rows]

    def clean_supplier_id(self) -> UUID | None:
        """The supplier's id."""
        text = self.cleaned_data["supplier_id"]
        return UUID(text) if text else None
