"""WRITE what temperature loggers wrote: the file put aside, then kept with the place it hung in.

The file lies in the data folder under the hash of its content; its hours are facts of one event, so that they
travel with the books and one undo takes all of them back.
"""

import hashlib
import os
import shutil
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from django.conf import settings

from inventory.actions import cards
from inventory.actions.care import check_measured
from inventory.actions.ledger import Act, happening
from inventory.actions.papers import File, attach_to
from inventory.actions.refusals import Entry
from inventory.compute.codes import derived
from inventory.errors import Refused, say
from inventory.models import Logger
from inventory.queries import logged, papers
from inventory.queries import loggers as read

FILE_MOST = 300_000_000  # bytes
_KEEP_ASIDE = timedelta(days=1)
_LOGGERS = UUID(int=0)  # what the ids of loggers with a serial come from


@dataclass(frozen=True, slots=True)
class Written:
    """One file as it was looked at: what the books keep of it, and how its logger writes."""

    place: UUID
    facts: Mapping[str, object]
    sha256: str
    size: int
    logger: UUID | None
    name: str
    serial: str
    shape: Mapping[str, object]
    zone: str
    probe: str


def put_aside(chunks: Iterable[bytes], *, now: datetime) -> str:
    """Write an uploaded file aside, piece by piece; give the hash of its content. Nothing is kept yet.

    Refuses: loggers.large
    """
    folder = Path(settings.DATA_FOLDER) / "looked"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _clear(folder, now - _KEEP_ASIDE)
    part, digest, size = folder / f"part.{os.getpid()}.{id(chunks)}", hashlib.sha256(), 0
    try:
        with part.open("wb") as file:
            for chunk in chunks:
                size += len(chunk)
                if size > FILE_MOST:
                    raise too_large()
                digest.update(chunk)
                file.write(chunk)
        part.replace(folder / digest.hexdigest())
    finally:
        part.unlink(missing_ok=True)
    return digest.hexdigest()


def too_large() -> Refused:
    """The refusal of a file over the limit; no other page takes as much."""
    return Refused(
        "loggers.large",
        say("The file is larger than {most} MB.", most=FILE_MOST // 1_000_000),
        say("Split it by date, and attach one part after the other."),
    )


def comes_first(reading: UUID) -> bool:
    """Whether nobody asked this before of one reading of a long file: its end does, and whoever stops it.

    So either it is kept or it was stopped, and whoever stops it is told which.
    """
    folder = Path(settings.DATA_FOLDER) / "looked"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        (folder / f"ended.{reading.hex}").touch(exist_ok=False)
    except FileExistsError:
        return False
    return True


def _clear(folder: Path, before: datetime) -> None:
    """Delete what lies aside since before then; another phone's look may be at the same."""
    for old in folder.iterdir():
        with suppress(FileNotFoundError):
            if old.stat().st_mtime < before.timestamp():
                old.unlink()


def written(asked: read.Asked, looked: read.Looked, shape: Mapping[str, object]) -> Written:
    """The file, also where papers lie, as `keep_log` takes it; `settle` follows. Refuses: loggers.gone"""
    kept = papers.path(asked.sha256)
    if not _lay(asked.sha256):
        raise read.gone()
    return Written(
        place=asked.place,
        facts=read.facts_of(looked, asked),
        sha256=asked.sha256,
        size=kept.stat().st_size,
        logger=asked.logger,
        name=asked.name,
        serial=looked.serial,
        shape=shape,
        zone=asked.zone,
        probe=looked.probe,
    )


def _lay(sha256: str) -> bool:
    """Lay the file where papers lie, and leave it aside too. False when it is in neither place."""
    aside, kept = read.aside(sha256), papers.path(sha256)
    kept.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with suppress(FileExistsError, FileNotFoundError):
        try:
            os.link(aside, kept)
        except PermissionError:  # a file system without links
            part = kept.with_suffix(f".{os.getpid()}")
            shutil.copyfile(aside, part)
            part.replace(kept)
    return kept.exists()


def settle(log: Written) -> None:
    """Once it is known whether a log was kept: of a kept one clear what lies aside, of another what was laid.

    Two phones may keep one file at once, and one of them be refused: the file stays for the other.
    """
    if papers.is_kept(log.sha256):
        _lay(log.sha256)
        read.aside(log.sha256).unlink(missing_ok=True)
    else:
        papers.path(log.sha256).unlink(missing_ok=True)


@happening
def keep_log(act: Act, /, *, log: Written) -> None:
    """Keep what a logger wrote in a place.

    Afterwards: how old stock there really is, is reckoned with it, for as long as the stock was there; the
    logger's card says how it writes and where it hangs; the file is a paper of the place. The same file again
    changes nothing.
    Refused: care.no_place, thing.unborn.
    """
    check_measured(log.place)
    if not logged.kept_before(log.place, log.sha256):
        act.record(logged.STEP, observed=[Entry(log.place)], where=log.place, facts=log.facts)
    _remember(act, log)
    if not any(paper.sha256 == log.sha256 for paper in papers.of([log.place])):
        attach_to(act, log.place, File(log.sha256, "text/csv", log.size, "logger file", log.name))


def _remember(act: Act, log: Written) -> None:
    """Keep on the logger's card how it writes and where it hangs now."""
    known = log.logger or _by_serial(act, log.serial)
    fields: dict[str, object] = {
        "shape": dict(log.shape),
        "zone": log.zone,
        "probe": log.probe,
        "place_id": log.place,
    }
    if log.name or not Logger.objects.filter(id=known).exists():
        fields["name"] = log.name or log.serial or "logger"
    if log.serial:
        fields["serial"] = log.serial
    cards.save(act, Logger, known, **fields)


def _by_serial(act: Act, serial: str) -> UUID:
    """The logger of a serial: the one that is known by it, else the same new one on every laptop."""
    if not serial:
        return act.id("logger")
    row = Logger.objects.filter(serial=serial).first()
    return row.id if row else derived(_LOGGERS, 0, of=f"logger {serial}")
