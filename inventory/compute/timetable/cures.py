"""What one change would make a timetable fit: a mould, a press, people, some minutes, one pressing less.

Each is tried by the exact search. Knows no more than the timetable does.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from inventory.compute.reasons import How
from inventory.compute.timetable.model import LONGEST_MIN, Model, Shift, Workshop, in_numbers, model
from inventory.compute.timetable.search import Counts, OutOfSteps, Search
from inventory.errors import Sentence, say

MOST_EXTRA_HANDS = 4
MOST_EXTRA_MIN = 240
STEPS = 8_000  # for each change tried


@dataclass(frozen=True, slots=True)
class Cure:
    """One change that alone would make everything fit."""

    kind: str  # mould, press, hands, minutes, without
    what: str
    amount: int
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Cures:
    """Every single change that would do, and how many changes could not be told."""

    cures: tuple[Cure, ...]
    untold: int
    how: How


@dataclass(slots=True)
class _Trial:
    """Tries changed workshops; what the search could not tell counts as not fitting, and is counted."""

    untold: int = 0

    def fits(self, workshop: Workshop) -> bool:
        asked = in_numbers(workshop)
        return self.fits_counts(asked, asked.counts)

    def fits_counts(self, asked: Model, counts: Counts) -> bool:
        try:
            return Search(asked.problem, STEPS).plan(counts) is not None
        except OutOfSteps:
            self.untold += 1
            return False


def _least(most: int, fits: Callable[[int], bool]) -> int | None:
    """The least amount, 1 to most, that fits; more of it never fits worse."""
    if most < 1 or not fits(most):
        return None
    low, high = 1, most
    while low < high:
        middle = (low + high) // 2
        if fits(middle):
            high = middle
        else:
            low = middle + 1
    return low


def _moulds(workshop: Workshop, trial: _Trial) -> Iterator[Cure]:
    wanted = {name for pressing in workshop.pressings for name in pressing.moulds}
    for mould in workshop.moulds:
        if mould.name not in wanted:
            continue
        more = [replace(m, count=m.count + 1) if m is mould else m for m in workshop.moulds]
        if trial.fits(replace(workshop, moulds=more)):
            yield Cure("mould", mould.name, 1, say("One more mould {mould}.", mould=mould.name))


def _presses(workshop: Workshop, trial: _Trial) -> Iterator[Cure]:
    for press in workshop.presses:
        another = replace(press, name=f"{press.name} +1")
        if trial.fits(replace(workshop, presses=[*workshop.presses, another])):
            yield Cure("press", press.name, 1, say("One more press like {press}.", press=press.name))


def _hands(workshop: Workshop, trial: _Trial) -> Iterator[Cure]:
    def with_more(extra: int) -> bool:
        more = [replace(shift, hands=shift.hands + extra) for shift in workshop.shifts]
        return trial.fits(replace(workshop, shifts=more))

    least = _least(MOST_EXTRA_HANDS, with_more)
    if least is not None:
        yield Cure("hands", "", least, say("{count} more people in every shift.", count=least))


def _room_after(shift: Shift, workshop: Workshop) -> int:
    """How much longer a shift can last before the next begins."""
    later = [other.from_min for other in workshop.shifts if other.from_min >= shift.to_min]
    return min(MOST_EXTRA_MIN, min(later, default=LONGEST_MIN) - shift.to_min)


def _minutes(workshop: Workshop, trial: _Trial) -> Iterator[Cure]:
    for shift in workshop.shifts:

        def longer(extra: int, shift: Shift = shift) -> bool:
            more = [replace(s, to_min=s.to_min + extra) if s is shift else s for s in workshop.shifts]
            return trial.fits(replace(workshop, shifts=more))

        least = _least(_room_after(shift, workshop), longer)
        if least is not None:
            sentence = say(
                "{count} min more in the shift that ends at minute {end}.", count=least, end=shift.to_min
            )
            yield Cure("minutes", str(shift.to_min), least, sentence)


def _without(asked: Model, trial: _Trial) -> Iterator[Cure]:
    """One pressing less, when that is enough."""
    for kind, count in enumerate(asked.counts):
        fewer = (*asked.counts[:kind], count - 1, *asked.counts[kind + 1 :])
        if trial.fits_counts(asked, fewer):
            for name in asked.names[kind]:
                yield Cure("without", name, 1, say("Without {name}.", name=name))


def cures(*, workshop: Workshop) -> Cures:
    """Which single changes would make all fit, each with the least amount that does.

    Formula: each of one more mould, one more press of a kind, up to 4 more people in every shift, up to 240
        minutes more at the end of one shift (not into the next), one pressing less, is tried by the exact
        search of `plan`. Nothing when all fits already.
    Units: whole minutes, people, pieces.
    Shapes: see plan.
    Refuses: what plan refuses
    Source: computed.
    Caution: more hours are hours of people at a press: tired hands do not close one.
    """
    asked = model(workshop)
    trial = _Trial()
    if trial.fits(workshop):
        return Cures((), 0, asked.how)
    found: list[Cure] = []
    for tried in (_moulds, _presses, _hands, _minutes):
        found += tried(workshop, trial)
    found += _without(asked, trial)
    return Cures(tuple(found), trial.untold, asked.how)
