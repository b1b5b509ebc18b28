"""READ temperature loggers' files before they are kept: what is in one, and what speaks against it.

The file lies aside in the data folder, under the hash of its content; reading it writes nothing, so leaving
the page is enough to stop.
"""

import re
from collections.abc import Generator, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.conf import settings

from inventory.compute import hours
from inventory.compute.hours import Kept, Thinner
from inventory.compute.reasons import Level
from inventory.errors import Refused, Sentence, say
from inventory.formats import logger
from inventory.formats.logger import Hints, Look, Shape, Told
from inventory.models import Logger, Place
from inventory.queries import ledger, logged
from inventory.queries.notes import Note, counted

AHEAD = timedelta(hours=1)  # what a logger's clock may be fast
OLD = timedelta(days=90)
DIFFERS_K = 2.0  # between two files of one hour: common practice, no source
SHOWN = 6  # gaps named one by one
LEFT_OUT_SHARE = 0.05  # of the readings; above it a person must be sure: common practice, no source
STEP = 1_000  # readings between two looks at how far it is
TOLD_SHARE = 0.05  # of the file, between two times it is said
_OFFSET = re.compile(r"UTC([+-])(\d{1,2})(?::(\d{2}))?")
_SHA = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Asked:
    """Which file, of which logger, in which place, and what a person says of it."""

    place: UUID
    sha256: str
    zone: str
    logger: UUID | None = None
    name: str = ""
    probe: str = ""  # the column that counts; empty: the logger's usual one, else the first
    again: bool = False  # find the shape again
    hints: Hints = field(default_factory=Hints)


@dataclass(frozen=True, slots=True)
class Looked:
    """What a file holds. `stops`: a person has to say that it is right all the same."""

    kept: Kept
    told: Told
    shape: Shape
    serial: str
    probe: str
    probes: tuple[str, ...]
    known: bool  # this very file is kept with the place already
    notes: tuple[Note, ...]

    @property
    def interval_min(self) -> int | None:
        """The usual interval in minutes, where it is whole ones."""
        minutes, left = divmod(self.kept.interval_s, 60)
        return int(minutes) if minutes and not left else None

    @property
    def stops(self) -> bool:
        """Whether something speaks against it so that a person must say it is right."""
        return any(note.level is Level.STOP for note in self.notes)


def aside(sha256: str) -> Path:
    """Where a file lies that was looked at and is not kept yet. Refuses: loggers.gone"""
    if not _SHA.fullmatch(sha256):
        raise gone()
    return Path(settings.DATA_FOLDER) / "looked" / sha256


def is_long(sha256: str, most: int) -> bool:
    """True when a file that lies aside has more bytes than that; one that is gone is not long."""
    try:
        return aside(sha256).stat().st_size > most
    except FileNotFoundError:
        return False


def gone() -> Refused:
    """The refusal of a file that is not there."""
    return Refused(
        "loggers.gone",
        say("The file is not here any more."),
        say("Choose it again and look at it again."),
    )


def zone_of(text: str) -> tzinfo:
    """The zone a logger's clock keeps: a name, or a fixed offset such as UTC+1. Refuses: loggers.zone"""
    if text == "UTC":
        return UTC
    match = _OFFSET.fullmatch(text)
    try:
        if match:
            offset = timedelta(hours=int(match[2]), minutes=int(match[3] or 0))
            return timezone(-offset if match[1] == "-" else offset, text)
        return ZoneInfo(text)
    except (KeyError, ValueError, OSError) as fault:
        raise Refused(
            "loggers.zone",
            say("{zone} is no time zone.", zone=text[:60]),
            say("Choose one of the list; a logger that keeps one time all year has a fixed offset."),
        ) from fault


def all_of(place: UUID | None = None) -> list[Logger]:
    """The loggers there are, or those that hang in one place, by name."""
    rows = Logger.objects.order_by("name", "id")
    return list(rows if place is None else rows.filter(place_id=place))


