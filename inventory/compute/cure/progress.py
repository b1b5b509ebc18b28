"""How much of a resin's schedule has run along a logged curve, and when it will have.

Knows no press, no pressure and no clock. It speaks of a share of the data sheet's schedule, and of nothing
else: how far a resin has hardened is not something a thermometer measures.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from itertools import accumulate, pairwise
from operator import add, mul

from inventory.compute.cure.curve import Log, Ramp, Span, Window, ramps, window
from inventory.compute.cure.schedule import COLDEST_C, CREDIT_BELOW_LOWEST_K, HOTTEST_C, Schedule
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, number
from inventory.errors import Refused, Sentence, Term, say

ROUNDING = 1e-9  # a sum of some thousand floats may fall this far short of the whole schedule
COLD_C = 15.0
NEVER_BELOW_C = (
    45.0  # a press log in °C is cooler than this at one end or the other; one in °F hardly ever is
)


@dataclass(frozen=True, slots=True)
class Progress:
    """How much of a schedule has run by a log, by two sums, and what else the temperatures show."""

    cautious_share: float  # the cooler end of each interval counts
    plain_share: float  # the mean of both ends' rates counts
    could_be_share: float  # cautious, and every gap as if it had been at the hottest listed point
    reached_at_s: float | None  # when the cautious sum came to the whole schedule
    at_s: tuple[float, ...]
    coldest_c: tuple[float, ...]
    hottest_c: tuple[float, ...]
    cautious_along: tuple[float, ...]  # the sums at each of at_s, for drawing
    plain_along: tuple[float, ...]
    gaps: tuple[Span, ...]
    gap_limit_s: float
    last_at_s: float
    last_coldest_c: float
    last_hottest_c: float
    last_hottest_probe: str
    highest_c: float
    highest_at_s: float
    highest_probe: str
    lowest_c: float
    too_cold_s: float  # too far below the coldest listed point to count
    heating: Ramp | None
    cooling: Ramp | None
    silent: tuple[str, ...]  # probes without a reading, not left out on purpose
    alarm: Reason | None  # hotter than any listed point
    notes: tuple[Reason, ...]
    how: How

    @property
    def reached(self) -> bool:
        """The whole schedule has run, by the cautious sum."""
        return self.reached_at_s is not None

    @property
    def gap_decides(self) -> bool:
        """Not reached, and what is missing in the log could have made up for it."""
        return not self.reached and self.could_be_share >= 1 - ROUNDING


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the schedule will have run, should the temperature stay as it is."""

    hours_left: float | None  # None: never at this temperature
    reached_at_s: float | None
    temperature_c: Given[float]
    sentence: Sentence
    how: How


def _sums(seen: Window, schedule: Schedule) -> tuple[list[float], list[float], list[float]]:
    """Both sums at each row, and the rates of the rows."""
    hours = schedule.hours_at(set(seen.coldest_c))
    per_s = {celsius: 1 / (3600 * needed) for celsius, needed in hours.items()}
    rates = list(map(per_s.__getitem__, seen.coldest_c))
    cooler_end = [a if a < b else b for a, b in pairwise(rates)]
    cautious = list(accumulate(map(mul, seen.seconds, cooler_end), initial=0.0))
    both_ends = map(add, rates, rates[1:])
    plain = [twice / 2 for twice in accumulate(map(mul, seen.seconds, both_ends), initial=0.0)]
    return cautious, plain, rates


def _reached_at(at_s: list[float], seconds: list[float], along: list[float]) -> float | None:
    """The moment the sum comes to one, within the interval in which it does."""
    row = bisect_left(along, 1 - ROUNDING)
    if row == len(along):
        return None
    before = row - 1
    part = (1 - along[before]) / (along[row] - along[before])
    return at_s[before] + min(part, 1.0) * seconds[before]


def _highest(seen: Window) -> tuple[float, float, str]:
    """The highest reading inside the cycle, when, and of which probe."""
    tops = {name: max(column[seen.inside]) for name, column in seen.probes_c.items()}
    probe = max(tops, key=lambda name: tops[name])
    row = seen.probes_c[probe][seen.inside].index(tops[probe])
    return tops[probe], seen.at_s[seen.inside][row], probe


def _alarm(schedule: Schedule, highest_c: float, probe: str) -> Reason | None:
    if highest_c <= schedule.highest_c:
        return None
    sentence = say(
        "Alarm: {probe} read {highest} °C, above the highest listed {listed} °C. Nothing more was gained "
        "by it; look at hose, base and heating, and keep clear of a press that heats by itself.",
        probe=probe,
        highest=round(highest_c, 2),
        listed=schedule.highest_c,
    )
    return Reason("cure.above_listed", sentence, Level.LOOK, schedule.how)


