"""Lists that leave as a file: the whole list as it is filtered and sorted, not only the page shown."""

from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.utils.formats import get_format

from inventory.compute.units import Amount, Base
from inventory.formats import sheets
from inventory.formats.sheets import Cell, Sheet

PLAIN_UNITS = {
    Base.MG: ("g", 1_000),
    Base.MM: ("m", 1_000),
    Base.MM2: ("m2", 1_000_000),
    Base.UL: ("ml", 1_000),
}
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def plain(amount: Amount) -> tuple[Decimal, str]:
    """An amount as a number and a unit that is the same on every row of its kind."""
    unit, size = PLAIN_UNITS.get(amount.base, ("pieces", 1))
    return Decimal(amount.value) / size, unit


def as_file(
    request: HttpRequest,
    name: str,
    columns: Sequence[object],
    rows: Callable[[], Iterable[Sequence[Cell]]],
    *,
    list_: str = "",
) -> HttpResponse | None:
    """The list as CSV or XLSX when `?file=` asks for one; else None.

    A page with several lists names each: `list_`, asked for as `&list=`. Columns are those that the one who
    asks may see: whoever calls leaves the others out.
    """
    kind = request.GET.get("file", "")
    if kind not in ("csv", "xlsx") or request.GET.get("list", "") != list_:
        return None
    sheet = Sheet(name, tuple(str(column) for column in columns), list(rows()))
    if kind == "csv":
        comma = get_format("DECIMAL_SEPARATOR") == ","
        made, media = sheets.write_csv(sheet, decimal_comma=comma), "text/csv; charset=utf-8"
    else:
        made, media = sheets.write_xlsx(sheet), _XLSX
    disposition = f'attachment; filename="{name}.{kind}"'
    return HttpResponse(made, content_type=media, headers={"Content-Disposition": disposition})
