"""READ a pair's artwork: its path with dates, and whether its file fits the ski."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from inventory.compute import artwork as rules
from inventory.compute.artwork import Due, Header, Path, Stage
from inventory.compute.build_spec import Shaped
from inventory.compute.reasons import Level, Verdict
from inventory.models import Artwork, Pair

_FIELDS = ("came_on", "proof_sent_on", "agreed_on", "at_printer_on", "here_on", "checked_on")


def of(pair: Pair) -> Artwork:
    """A pair's artwork; an empty one where nothing was entered."""
    return Artwork.objects.filter(pair=pair).first() or Artwork(pair=pair)


def path(pair: Pair, row: Artwork, today: date) -> Path:
    """The stages with the day each is due and was done."""
    done = {stage: getattr(row, name) for stage, name in zip(Stage, _FIELDS, strict=True)}
    return rules.path(
        first_day=pair.workshop.starts_on if pair.workshop else None,
        printer_days=row.printer_days,
        done={stage: on for stage, on in done.items() if on},
        today=today,
    )


def pressing(pairs: Iterable[Pair], today: date) -> dict[UUID, Due]:
    """Of pairs whose artwork is near its next day or past it, the stage that is next; one statement."""
    kept = list(pairs)
    rows = {row.pair_id: row for row in Artwork.objects.filter(pair__in=kept)}
    found: dict[UUID, Due] = {}
    for pair in kept:
        row = rows.get(pair.thing_id)
        if row is None:
            continue
        due = next((due for due in path(pair, row, today).stages if due.on is None), None)
        if due is not None and due.level in (Level.LOOK, Level.STOP):
            found[pair.thing_id] = due
    return found


def header(row: Artwork) -> Header | None:
    """What the kept file's header says; None without a file."""
    if not row.sha256 or row.width_px is None or row.height_px is None:
        return None
    return Header(row.width_px, row.height_px, row.dpi, bool(row.mirrored), row.colours)


def fits(row: Artwork, shaped: Shaped) -> Verdict | None:
    """Whether the kept file fits the ski; None without a file."""
    found = header(row)
    if found is None:
        return None
    return rules.fits(
        header=found,
        length_mm=shaped.outline.length_mm,
        widest_mm=shaped.outline.widest_mm,
        bleed_mm=row.bleed_mm,
    )
