"""WRITE the erasing of a guest: contact, name, notes, photos. The pair and every trace stay as they are."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.errors import Refused, say
from inventory.models import Artwork, Guest, Note, Paper
from inventory.queries import erased as read
from inventory.queries import papers


@happening
def erase_guest(act: Act, /, *, guest: UUID) -> None:
    """Erase what is known of a guest, on this laptop and on every one that merges its books afterwards.

    Afterwards: the card is empty, notes beside the pairs' events say that they were erased, papers and
    artwork are withdrawn. Pairs, skis and traces are as before; the guest can no longer be warned. Reasons
    that were written for pairs of several guests at once stay.
    Refused: erased.unknown.
    """
    if not Guest.objects.filter(id=guest).exists():
        raise Refused(
            "erased.unknown",
            say("There is no such guest."),
            say(
                "Open the workshop's list again; the card may be of a laptop whose books are not merged yet."
            ),
        )
    Note.objects.filter(id__in=read.notes_of(guest)).update(text="", erased=True)
    for paper in read.papers_of(guest):
        cards.save(act, Paper, paper.id, withdrawn=True, title="")
    for artwork in read.artworks_of(guest):
        cards.save(act, Artwork, artwork.pair_id, sha256="")
    cards.save(act, Guest, guest, name="", age_band="", contact="", size="", consent=None)


def note_down(*, guest: UUID, on: date) -> None:
    """Write the guest's id on the list that outlives backups, before anything is erased.

    Afterwards: whoever restores a backup from before erases the guest again.
    """
    file = read.path()
    with file.open("a", encoding="utf-8") as out:
        out.write(f"{guest} {on.isoformat()}\n")


def drop_files(files: Iterable[str]) -> int:
    """Delete files that nothing leads to any more.

    Afterwards: they are in backups only, until those are thrown away.
    """
    count = 0
    for sha256 in set(files):
        if sha256 and not read.used(sha256):
            papers.path(sha256).unlink(missing_ok=True)
            count += 1
    return count
