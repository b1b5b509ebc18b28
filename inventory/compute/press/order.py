"""Whether a press is in order for a set point, and what a person checks before it is opened.

Unknown is not in order. Knows no press by name and no clock: the day comes in. Certifies nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from inventory.compute.press import MOST_KPA
from inventory.compute.reasons import Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, Sentence, say

ORDER_RULE = (
    "the set point is not above any part's rating at the hottest temperature it sees, nor the frame's load "
    "above its rating; the relief valve opens at or below every rating; what is unknown is not in order"
)
ORDER_SOURCE = "the makers' ratings as entered; the rule: common practice, no source"
OPEN_RULE = "log allows it, heat off, vented, gauge at zero, everyone clear: each seen by a person"
OPEN_SOURCE = "common practice, no source; the shop's own risk assessment outranks it"
_NO_LOG = say("Nobody read whether the log allows opening.")
_NO_HEAT = say("Nobody looked whether the heat is off.")
_NO_VENT = say("Nobody looked whether it is vented.")
_NO_GAUGE = say("Nobody read the gauge.")
_NO_CLEAR = say("Nobody looked whether everyone is clear.")


@dataclass(frozen=True, slots=True)
class Rating:
    """A pressure that a part may see up to a temperature."""

    up_to_c: float
    gauge_kpa: Given[float]


@dataclass(frozen=True, slots=True)
class Part:
    """A part under pressure; no ratings means nobody read them, no day means nobody entered one."""

    name: str
    ratings: tuple[Rating, ...]
    inspect_by: date | None


Rated = tuple[Part, Given[float] | None]


@dataclass(frozen=True, slots=True)
class Frame:
    """What carries the bladders' force; None where nobody knows."""

    load_kn: float
    rated_kn: Given[float] | None
    inspect_by: date | None


@dataclass(frozen=True, slots=True)
class Order:
    """Whether a press is in order for a set point; `lowest_kpa` is None while any rating is unknown."""

    lowest_kpa: float | None
    lowest_part: str | None
    verdict: Verdict
    how: How

    @property
    def in_order(self) -> bool:
        """True when nothing stops it and nothing is unknown."""
        return self.verdict.ok


@dataclass(frozen=True, slots=True)
class Seen:
    """What people saw at the press; None where nobody looked."""

    log_allows: bool | None
    heat_off: bool | None
    vented: bool | None
    gauge_kpa: float | None
    everyone_clear: bool | None


@dataclass(frozen=True, slots=True)
class MayOpen:
    """Whether everything that is checked before a press is opened was seen, and holds."""

    verdict: Verdict
    how: How


def judge_set_point(
    *,
    set_kpa: Given[float],
    hottest_c: Given[float],
    parts: Sequence[Part],
    frame: Frame,
    relief_kpa: Given[float] | None,
    on: date,
    heated: bool,
    watcher_named: bool | None,
) -> Order:
    """Whether a press is in order for a set point: its lowest-rated part decides, at temperature.

    Formula: a part's rating is the one listed for the lowest temperature not below the hottest it sees;
        hotter than all that is listed is unknown. Set point <= every rating; relief valve <= every rating;
        frame load <= frame rating; the day <= every inspection day; a heated cycle has a named watcher.
    Units: kPa above the air outside, °C, kN, dates.
    Shapes: one or more parts, each name once; ratings by rising temperature, pressures never rising with it.
    Refuses: press.pressure, press.temperature, press.parts, press.ratings, press.day, press.frame
    Source: the makers' ratings as entered; the rule: common practice, no source.
    Caution: By what was entered; it certifies nothing. No heated cycle without a named watcher, and nobody
        sleeps in that trailer.
    """
    _pressure(set_kpa.value, "The set point")
    _day(on, "Today")
    _check_names(parts)
    rated = [(part, rating_at(part=part, celsius=hottest_c.value)) for part in parts]
    how = How(ORDER_RULE, ORDER_SOURCE, _inputs(set_kpa, hottest_c, rated, frame, relief_kpa))
    reasons: list[Reason] = []
    for part, rating in rated:
        reasons += _by_rating(part, rating, set_kpa.value, hottest_c.value, how)
        reasons += _by_inspection(part.name, part.inspect_by, on, how)
    reasons += _by_frame(frame, how)
    reasons += _by_inspection("The frame", frame.inspect_by, on, how)
    reasons += _by_relief(relief_kpa, set_kpa.value, rated, how)
    reasons += _by_watcher(heated, watcher_named, how)
    known = [(rating.value, part.name) for part, rating in rated if rating is not None]
    if len(known) < len(rated):
        return Order(None, None, verdict(*reasons), how)
    lowest_kpa, lowest_part = min(known, key=lambda each: each[0])
    sentence = say(
        "By what was entered, {name} is rated lowest, {lowest} kPa at {celsius} °C; set is {set} kPa.",
        name=lowest_part,
        lowest=lowest_kpa,
        celsius=hottest_c.value,
        set=set_kpa.value,
    )
    reasons.append(Reason("press.lowest_rated", sentence, Level.FINE, how))
    return Order(lowest_kpa, lowest_part, verdict(*reasons), how)


