"""READ who was erased: a list of ids and days beside the data folder, in no backup; and what erasing takes.

The list outlives every backup, so that nobody comes back with one. It names nobody.
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from uuid import UUID

from django.conf import settings

from inventory.compute.codes import Code
from inventory.errors import Refused, say
from inventory.models import Artwork, Event, Guest, Line, Note, Pair, Paper, Ski, State, Tag
from inventory.queries.ledger import chunks


@dataclass(frozen=True, slots=True)
class Erased:
    """One guest who was erased, and on which day."""

    guest: UUID
    on: date


@dataclass(frozen=True, slots=True)
class Told:
    """What erasing a guest takes. `pairs`: their codes; `in_work`: pairs not handed over."""

    name: str
    pairs: tuple[str, ...]
    in_work: int
    notes: int
    files: int


def path() -> Path:
    """Where the list of this data folder lies, there or not."""
    folder = Path(settings.DATA_FOLDER)
    return folder.with_name(f"{folder.name}-erased.txt")


def read(file: Path, *, must: bool = False) -> list[Erased] | None:
    """The list; None when there is none and it need not be there.

    Refuses: erased.list
    """
    if not must and not file.exists():
        return None
    found = []
    for number, line in enumerate(file.read_text("utf-8").splitlines(), 1):
        try:
            guest, on = line.split()
            found.append(Erased(UUID(guest), date.fromisoformat(on)))
        except ValueError as error:
            raise Refused(
                "erased.list",
                say("Line {number} of {file} names nobody.", number=number, file=file),
                say("Put the list right first: each line is an id and a day, as it was written."),
            ) from error
    return found


def is_there(guest: UUID) -> bool:
    """True when anything of this guest is on the card."""
    row = Guest.objects.filter(id=guest).first()
    return row is not None and bool(row.name or row.contact or row.age_band or row.consent is not None)


def things_of(guest: UUID) -> list[UUID]:
    """The guest's pairs and their skis."""
    pairs = list(Pair.objects.filter(guest_id=guest).values_list("thing_id", flat=True))
    return [*pairs, *Ski.objects.filter(pair_id__in=pairs).values_list("thing_id", flat=True)]


def notes_of(guest: UUID) -> list[UUID]:
    """Notes beside events of the guest's pairs, but those that other pairs take part in."""
    own = things_of(guest)
    others = Ski.objects.exclude(thing_id__in=own).values("thing_id")
    events = set(Line.objects.filter(thing_id__in=own).values_list("event_id", flat=True))
    shared = {
        event
        for part in chunks(events)
        for event in Line.objects.filter(event_id__in=part, thing_id__in=others).values_list(
            "event_id", flat=True
        )
    }
    own_events = events - shared
    found = []
    for part in chunks(own_events):
        rows = Event.objects.filter(id__in=part) | Event.objects.filter(reverses__in=part)
        found += [note for note in rows.values_list("note", flat=True) if note]
    return list(Note.objects.filter(id__in=found, erased=False).values_list("id", flat=True))


def papers_of(guest: UUID) -> list[Paper]:
    """Papers and photos kept with the guest, the pairs or the skis, withdrawn ones too."""
    return list(Paper.objects.filter(about__in=[guest, *things_of(guest)]))


def artworks_of(guest: UUID) -> list[Artwork]:
    """The artwork of the guest's pairs that has a file."""
    return list(Artwork.objects.filter(pair__guest_id=guest).exclude(sha256=""))


def files_of(guest: UUID) -> list[str]:
    """The hashes of the files that are the guest's."""
    papers = [row.sha256 for row in papers_of(guest)]
    return papers + [row.sha256 for row in artworks_of(guest)]


def used(sha256: str) -> bool:
    """True when any paper or artwork still leads to this file."""
    return (
        Paper.objects.filter(sha256=sha256, withdrawn=False).exists()
        or Artwork.objects.filter(sha256=sha256).exists()
    )


def what(guest: UUID) -> Told | None:
    """What erasing this guest takes; None when there is no such guest."""
    row = Guest.objects.filter(id=guest).first()
    if row is None:
        return None
    pairs = list(Pair.objects.filter(guest_id=guest).values_list("thing_id", flat=True))
    codes = Tag.objects.filter(thing_id__in=pairs).order_by("code").values_list("code", flat=True)
    handed = set(
        Line.objects.filter(
            thing_id__in=pairs, event__step="handed over", event__skipped__isnull=True
        ).values_list("thing_id", flat=True)
    )
    born = State.objects.filter(thing_id__in=pairs).exclude(thing_id__in=handed).count()
    return Told(
        row.name,
        tuple(Code(code).shown for code in codes),
        born,
        len(notes_of(guest)),
        len(set(files_of(guest))),
    )
