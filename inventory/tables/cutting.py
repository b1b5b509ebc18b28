"""The list of offcuts as it leaves: one row each, in words."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code
from inventory.formats.sheets import Cell
from inventory.queries.offcuts import Lying

OFFCUT_COLUMNS = (_("Offcut"), _("Material"), _("Length, mm"), _("Width, mm"), _("Where"), _("State"))


def offcut_row(row: Lying) -> tuple[Cell, ...]:
    """One offcut: of what, how large, where it lies."""
    made = row.made
    return (
        Code(made.code).shown if made.code else "",
        made.material.name,
        made.size.length_mm,
        made.size.width_mm,
        row.where,
        gettext("on hold") if row.held else "",
    )