def _probe_notes(seen: Window, log: Log) -> list[Reason]:
    notes = []
    for name in seen.silent:
        sentence = say(
            "{probe} gave no reading: it might be the coldest. Fetch its readings, or leave it out on "
            "purpose.",
            probe=name,
        )
        notes.append(Reason("cure.probe_silent", sentence, Level.UNKNOWN))
    for name, count in seen.skips.items():
        sentence = say("{probe} is silent in {count} rows; those rows are not used.", probe=name, count=count)
        notes.append(Reason("cure.probe_skips", sentence, Level.LOOK))
    for name in log.left_out:
        sentence = say("{probe} was left out on purpose.", probe=name)
        notes.append(Reason("cure.without_probe", sentence, Level.LOOK))
    if len(seen.probes_c) == 1:
        sentence = say("Only one probe was read: another place in the press may have been colder.")
        notes.append(Reason("cure.one_probe", sentence, Level.LOOK))
    return notes


def _temperature_notes(lowest_c: float, too_cold_s: float, schedule: Schedule) -> list[Reason]:
    notes = []
    if too_cold_s:
        sentence = say(
            "{minutes} min were more than {below} K below the coldest listed {listed} °C and count nothing.",
            minutes=round(too_cold_s / 60),
            below=CREDIT_BELOW_LOWEST_K,
            listed=schedule.lowest_c,
        )
        notes.append(Reason("cure.too_cold_to_count", sentence, Level.LOOK))
    if lowest_c < COLD_C:
        sentence = say(
            "The coldest reading is {lowest} °C: below {cold} °C resin hardens very slowly and may stay "
            "soft.",
            lowest=round(lowest_c, 2),
            cold=COLD_C,
        )
        notes.append(Reason("cure.cold", sentence, Level.LOOK))
    if lowest_c >= NEVER_BELOW_C:
        sentence = say(
            "No reading is below {bound} °C, as at closing or opening: if the logger writes °F, convert it "
            "first.",
            bound=NEVER_BELOW_C,
        )
        notes.append(Reason("cure.never_cool", sentence, Level.LOOK))
    return notes


def _how(schedule: Schedule, seen: Window, log: Log) -> How:
    rule = (
        "share = sum of time / listed time at the coldest probe's temperature; cautious by the cooler end "
        "of each interval, plain by the mean of both rates; gaps count nothing"
    )
    own = Basis.MEASURED if log.interval_s is None else log.interval_s.basis
    inputs = (
        *schedule.how.inputs,
        Input("probes", ", ".join(seen.probes_c)),
        Input("rows used", len(seen.at_s)),
        Input("a gap is more than", round(seen.gap_limit_s / 60, 1), "min", own),
    )
    return How(rule, schedule.how.source, inputs)


def progress(*, schedule: Schedule, log: Log, closed_at_s: float, until_s: float) -> Progress:
    """How much of the schedule has run between closing and a moment, by the coldest probe.

    Formula: F = sum of dt / t(T), T the coldest probe. Cautious: the cooler end of each interval; plain:
        the mean of both ends' rates (trapezoid). A gap counts nothing: more than 3 of the logger's
        intervals, at least 15 and at most 60 minutes. Rows in which a probe is silent are not used. Above
        the hottest listed point the rate stays as there and an alarm is given. Ramps are the steepest over
        at least 5 minutes, of any probe.
    Units: seconds from any origin, °C, shares of one whole schedule, K/min.
    Shapes: at_s and each probe's column of equal length, times going up, None where a probe was silent.
    Refuses: cure.time, cure.reversed, cure.too_long, cure.too_few, cure.not_in_order, cure.left_out,
        cure.no_probe, cure.columns, cure.reading, cure.interval, cure.log_elsewhere, cure.no_readings,
        cure.no_rows
    Source: schedule equivalence, cooler end, gap rule: common practice, no source; below 15 °C a warning: an
        aircraft kit's resin manual, read.
    Caution: part of a schedule permits nothing: below the whole the resin may still be soft at room
        temperature.
    """
    seen = window(log, closed_at_s=closed_at_s, until_s=until_s)
    cautious, plain, rates = _sums(seen, schedule)
    at_s = [max(seen.at_s[0], closed_at_s), *seen.at_s[1:-1], min(seen.at_s[-1], until_s)]
    missing_s = sum(gap.seconds for gap in seen.gaps)
    too_cold_s = 0.0
    if 0.0 in rates:
        ends = zip(seen.seconds, rates, rates[1:], strict=False)
        too_cold_s = sum(length for length, a, b in ends if a == 0 or b == 0)
    highest_c, highest_at_s, highest_probe = _highest(seen)
    lowest_c = min(seen.coldest_c[seen.inside])
    heating, cooling = ramps(seen)
    last = seen.inside.stop - 1
    notes = _probe_notes(seen, log) + _temperature_notes(lowest_c, too_cold_s, schedule)
    return Progress(
        cautious_share=cautious[-1],
        plain_share=plain[-1],
        could_be_share=cautious[-1] + missing_s / (3600 * schedule.points[-1].hours),
        reached_at_s=_reached_at(at_s, seen.seconds, cautious),
        at_s=tuple(at_s),
        coldest_c=tuple(seen.coldest_c),
        hottest_c=tuple(seen.hottest_c),
        cautious_along=tuple(cautious),
        plain_along=tuple(plain),
        gaps=seen.gaps,
        gap_limit_s=seen.gap_limit_s,
        last_at_s=seen.at_s[last],
        last_coldest_c=seen.coldest_c[last],
        last_hottest_c=seen.hottest_c[last],
        last_hottest_probe=max(seen.probes_c, key=lambda name: seen.probes_c[name][last]),
        highest_c=highest_c,
        highest_at_s=highest_at_s,
        highest_probe=highest_probe,
        lowest_c=lowest_c,
        too_cold_s=too_cold_s,
        heating=heating,
        cooling=cooling,
        silent=seen.silent,
        alarm=_alarm(schedule, highest_c, highest_probe),
        notes=(*schedule.notes, *notes),
        how=_how(schedule, seen, log),
    )


