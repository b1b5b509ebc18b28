"""What a supplier's label says, put into the rows of a delivery beside what people typed there already."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.errors import Refused, Sentence, say
from inventory.formats.labels import SupplierLabel, read
from inventory.queries import materials

_STEPS = (("made", "made_on"), ("best_before", "expires_on"), ("expiry", "expires_on"))  # the last one wins


@dataclass(frozen=True, slots=True)
class Filled:
    """A delivery's fields with what its labels say; how many rows; what was read, and what to compare."""

    values: dict[str, str]
    rows: int
    said: tuple[Sentence, ...] = ()
    refused: Refused | None = None


def name(field: str, row: int) -> str:
    """A field's name in a row; the first row's names are plain."""
    return field if row == 1 else f"{field}_{row}"


def fill(given: Mapping[str, str], *, rows: int, most: int, today: date) -> Filled:
    """Read every label that was scanned. A label of another lot than its row's goes into a row of its own.

    A row that says otherwise than its label is refused, and stays as it was typed.
    """
    values, said = dict(given), list[Sentence]()
    for row in range(1, rows + 1):
        text = values.get(name("label", row), "")
        if not text.strip():
            continue
        try:
            label = read(text, today=today)
            target = _row_for(values, row, rows, label)
            if target > most:
                raise Refused(
                    "labels.no_row",
                    say("A delivery has room for {most} lots.", most=most),
                    say("Receive these first, then the rest as another delivery."),
                )
            _put(values, target, label)
        except Refused as refused:
            return Filled(values, rows, tuple(said), refused)
        values[name("label", row)] = ""
        rows = max(rows, target)
        said += [_told(label, target), *label.doubts]
    return Filled(values, rows, tuple(said))


def _row_for(values: Mapping[str, str], row: int, rows: int, label: SupplierLabel) -> int:
    """The row itself, the one that has this lot already, or a new one."""
    if not label.lot or values.get(name("number", row), "") in ("", label.lot):
        return row
    numbers = {values.get(name("number", each), ""): each for each in range(rows, 0, -1)}
    return numbers.get(label.lot) or rows + 1


def _put(values: dict[str, str], row: int, label: SupplierLabel) -> None:
    found = {"number": label.lot or ""} if label.lot else {}
    offer = materials.sold_as(label.gtin or "")
    if offer is not None:
        found["material"] = str(offer.material_id)
        values["supplier"] = values.get("supplier") or str(offer.supplier_id)
    for said, field in _STEPS:
        day = getattr(label, said)
        if day is not None:
            found[field] = day.on.isoformat()
    for field, text in found.items():
        typed = values.get(name(field, row), "")
        if typed not in ("", text) and field == "material":
            raise Refused(
                "labels.other_material",
                say("The label's article number is kept with another material than the row says."),
                say("Look at the print. Choose the material that came, or put the offer's number right."),
            )
        if typed not in ("", text):
            raise Refused(
                "labels.other",
                say("The label says {label}, and the row says {typed}.", label=text, typed=typed),
                say("Look at the print. Empty the field that is wrong, and read the label again."),
            )
    values.update({name(field, row): text for field, text in found.items()})
    size = amount(label)
    if size:
        lines = values.get(name("packages", row), "").splitlines()
        values[name("packages", row)] = "\n".join([*filter(str.strip, lines), size])


def amount(label: SupplierLabel) -> str:
    """The amount of one package as people type it; nothing where the label does not say."""
    if label.weight_mg:
        return f"{_plain(label.weight_mg, 6)} kg"
    if label.volume_ul:
        return f"{_plain(label.volume_ul, 6)} l"
    if label.length_mm:
        return f"{_plain(label.length_mm, 3)} m"
    return str(label.pieces) if label.pieces else ""


def _plain(value: int, places: int) -> str:
    return format(Decimal(value).scaleb(-places).normalize(), "f")


def _told(label: SupplierLabel, row: int) -> Sentence:
    until = label.expiry or label.best_before
    nothing = "not said"
    return say(
        "Read into lot {row}: number {lot}, usable to {until}, amount {amount}.",
        row=row,
        lot=label.lot or nothing,
        until=until.on if until else nothing,
        amount=amount(label) or nothing,
    )
