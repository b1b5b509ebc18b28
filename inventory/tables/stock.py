"""Lists of packages."""

from typing import Any
from uuid import UUID

import django_tables2 as tables
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base
from inventory.models import Package
from inventory.templatetags import parts


class PackageTable(tables.Table):
    """What is where."""

    code = tables.Column(verbose_name=_("Package"))
    material = tables.Column(accessor="lot__material__name", verbose_name=_("Material"))
    lot = tables.Column(accessor="lot__number", verbose_name=_("Lot, as printed"))
    left = tables.Column(
        accessor="thing__balance__amount", verbose_name=_("Left"), attrs={"cell": {"class": "num"}}
    )
    place = tables.Column(accessor="thing__state__place_id", verbose_name=_("Where"), empty_values=())
    expires_on = tables.Column(verbose_name=_("Usable to"))
    held = tables.Column(verbose_name=_("State"), empty_values=())

    class Meta:
        template_name = "inventory/parts/table.html"
        empty_text = _("Nothing is in stock yet.")

    def __init__(self, data: Any, *, places: dict[UUID, str], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.places = places

    def render_code(self, value: str) -> str:
        return parts.chip(value, reverse("thing", args=[value]))

    def render_left(self, value: int, record: Package) -> str:
        return parts.amount(Amount(value, Base(record.lot.material.base)))

    def render_place(self, value: UUID | None) -> str:
        return self.places.get(value, "") if value else gettext("no place yet")

    def render_expires_on(self, value: Any) -> str:
        return parts.day(value)

    def render_held(self, value: bool, record: Package) -> str:
        if value:
            return parts.mark(Level.STOP, gettext("on hold"))
        return gettext("open") if record.thing.state.opened_at else gettext("closed")
