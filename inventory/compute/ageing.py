"""How old stock really is: its label, its opening, and the warmth it stood in since it came.

An estimate: it warns, it never passes anything. Knows no lot, no place and no clock.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.compute.storage import (
    FIRST_YEAR,
    KINETIC_K,
    LAST_YEAR,
    ZERO_C,
    Stay,
    check_celsius,
    check_moment,
    check_stays,
    fill_holes,
    kinetic_c,
)
from inventory.errors import Refused, say

DAY = timedelta(days=1)
MILD_Q10 = 2.0
Law = Callable[[float, float], float]

CHARGE_RULE = (
    "each day counts exp(10 000 K x (1 / label T - 1 / T)) label days above the label temperature, one day "
    "below it; beside it the mild rule, 2^((T - label T) / 10)"
)
CHARGE_SOURCE = (
    "83.144 kJ/mol as in USP 1160 (read), the larger and so the cautious figure; mild: Q10 = 2 as in ASTM "
    "F1980 (second-hand); no credit for cold: common practice, no source"
)


@dataclass(frozen=True, slots=True)
class Charge:
    """How many label days one day at a temperature counts: the cautious figure and the mild one."""

    charged: float
    mild: float
    how: How


@dataclass(frozen=True, slots=True)
class Opened:
    """When a package was opened, and how long it lasts from then at the label temperature."""

    at: datetime
    life_days: Given[float] | None


@dataclass(frozen=True, slots=True)
class Age:
    """What is used of a package's life, and until when it lasts.

    `good_through` is what label and opening say; `forecast` is the estimate from warmth, never later.
    Both are last good days. Days used are label days.
    """

    used_days: float
    used_mild_days: float
    left_days: float
    opened_used_days: float | None
    assumed_days: float
    mean_kinetic_c: float | None
    good_through: date
    forecast: date
    verdict: Verdict
    how: How


def charge(*, celsius: float, label_c: Given[float]) -> Charge:
    """How many label days one day at this temperature counts.

    Formula: charged = exp(10 000 K x (1 / label T - 1 / T)), mild = 2^((T - label T) / 10), both at least 1.
    Units: °C, in the formula K; factors without unit.
    Refuses: storage.temperature
    Source: 83.144 kJ/mol over 8.3144 J/(mol K) as in USP 1160 (read). Mild: Q10 = 2 as in ASTM F1980
        (second-hand). No credit for cold: common practice, no source.
    """
    check_celsius(celsius, "The temperature")
    check_celsius(label_c.value, "The label temperature")
    inputs = (
        Input("temperature", celsius, "°C"),
        Input("label temperature", label_c.value, "°C", label_c.basis),
    )
    how = How(CHARGE_RULE, CHARGE_SOURCE, inputs)
    return Charge(_charged(celsius, label_c.value), _mild(celsius, label_c.value), how)


def effective_age(
    *,
    received_at: datetime,
    expires_on: date,
    label_c: Given[float],
    stays: Sequence[Stay],
    assumed_c: Given[float],
    now: datetime,
    ahead_c: Given[float] | None = None,
    opened: Opened | None = None,
) -> Age:
    """How much of a package's life its warmth has used since it came, and until when it lasts.

    Formula: used = sum of days x max(1, exp(10 000 K x (1 / label T - 1 / T))) over the stays, holes at the
        assumed temperature. Life on arrival = end of the expiry day - arrival; before arrival the label
        speaks. Opened life is charged the same way from the opening. Forecast: the last good day before the
        first of both runs out, days ahead at `ahead_c`, else at the assumed temperature. Never daily means:
        12 h at 5 and 12 h at 45 °C count 5.66 days at a label of 23 °C, their mean would count 1.25.
    Units: moments with a time zone, dates as the label has them, read in the zone of `now`; °C; days.
    Shapes: no, one or many stays, in order, none overlapping, all between arrival and now; holes are allowed.
    Refuses: storage.moment, storage.stays, storage.temperature, ageing.arrival, ageing.stays,
        ageing.expiry, ageing.opened, ageing.opened_life
    Source: as `charge`; holes at the place's hot-season temperature: common practice, no source.
    Caution: An estimate from what was entered. It warns; a label that is past stays past, and only the maker
        says whether old stock may be tested and used.
    """
    line = _line(received_at, now, stays, label_c, assumed_c, ahead_c)
    label_end = _day_end(expires_on, now)
    ends = [label_end]
    runs_out = [min(label_end, line.runs_out(line.arrived, (label_end - line.arrived) / DAY))]
    if opened is not None:
        opened_at = _opened_at(opened, line)
        if opened.life_days is not None:
            ends.append(opened_at + opened.life_days.value * DAY)
            runs_out.append(min(ends[-1], line.runs_out(opened_at, opened.life_days.value)))
    used = line.used(line.arrived, _charged)
    how = How(CHARGE_RULE, CHARGE_SOURCE, _inputs(line, expires_on, opened))
    dated = _Dated(min(ends), min(runs_out), line.today, now.tzinfo)
    return Age(
        used_days=used,
        used_mild_days=line.used(line.arrived, _mild),
        left_days=(label_end - line.arrived) / DAY - used,
        opened_used_days=line.used(_opened_at(opened, line), _charged) if opened is not None else None,
        assumed_days=line.assumed_days,
        mean_kinetic_c=kinetic_c(line.stays) if line.stays else None,
        good_through=dated.good_through,
        forecast=dated.forecast,
        verdict=_judge(dated, line, opened, how),
        how=how,
    )


@dataclass(frozen=True, slots=True)
class _Line:
    """The stretch from arrival to now without a hole, and how what lies ahead counts."""

    arrived: datetime
    today: datetime
    stays: tuple[Stay, ...]
    label_c: Given[float]
    ahead_c: Given[float]

    @property
    def assumed_days(self) -> float:
        """Days of the line that nobody measured."""
        return math.fsum(stay.hours for stay in self.stays if stay.celsius.basis is not Basis.MEASURED) / 24

    def used(self, since: datetime, law: Law) -> float:
        """Label days used since a moment, by the cautious or the mild law."""
        return math.fsum(
            (stay.ends - starts) / DAY * factor for stay, starts, factor in self._since(since, law)
        )

    def runs_out(self, since: datetime, life_days: float) -> datetime:
        """When a life that began at a moment is used up; what lies ahead counts at its own temperature."""
        left = life_days
        for stay, starts, factor in self._since(since, _charged):
            takes = (stay.ends - starts) / DAY * factor
            if takes >= left:
                return starts + left / factor * DAY
            left -= takes
        return self.today + left / _charged(self.ahead_c.value, self.label_c.value) * DAY

    def _since(self, since: datetime, law: Law) -> Iterator[tuple[Stay, datetime, float]]:
        for stay in self.stays:
            if stay.ends > since:
                yield stay, max(stay.starts, since), law(stay.celsius.value, self.label_c.value)


@dataclass(frozen=True, slots=True)
class _Dated:
    """The two ends of life as moments, and as last good days where the question was asked."""

    ends: datetime
    runs_out: datetime
    today: datetime
    zone: tzinfo | None

    @property
    def good_through(self) -> date:
        return self._last_day(self.ends)

    @property
    def forecast(self) -> date:
        return self._last_day(self.runs_out)

    def _last_day(self, end: datetime) -> date:
        return (end - timedelta(microseconds=1)).astimezone(self.zone).date()


def _judge(dated: _Dated, line: _Line, opened: Opened | None, how: How) -> Verdict:
    reasons = []
    if line.today >= dated.ends:
        sentence = say("It was good through {day}; that is past.", day=dated.good_through)
        reasons.append(Reason("ageing.past", sentence, Level.STOP, how))
    elif line.today >= dated.runs_out:
        sentence = say(
            "By its warmth its time was over on {day}, before its date of {good}: an estimate.",
            day=dated.forecast,
            good=dated.good_through,
        )
        reasons.append(Reason("ageing.used_up", sentence, Level.LOOK, how))
    else:
        sentence = say(
            "By its warmth it lasts through {day}, by its date through {good}: an estimate.",
            day=dated.forecast,
            good=dated.good_through,
        )
        reasons.append(Reason("ageing.lasts", sentence, Level.FINE, how))
    if opened is not None and opened.life_days is None:
        sentence = say("It is open, and nobody entered how long it lasts once opened.")
        reasons.append(Reason("ageing.opened_life_unknown", sentence, Level.UNKNOWN, how))
    if line.assumed_days > 0:
        sentence = say(
            "{days} of its days have no reading and are assumed.", days=round(line.assumed_days, 1)
        )
        reasons.append(Reason("ageing.assumed", sentence, Level.FINE, how))
    return verdict(*reasons)


def _line(
    received_at: datetime,
    now: datetime,
    stays: Sequence[Stay],
    label_c: Given[float],
    assumed_c: Given[float],
    ahead_c: Given[float] | None,
) -> _Line:
    """Arrival to now without a hole, every fact of it checked."""
    arrived, today = check_moment(received_at, "The arrival"), check_moment(now, "Now")
    if today < arrived:
        sentence = say("It arrived at {arrived}, which is after now, {today}.", arrived=arrived, today=today)
        raise Refused("ageing.arrival", sentence, say("Check the arrival and the clock."))
    check_celsius(label_c.value, "The label temperature")
    check_celsius(assumed_c.value, "The assumed temperature")
    ahead = ahead_c or assumed_c
    check_celsius(ahead.value, "The temperature ahead")
    known = check_stays(stays) if stays else ()
    if known and (known[0].starts < arrived or known[-1].ends > today):
        sentence = say(
            "The stays from {first} to {last} reach beyond {arrived} to {today}.",
            first=known[0].starts,
            last=known[-1].ends,
            arrived=arrived,
            today=today,
        )
        raise Refused("ageing.stays", sentence, say("Give only the stays between arrival and now."))
    return _Line(arrived, today, tuple(fill_holes(known, arrived, today, assumed_c)), label_c, ahead)


def _opened_at(opened: Opened, line: _Line) -> datetime:
    """The moment of opening, within the line, with a life that can be."""
    at = check_moment(opened.at, "The opening")
    if not line.arrived <= at <= line.today:
        sentence = say(
            "It was opened at {at}, not between arrival {arrived} and now {today}.",
            at=at,
            arrived=line.arrived,
            today=line.today,
        )
        raise Refused("ageing.opened", sentence, say("Check when it was opened."))
    if opened.life_days is not None:
        name = "The life once opened"
        number(opened.life_days.value, code="ageing.opened_life", name=name, unit="d", above=0, at_most=9_999)
    return at


def _day_end(expires_on: date, now: datetime) -> datetime:
    """The moment a label's last day ends, where the question is asked."""
    plain = isinstance(expires_on, date) and not isinstance(expires_on, datetime)
    if not plain or not FIRST_YEAR <= expires_on.year <= LAST_YEAR:
        sentence = say("The expiry date is {expires}, not a possible day.", expires=expires_on)
        raise Refused("ageing.expiry", sentence, say("Read the date on the label again."))
    return datetime.combine(expires_on + DAY, time.min, now.tzinfo).astimezone(UTC)


def _charged(celsius: float, label_c: float) -> float:
    """Label days a day counts: the larger activation energy, and no credit for cold."""
    return max(1.0, math.exp(KINETIC_K * (1 / (label_c + ZERO_C) - 1 / (celsius + ZERO_C))))


def _mild(celsius: float, label_c: float) -> float:
    """The same by the rule of ten kelvin."""
    return max(1.0, math.pow(MILD_Q10, (celsius - label_c) / 10))


def _inputs(line: _Line, expires_on: date, opened: Opened | None) -> tuple[Input, ...]:
    lines = [
        Input("arrived", line.arrived),
        Input("expires on", expires_on, "", Basis.DATA_SHEET),
        Input("label temperature", line.label_c.value, "°C", line.label_c.basis),
        Input("temperature ahead", line.ahead_c.value, "°C", line.ahead_c.basis),
        Input("stays", len(line.stays)),
        Input("days assumed", line.assumed_days, "d", Basis.ASSUMED),
    ]
    if opened is not None:
        lines.append(Input("opened", opened.at))
        if opened.life_days is not None:
            life = opened.life_days
            lines.append(Input("life once opened", life.value, "d", life.basis))
    return tuple(lines)
