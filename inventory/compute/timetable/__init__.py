"""Whether the pairs of a workshop can all be pressed in the hours there are: the plan, or the reason why not.

Knows no calendar, no database and no resin: times are whole minutes from any origin, the hold comes in.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum

from inventory.compute.reasons import How, Level, Reason, Verdict, verdict
from inventory.compute.timetable.model import Model, Mould, Press, Pressing, Shift, Workshop, model
from inventory.compute.timetable.search import Counts, OutOfSteps, Problem, Search, Step
from inventory.errors import Sentence, say

__all__ = ["Answer", "Cycle", "Mould", "Press", "Pressing", "Shift", "Timetable", "Workshop", "plan"]

STEPS = 50_000
CONFLICT_STEPS = 8_000
SPARED_STEPS = 4_000
RELAXED_STEPS = 8_000
ENOUGH_HANDS = 1_000


@dataclass(frozen=True, slots=True)
class Cycle:
    """One closing of one press in a plan, in minutes."""

    press: str
    pressings: tuple[str, ...]
    moulds: tuple[str, ...]  # of each pressing, in the same order
    closing_from_min: int
    closed_min: int
    hot_min: int
    hold_until_min: int
    openable_min: int
    opening_from_min: int
    opened_min: int


class Answer(StrEnum):
    """Whether there is a timetable."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    CANNOT_SAY = "cannot say"


@dataclass(frozen=True, slots=True)
class Timetable:
    """The answer: a plan, or the fewest pressings that cannot all be done."""

    answer: Answer
    cycles: tuple[Cycle, ...]  # in order of closing
    conflict: tuple[str, ...]  # cannot all be pressed
    smallest: bool  # known: no fewer pressings are a conflict, so with any one left out the others fit
    verdict: Verdict
    how: How


def _cycles(steps: Sequence[Step], asked: Model, presses: Sequence[Press]) -> tuple[Cycle, ...]:
    """The steps of the search as cycles with names."""
    waiting = [list(names) for names in asked.names]
    cycles = []
    for row, step in enumerate(steps):
        if not step.closing:
            continue
        press = presses[step.press]
        opening = next(s.at for s in steps[row + 1 :] if s.press == step.press)
        closed = step.at + press.closing_min.value
        hot = closed + press.heat_up_min.value
        held = hot + press.hold_min.value
        cycles.append(
            Cycle(
                press=press.name,
                pressings=tuple(waiting[kind].pop(0) for kind, _ in step.load),
                moulds=tuple(asked.moulds[mould] for _, mould in step.load),
                closing_from_min=step.at,
                closed_min=closed,
                hot_min=hot,
                hold_until_min=held,
                openable_min=held + press.cool_min.value,
                opening_from_min=opening,
                opened_min=opening + press.opening_min.value,
            )
        )
    return tuple(cycles)


def _of_size(counts: Counts, size: int) -> Iterator[Counts]:
    """Every choice of so many pressings, pressings of one kind being alike."""
    if not counts:
        if size == 0:
            yield ()
        return
    for first in range(min(counts[0], size), -1, -1):
        for rest in _of_size(counts[1:], size - first):
            yield (first, *rest)


def _smallest_conflict(search: Search, counts: Counts) -> Counts:
    """The fewest pressings that cannot all be done, by trying every choice; `counts` is known not to fit."""
    for size in range(1, sum(counts)):
        for chosen in _of_size(counts, size):
            if search.plan(chosen) is None:
                return chosen
    return counts


def _sparest_conflict(search: Search, counts: Counts) -> tuple[Counts, bool]:
    """Pressings that cannot all be done, one after another left out; and whether none more can be spared."""
    sure = True
    for kind in range(len(counts)):
        while counts[kind]:
            fewer = (*counts[:kind], counts[kind] - 1, *counts[kind + 1 :])
            search.steps_left = SPARED_STEPS
            try:
                fits = search.plan(fewer) is not None
            except OutOfSteps:
                fits, sure = True, False
            if fits:
                break
            counts = fewer
    return counts, sure


def _conflict(search: Search, counts: Counts) -> tuple[Counts, bool, bool]:
    """A conflict, whether none of it can be spared, and whether it is known to be the smallest."""
    search.steps_left = CONFLICT_STEPS
    try:
        return _smallest_conflict(search, counts), True, True
    except OutOfSteps:
        return *_sparest_conflict(search, counts), False


def _relaxed(problem: Problem, many: int) -> dict[str, Problem]:
    """The same problem with as much as could ever be used of one thing."""
    return {
        "moulds": replace(problem, moulds=tuple(max(count, many) for count in problem.moulds)),
        "hands": replace(problem, hands=tuple((a, b, ENOUGH_HANDS) for a, b, _ in problem.hands)),
        "watch": replace(problem, presses=tuple(replace(press, watched=0) for press in problem.presses)),
        "presses": replace(problem, presses=problem.presses + problem.presses * many),
    }