def _deciding(
    heated: bool, coldest_c: Given[float] | None, bay_c: Given[float] | None
) -> tuple[str, Given[float]]:
    """The temperature a forecast rests on: the coldest probe; unheated, the bay too, whichever is colder."""
    if heated and bay_c is not None and coldest_c is None:
        raise Refused(
            "cure.bay_when_heated",
            say("A heated cycle cannot be forecast from the bay's {celsius} °C.", celsius=bay_c.value),
            say("Give the reading of the coldest probe in the press."),
        )
    known = {Term("coldest probe"): coldest_c}
    if not heated:
        known[Term("bay")] = bay_c
    given = {name: value for name, value in known.items() if value is not None}
    if not given:
        raise Refused(
            "cure.no_temperature",
            say("There is no temperature to forecast from."),
            say("Give the reading of the coldest probe; unheated, the bay's temperature will do."),
        )
    for name, value in given.items():
        number(
            value.value,
            code="cure.temperature",
            name=f"The temperature of the {name}",
            unit="°C",
            at_least=COLDEST_C,
            at_most=HOTTEST_C,
        )
    name = min(given, key=lambda known: given[known].value)
    return name, given[name]


def forecast(
    *,
    schedule: Schedule,
    share: float,
    at_s: float,
    heated: bool,
    coldest_c: Given[float] | None = None,
    bay_c: Given[float] | None = None,
) -> Forecast:
    """When the schedule will have run, should the temperature stay as it is.

    Formula: hours left = (1 - share) t(T); T the coldest probe; in an unheated cycle the bay's temperature
        when there is no probe, or the colder of both. None when nothing counts at T.
    Units: share of one whole schedule (the cautious one), seconds from any origin, °C, hours.
    Refuses: cure.share, cure.time, cure.bay_when_heated, cure.no_temperature, cure.temperature
    Source: see schedule_through.
    Caution: a forecast permits nothing; the log decides, and the coldest probe in it.
    """
    number(share, code="cure.share", name="The share of the schedule", at_least=0)
    number(at_s, code="cure.time", name="The moment of the forecast", unit="s")
    name, decides = _deciding(heated, coldest_c, bay_c)
    hours = schedule.hours_at((decides.value,))[decides.value]
    inputs = (
        *schedule.how.inputs,
        Input("share of the schedule so far", share),
        Input(name, decides.value, "°C", decides.basis),
    )
    how = How("hours left = (1 - share) x the listed time at this temperature", schedule.how.source, inputs)
    if share >= 1 - ROUNDING:
        return Forecast(0.0, at_s, decides, say("The schedule has been reached."), how)
    if hours == math.inf:
        sentence = say(
            "The schedule is never reached at {celsius} °C: too far below the coldest listed {listed} °C.",
            celsius=decides.value,
            listed=schedule.lowest_c,
        )
        return Forecast(None, None, decides, sentence, how)
    left = (1 - share) * hours
    sentence = say(
        "Schedule reached about {minutes} min from this reading, should it stay at {celsius} °C.",
        minutes=math.ceil(left * 60),
        celsius=decides.value,
    )
    return Forecast(left, at_s + left * 3600, decides, sentence, how)
