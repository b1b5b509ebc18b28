"""WRITE the erasing of a guest or of someone of the crew: contact, name, notes, photos, the way in.

Pairs, traces and every event stay as they are; the event that says who was erased travels, and erases the
same on each laptop that merges it. The id stays where it was: it names nobody any more.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from uuid import UUID

from django.contrib.sessions.models import Session

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.people import last_owner
from inventory.errors import Refused, say
from inventory.models import Artwork, Guest, Note, Paper, Person, SignIn
from inventory.queries import crew, papers, recalls
from inventory.queries import erased as read
from inventory.roles import Role

_EMPTY_GUEST = {"name": "", "age_band": "", "contact": "", "consent": None}
_EMPTY_PERSON = {"name": "", "licence": "", "size": "", "under_18": False, "role": Role.HELPER.value}
_NOTE = {"text": "", "erased": True}


@happening
def erase_guest(act: Act, /, *, guest: UUID, reviewed: bool = False) -> None:
    """Erase what is known of a guest, on this laptop and on every one that merges its books afterwards.

    Afterwards: the card is empty, notes beside the pairs' events say that they were erased, papers and
    artwork are withdrawn. Pairs, skis and traces are as before; the guest can no longer be warned. Reasons
    that were written for pairs of several guests at once stay. `reviewed`: an owner looked at the open
    recall that may hurt and that a pair of this guest is in.
    Refused: erased.unknown, erased.in_recall.
    """
    if not Guest.objects.filter(id=guest).exists():
        raise _unknown()
    in_recall = [] if reviewed else recalls.warned_guest(guest)
    if in_recall:
        raise Refused(
            "erased.in_recall",
            say("A pair of this guest is in the recall {name}, which is open.", name=in_recall[0].name),
            say("Tell the guest of it first; then an owner says that it was reviewed."),
        )
    _say(act, guest, there=read.is_there(guest))
    Note.objects.filter(id__in=read.notes_of(guest)).update(**_NOTE)
    _withdraw(act, guest)
    cards.save(act, Guest, guest, **_EMPTY_GUEST)


@happening
def erase_person(act: Act, /, *, person: UUID) -> None:
    """Erase what is known of someone of the crew, on this laptop and on every one that merges its books.

    Afterwards: the card is empty, their way in and devices are gone, and so is what was written beside any
    event and says the name. What they recorded stays theirs, by id.
    Refused: erased.unknown, people.last_owner.
    """
    row = Person.objects.filter(id=person).first()
    if row is None:
        raise _unknown()
    if row.role == Role.OWNER and not crew.other_owners(person):
        raise last_owner(row.name)
    _say(act, person, there=bool(row.name))
    Note.objects.filter(id__in=read.notes_naming(row.name)).update(**_NOTE)
    _close(person, act.by.now)
    cards.save(act, Person, person, **_EMPTY_PERSON)


def _unknown() -> Refused:
    return Refused(
        "erased.unknown",
        say("There is no such guest, and nobody of the crew."),
        say("Open the list again; the card may be of a laptop whose books are not merged yet."),
    )


def _say(act: Act, who: UUID, *, there: bool) -> None:
    """The event that travels; not twice for one who is gone already."""
    if there or not read.is_gone(who):
        act.record("erased", facts={"who": str(who)})


def _withdraw(act: Act, guest: UUID, until: int | None = None) -> None:
    for paper in read.papers_of(guest, until):
        if not paper.withdrawn or paper.title:
            cards.save(act, Paper, paper.id, withdrawn=True, title="")
    for artwork in read.artworks_of(guest, until):
        cards.save(act, Artwork, artwork.pair_id, sha256="")


def _close(person: UUID, now: datetime) -> None:
    row = SignIn.objects.filter(person_id=person).select_related("user").first()
    if row is not None:
        Session.objects.filter(session_key__in=crew.keys_of_user(row.user_id, now)).delete()
        row.user.delete()


def erase_again(act: Act, names: Mapping[UUID, set[str]]) -> None:
    """Within the act of a merge: erase here whoever was erased anywhere.

    `names`: what each person was called here and there before the merge. What was written after somebody was
    erased stays, such as a note beside a ski that came back.
    """
    for gone in read.gone():
        if Guest.objects.filter(id=gone.who).exists():
            Note.objects.filter(id__in=read.notes_of(gone.who, gone.sort)).update(**_NOTE)
            Guest.objects.filter(id=gone.who).update(**_EMPTY_GUEST)
            _withdraw(act, gone.who, gone.clock)
        else:
            for name in names.get(gone.who, set()) - {""}:
                Note.objects.filter(id__in=read.notes_naming(name)).update(**_NOTE)
            _close(gone.who, act.by.now)
            Person.objects.filter(id=gone.who).update(**_EMPTY_PERSON)


def erase_notes(ids: Iterable[UUID]) -> None:
    """Erase notes that another laptop erased."""
    Note.objects.filter(id__in=list(ids)).update(**_NOTE)


def note_down(*, who: UUID, on: date) -> None:
    """Write the id of a guest or a person on the list that outlives backups, before anything is erased.

    Afterwards: whoever restores a backup from before erases them again.
    """
    file = read.path()
    with file.open("a", encoding="utf-8") as out:
        out.write(f"{who} {on.isoformat()}\n")


def note_down_merged() -> int:
    """After a merge: write on this laptop's list who was erased on another, and delete their files here.

    Afterwards: a backup of this laptop brings nobody back either.
    """
    listed = {row.who for row in read.read(read.path()) or ()}
    count = 0
    for gone in read.gone():
        if gone.who not in listed:
            note_down(who=gone.who, on=gone.on)
            listed.add(gone.who)
        count += drop_files(read.files_of(gone.who, gone.clock))
    return count


def drop_files(files: Iterable[str]) -> int:
    """Delete files that nothing leads to any more.

    Afterwards: they are in backups only, until those are thrown away.
    """
    count = 0
    for sha256 in set(files):
        file = papers.path(sha256) if sha256 and not read.used(sha256) else None
        if file is not None and file.exists():
            file.unlink()
            count += 1
    return count
