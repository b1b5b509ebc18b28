"""WRITE a pair's artwork: the day each stage was done, and the file for the printer."""

import hashlib
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from uuid import UUID

from django.utils import timezone

from inventory.actions import cards, papers
from inventory.actions.ledger import Act, happening
from inventory.compute.artwork import COLOURS, Stage
from inventory.compute.reasons import number
from inventory.errors import Refused, say
from inventory.formats import artwork as format
from inventory.formats.artwork import Picture
from inventory.models import Artwork, Pair
from inventory.queries import papers as read

FIELDS = {
    Stage.CAME: "came_on",
    Stage.PROOF: "proof_sent_on",
    Stage.AGREED: "agreed_on",
    Stage.PRINTER: "at_printer_on",
    Stage.HERE: "here_on",
    Stage.CHECKED: "checked_on",
}


@dataclass(frozen=True, slots=True)
class File:
    """A file that was kept, and what its header says."""

    sha256: str
    header: Picture


def keep(data: bytes) -> File:
    """Keep a top sheet's file as it is in the data folder, before anything is written in the books.

    Refuses: what `formats.artwork.header` refuses
    """
    header = format.header(data)
    digest = hashlib.sha256(data).hexdigest()
    papers.write_whole(read.path(digest), data)
    return File(digest, header)


@happening
def plan_artwork(
    act: Act, /, *, pair: UUID, printer_days: int | None, bleed_mm: float, wanted_colours: str = ""
) -> None:
    """Say how long the printer takes, which colours it wants, and how far the picture goes over the outline.

    Afterwards: each stage has its day, counted back from the workshop's first; other colours are said.
    Refused: artwork.no_pair, artwork.lead_time, artwork.bleed, artwork.wanted.
    """
    _check_pair(pair)
    if wanted_colours and wanted_colours not in COLOURS:
        raise Refused(
            "artwork.wanted",
            say("No printer wants “{colours}”.", colours=wanted_colours),
            say("Choose CMYK, RGB or grey, or leave it empty while it is not known."),
        )
    if printer_days is not None:
        number(
            printer_days,
            code="artwork.lead_time",
            name="The printer's lead time",
            unit="days",
            at_least=1,
            at_most=365,
        )
    number(bleed_mm, code="artwork.bleed", name="The bleed", unit="mm", at_least=0, at_most=50)
    values = {"printer_days": printer_days, "bleed_mm": bleed_mm, "wanted_colours": wanted_colours}
    cards.save(act, Artwork, pair, **values)


@happening
def mark_artwork(act: Act, /, *, pair: UUID, stage: str, on: date | None) -> None:
    """Say on which day a stage was done; no day takes it back.

    Afterwards: the path says so.
    Refused: artwork.no_pair, artwork.stage, artwork.future, artwork.order.
    """
    _check_pair(pair)
    if stage not in FIELDS:
        raise Refused(
            "artwork.stage",
            say("Artwork has no stage “{stage}”.", stage=stage),
            say("Choose one of the list."),
        )
    if on is not None and on > timezone.localdate(act.at):
        raise Refused(
            "artwork.future",
            say("{on} has not come yet.", on=on),
            say("Enter the day on which it was done, once it is."),
        )
    cards.save(act, Artwork, pair, **{FIELDS[Stage(stage)]: on})
    _check_order(pair)


def _check_order(pair: UUID) -> None:
    row = Artwork.objects.get(pair_id=pair)
    days = [(stage, getattr(row, name)) for stage, name in FIELDS.items() if getattr(row, name)]
    for (first, one), (second, other) in pairwise(days):
        if other < one:
            raise Refused(
                "artwork.order",
                say(
                    "“{second}” on {other} would come before “{first}” on {one}.",
                    second=second,
                    other=other,
                    first=first,
                    one=one,
                ),
                say("Check both days."),
            )


@happening
def attach_artwork(act: Act, /, *, pair: UUID, file: File) -> None:
    """Keep a file as the pair's artwork; the newest counts, an earlier one stays to be looked at.

    Afterwards: its size is held against the outline. What is printed already does not change.
    Refused: artwork.no_pair.
    """
    _check_pair(pair)
    cards.save(
        act,
        Artwork,
        pair,
        sha256=file.sha256,
        media_type=file.header.media_type,
        width_px=file.header.width_px,
        height_px=file.header.height_px,
        dpi=file.header.dpi,
        mirrored=file.header.mirrored,
        colours=file.header.colours,
    )


def _check_pair(pair: UUID) -> None:
    if not Pair.objects.filter(thing_id=pair).exists():
        raise Refused("artwork.no_pair", say("There is no such pair."), say("Scan the pair's tag."))
