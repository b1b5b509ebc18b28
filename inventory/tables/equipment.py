"""Lists of equipment."""

from datetime import date
from typing import Any
from uuid import UUID

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.reasons import Level
from inventory.forms.equipment import SORTS
from inventory.queries.equipment import Due, Row
from inventory.tables.stock import near
from inventory.templatetags import parts

COLUMNS = (_("Code"), _("What"), _("Sort"), _("Size"), _("Where"), _("Inspection"), _("Due by"), _("State"))
_SORTS = dict(SORTS)


def sort(value: str) -> str:
    """A sort in words; nothing where none is said."""
    return str(_SORTS.get(value, value)) if value else ""


def due_words(due: Due | None, today: date) -> tuple[Level | None, str]:
    """When an inspection is due, in words, and how much that weighs."""
    if due is None:
        return None, ""
    if due.last_on is None:
        return Level.STOP, gettext("%(what)s: never recorded") % {"what": due.what}
    if due.by is None:
        return None, gettext("%(what)s: done") % {"what": due.what}
    values = {"what": due.what, "day": parts.day(due.by)}
    if due.overdue(today):
        return Level.STOP, gettext("%(what)s: was due by %(day)s") % values
    near = (due.by - today).days <= 30
    return Level.LOOK if near else None, gettext("%(what)s: due by %(day)s") % values


class EquipmentTable(tables.Table):
    """What travels and comes back."""

    name = tables.Column(verbose_name=_("What"))
    code = tables.Column(verbose_name=_("Code"), orderable=False)
    sort = tables.Column(verbose_name=_("Sort"), empty_values=())
    place = tables.Column(
        verbose_name=_("Where"), empty_values=(), orderable=False, attrs={"td": {"class": "where"}}
    )
    due = tables.Column(verbose_name=_("Inspection"), empty_values=(), orderable=False)

    class Meta:
        template_name = "inventory/parts/table.html"
        order_by = "name"

    def __init__(self, data: Any, *, places: dict[UUID, str], today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.places, self.today = near(places), today

    def render_name(self, value: str, record: Row) -> str:
        words = f"{value}, {record.size}" if record.size else value
        address = reverse("equipment-card", args=[record.code]) if record.code else ""
        return format_html('<a href="{}" dir="auto">{}</a>', address, words)

    def render_code(self, value: str) -> str:
        return parts.chip(value, reverse("thing", args=[value]))

    def render_sort(self, value: str, record: Row) -> str:
        return sort(value) or parts.word(record.kind)

    def render_place(self, value: UUID | None) -> str:
        return self.places.get(value, "") if value else gettext("not put away yet")

    def render_due(self, record: Row) -> str:
        if record.held:
            return parts.mark(Level.STOP, gettext("on hold"))
        level, words = due_words(record.due, self.today)
        return words if level is None else format_html("{} {}", parts.mark(level), words)
