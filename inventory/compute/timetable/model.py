"""What a timetable is asked with: shifts, presses, moulds, what has to be pressed; checked, and in numbers.

Knows no plan and no search.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.reasons import Given, How, Input, number
from inventory.compute.timetable.search import (
    Counts,
    KindShape,
    PressShape,
    Problem,
    hands_over_time,
)
from inventory.errors import Refused, say

DAY_MIN = 24 * 60
LONGEST_MIN = 14 * DAY_MIN
MOST_PRESSINGS, MOST_PRESSES, MOST_MOULDS, MOST_SHIFTS = 40, 8, 40, 60
MOST_HANDS, MOST_HELD = 50, 8


@dataclass(frozen=True, slots=True)
class Shift:
    """People there from one minute to another. Overlapping shifts add up."""

    from_min: int
    to_min: int
    hands: int


@dataclass(frozen=True, slots=True)
class Press:
    """A press and its cycle. Closing is the work from the first hand on it until it is at pressure."""

    name: str
    heated: bool
    heat_up_min: Given[int]
    hold_min: Given[int]
    cool_min: Given[int]
    closing_min: Given[int]
    opening_min: Given[int]
    closing_hands: int = 2
    opening_hands: int = 1
    holds: int = 1  # how many pressings one closing takes


@dataclass(frozen=True, slots=True)
class Mould:
    """A mould; `count` alike ones."""

    name: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class Pressing:
    """What goes through a press once: a pair, or one ski where a press takes one. Named by its code."""

    name: str
    moulds: tuple[str, ...]  # any of these fits
    ready_min: int = 0  # closing begins no earlier
    due_min: int | None = None  # opened by then


@dataclass(frozen=True, slots=True)
class Workshop:
    """Everything a timetable is made of. `Workshop(...)` checks nothing; `model` does."""

    pressings: Sequence[Pressing]
    presses: Sequence[Press]
    moulds: Sequence[Mould]
    shifts: Sequence[Shift]


@dataclass(frozen=True, slots=True)
class Model:
    """A workshop in numbers, and the names behind the numbers."""

    problem: Problem
    counts: Counts
    names: tuple[tuple[str, ...], ...]  # the pressings of each kind
    moulds: tuple[str, ...]
    how: How


def _whole(value: object, name: str, *, low: int, high: int, unit: str = "min") -> int:
    """A whole number within bounds, or a refusal."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise Refused(
            "timetable.number",
            say("{name} is {value} {unit}, not a whole number.", name=name, value=value, unit=unit),
            say("Enter {name} in whole {unit}, rounded up.", name=name, unit=unit),
        )
    number(value, code="timetable.number", name=name, unit=unit, at_least=low, at_most=high)
    return value


def _check_shift(shift: Shift) -> None:
    begin = _whole(shift.from_min, "The start of a shift", low=0, high=LONGEST_MIN)
    end = _whole(shift.to_min, "The end of a shift", low=0, high=LONGEST_MIN)
    _whole(shift.hands, "The number of people in a shift", low=1, high=MOST_HANDS, unit="people")
    if end <= begin:
        raise Refused(
            "timetable.shift_reversed",
            say("A shift ends at minute {end}, not after its start at {begin}.", end=end, begin=begin),
            say("Check the hours and the days of the shift."),
        )


def _check_press(press: Press) -> None:
    for given, name, low in (
        (press.heat_up_min, "The heat-up of {press}", 0),
        (press.hold_min, "The hold of {press}", 1),
        (press.cool_min, "The cooling of {press}", 0),
        (press.closing_min, "The closing of {press}", 1),
        (press.opening_min, "The opening of {press}", 1),
    ):
        _whole(given.value, name.format(press=press.name), low=low, high=LONGEST_MIN)
    _whole(press.closing_hands, f"People at closing {press.name}", low=1, high=MOST_HANDS, unit="people")
    _whole(press.opening_hands, f"People at opening {press.name}", low=1, high=MOST_HANDS, unit="people")
    _whole(press.holds, f"What {press.name} holds", low=1, high=MOST_HELD, unit="pressings")


def _check_pressing(pressing: Pressing) -> None:
    ready = _whole(pressing.ready_min, f"When {pressing.name} is ready", low=0, high=LONGEST_MIN)
    if pressing.due_min is None:
        return
    due = _whole(pressing.due_min, f"When {pressing.name} is due", low=0, high=LONGEST_MIN)
    if due <= ready:
        raise Refused(
            "timetable.due_reversed",
            say(
                "{name} is due at minute {due}, before it is ready at {ready}.",
                name=pressing.name,
                due=due,
                ready=ready,
            ),
            say("Check when it is laid up and when it has to be out of the press."),
        )