def one(id: UUID) -> Logger | None:
    """One logger."""
    return Logger.objects.filter(id=id).first()


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a file is read, in bytes and lines."""

    read: int
    size: int
    lines: int

    @property
    def percent(self) -> int:
        """Below 100 until all is read: the text layer reads ahead."""
        return min(99, 100 * self.read // max(1, self.size))


def look(asked: Asked, now: datetime) -> Looked:
    """Read a file that lies aside, from its first line to its last.

    Refuses: loggers.gone, loggers.zone, loggers.probe, loggers.ahead, and what `formats.logger` and
    `compute.hours` refuse.
    """
    walk = steps(asked, now)
    while True:
        try:
            next(walk)
        except StopIteration as done:
            found: Looked = done.value
            return found


def steps(asked: Asked, now: datetime) -> Generator[Progress, None, Looked]:
    """The same, saying some twenty times how far it is. Left off, it reads no further; refuses as `look`."""
    path, zone = aside(asked.sha256), zone_of(asked.zone)
    row = one(asked.logger) if asked.logger else None
    try:
        size = path.stat().st_size
        with path.open("rb") as raw, logger.as_text(raw) as file:
            found = logger.find_shape(file, asked.hints) if _is_new(row, asked) else _remembered(row)
            file.seek(0)
            log = logger.Log(file, found.shape, zone=zone)
            at, probe = _probe(found.shape, asked.probe or (row.probe if row else ""))
            thinner, told_at = Thinner(), 0
            for count, reading in enumerate(log):
                value = reading.values[at]
                if value is not None:
                    thinner.take(reading.at, value)
                if not count % STEP and raw.tell() - told_at > size * TOLD_SHARE:
                    told_at = raw.tell()
                    yield Progress(told_at, size, log.told().lines)
    except FileNotFoundError as fault:
        raise gone() from fault
    told = log.told()
    _check_sensor(thinner, told, probe)
    kept = thinner.kept()
    _check_clock(kept, now)
    serial = told.serial or found.serial or ""
    known = logged.kept_before(asked.place, asked.sha256)
    notes = [*_who(row, serial, asked), *_quality(kept, told, now), *_overlap(kept, asked.place, known)]
    probes = tuple(each.name for each in found.shape.probes if not each.unit.is_pressure)
    return Looked(kept, told, found.shape, serial, probe, probes, known, tuple(notes))


def _is_new(row: Logger | None, asked: Asked) -> bool:
    return row is None or not row.shape or asked.again


def _remembered(row: Any) -> Look:
    return Look(logger.recalled(row.shape), None, ())


def _probe(shape: Shape, wanted: str) -> tuple[int, str]:
    """Which value of a reading counts."""
    named = {probe.name: at for at, probe in enumerate(shape.probes) if not probe.unit.is_pressure}
    if not named:
        raise Refused(
            "loggers.probe",
            say("The file has no temperatures, only pressures."),
            say("Choose the file of a logger that hangs in a place."),
        )
    name = wanted if wanted in named else next(iter(named))
    if wanted and wanted not in named:
        raise Refused(
            "loggers.probe",
            say("The file has no column {probe}.", probe=wanted[:80]),
            say("Choose one of: {probes}.", probes=", ".join(named)),
        )
    return named[name], name


def _check_sensor(thinner: Thinner, told: Any, probe: str) -> None:
    """Refuse a column of which nearly nothing is believed, with what the sensor gave instead."""
    faults = [fault for fault in told.faults if fault.probe == probe]
    if thinner.readings < 2 and faults:
        worst = max(faults, key=lambda fault: fault.count)
        raise Refused(
            "hours.none",
            say(
                "Of its readings {count} can be believed. {times} values of {probe} are not: {fault}.",
                count=thinner.readings,
                times=worst.count,
                probe=probe,
                fault=worst.fault.value,
            ),
            say("Look at the sensor and its line; choose another column if the file has one."),
        )


def _check_clock(kept: Kept, now: datetime) -> None:
    if kept.last_at > now + AHEAD:
        raise Refused(
            "loggers.ahead",
            say("Its last reading is of {at}, which has not come yet.", at=kept.last_at),
            say("Check the order of day and month, and the zone. Else the logger's clock is wrong: set it."),
        )


def _who(row: Logger | None, serial: str, asked: Asked) -> Iterable[Note]:
    """Whose file it is, where the file says so."""
    if not serial:
        yield Note(say("The file does not say which logger wrote it."), Level.FINE)
        return
    if row is not None and row.serial and row.serial != serial:
        yield Note(
            say(
                "The file is of logger {number}; {name} is {own}.",
                number=serial,
                name=row.name,
                own=row.serial,
            ),
            Level.STOP,
        )
    other = Logger.objects.filter(serial=serial).exclude(place_id=asked.place).first()
    if other is not None:
        card = Place.objects.filter(thing_id=other.place_id).first()
        yield Note(
            say(
                "Logger {number} hung in {place} when its last file was kept.",
                number=serial,
                place=card.name if card else ledger.name(other.place_id),
            ),
            Level.STOP,
        )


def _quality(kept: Kept, told: Told, now: datetime) -> Iterable[Note]:
    """What is wrong with the readings, if anything."""
    for fault in told.faults:
        yield Note(
            say(
                "{count} values of {probe} are not believed, since {at}: {fault}. They count as no reading.",
                count=fault.count,
                probe=fault.probe,
                at=fault.first_at,
                fault=fault.fault.value,
            ),
            Level.LOOK,
        )
    if told.skipped:
        yield Note(
            say(
                "{count} lines are no reading, first line {line}.",
                count=told.skipped,
                line=told.first_skipped_line,
            ),
            Level.LOOK,
        )
    yield from _left_out(kept)
    yield from _holes(kept)
    if kept.lowest_c == kept.highest_c and kept.last_at - kept.first_at > timedelta(days=2):
        yield Note(
            say("It shows {celsius} °C from first to last: is the sensor in order?", celsius=kept.lowest_c),
            Level.LOOK,
        )
    if now - kept.last_at > OLD:
        days = (now - kept.last_at).days
        yield Note(say("Its last reading is {days} days old: is it the right file?", days=days), Level.LOOK)


def _left_out(kept: Kept) -> Iterable[Note]:
    """Readings whose time goes back: few of them matter little, many are warmth that nobody is charged."""
    if not kept.left_out:
        return
    values = {"count": kept.left_out, "celsius": round(kept.left_out_highest_c or 0.0, 1)}
    yield Note(
        counted(
            kept.left_out,
            say("1 reading of {celsius} °C is not later than one before it, and left out.", **values),
            say(
                "{count} readings of up to {celsius} °C are not later than one before them, and left out: "
                "was a clock set back, or is one date wrong?",
                **values,
            ),
        ),
        Level.STOP if kept.left_out > LEFT_OUT_SHARE * (kept.readings + kept.left_out) else Level.LOOK,
    )


def _holes(kept: Kept) -> Iterable[Note]:
    for hole in kept.holes[:SHOWN]:
        yield Note(say("No reading from {starts} to {ends}.", starts=hole.starts, ends=hole.ends), Level.LOOK)
    more = len(kept.holes) - SHOWN
    if more > 0:
        yield Note(counted(more, say("1 more gap."), say("{count} more gaps.", count=more)), Level.LOOK)


def _overlap(kept: Kept, place: UUID, known: bool) -> Iterable[Note]:
    """What is known of the same hours already."""
    if known:
        yield Note(
            say("This very file is kept with the place already: keeping it again changes nothing."),
            Level.FINE,
        )
        return
    before = logged.hours_of([place]).get(place, [])
    both, apart = hours.differences(kept.hours, before)
    if both and apart > DIFFERS_K:
        yield Note(
            say(
                "{hours} hours are known already, up to {kelvin} K apart: another logger, or another clock?",
                hours=both,
                kelvin=round(apart, 1),
            ),
            Level.STOP,
        )
    elif both:
        yield Note(
            say(
                "{hours} hours are known already; of each the fuller one counts, else the warmer.", hours=both
            ),
            Level.FINE,
        )


def facts_of(looked: Looked, asked: Asked) -> Mapping[str, object]:
    """What the books keep of a file: hours as `compute.hours.packed` has them, and where they are from."""
    kept = looked.kept
    return {
        "file": asked.sha256,
        "serial": looked.serial,
        "readings": kept.readings,
        "from": kept.first_at.isoformat(),
        "to": kept.last_at.isoformat(),
        "lowest_c": kept.lowest_c,
        "highest_c": kept.highest_c,
        "interval_s": kept.interval_s,
        "gaps": len(kept.holes),
        "hours": hours.packed(kept.hours),
    }


def sentence(looked: Looked) -> Sentence:
    """The file in one sentence."""
    kept = looked.kept
    return say(
        "{readings} readings from {start} to {end}, {lowest} °C to {highest} °C.",
        readings=kept.readings,
        start=kept.first_at,
        end=kept.last_at,
        lowest=round(kept.lowest_c, 1),
        highest=round(kept.highest_c, 1),
    )
