"""READ a pair's artwork: its path with dates, and whether its file fits the ski."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from inventory.compute import artwork as rules
from inventory.compute.artwork import Due, Header, Path, Stage
from inventory.compute.build_spec import Shaped
from inventory.compute.reasons import Level, Verdict
from inventory.models import Artwork, Pair, Revision
from inventory.queries import papers
from inventory.queries.dossier.names import people

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
        wanted_colours=row.wanted_colours,
    )


@dataclass(frozen=True, slots=True)
class Version:
    """One file that was kept as a pair's artwork. `here`: it lies on this laptop."""

    sha256: str
    media_type: str
    width_px: int | None
    height_px: int | None
    colours: str
    at: datetime
    who: str
    here: bool
    counts: bool


def versions(row: Artwork) -> list[Version]:
    """Every file that was kept, newest first; none once the guest was erased."""
    edits = list(Revision.objects.filter(card="artwork", card_id=row.pair_id).order_by("clock", "machine"))
    names = people(edit.who for edit in edits)
    known: dict[str, Any] = {}
    found: list[Version] = []
    for edit in edits:
        known |= edit.after
        if "sha256" not in edit.after:
            continue
        if not edit.after["sha256"]:
            found = []
            continue
        sha256 = edit.after["sha256"]
        fields = {key: known.get(key) for key in ("width_px", "height_px")}
        found.insert(
            0,
            Version(
                sha256=sha256,
                media_type=known.get("media_type") or "",
                colours=known.get("colours") or "",
                at=edit.at,
                who=names.get(edit.who, "") if edit.who else "",
                here=papers.path(sha256).exists(),
                counts=sha256 == row.sha256,
                **fields,
            ),
        )
    return found
