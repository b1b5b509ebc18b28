"""A pair's artwork: by when each stage is due, and whether a file fits the ski. Knows no file's inside."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Sentence, Term, say

_PRACTICE = "common practice, no source"
CHECK_DAYS = Given(3, Basis.ASSUMED, _PRACTICE)  # from having it here to the first day
AGREE_DAYS = Given(5, Basis.ASSUMED, _PRACTICE)  # for the guest to look at the proof
PROOF_DAYS = Given(3, Basis.ASSUMED, _PRACTICE)  # from the artwork's coming to the proof
SOON_DAYS = 7
GOOD_DPI, LEAST_DPI = 300.0, 150.0
LONGER_MM = 100.0
_INCH_MM = 25.4
COLOURS = ("CMYK", "RGB", Term("grey"))  # what a printer can want


class Stage(StrEnum):
    """What is done with artwork, in order."""

    CAME = "artwork here from the guest"
    PROOF = "proof sent"
    AGREED = "agreed"
    PRINTER = "at the printer"
    HERE = "printed and here"
    CHECKED = "checked"


@dataclass(frozen=True, slots=True)
class Due:
    """One stage: by when, when it was done, and what that means today. None: the lead time is not known."""

    stage: Stage
    by: date | None
    on: date | None
    level: Level
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Path:
    """All stages in order, and how the dates were counted back."""

    stages: tuple[Due, ...]
    how: How


@dataclass(frozen=True, slots=True)
class Header:
    """What a picture's header says. `dpi` None: it does not say how large it is meant to be."""

    width_px: int
    height_px: int
    dpi: float | None = None
    mirrored: bool = False
    colours: str = ""


def path(
    *, first_day: date | None, printer_days: int | None, done: Mapping[Stage, date], today: date
) -> Path:
    """By when has each stage to be done?

    Formula: checked = first day − 1; here = first day − 3; at the printer = agreed = here − the printer's
        lead time; proof sent = agreed − 5; artwork here = proof − 3. Days of the calendar, counted back
    Units: days
    Refuses: artwork.lead_time
    Source: common practice, no source
    """
    by: dict[Stage, date] = {}
    if first_day is not None:
        by = {Stage.CHECKED: first_day - timedelta(1), Stage.HERE: first_day - timedelta(CHECK_DAYS.value)}
    if first_day is not None and printer_days is not None:
        number(
            printer_days,
            code="artwork.lead_time",
            name="The printer's lead time",
            unit="days",
            at_least=1,
            at_most=365,
        )
        sent = by[Stage.HERE] - timedelta(printer_days)
        by |= {Stage.PRINTER: sent, Stage.AGREED: sent, Stage.PROOF: sent - timedelta(AGREE_DAYS.value)}
        by |= {Stage.CAME: by[Stage.PROOF] - timedelta(PROOF_DAYS.value)}
    inputs = (
        Input("first day", first_day.isoformat() if first_day else None),
        Input("the printer's lead time", printer_days, "days"),
        Input("to check it here", CHECK_DAYS.value, "days", CHECK_DAYS.basis),
        Input("to look at the proof", AGREE_DAYS.value, "days", AGREE_DAYS.basis),
        Input("to make the proof", PROOF_DAYS.value, "days", PROOF_DAYS.basis),
    )
    how = How("Counted back from the first day, in days of the calendar.", _PRACTICE, inputs)
    return Path(tuple(_due(stage, by.get(stage), done.get(stage), today) for stage in Stage), how)


def _due(stage: Stage, by: date | None, on: date | None, today: date) -> Due:
    if on is not None:
        if by is not None and on > by:
            return Due(stage, by, on, Level.LOOK, say("Done {on}, after {by}.", on=on, by=by))
        return Due(stage, by, on, Level.FINE, say("Done {on}.", on=on))
    if by is None:
        return Due(stage, by, on, Level.UNKNOWN, say("By when is not known."))
    if by < today:
        return Due(stage, by, on, Level.STOP, say("Was due {by}.", by=by))
    level = Level.LOOK if (by - today).days <= SOON_DAYS else Level.FINE
    return Due(stage, by, on, level, say("Due {by}.", by=by))


