"""Lists of pairs and seats as they leave: one row each, in words."""

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code
from inventory.formats.sheets import Cell
from inventory.queries.build_card import Standing

PAIR_COLUMNS = (
    _("Pair"),
    _("Left ski"),
    _("Right ski"),
    _("Guest"),
    _("Workshop"),
    _("First day"),
    _("Length, mm"),
    _("Waits for"),
    _("Last step"),
    _("Done on"),
    _("By"),
    _("State"),
)
SEAT_COLUMNS = (_("Guest"), _("Age band"), _("State"))
CONTACT_COLUMNS = (_("Contact"), _("May the card be kept?"))
LAYUP_COLUMNS = (_("Lay-up card"), _("Layers"), _("State"))


def pair_row(row: Standing) -> tuple[Cell, ...]:
    """One pair: whose it is, where it stands, what it waits for."""
    workshop, guest = row.pair.workshop, row.pair.guest
    codes = {ski.side: Code(ski.code).shown if ski.code else "" for ski in row.skis}
    last, done = row.last or (None, None)
    return (
        Code(row.code).shown if row.code else "",
        codes.get("left", ""),
        codes.get("right", ""),
        guest.called if guest else "",
        workshop.name if workshop else "",
        workshop.starts_on if workshop else None,
        row.pair.length_mm,
        gettext("a person decides") if row.failed else str(row.waits.label) if row.waits else "",
        str(last.label) if last else "",
        done.at.date() if done else None,
        done.who if done else "",
        gettext("on hold") if row.held else "" if row.waits else gettext("handed over"),
    )


def seat_row(seat: Any, *, contacts: bool) -> tuple[Cell, ...]:
    """One seat; how to reach the guest only for who may know."""
    guest = seat.guest
    row: tuple[Cell, ...] = (guest.called, guest.age_band, seat.state)
    return (*row, guest.contact, guest.consent) if contacts else row


def layup_row(card: Any) -> tuple[Cell, ...]:
    """One lay-up card."""
    return card.name, len(card.layers), gettext("no longer built") if card.ended else ""
