"""What people choose about a sheet that comes in, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.formats.sheets import DayOrder
from inventory.forms import cards
from inventory.queries.sheets_in import What

WORDS = {
    What.MATERIALS: _("Materials"),
    What.OFFERS: _("What suppliers sell, with prices"),
    What.STOCK: _("Stock, lot by lot"),
    What.SEATS: _("Guests and their seats"),
    What.ORDERS: _("Orders"),
}
ORDERS = (
    ("", _("as the sheet has them")),
    (DayOrder.DMY.value, _("day, month, year")),
    (DayOrder.MDY.value, _("month, day, year")),
    (DayOrder.YMD.value, _("year, month, day")),
)
MARKS = (("", _("as the sheet has them")), (",", _("a comma: 12,5")), (".", _("a dot: 12.5")))


class TakeIn(forms.Form):
    """The file, what its rows are, and how its dates and numbers are written."""

    what = forms.ChoiceField(label=_("What the rows are"), choices=[(key.value, WORDS[key]) for key in What])
    file = forms.FileField(
        label=_("The file"),
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx"}),
        help_text=_("CSV or XLSX, headings in the first row; the templates show them."),
    )
    days = forms.ChoiceField(label=_("Dates are written"), choices=ORDERS, required=False)
    mark = forms.ChoiceField(label=_("Decimals stand after"), choices=MARKS, required=False)
    on = cards.Day(
        label=_("From an old book: all of it happened on"),
        required=False,
        help_text=_(
            "Empty: now. With a day it is kept as typed in later; what the book does not say stays unknown."
        ),
    )

    def asked(self) -> tuple[What, bytes, DayOrder | None, str | None]:
        """Kind, content, order of dates, decimal mark."""
        data: dict[str, Any] = self.cleaned_data
        order = DayOrder(data["days"]) if data["days"] else None
        return What(data["what"]), data["file"].read(), order, data["mark"] or None