_READ_PLATES = say("Read the plates and the makers' sheets, and enter what they say first.")
_LOWER, _INSPECT = say("Lower the set point."), say("Have it inspected, and enter that, first.")
_DO_FIRST = {  # by the reason that stands against it; what nobody knows is read from the plate
    "press.above_rating": _LOWER,
    "press.frame_overloaded": _LOWER,
    "press.relief_below_set": _LOWER,
    "press.relief_too_high": say("Have a relief valve fitted that opens at or below the lowest rating."),
    "press.inspection_unknown": _INSPECT,
    "press.inspection_overdue": _INSPECT,
    "press.no_watcher": say("Name who stays with it."),
}


def refuse_unless_in_order(*, order: Order) -> None:
    """Refuse a set point that the press is not in order for; say the heaviest reason.

    Formula: none; the verdict of `judge_set_point`.
    Units: none.
    Refuses: press.not_in_order
    Source: common practice, no source.
    """
    if not order.in_order:
        heaviest = order.verdict.reasons[0]
        raise Refused("press.not_in_order", heaviest.sentence, _DO_FIRST.get(heaviest.code, _READ_PLATES))


def rating_at(*, part: Part, celsius: float) -> Given[float] | None:
    """The pressure a part may see at a temperature; None when nobody knows.

    Formula: the rating listed for the lowest temperature that is not below this one; never interpolated,
        never carried on to a hotter one.
    Units: °C, kPa above the air outside.
    Shapes: ratings by rising temperature, pressures never rising with it.
    Refuses: press.ratings, press.temperature, press.pressure
    Source: common practice, no source.
    """
    _temperature(celsius, "The temperature")
    for rating in part.ratings:
        _temperature(rating.up_to_c, f"A rating of {part.name}")
        _pressure(rating.gauge_kpa.value, f"A rating of {part.name}")
    for cooler, hotter in pairwise(part.ratings):
        if hotter.up_to_c <= cooler.up_to_c or hotter.gauge_kpa.value > cooler.gauge_kpa.value:
            sentence = say(
                "{name} is rated {cool} kPa up to {cool_c} °C and {hot} kPa up to {hot_c} °C.",
                name=part.name,
                cool=cooler.gauge_kpa.value,
                cool_c=cooler.up_to_c,
                hot=hotter.gauge_kpa.value,
                hot_c=hotter.up_to_c,
            )
            what = say("Give ratings by rising temperature; a hotter part is never rated higher.")
            raise Refused("press.ratings", sentence, what)
    return next((rating.gauge_kpa for rating in part.ratings if rating.up_to_c >= celsius), None)


def may_open(*, seen: Seen) -> MayOpen:
    """Whether a press may be opened by what people saw; a thing nobody looked at is not seen.

    Formula: the log allows it, heat off, vented, gauge at zero, everyone clear: all of them.
    Units: kPa above the air outside.
    Refuses: press.pressure
    Source: common practice, no source; the shop's own risk assessment outranks it.
    Caution: Stand at the side, never at the ends. Nobody leans over or reaches in.
    """
    if seen.gauge_kpa is not None:
        _pressure(seen.gauge_kpa, "The gauge")
    zero = None if seen.gauge_kpa is None else seen.gauge_kpa == 0
    lines = (
        Input("log allows it", seen.log_allows),
        Input("heat off", seen.heat_off),
        Input("vented", seen.vented),
        Input("gauge", seen.gauge_kpa, "kPa"),
        Input("everyone clear", seen.everyone_clear),
    )
    how = How(OPEN_RULE, OPEN_SOURCE, lines)
    reasons = [
        *_reasons_seen(seen.log_allows, "press.log", say("The log does not allow opening."), _NO_LOG, how),
        *_reasons_seen(seen.heat_off, "press.heat", say("The heat is on: turn it off."), _NO_HEAT, how),
        *_reasons_seen(seen.vented, "press.vent", say("It is not vented: vent it."), _NO_VENT, how),
        *_reasons_seen(
            zero, "press.gauge", say("The gauge shows {gauge} kPa.", gauge=seen.gauge_kpa), _NO_GAUGE, how
        ),
        *_reasons_seen(seen.everyone_clear, "press.clear", say("Not everyone is clear."), _NO_CLEAR, how),
    ]
    return MayOpen(verdict(*reasons), how)


def _reasons_seen(
    held: bool | None, code: str, not_so: Sentence, not_looked: Sentence, how: How
) -> list[Reason]:
    if held:
        return []
    if held is None:
        return [Reason(code, not_looked, Level.UNKNOWN, how)]
    return [Reason(code, not_so, Level.STOP, how)]


