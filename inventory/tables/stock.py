"""Lists of packages."""

from typing import Any
from uuid import UUID

import django_tables2 as tables
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django_tables2.data import TableData

from inventory.compute.codes import Code
from inventory.compute.expiry import Ends, Usable
from inventory.compute.reasons import Level
from inventory.compute.units import Amount
from inventory.queries.stock_list import Listing, Order, Row
from inventory.templatetags import parts

COLUMNS = (
    _("Package"),
    _("Material"),
    _("Lot, as printed"),
    _("Left"),
    _("Unit"),
    _("Where"),
    _("Usable to"),
    _("State"),
)


class ListingData(TableData):
    """A listing as the table asks for it: counted once, read a page at a time, in the listing's own order."""

    def __init__(self, listing: Listing) -> None:
        super().__init__(listing)
        self.listing = listing
        self._count: int | None = None

    def __len__(self) -> int:
        if self._count is None:
            self._count = self.listing.count()
        return self._count

    def __getitem__(self, key: slice) -> list[Row]:
        return self.listing.rows(key.start or 0, len(self) if key.stop is None else key.stop)

    def order_by(self, aliases: Any) -> None:
        """Take over what the reader sorts by; only one thing."""
        for alias in list(aliases)[:1]:
            self.listing.order = _ORDERS.get(str(alias).lstrip("-"), Order.LASTS)
            self.listing.descending = str(alias).startswith("-")


_ORDERS = {"material": Order.MATERIAL, "number": Order.LOT, "place": Order.PLACE, "usable": Order.LASTS}


def condition(row: Any, today: Any) -> tuple[Level | None, str]:
    """What state a package is in, in one word, and how much it weighs."""
    if row.held:
        return Level.STOP, gettext("on hold")
    if row.usable.past(today):
        return Level.STOP, gettext("past its date")
    return None, gettext("open") if row.open else gettext("closed")


def near(places: dict[UUID, str]) -> dict[UUID, str]:
    """Places in words for a list: the one yard in which all of them lie is not said in every row."""
    yards = {words.partition(", ")[0] for words in places.values()}
    if len(yards) != 1:
        return places
    return {place: words.partition(", ")[2] or words for place, words in places.items()}


class PackageTable(tables.Table):
    """What is where."""

    code = tables.Column(verbose_name=_("Package"), orderable=False)
    material = tables.Column(verbose_name=_("Material"))
    number = tables.Column(verbose_name=_("Lot, as printed"), attrs={"td": {"class": "whole"}})
    left = tables.Column(verbose_name=_("Left"), attrs={"cell": {"class": "num"}}, orderable=False)
    place = tables.Column(verbose_name=_("Where"), empty_values=())
    usable = tables.Column(verbose_name=_("Usable to"), attrs={"td": {"class": "whole"}})
    state = tables.Column(verbose_name=_("State"), empty_values=(), orderable=False)

    class Meta:
        template_name = "inventory/parts/table.html"

    def __init__(self, listing: Listing, *, places: dict[UUID, str], **kwargs: Any) -> None:
        super().__init__(ListingData(listing), **kwargs)
        self.places, self.today = near(places), listing.today

    def render_code(self, value: str) -> str:
        return parts.chip(value, reverse("thing", args=[value]))

    def render_left(self, value: Amount, record: Row) -> str:
        return parts.amount(value, record.written_in)

    def render_place(self, value: UUID | None) -> str:
        return self.places.get(value, "") if value else gettext("not put away yet")

    def render_usable(self, value: Usable) -> str:
        if value.through is None:
            return gettext("not known")
        if value.by is Ends.OPENED:
            return gettext("%(day)s, as it is open") % {"day": parts.day(value.through)}
        if value.by is Ends.RETEST:
            return gettext("%(day)s, re-tested") % {"day": parts.day(value.through)}
        return parts.day(value.through)

    def render_state(self, record: Row) -> str:
        level, word = condition(record, self.today)
        return word if level is None else parts.mark(level, word)


def sheet_row(row: Row, places: dict[UUID, str], today: Any, left: tuple[Any, str]) -> tuple[Any, ...]:
    """One package as a row of a sheet that leaves."""
    code = Code(row.code).shown if row.code else ""
    where = places.get(row.place, "") if row.place else ""
    return code, row.material, row.number, *left, where, row.usable.through, condition(row, today)[1]
