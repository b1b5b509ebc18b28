"""WRITE papers: certificates, delivery papers and photos kept with a lot, a thing or a card.

The file lies in the data folder under the hash of its content, so that the same paper twice is one file;
files do not travel with a bundle.
"""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.errors import Refused, say
from inventory.formats import photo
from inventory.models import Paper
from inventory.queries import papers as read

WHAT = (
    "certificate",
    "delivery paper",
    "data sheet",
    "safety data sheet",
    "inspection paper",
    "photo",
    "logger file",
    "other",
)


@dataclass(frozen=True, slots=True)
class File:
    """A file that was kept: its content's hash, what it is, and how people know it."""

    sha256: str
    media_type: str
    size: int
    what: str
    title: str = ""


def keep(data: bytes, *, what: str, title: str = "") -> File:
    """Clean what was attached and keep it in the data folder, before anything is written in the books.

    Refuses: paper.what, and what `photo.clean_paper` refuses
    """
    if what not in WHAT:
        raise Refused("paper.what", say("A paper cannot be a {what}.", what=what), say("Choose what it is."))
    paper = photo.clean_paper(data)
    digest = hashlib.sha256(paper.data).hexdigest()
    write_whole(read.path(digest), paper.data)
    return File(digest, paper.content_type, len(paper.data), what, title.strip()[:120])


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all; one that is there already has this content."""
    if path.exists():
        return
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_suffix(f".{os.getpid()}")
    with part.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)


def attach_to(act: Act, about: UUID, file: File) -> None:
    """Keep a file with something, within an act."""
    cards.save(
        act,
        Paper,
        act.id("paper"),
        about=about,
        what=file.what,
        title=file.title,
        sha256=file.sha256,
        media_type=file.media_type,
        size=file.size,
    )


@happening
def attach(act: Act, /, *, about: UUID, file: File) -> None:
    """Keep a paper with a lot, a package, a piece of equipment, or the card of a material or supplier.

    Afterwards: its page leads to the paper.
    """
    attach_to(act, about, file)


@happening
def withdraw(act: Act, /, *, paper: UUID) -> None:
    """Take a paper away from what it was kept with: the wrong one, or one too many.

    Afterwards: no page leads to it. The file stays in the data folder until an owner deletes it there.
    Refused: card.unknown.
    """
    cards.edit(act, Paper, paper, {"withdrawn": True})
