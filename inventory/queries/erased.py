"""READ who was erased: a list of ids and days beside the data folder, in no backup; and what erasing takes.

The list outlives every backup, so that nobody comes back with one. It names nobody.
"""

import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db.models import Q, QuerySet

from inventory.compute.codes import Code
from inventory.errors import Refused, say
from inventory.models import Artwork, Event, Guest, Line, Note, Pair, Paper, Person, Revision, Ski, State, Tag
from inventory.queries.ledger import chunks


@dataclass(frozen=True, slots=True)
class Erased:
    """One guest or person who was erased, and on which day."""

    who: UUID
    on: date


@dataclass(frozen=True, slots=True)
class Gone:
    """One who was erased on any laptop of the shop, as the books say. `sort`, `clock`: of that event."""

    who: UUID
    on: date
    sort: int
    clock: int


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
            who, on = line.split()
            found.append(Erased(UUID(who), date.fromisoformat(on)))
        except ValueError as error:
            raise Refused(
                "erased.list",
                say("Line {number} of {file} names nobody.", number=number, file=file),
                say("Put the list right first: each line is an id and a day, as it was written."),
            ) from error
    return found


def gone() -> list[Gone]:
    """Everybody who was erased, each once, by the newest event that says so."""
    events = Event.objects.filter(step="erased").order_by("sort", "machine")
    found = {
        row.facts["who"]: Gone(UUID(row.facts["who"]), row.at.date(), row.sort, row.clock) for row in events
    }
    return list(found.values())


def is_gone(who: UUID) -> bool:
    """True when this guest or person was erased."""
    return Event.objects.filter(step="erased", facts__who=str(who)).exists()


def is_there(guest: UUID) -> bool:
    """True when anything of this guest is on the card."""
    row = Guest.objects.filter(id=guest).first()
    return row is not None and bool(row.name or row.contact or row.age_band or row.consent is not None)


def works_here(person: UUID) -> bool:
    """True when anything of this person of the crew is on the card."""
    return Person.objects.filter(id=person).exclude(name="").exists()


def things_of(guest: UUID) -> list[UUID]:
    """The guest's pairs and their skis."""
    pairs = list(Pair.objects.filter(guest_id=guest).values_list("thing_id", flat=True))
    own = Ski.objects.filter(Q(pair_id__in=pairs) | Q(was_of_id__in=pairs))
    return [*pairs, *own.values_list("thing_id", flat=True)]


def notes_of(guest: UUID, until: int | None = None) -> list[UUID]:
    """Notes beside events of the guest's pairs, but those that other pairs take part in.

    `until`: none of events that sort after it.
    """
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
        if until is not None:
            rows = rows.filter(sort__lte=until)
        found += [note for note in rows.values_list("note", flat=True) if note]
    return list(Note.objects.filter(id__in=found, erased=False).values_list("id", flat=True))


def notes_naming(name: str) -> list[UUID]:
    """Notes in which a name stands: the whole of it, or one word of it that is written large."""
    parts = [name, *(word for word in name.split() if len(word) > 2)] if name.strip() else []
    words = [re.compile(rf"\b{re.escape(part)}\b") for part in parts]
    rows = Note.objects.filter(erased=False).exclude(text="").values_list("id", "text")
    return [id for id, text in rows.iterator() if any(word.search(text) for word in words)]


def papers_of(guest: UUID, until: int | None = None) -> list[Paper]:
    """Papers and photos kept with the guest, the pairs or the skis, withdrawn ones too.

    `until`: none whose card was made after that moment of the ledger's clock.
    """
    rows = list(Paper.objects.filter(about__in=[guest, *things_of(guest)]))
    if until is None:
        return rows
    own = Revision.objects.filter(card="paper", card_id__in=[row.id for row in rows], clock__lte=until)
    before = set(own.values_list("card_id", flat=True))
    return [row for row in rows if row.id in before]


def artworks_of(guest: UUID, until: int | None = None) -> list[Artwork]:
    """The artwork of the guest's pairs that has a file.

    `until`: none whose file came after that moment of the ledger's clock.
    """
    rows = list(Artwork.objects.filter(pair__guest_id=guest).exclude(sha256=""))
    if until is None:
        return rows
    later = _artwork_edits([row.pair_id for row in rows]).filter(clock__gt=until)
    newer = {edit.card_id for edit in later if edit.after.get("sha256")}
    return [row for row in rows if row.pair_id not in newer]


def _artwork_edits(pairs: list[UUID]) -> QuerySet[Revision]:
    return Revision.objects.filter(card="artwork", card_id__in=pairs)


def files_of(guest: UUID, until: int | None = None) -> list[str]:
    """The hashes of the files that are the guest's: also of artwork that a newer file took the place of."""
    papers = [row.sha256 for row in papers_of(guest, until)]
    pairs = list(Pair.objects.filter(guest_id=guest).values_list("thing_id", flat=True))
    edits = _artwork_edits(pairs)
    if until is not None:
        edits = edits.filter(clock__lte=until)
    return papers + [edit.after["sha256"] for edit in edits if edit.after.get("sha256")]


def used(sha256: str) -> bool:
    """True when any paper or artwork still leads to this file."""
    return (
        Paper.objects.filter(sha256=sha256, withdrawn=False).exists()
        or Artwork.objects.filter(sha256=sha256).exists()
    )


def what_of_person(person: UUID) -> tuple[str, int] | None:
    """Name, and how many notes say it; None when there is nobody of that id."""
    row = Person.objects.filter(id=person).first()
    return None if row is None else (row.name, len(notes_naming(row.name)))


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
