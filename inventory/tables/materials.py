"""Lists of materials."""

from collections import Counter
from collections.abc import Iterable
from typing import Any
from uuid import UUID

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.reasons import Level
from inventory.compute.units import Amount, at_most
from inventory.forms.materials import PURPOSES
from inventory.queries.materials import InStock
from inventory.templatetags import parts

COLUMNS = (_("Material"), _("Used as"), _("In stock"), _("Unit"), _("Packages"), _("Never less than"))
_PURPOSES = dict(PURPOSES)


def purpose(value: str) -> str:
    """What a material is used as, in words; nothing for what is used as something else."""
    return str(_PURPOSES.get(value, value)) if value else ""


class MaterialTable(tables.Table):
    """Every material and how much there is of it."""

    name = tables.Column(verbose_name=_("Material"))
    purpose = tables.Column(verbose_name=_("Used as"), default="")
    left = tables.Column(
        verbose_name=_("In stock"), order_by=("left__base", "left__value"), attrs={"cell": {"class": "num"}}
    )
    packages = tables.Column(verbose_name=_("Packages"), attrs={"cell": {"class": "num"}})
    below = tables.Column(verbose_name=_("State"), empty_values=(), orderable=False)

    class Meta:
        template_name = "inventory/parts/table.html"
        order_by = "name"

    def __init__(self, rows: Iterable[InStock], past: Counter[UUID], **kwargs: Any) -> None:
        super().__init__(rows, **kwargs)
        self.past = past

    def render_name(self, value: str, record: InStock) -> str:
        return format_html(
            '<a href="{}" dir="auto">{}</a>', reverse("materials-card", args=[record.key]), value
        )

    def render_purpose(self, value: str) -> str:
        return purpose(value)

    def render_packages(self, value: int) -> object:
        """Nothing beside what is not in stock: its state says so."""
        return value or ""

    def render_left(self, value: Amount) -> str:
        return parts.amount(at_most(value))

    def render_below(self, value: Any, record: InStock) -> str:
        past = self.past[record.id]
        if past:
            words = ngettext("%(count)s past its date", "%(count)s past their date", past) % {"count": past}
            return parts.mark(Level.STOP if past == record.packages else Level.LOOK, words)
        if record.below:
            return parts.mark(Level.LOOK, gettext("low"))
        return "" if record.packages else gettext("none")
