"""Temperatures that people read and typed, into stays. Some thermometers keep their highest, most do not.

Knows no place and no clock. What a logger wrote is `storage.history`; both give stays that `ageing` charges.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

from inventory.compute.reasons import Basis, Given, How, Input
from inventory.compute.storage import MOST_GAP, History, Stay, check_celsius, check_moment, fill_holes
from inventory.errors import Refused, say

RULE = (
    "from one reading to the next the highest the thermometer kept; where it keeps none the hotter of both, "
    "if they are at most 6 h apart; all else the assumed temperature"
)
SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Read:
    """One reading, and the highest and lowest kept since the one before; None where nothing keeps them."""

    at: datetime
    celsius: float
    highest_c: float | None = None
    lowest_c: float | None = None


def stays(*, readings: Sequence[Read], starts: datetime, ends: datetime, assumed_c: Given[float]) -> History:
    """Typed readings of one place as stays from `starts` to `ends`, assumed wherever nobody read.

    Formula: between two readings the highest kept by the later one, at least the hotter of both; where none
        is kept the hotter of both if they are at most 6 h apart. Never a daily mean.
    Units: moments with a time zone; °C; hours.
    Shapes: no, one or many readings, moments strictly rising; those outside count where they reach in.
    Refuses: readings.order, readings.highest, readings.span, storage.moment, storage.temperature
    Source: common practice, no source.
    """
    starts, ends = check_moment(starts, "The start"), check_moment(ends, "The end")
    if ends <= starts:
        raise Refused(
            "readings.span",
            say("The span from {starts} to {ends} has no length.", starts=starts, ends=ends),
            say("Give the earlier moment as the start."),
        )
    check_celsius(assumed_c.value, "The assumed temperature")
    known = list(_clipped(_spans(_checked(readings)), starts, ends))
    found = tuple(fill_holes(known, starts, ends, assumed_c))
    measured = math.fsum(stay.hours for stay in known)
    assumed = math.fsum(stay.hours for stay in found) - measured
    inputs = (
        Input("readings", len(readings)),
        Input("read", measured, "h"),
        Input("assumed", assumed, "h", Basis.ASSUMED),
        Input("assumed temperature", assumed_c.value, "°C", assumed_c.basis),
    )
    return History(found, measured, assumed, How(RULE, SOURCE, inputs))


def laid_under(first: Sequence[Stay], under: Iterable[Stay]) -> list[Stay]:
    """The first stays as they are, and of the others what falls into their holes; both in order of time."""
    found, at = list(first), 0
    for stay in under:
        begins = stay.starts
        while at < len(first) and first[at].ends <= begins:
            at += 1
        ahead = at
        while ahead < len(first) and first[ahead].starts < stay.ends:
            if first[ahead].starts > begins:
                found.append(Stay(begins, first[ahead].starts, stay.celsius))
            begins = max(begins, first[ahead].ends)
            ahead += 1
        if begins < stay.ends:
            found.append(Stay(begins, stay.ends, stay.celsius))
    return sorted(found, key=lambda stay: stay.starts)


def check(reading: Read) -> None:
    """Refuse what no thermometer shows: out of bounds, a highest below what it shows now, a lowest above.

    Refuses: readings.highest, readings.lowest, storage.temperature
    """
    now, highest, lowest = reading.celsius, reading.highest_c, reading.lowest_c
    for value, name in ((now, "The temperature"), (highest, "The highest"), (lowest, "The lowest")):
        if value is not None:
            check_celsius(value, name)
    swapped = say("Read both again; the two may be swapped.")
    if highest is not None and highest < now:
        sentence = say(
            "The highest, {highest} °C, is below what it shows now, {now} °C.", highest=highest, now=now
        )
        raise Refused("readings.highest", sentence, swapped)
    if lowest is not None and lowest > now:
        sentence = say(
            "The lowest, {lowest} °C, is above what it shows now, {now} °C.", lowest=lowest, now=now
        )
        raise Refused("readings.lowest", sentence, swapped)


def _checked(readings: Sequence[Read]) -> list[Read]:
    for reading in readings:
        check(reading)
    found = [
        Read(check_moment(reading.at, "A reading"), reading.celsius, reading.highest_c)
        for reading in readings
    ]
    for before, after in pairwise(found):
        if after.at <= before.at:
            raise Refused(
                "readings.order",
                say("The reading of {at} does not follow the one before.", at=after.at),
                say("Give each reading once, in the order of time."),
            )
    return found


def _spans(readings: Sequence[Read]) -> Iterator[Stay]:
    """A stay for each pair of readings that says how warm it was between them."""
    for before, after in pairwise(readings):
        hotter = max(before.celsius, after.celsius)
        if after.highest_c is not None:
            kept = Given(max(hotter, after.highest_c), Basis.MEASURED, "highest kept by the thermometer")
            yield Stay(before.at, after.at, kept)
        elif after.at - before.at <= MOST_GAP:
            yield Stay(before.at, after.at, Given(hotter, Basis.MEASURED, "thermometer"))


def _clipped(spans: Iterator[Stay], starts: datetime, ends: datetime) -> Iterator[Stay]:
    for stay in spans:
        begins, stops = max(stay.starts, starts), min(stay.ends, ends)
        if begins < stops:
            yield Stay(begins.astimezone(UTC), stops.astimezone(UTC), stay.celsius)
