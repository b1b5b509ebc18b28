"""What warmth stock has stood in: readings into stays, limits kept or not, swings, mean kinetic temperature.

Knows no place, no lot and no clock. Where nothing was measured a stay is assumed, and says so.
"""

import math
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import median

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

LEAST_GAP = timedelta(hours=1)
MOST_GAP = timedelta(hours=6)
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
SWING_K = 20.0
COLDEST_C, HOTTEST_C = -60.0, 150.0
FIRST_YEAR, LAST_YEAR = 1950, 2950
ZERO_C = 273.15
KINETIC_K = 10_000.0  # 83.144 kJ/mol over 8.3144 J/(mol K)

GAP_RULE = (
    "between two readings the hotter one; a gap of more than 3 x the logger's own interval, at least 1 h, at "
    "most 6 h, and everything before the first and after the last reading: the assumed temperature"
)
KINETIC_SOURCE = "USP 1160 (read): 83.144 kJ/mol over 8.3144 J/(mol K), so 10 000 K"
CRYSTAL_SOURCE = "entropyresins.com/how-to/crystallization (read): cold, and swings of 20 to 30 °C"


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature at one moment."""

    at: datetime
    celsius: float


@dataclass(frozen=True, slots=True)
class Stay:
    """A stretch of time at one temperature, measured or assumed."""

    starts: datetime
    ends: datetime
    celsius: Given[float]

    @property
    def hours(self) -> float:
        """How long it lasted."""
        return (_utc(self.ends) - _utc(self.starts)) / HOUR


@dataclass(frozen=True, slots=True)
class History:
    """A stretch of time cut into stays without a hole."""

    stays: tuple[Stay, ...]
    measured_h: float
    assumed_h: float
    how: How


@dataclass(frozen=True, slots=True)
class MeanKinetic:
    """The one temperature that would have done as much; it informs, it never passes anything."""

    celsius: float
    how: How


@dataclass(frozen=True, slots=True)
class Stood:
    """How stock has stood against its limits."""

    coldest_c: float
    warmest_c: float
    below_h: float
    above_h: float
    swing_k: float
    mean_kinetic_c: float
    verdict: Verdict
    how: How


def history(
    *, readings: Sequence[Reading], starts: datetime, ends: datetime, assumed_c: Given[float]
) -> History:
    """A logger's readings as stays from `starts` to `ends`, assumed wherever there is no reading.

    Formula: between two readings the hotter of both. A gap is more than 3 x the logger's own (median)
        interval, at least 1 h, at most 6 h: it counts as the assumed temperature, as does all before the
        first and after the last reading. Never a daily mean.
    Units: moments with a time zone; °C; hours.
    Shapes: no, one or many readings, moments strictly rising, none before `starts` or after `ends`.
    Refuses: storage.moment, storage.span, storage.readings, storage.temperature
    Source: common practice, no source.
    """
    starts, ends = check_span(starts, ends)
    check_celsius(assumed_c.value, "The assumed temperature")
    read = _checked(readings, starts, ends)
    stays = tuple(fill_holes(_between(read), starts, ends, assumed_c))
    measured = math.fsum(stay.hours for stay in stays if stay.celsius.basis is Basis.MEASURED)
    assumed = math.fsum(stay.hours for stay in stays if stay.celsius.basis is not Basis.MEASURED)
    inputs = (
        Input("readings", len(readings)),
        Input("measured", measured, "h"),
        Input("assumed", assumed, "h", Basis.ASSUMED),
        Input("assumed temperature", assumed_c.value, "°C", assumed_c.basis),
    )
    return History(stays, measured, assumed, How(GAP_RULE, "common practice, no source", inputs))


def mean_kinetic(*, stays: Sequence[Stay]) -> MeanKinetic:
    """The one steady temperature that would have aged stock as much as these stays did. For information only.

    Formula: T = 10 000 K / -ln(sum of hours x exp(-10 000 K / T_i) / sum of hours), in kelvin.
    Units: °C in and out; hours as weights.
    Shapes: one or more stays, in order, none overlapping.
    Refuses: storage.stays, storage.moment, storage.temperature
    Source: USP 1160 (read): 83.144 kJ/mol and 8.3144 J/(mol K). Not meant for frozen goods (second-hand).
    """
    known = check_stays(stays)
    hours = math.fsum(stay.hours for stay in known)
    rule = "T = 10 000 K / -ln(sum of hours x exp(-10 000 K / T) / sum of hours)"
    inputs = (Input("stays", len(stays)), Input("hours", hours, "h"))
    return MeanKinetic(kinetic_c(known), How(rule, KINETIC_SOURCE, inputs))


def kinetic_c(stays: Sequence[Stay]) -> float:
    """The mean kinetic temperature of stays that were checked."""
    hours = math.fsum(stay.hours for stay in stays)
    weighed = math.fsum(stay.hours * math.exp(-KINETIC_K / (stay.celsius.value + ZERO_C)) for stay in stays)
    return KINETIC_K / -math.log(weighed / hours) - ZERO_C


def stood(
    *,
    stays: Sequence[Stay],
    lowest_c: Given[float] | None = None,
    highest_c: Given[float] | None = None,
    crystallises: bool = False,
    looked_clear: bool | None = None,
) -> Stood:
    """How stock has stood against its storage limits, and whether a resin wants looking at for crystals.

    Formula: hours below the lowest and above the highest limit; swing = warmest - coldest within any 24 h.
        A resin that crystallises is to be looked at when it stood below its limit or swung by 20 K or more.
    Units: °C, K, hours.
    Shapes: one or more stays, in order, none overlapping.
    Refuses: storage.stays, storage.moment, storage.temperature, storage.limits
    Source: entropyresins.com, crystallization (read): cold, and swings of 20 to 30 °C. Limits: the product's
        own sheet.
    Caution: Warm crystals out with the cap loosened, in a water bath, without a flame, and record it.
    """
    stays = check_stays(stays)
    _check_limits(lowest_c, highest_c)
    temperatures = [stay.celsius.value for stay in stays]
    below = math.fsum(s.hours for s in stays if lowest_c is not None and s.celsius.value < lowest_c.value)
    above = math.fsum(s.hours for s in stays if highest_c is not None and s.celsius.value > highest_c.value)
    swing = _largest_swing(stays)
    limits = [("lowest allowed", lowest_c), ("highest allowed", highest_c)]
    assumed = math.fsum(stay.hours for stay in stays if stay.celsius.basis is not Basis.MEASURED)
    how = How(
        "hours beyond a limit; swing = warmest - coldest within 24 h",
        CRYSTAL_SOURCE,
        (
            *(Input(name, limit.value, "°C", limit.basis) for name, limit in limits if limit is not None),
            Input("coldest", min(temperatures), "°C"),
            Input("warmest", max(temperatures), "°C"),
            Input("assumed", assumed, "h", Basis.ASSUMED),
        ),
    )
    reasons = _beyond(below, above, lowest_c, highest_c, how)
    if crystallises and (below > 0 or swing >= SWING_K):
        reasons.append(_crystals(min(temperatures), swing, looked_clear, how))
    kinetic = kinetic_c(stays)
    return Stood(min(temperatures), max(temperatures), below, above, swing, kinetic, verdict(*reasons), how)


def fill_holes(
    stays: Iterable[Stay], starts: datetime, ends: datetime, assumed_c: Given[float]
) -> Iterator[Stay]:
    """The stays with every hole between `starts` and `ends` filled at the assumed temperature."""
    reached = starts
    for stay in stays:
        if stay.starts > reached:
            yield Stay(reached, stay.starts, assumed_c)
        yield stay
        reached = stay.ends
    if ends > reached:
        yield Stay(reached, ends, assumed_c)


def check_stays(stays: Sequence[Stay]) -> tuple[Stay, ...]:
    """The stays in UTC; refuse none, empty, backwards or overlapping ones and what is no temperature."""
    if not stays:
        raise Refused("storage.stays", say("There are 0 stays."), say("Give at least one stretch of time."))
    known: list[Stay] = []
    for stay in stays:
        starts = check_moment(stay.starts, "The start of a stay")
        ends = check_moment(stay.ends, "The end of a stay")
        check_celsius(stay.celsius.value, "The temperature of a stay")
        if ends <= starts or (known and starts < known[-1].ends):
            sentence = say("The stay from {starts} to {ends} does not follow.", starts=starts, ends=ends)
            raise Refused(
                "storage.stays", sentence, say("Give stays in order, none overlapping, none empty.")
            )
        known.append(Stay(starts, ends, stay.celsius))
    return tuple(known)


def check_moment(moment: datetime, name: str) -> datetime:
    """A moment that says its time zone, in UTC, so that a change of the clocks lengthens no stay."""
    zoned = isinstance(moment, datetime) and moment.utcoffset() is not None
    if not zoned or not FIRST_YEAR <= moment.year <= LAST_YEAR:
        sentence = say("{name} is {moment}, not a moment with a time zone.", name=name, moment=moment)
        raise Refused("storage.moment", sentence, say("Give date, time and time zone."))
    return _utc(moment)


def check_span(starts: datetime, ends: datetime) -> tuple[datetime, datetime]:
    """A span that ends after it starts, in UTC."""
    first, last = check_moment(starts, "The start"), check_moment(ends, "The end")
    if last <= first:
        sentence = say("The span ends at {ends}, not after its start {starts}.", ends=ends, starts=starts)
        raise Refused("storage.span", sentence, say("Give the earlier moment as the start."))
    return first, last


def check_celsius(value: float, name: str) -> float:
    """A temperature that stock can have stood in."""
    return number(
        value, code="storage.temperature", name=name, unit="°C", at_least=COLDEST_C, at_most=HOTTEST_C
    )


def _utc(moment: datetime) -> datetime:
    return moment if moment.tzinfo is UTC else moment.astimezone(UTC)


def _checked(readings: Sequence[Reading], starts: datetime, ends: datetime) -> list[Reading]:
    """The readings in UTC, in order, inside the span."""
    read = [Reading(check_moment(each.at, "A reading"), _read_c(each)) for each in readings]
    for before, after in pairwise(read):
        if after.at <= before.at:
            sentence = say(
                "The reading of {after} does not follow {before}.", after=after.at, before=before.at
            )
            raise Refused("storage.readings", sentence, say("Give each reading once, in the order of time."))
    if read and (read[0].at < starts or read[-1].at > ends):
        sentence = say(
            "The readings from {first} to {last} reach beyond {starts} to {ends}.",
            first=read[0].at,
            last=read[-1].at,
            starts=starts,
            ends=ends,
        )
        raise Refused("storage.readings", sentence, say("Leave out the readings before and after the span."))
    return read


def _read_c(reading: Reading) -> float:
    return check_celsius(reading.celsius, "A reading")


def _between(readings: Sequence[Reading]) -> Iterator[Stay]:
    """A stay for each pair of readings that is no gap, at the hotter of both."""
    pairs = list(pairwise(readings))
    if not pairs:
        return
    own_s = median((after.at - before.at).total_seconds() for before, after in pairs)
    most = min(MOST_GAP, max(LEAST_GAP, timedelta(seconds=3 * own_s)))
    for before, after in pairs:
        if after.at - before.at <= most:
            hotter = max(before.celsius, after.celsius)
            yield Stay(before.at, after.at, Given(hotter, Basis.MEASURED, "logger"))


def _largest_swing(stays: Sequence[Stay]) -> float:
    """The largest difference of temperature within any 24 hours, in one pass."""
    rising: deque[Stay] = deque()
    falling: deque[Stay] = deque()
    largest = 0.0
    for stay in stays:
        for kept, sign in ((rising, 1), (falling, -1)):
            while kept and sign * kept[-1].celsius.value >= sign * stay.celsius.value:
                kept.pop()
            kept.append(stay)
            while _apart(kept[0], stay) >= DAY:
                kept.popleft()
        largest = max(largest, falling[0].celsius.value - rising[0].celsius.value)
    return largest


def _apart(earlier: Stay, later: Stay) -> timedelta:
    return later.starts - earlier.ends


def _check_limits(lowest_c: Given[float] | None, highest_c: Given[float] | None) -> None:
    low = check_celsius(lowest_c.value, "The lowest limit") if lowest_c else COLDEST_C
    high = check_celsius(highest_c.value, "The highest limit") if highest_c else HOTTEST_C
    if low > high:
        sentence = say("The lowest limit, {low} °C, is above the highest, {high} °C.", low=low, high=high)
        raise Refused("storage.limits", sentence, say("Read both limits on the product's own sheet."))


def _beyond(
    below_h: float, above_h: float, lowest_c: Given[float] | None, highest_c: Given[float] | None, how: How
) -> list[Reason]:
    reasons = []
    if lowest_c is not None and below_h > 0:
        sentence = say("It stood {hours} h below {limit} °C.", hours=round(below_h, 1), limit=lowest_c.value)
        reasons.append(Reason("storage.too_cold", sentence, Level.LOOK, how))
    if highest_c is not None and above_h > 0:
        sentence = say("It stood {hours} h above {limit} °C.", hours=round(above_h, 1), limit=highest_c.value)
        reasons.append(Reason("storage.too_warm", sentence, Level.LOOK, how))
    return reasons


def _crystals(coldest_c: float, swing_k: float, looked_clear: bool | None, how: How) -> Reason:
    """A resin that may have crystallised wants looking at; one that has is warmed, not thrown away."""
    values = {"coldest": coldest_c, "swing": round(swing_k, 1)}
    if looked_clear:
        sentence = say("It stood at {coldest} °C and swung by {swing} K; looked at, it is clear.", **values)
        return Reason("storage.looked_clear", sentence, Level.FINE, how)
    if looked_clear is None:
        sentence = say("It stood at {coldest} °C and swung by {swing} K: look for cloud or grains.", **values)
        return Reason("storage.look_for_crystals", sentence, Level.LOOK, how)
    sentence = say(
        "It stood at {coldest} °C and has crystals: it needs warming, and is no older for it. Cap loosened, "
        "water bath, no flame, stir to the bottom, record it.",
        **values,
    )
    return Reason("storage.needs_warming", sentence, Level.STOP, how)