def _by_rating(
    part: Part, rating: Given[float] | None, set_kpa: float, celsius: float, how: How
) -> list[Reason]:
    if rating is None:
        sentence = say(
            "{name} has no known rating at {celsius} °C: not in order.", name=part.name, celsius=celsius
        )
        return [Reason("press.rating_unknown", sentence, Level.UNKNOWN, how)]
    if set_kpa <= rating.value:
        return []
    sentence = say(
        "{set} kPa is above the {rated} kPa that {name} may see at {celsius} °C.",
        set=set_kpa,
        rated=rating.value,
        name=part.name,
        celsius=celsius,
    )
    return [Reason("press.above_rating", sentence, Level.STOP, how)]


def _by_inspection(name: str, inspect_by: date | None, on: date, how: How) -> list[Reason]:
    if inspect_by is None:
        sentence = say("{name} has no day of inspection entered: not in order.", name=name)
        return [Reason("press.inspection_unknown", sentence, Level.UNKNOWN, how)]
    _day(inspect_by, f"The inspection of {name}")
    if on <= inspect_by:
        return []
    sentence = say("The inspection of {name} was due on {day}.", name=name, day=inspect_by)
    return [Reason("press.inspection_overdue", sentence, Level.STOP, how)]


def _by_frame(frame: Frame, how: How) -> list[Reason]:
    number(frame.load_kn, code="press.frame", name="The frame's load", unit="kN", at_least=0, at_most=1e5)
    if frame.rated_kn is None:
        sentence = say("What the frame may carry is unknown: not in order.")
        return [Reason("press.frame_unknown", sentence, Level.UNKNOWN, how)]
    number(
        frame.rated_kn.value, code="press.frame", name="The frame's rating", unit="kN", above=0, at_most=1e5
    )
    if frame.load_kn <= frame.rated_kn.value:
        return []
    sentence = say(
        "The frame would carry {load} kN, above its {rated} kN.",
        load=round(frame.load_kn, 1),
        rated=frame.rated_kn.value,
    )
    return [Reason("press.frame_overloaded", sentence, Level.STOP, how)]


def _by_relief(
    relief_kpa: Given[float] | None, set_kpa: float, rated: Sequence[Rated], how: How
) -> list[Reason]:
    if relief_kpa is None:
        sentence = say("What the relief valve opens at is unknown: not in order.")
        return [Reason("press.relief_unknown", sentence, Level.UNKNOWN, how)]
    opens = _pressure(relief_kpa.value, "The relief valve")
    reasons = []
    for part, rating in rated:
        if rating is not None and opens > rating.value:
            sentence = say(
                "The relief valve opens at {opens} kPa, above the {rated} kPa of {name}.",
                opens=opens,
                rated=rating.value,
                name=part.name,
            )
            reasons.append(Reason("press.relief_too_high", sentence, Level.STOP, how))
    if opens < set_kpa:
        sentence = say("The relief valve opens at {opens} kPa, before the set point.", opens=opens)
        reasons.append(Reason("press.relief_below_set", sentence, Level.STOP, how))
    return reasons


def _by_watcher(heated: bool, watcher_named: bool | None, how: How) -> list[Reason]:
    if not heated or watcher_named:
        return []
    sentence = say("A heated cycle needs a named watcher.")
    return [Reason("press.no_watcher", sentence, Level.STOP, how)]


def _inputs(
    set_kpa: Given[float],
    hottest_c: Given[float],
    rated: Sequence[Rated],
    frame: Frame,
    relief_kpa: Given[float] | None,
) -> tuple[Input, ...]:
    lines = [
        Input("set point", set_kpa.value, "kPa", set_kpa.basis),
        Input("hottest", hottest_c.value, "°C", hottest_c.basis),
        Input("frame load", frame.load_kn, "kN"),
    ]
    lines += [
        Input(f"{part.name}, rating", given.value, "kPa", given.basis) for part, given in rated if given
    ]
    if frame.rated_kn is not None:
        lines.append(Input("frame rating", frame.rated_kn.value, "kN", frame.rated_kn.basis))
    if relief_kpa is not None:
        lines.append(Input("relief valve", relief_kpa.value, "kPa", relief_kpa.basis))
    return tuple(lines)


def _check_names(parts: Sequence[Part]) -> None:
    names = [part.name for part in parts]
    if not names or len(set(names)) < len(names):
        sentence = say("The parts are {names}: none, or one twice.", names=", ".join(names) or "none")
        raise Refused("press.parts", sentence, say("Name each part under pressure once."))


def _pressure(value: float, name: str) -> float:
    return number(value, code="press.pressure", name=name, unit="kPa", at_least=0, at_most=MOST_KPA)


def _temperature(value: float, name: str) -> float:
    return number(value, code="press.temperature", name=name, unit="°C", at_least=-60, at_most=400)


def _day(day: date, name: str) -> None:
    if not isinstance(day, date) or isinstance(day, datetime):
        raise Refused(
            "press.day", say("{name} is {day}, not a day.", name=name, day=day), say("Give a date.")
        )
