"""A resin's cure schedule as its data sheet lists it: times at temperatures, and what lies between them.

Knows no curve, no press and no clock. Each listed point is a complete schedule by itself; a staged schedule
("first 24 h at 23 °C, then 15 h at 60 °C") is not a list of points and does not belong here.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, number
from inventory.errors import Refused, say

GAS_CONSTANT = 8.314462618  # J/(mol K)
ZERO_C_IN_K = 273.15
CREDIT_BELOW_LOWEST_K = 5.0
COLDEST_C, HOTTEST_C = -60.0, 400.0  # what a probe in a press can read at all
LONGEST_HOURS = 5_000.0
ODD_BELOW_KJ_MOL, ODD_ABOVE_KJ_MOL = 20.0, 110.0
ONE_POINT_KJ_MOL: Given[float] = Given(45.0, Basis.ASSUMED, "common practice, no source")

SOURCE = (
    "Schedule equivalence along the data sheet's points, common practice, no source; temperature effect "
    "by Arrhenius, R = 8.314462618 J/(mol K), CODATA 2018, from memory"
)


@dataclass(frozen=True, slots=True)
class SchedulePoint:
    """One line of a data sheet: so many hours at this temperature are a complete schedule."""

    temperature_c: float
    hours: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """The listed points, coldest first, and the slopes between them. Made by `schedule_through`."""

    points: tuple[SchedulePoint, ...]
    slopes_k: tuple[float, ...]  # d ln(hours) / d(1/T) between neighbours: E/R, in kelvin
    below_k: float  # the same below the coldest point
    notes: tuple[Reason, ...]
    how: How

    @property
    def lowest_c(self) -> float:
        """The coldest listed temperature."""
        return self.points[0].temperature_c

    @property
    def highest_c(self) -> float:
        """The hottest listed temperature: above it nothing more is gained."""
        return self.points[-1].temperature_c

    def hours_at(self, temperatures_c: Iterable[float]) -> dict[float, float]:
        """The hours a steady hold needs, for each temperature; infinite where nothing counts."""
        ordered = sorted(temperatures_c)
        points, slopes = self.points, (self.below_k, *self.slopes_k)
        edges = [self.lowest_c - CREDIT_BELOW_LOWEST_K, *(point.temperature_c for point in points)]
        ends = [bisect_left(ordered, edge) for edge in edges]
        hours = dict.fromkeys(ordered[: ends[0]], math.inf)
        for after, point in enumerate(points):
            anchor = points[max(after - 1, 0)]
            at_anchor, slope = 1 / (anchor.temperature_c + ZERO_C_IN_K), slopes[after]
            for celsius in ordered[ends[after] : ends[after + 1]]:
                needed = anchor.hours * math.exp(slope * (1 / (celsius + ZERO_C_IN_K) - at_anchor))
                hours[celsius] = needed if needed > point.hours else point.hours
        hours.update(dict.fromkeys(ordered[ends[-1] :], points[-1].hours))
        return hours


@dataclass(frozen=True, slots=True)
class RequiredTime:
    """How long a hold at one steady temperature has to be."""

    hours: float
    whole_minutes: int  # rounded up
    above_listed: bool  # hotter than any listed point: nothing was gained by it
    how: How


def _checked(points: Sequence[SchedulePoint]) -> tuple[SchedulePoint, ...]:
    """The points coldest first, each a number, none twice, none slower where it is hotter."""
    if not points:
        raise Refused(
            "cure.no_points",
            say("The schedule has no points."),
            say("Enter at least one time and temperature from the resin's data sheet."),
        )
    for point in points:
        number(
            point.temperature_c,
            code="cure.point",
            name="The schedule's temperature",
            unit="°C",
            at_least=COLDEST_C,
            at_most=HOTTEST_C,
        )
        number(
            point.hours,
            code="cure.point",
            name="The schedule's time",
            unit="h",
            above=0,
            at_most=LONGEST_HOURS,
        )
    ordered = tuple(sorted(points, key=lambda point: point.temperature_c))
    for cold, hot in pairwise(ordered):
        if cold.temperature_c == hot.temperature_c:
            raise Refused(
                "cure.point_twice",
                say("The schedule lists {celsius} °C twice.", celsius=hot.temperature_c),
                say("Keep the line of the data sheet that applies, and take the other out."),
            )
        if hot.hours > cold.hours:
            raise Refused(
                "cure.points_cross",
                say(
                    "The schedule asks {hot_h} h at {hot_c} °C, longer than {cold_h} h at the cooler "
                    "{cold_c} °C.",
                    hot_h=hot.hours,
                    hot_c=hot.temperature_c,
                    cold_h=cold.hours,
                    cold_c=cold.temperature_c,
                ),
                say("Check hours against minutes, and °C against °F, on the data sheet."),
            )
    return ordered


def _slope_k(cold: SchedulePoint, hot: SchedulePoint) -> float:
    inverse_k = 1 / (cold.temperature_c + ZERO_C_IN_K) - 1 / (hot.temperature_c + ZERO_C_IN_K)
    return math.log(cold.hours / hot.hours) / inverse_k


def _notes(
    points: tuple[SchedulePoint, ...], slopes_k: tuple[float, ...], assumed: Given[float]
) -> tuple[Reason, ...]:
    """What a reader of this schedule should know before trusting it."""
    if not slopes_k:
        sentence = say(
            "The schedule has one point, {hours} h at {celsius} °C: below it {kj} kJ/mol is assumed, above "
            "it nothing is gained.",
            hours=points[0].hours,
            celsius=points[0].temperature_c,
            kj=assumed.value,
        )
        return (Reason("cure.one_point", sentence, Level.LOOK),)
    notes = []
    for (cold, hot), slope in zip(pairwise(points), slopes_k, strict=True):
        kj_mol = slope * GAS_CONSTANT / 1000
        if not ODD_BELOW_KJ_MOL <= kj_mol <= ODD_ABOVE_KJ_MOL:
            sentence = say(
                "Between {cold_c} °C and {hot_c} °C the schedule implies {kj} kJ/mol, unusual for an epoxy: "
                "check its hours and degrees.",
                cold_c=cold.temperature_c,
                hot_c=hot.temperature_c,
                kj=round(kj_mol, 1),
            )
            notes.append(Reason("cure.odd_points", sentence, Level.LOOK))
    return tuple(notes)


def schedule_through(
    *, points: Given[tuple[SchedulePoint, ...]], assumed_kj_mol: Given[float] = ONE_POINT_KJ_MOL
) -> Schedule:
    """Make a schedule through a data sheet's points; it never asks less than a listed time.

    Formula: ln t is a straight line in 1/T between neighbouring points and passes through both; above the
        hottest point t stays the shortest listed time; down to 5 K below the coldest it goes on with the
        steeper of the coldest pair's E and the assumed one; further below nothing counts. One point: E is
        assumed.
    Units: hours, °C (kelvin inside), kJ/mol.
    Shapes: one or more points in any order, each temperature once.
    Refuses: cure.no_points, cure.point, cure.point_twice, cure.points_cross, cure.energy
    Source: the product's own data sheet for the points; the line between them common practice, no source;
        45 kJ/mol for one point common practice, no source; R from CODATA 2018, from memory.
    Caution: a time from a data sheet is the maker's; the sheet and its edition win over anything computed
        here.
    """
    number(
        assumed_kj_mol.value,
        code="cure.energy",
        name="The assumed activation energy",
        unit="kJ/mol",
        above=0,
        at_most=200,
    )
    ordered = _checked(points.value)
    slopes_k = tuple(_slope_k(cold, hot) for cold, hot in pairwise(ordered))
    below_k = max((assumed_kj_mol.value * 1000 / GAS_CONSTANT, *slopes_k[:1]))
    listed = tuple(
        Input(
            "listed time",
            say("{hours} h at {celsius} °C", hours=point.hours, celsius=point.temperature_c),
            "",
            points.basis,
        )
        for point in ordered
    )
    assumed = Input(
        "E below the coldest point, at least", assumed_kj_mol.value, "kJ/mol", assumed_kj_mol.basis
    )
    rule = (
        "ln t is a straight line in 1/T through the listed points; no gain above the hottest point; nothing "
        "counts more than 5 K below the coldest"
    )
    how = How(rule, f"{points.source}; {SOURCE}" if points.source else SOURCE, (*listed, assumed))
    return Schedule(ordered, slopes_k, below_k, _notes(ordered, slopes_k, assumed_kj_mol), how)


def required_time(*, schedule: Schedule, temperature_c: Given[float]) -> RequiredTime:
    """How long a steady hold at this temperature has to last by the schedule.

    Formula: t = t_i exp(E/R (1/T - 1/T_i)) from the next cooler listed point i; never below the next hotter
        point's time.
    Units: hours and whole minutes (rounded up), °C.
    Refuses: cure.temperature, cure.too_cold
    Source: see schedule_through.
    Caution: heat-up and cooling come on top; an older resin or a wrong mix can need more, or never get there.
    """
    celsius = number(
        temperature_c.value,
        code="cure.temperature",
        name="The hold's temperature",
        unit="°C",
        at_least=COLDEST_C,
        at_most=HOTTEST_C,
    )
    hours = schedule.hours_at((celsius,))[celsius]
    if hours == math.inf:
        raise Refused(
            "cure.too_cold",
            say(
                "At {celsius} °C the schedule never ends: it is more than {below} K below the coldest listed "
                "{lowest} °C.",
                celsius=celsius,
                below=CREDIT_BELOW_LOWEST_K,
                lowest=schedule.lowest_c,
            ),
            say("Warm the press, or take a resin whose data sheet lists this temperature."),
        )
    held = Input("temperature held", celsius, "°C", temperature_c.basis)
    how = How(schedule.how.rule, schedule.how.source, (*schedule.how.inputs, held))
    return RequiredTime(hours, math.ceil(hours * 60 - 1e-6), celsius > schedule.highest_c, how)