def _binding(asked: Model, conflict: Counts) -> Reason:
    """What there is too little of for these pressings: the first thing of which more would do."""
    for kind, count in enumerate(conflict):
        if count and not asked.problem.kinds[kind].moulds:
            return Reason("timetable.no_mould", say("No mould that fits is there."), Level.STOP, asked.how)
    sentences = {
        "moulds": say("The moulds that fit are too few, or the hours too short for using them again."),
        "hands": say("The people at closing and opening are too few at one time."),
        "watch": say("Somebody has to be there while the heat is on, and the hours are too short for that."),
        "presses": say("The presses are too few, or the hours too short for using them again."),
    }
    codes = {
        "moulds": "timetable.moulds",
        "hands": "timetable.hands",
        "watch": "timetable.watch",
        "presses": "timetable.presses",
    }
    for thing, problem in _relaxed(asked.problem, sum(conflict)).items():
        if Search(problem, RELAXED_STEPS).plan(conflict) is not None:
            return Reason(codes[thing], sentences[thing], Level.STOP, asked.how)
    sentence = say("The hours are too short: more moulds, people or presses alone would not do.")
    return Reason("timetable.hours", sentence, Level.STOP, asked.how)


def _named(asked: Model, counts: Counts) -> tuple[str, ...]:
    """Names for so many of each kind."""
    return tuple(name for names, count in zip(asked.names, counts, strict=True) for name in names[:count])


def _too_much(names: tuple[str, ...], sure: bool) -> Sentence:
    if len(names) == 1:
        return say("{name} cannot be pressed at all in the hours entered.", name=names[0])
    listed = ", ".join(names)
    if not sure:
        return say("{names} cannot all be pressed in the hours entered.", names=listed)
    return say(
        "{names} cannot all be pressed in the hours entered; any {fewer} of them can.",
        names=listed,
        fewer=len(names) - 1,
    )


def _why_not(search: Search, asked: Model) -> Timetable:
    """The smallest conflict and what it lacks, as far as the search could tell."""
    conflict, sure, smallest = _conflict(search, asked.counts)
    names = _named(asked, conflict)
    reasons = [Reason("timetable.together", _too_much(names, sure), Level.STOP, asked.how)]
    with suppress(OutOfSteps):
        reasons.append(_binding(asked, conflict))
    return Timetable(Answer.DOES_NOT_FIT, (), names, smallest, verdict(*reasons), asked.how)


def plan(*, workshop: Workshop) -> Timetable:
    """Whether all can be pressed in the hours there are: a plan, or the fewest that cannot all be done.

    Formula: exact search over all orders of closing and opening, each as early as presses, moulds and hands
        allow. A cycle is closing, heat-up, hold, cool, opening; press and mould are taken from the start of
        closing to the end of opening; a closed press may wait for hands; while a press is heated somebody is
        there. Alike pressings count as one kind. The reason is the smallest set that does not fit, and the
        first of moulds, hands, watch, presses of which more would do for it. *Cannot say* when the search
        was stopped before its end; never a wrong answer.
    Units: whole minutes from any origin, people.
    Shapes: 1 to 40 pressings, 1 to 8 presses, up to 40 moulds, 1 to 60 shifts; names each once.
    Refuses: timetable.nothing, timetable.too_many, timetable.twice, timetable.number,
        timetable.shift_reversed, timetable.due_reversed
    Source: computed; the times of a cycle are the caller's, with their basis.
    Caution: a plan is no permission: a heated press has a named watcher, is opened only when its log, its
        gauge and its temperature say so, and nobody under 18 works at it.
    """
    asked = model(workshop)
    search = Search(asked.problem, STEPS)
    try:
        steps = search.plan(asked.counts)
    except OutOfSteps:
        sentence = say(
            "Whether {count} pressings fit could not be told: there are too many orders to try.",
            count=sum(asked.counts),
        )
        unknown = verdict(Reason("timetable.too_hard", sentence, Level.UNKNOWN, asked.how))
        return Timetable(Answer.CANNOT_SAY, (), (), False, unknown, asked.how)
    if steps is None:
        return _why_not(search, asked)
    cycles = _cycles(steps, asked, workshop.presses)
    sentence = say(
        "{count} pressings fit in {cycles} cycles; the last is opened by minute {minute}.",
        count=sum(asked.counts),
        cycles=len(cycles),
        minute=max(cycle.opened_min for cycle in cycles),
    )
    fits = verdict(Reason("timetable.fits", sentence, Level.FINE, asked.how))
    return Timetable(Answer.FITS, cycles, (), False, fits, asked.how)
