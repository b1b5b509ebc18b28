"""WRITE what a sheet says, all of its rows or none; and keep the file between the dry run and the taking."""

import hashlib
import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import UUID

from django.conf import settings

from inventory.actions import cards, delivery
from inventory.actions.delivery import LotRow
from inventory.actions.ledger import Act, happening
from inventory.actions.papers import write_whole
from inventory.compute import codes
from inventory.errors import Refused, say
from inventory.models.cards import CARDS
from inventory.queries import ledger as read
from inventory.queries.sheets_in import EditCard, Job, NewCard, NewLot, Ref

KEPT_MOST = 8  # files between a dry run and the taking
_KEPT_FOR = timedelta(days=1)  # they may hold guests' names
_DIGEST = re.compile(r"[0-9a-f]{64}")


def token_of(digest: str, what: str) -> UUID:
    """The token of taking this file as this kind: the same file is taken once, or anew when that was undone.

    Refuses: sheet.gone
    """
    if not _DIGEST.fullmatch(digest):
        raise _gone()
    tokens = (codes.derived(UUID(hex=digest[:32]), time, of=f"sheet {what}") for time in count(1))
    return next(token for token in tokens if not read.undone(token))


def keep(data: bytes, *, now: datetime) -> str:
    """Keep a file until it is taken, for a day at most, and say its digest; the oldest go."""
    digest = hashlib.sha256(data).hexdigest()
    folder = _folder()
    write_whole(folder / digest, data)
    kept = sorted(folder.glob("[0-9a-f]*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for place, path in enumerate(kept):
        old = path.name != digest and path.stat().st_mtime < (now - _KEPT_FOR).timestamp()
        if old or place >= KEPT_MOST:
            path.unlink(missing_ok=True)
    return digest


def let_go(digest: str | None = None) -> None:
    """Delete a file that was taken; without a digest every file that is kept here."""
    for path in _folder().glob("[0-9a-f]*"):
        if digest is None or path.name == digest:
            path.unlink(missing_ok=True)


def kept(digest: str) -> bytes:
    """The file of a digest. Refuses: sheet.gone"""
    path = _folder() / digest
    if not _DIGEST.fullmatch(digest) or not path.is_file():
        raise _gone()
    return path.read_bytes()


def _gone() -> Refused:
    return Refused(
        "sheet.gone",
        say("The file is not kept here any more."),
        say("Choose it again, and look at the dry run."),
    )


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "sheets"


@happening
def take_sheet(act: Act, /, *, jobs: Sequence[Job]) -> None:
    """Write every row of a sheet that was judged: cards made and changed, lots received; all or nothing.

    Afterwards: the books say what the sheet says. The same file taken again changes nothing,
    unless the taking was undone.
    Refused: sheet.nothing, and for any lot what `stock.receive_lot` refuses.
    """
    if not jobs:
        raise Refused(
            "sheet.nothing",
            say("Nothing in the sheet is new, or one of its rows is wrong."),
            say("Put right what the dry run says, and choose the file again."),
        )
    refs: dict[str, UUID] = {}
    new = [(job, _id(act, job, refs)) for job in jobs if isinstance(job, NewCard)]
    for card in dict.fromkeys(job.card for job, _ in new):  # what others point to comes first in the sheet
        rows = [(id, _filled(job, refs)) for job, id in new if job.card == card]
        cards.make_many(act, CARDS[card], rows)
    for job in jobs:
        if isinstance(job, EditCard):
            cards.edit(act, CARDS[job.card], job.id, job.changes)
    for job in jobs:
        if isinstance(job, NewLot):
            row = LotRow(job.material, job.number, job.packages, job.made_on, job.expires_on)
            delivery.receive(act, row, job.supplier, job.place)


def _id(act: Act, job: NewCard, refs: dict[str, UUID]) -> UUID:
    id = act.id(job.card)
    if job.ref:
        refs[job.ref] = id
    return id


def _filled(job: NewCard, refs: dict[str, UUID]) -> dict[str, object]:
    return {name: refs[value.name] if isinstance(value, Ref) else value for name, value in job.fields.items()}