def _check_named(
    things: Sequence[Pressing] | Sequence[Press] | Sequence[Mould], what: str, most: int
) -> None:
    names = [thing.name for thing in things]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise Refused(
            "timetable.twice",
            say("{name} is entered twice.", name=twice),
            say("Give each pressing, press and mould a name of its own; alike moulds are counted."),
        )
    _check_some(names, what, most)


def _check_some(things: Sequence[object], what: str, most: int) -> None:
    if not things:
        raise Refused(
            "timetable.nothing",
            say("There are no {what} to make a timetable with.", what=what),
            say("Enter at least one."),
        )
    if len(things) > most:
        raise Refused(
            "timetable.too_many",
            say(
                "{count} {what} are more than one workshop's timetable takes ({most}).",
                count=len(things),
                what=what,
                most=most,
            ),
            say("Make one timetable for each workshop or trailer."),
        )


def _checked(workshop: Workshop) -> None:
    _check_named(workshop.pressings, "pressings", MOST_PRESSINGS)
    _check_named(workshop.presses, "presses", MOST_PRESSES)
    _check_some(workshop.shifts, "shifts", MOST_SHIFTS)
    if workshop.moulds:
        _check_named(workshop.moulds, "moulds", MOST_MOULDS)
    for shift in workshop.shifts:
        _check_shift(shift)
    for press in workshop.presses:
        _check_press(press)
    for mould in workshop.moulds:
        _whole(mould.count, f"The number of moulds {mould.name}", low=1, high=MOST_MOULDS, unit="moulds")
    for pressing in workshop.pressings:
        _check_pressing(pressing)


def _press_shape(press: Press) -> PressShape:
    hot = press.heat_up_min.value + press.hold_min.value
    return PressShape(
        holds=press.holds,
        closing=press.closing_min.value,
        closing_hands=press.closing_hands,
        watched=hot if press.heated else 0,
        run=hot + press.cool_min.value,
        opening=press.opening_min.value,
        opening_hands=press.opening_hands,
    )


def _there(shift: Shift) -> str:
    """So many from one time of the day to another."""
    start, end = (f"{at // 60:02}:{at % 60:02}" for at in (shift.from_min % DAY_MIN, _closes(shift)))
    return f"{shift.hands} from {start} to {end}"


def _closes(shift: Shift) -> int:
    """Minutes from the midnight before it begins: midnight after it is 24:00, not 00:00."""
    return shift.to_min - shift.from_min // DAY_MIN * DAY_MIN


def _how(workshop: Workshop) -> How:
    inputs = [
        Input("pressings", len(workshop.pressings)),
        Input("moulds", sum(m.count for m in workshop.moulds)),
    ]
    for press in workshop.presses:
        for name, given in (
            ("closing", press.closing_min),
            ("heat-up", press.heat_up_min),
            ("hold", press.hold_min),
            ("cool", press.cool_min),
            ("opening", press.opening_min),
        ):
            inputs.append(Input(f"{press.name}: {name}", given.value, "min", given.basis))
    inputs += [
        Input(f"people, day {shift.from_min // DAY_MIN + 1}", _there(shift)) for shift in workshop.shifts
    ]
    rule = (
        "every order of closings and openings, each as early as presses, moulds and hands allow; while heat "
        "is on somebody is there"
    )
    return How(rule, "exact search, computed; a cycle's times as entered", tuple(inputs))


def model(workshop: Workshop) -> Model:
    """A workshop checked and in numbers."""
    _checked(workshop)
    return in_numbers(workshop)


def in_numbers(workshop: Workshop) -> Model:
    """A checked workshop in numbers; pressings that are alike become one kind."""
    moulds = tuple(mould.name for mould in workshop.moulds)
    opens = min(shift.from_min for shift in workshop.shifts)
    ends = max(shift.to_min for shift in workshop.shifts)
    kinds: dict[KindShape, list[str]] = {}
    for pressing in workshop.pressings:
        fitting = tuple(sorted({moulds.index(name) for name in pressing.moulds if name in moulds}))
        due = ends if pressing.due_min is None else min(ends, pressing.due_min)
        kinds.setdefault(KindShape(fitting, max(opens, pressing.ready_min), due), []).append(pressing.name)
    problem = Problem(
        presses=tuple(_press_shape(press) for press in workshop.presses),
        kinds=tuple(kinds),
        moulds=tuple(mould.count for mould in workshop.moulds),
        hands=hands_over_time([(s.from_min, s.to_min, s.hands) for s in workshop.shifts]),
    )
    counts = tuple(len(names) for names in kinds.values())
    return Model(problem, counts, tuple(tuple(names) for names in kinds.values()), moulds, _how(workshop))