def fits(
    *, header: Header, length_mm: float, widest_mm: float, bleed_mm: float, wanted_colours: str = ""
) -> Verdict:
    """Does a picture fit one ski's outline with its bleed, in the colours the printer wants?

    Formula: needed = (length + 2 × bleed) by (widest + 2 × bleed); long side along the ski. Stated size =
        pixels / dpi × 25.4. Resolution = pixels along / needed length
    Units: mm, pixels, dpi
    Refuses: artwork.bleed
    Source: 1 inch = 25.4 mm (definition); 300 dpi good, 150 dpi least: common practice, no source
    """
    number(bleed_mm, code="artwork.bleed", name="The bleed", unit="mm", at_least=0, at_most=50)
    need_long, need_wide = length_mm + 2 * bleed_mm, widest_mm + 2 * bleed_mm
    long_px = max(header.width_px, header.height_px)
    wide_px = min(header.width_px, header.height_px)
    inputs = (
        Input("needed along", round(need_long, 1), "mm"),
        Input("needed across", round(need_wide, 1), "mm"),
        Input("bleed", bleed_mm, "mm"),
        Input("pixels", f"{long_px} × {wide_px}"),
        Input("resolution the file states", header.dpi or "none", "dpi"),
    )
    how = How("Outline and bleed against pixels.", "1 inch = 25.4 mm (definition)", inputs)
    found = [_resolution(long_px * _INCH_MM / need_long, how)]
    if header.dpi:
        found += _size(
            long_px * _INCH_MM / header.dpi, wide_px * _INCH_MM / header.dpi, need_long, need_wide, how
        )
    else:
        text = say(
            "The file does not say how large it is; tell the printer {long} by {wide} mm.",
            long=round(need_long),
            wide=round(need_wide),
        )
        found.append(Reason("artwork.no_size", text, Level.LOOK, how))
        if wide_px / long_px < need_wide / need_long * 0.98:
            text = say(
                "Scaled to the ski's length, the picture is too narrow: {have} of {need} mm.",
                have=round(wide_px * need_long / long_px),
                need=round(need_wide),
            )
            found.append(Reason("artwork.narrow", text, Level.STOP, how))
    if header.mirrored:
        text = say("The file's header says that the picture is mirrored: printers may show it either way.")
        found.append(Reason("artwork.mirrored", text, Level.STOP, how))
    if header.colours:
        found.append(_colours(header.colours, wanted_colours, how))
    return verdict(*found)


def _colours(have: str, wanted: str, how: How) -> Reason:
    """Colours as the header has them against those the printer asked for."""
    if not wanted:
        text = say("The file is {have}; which colours the printer wants is not known.", have=have)
        return Reason("artwork.colours_unknown", text, Level.UNKNOWN, how)
    if have != wanted:
        text = say("The printer wants {wanted}; the file is {have}.", wanted=wanted, have=have)
        return Reason("artwork.colours_other", text, Level.STOP, how)
    return Reason("artwork.colours_fit", say("{have}, as the printer wants.", have=have), Level.FINE, how)


def _resolution(dpi: float, how: How) -> Reason:
    shown = round(dpi)
    if dpi < LEAST_DPI:
        text = say(
            "{dpi} dpi at the ski's size: it will look coarse; {least} is the least.",
            dpi=shown,
            least=int(LEAST_DPI),
        )
        return Reason("artwork.coarse", text, Level.STOP, how)
    if dpi < GOOD_DPI * 0.99:
        text = say("{dpi} dpi at the ski's size; {good} is better.", dpi=shown, good=int(GOOD_DPI))
        return Reason("artwork.soft", text, Level.LOOK, how)
    return Reason("artwork.sharp", say("{dpi} dpi at the ski's size.", dpi=shown), Level.FINE, how)


def _size(long: float, wide: float, need_long: float, need_wide: float, how: How) -> list[Reason]:
    values = {
        "long": round(long),
        "wide": round(wide),
        "need_long": round(need_long),
        "need_wide": round(need_wide),
    }
    if long < need_long - 1 or wide < need_wide - 1:
        text = say(
            "The file is {long} by {wide} mm; outline and bleed need {need_long} by {need_wide} mm.", **values
        )
        return [Reason("artwork.small", text, Level.STOP, how)]
    if long > need_long + LONGER_MM:
        text = say(
            "The file is {long} mm long where {need_long} mm are needed: made for another ski?",
            long=values["long"],
            need_long=values["need_long"],
        )
        return [Reason("artwork.large", text, Level.LOOK, how)]
    text = say("{long} by {wide} mm hold outline and bleed.", long=values["long"], wide=values["wide"])
    return [Reason("artwork.fits", text, Level.FINE, how)]
