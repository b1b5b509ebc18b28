"""The search against a plain enumeration on a small grid, an integer programme, and the plans' own rules."""

import random
from collections import Counter
from collections.abc import Iterator
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.reasons import Given
from inventory.compute.timetable import Answer, Mould, Press, Pressing, Shift, Workshop, plan
from tests.compute.timetable_programme import Programme

# The enumeration knows nothing of the search: it places every pair in a press and a mould from one minute to
# another, in all ways there are, and keeps what breaks no rule.


def people_at(asked: Workshop, minute: int) -> int:
    return sum(shift.hands for shift in asked.shifts if shift.from_min <= minute < shift.to_min)


def ways(asked: Workshop, pressing: Pressing, end: int) -> Iterator[tuple[int, str, int, int]]:
    """Every press, mould, start of closing and start of opening this pressing could have alone."""
    for row, press in enumerate(asked.presses):
        hot = press.heat_up_min.value + press.hold_min.value
        for mould in {mould.name for mould in asked.moulds} & set(pressing.moulds):
            for close in range(pressing.ready_min, end):
                closed = close + press.closing_min.value
                watched = range(closed, closed + hot) if press.heated else ()
                if any(people_at(asked, minute) < 1 for minute in watched):
                    continue
                for opening in range(closed + hot + press.cool_min.value, end):
                    opened = opening + press.opening_min.value
                    if opened <= (end if pressing.due_min is None else pressing.due_min):
                        yield row, mould, close, opening


def presses_apart(asked: Workshop, placed: list[tuple[int, str, int, int]]) -> bool:
    """No press closed twice at once; a cycle that is shared holds no more than the press does."""
    for one, other in combinations(placed, 2):
        if one[0] == other[0] and (one[2], one[3]) != (other[2], other[3]):
            opening = asked.presses[one[0]].opening_min.value
            if one[2] < other[3] + opening and other[2] < one[3] + opening:
                return False
    cycles = Counter((row, close, opening) for row, _, close, opening in placed)
    return all(count <= asked.presses[row].holds for (row, _, _), count in cycles.items())


def people_enough(asked: Workshop, placed: list[tuple[int, str, int, int]]) -> bool:
    """At every minute as many people as closing and opening need."""
    work: Counter[int] = Counter()
    for row, close, opening in {(row, close, opening) for row, _, close, opening in placed}:
        press = asked.presses[row]
        for minute in range(close, close + press.closing_min.value):
            work[minute] += press.closing_hands
        for minute in range(opening, opening + press.opening_min.value):
            work[minute] += press.opening_hands
    return all(people_at(asked, minute) >= hands for minute, hands in work.items())


def moulds_enough(asked: Workshop, placed: list[tuple[int, str, int, int]]) -> bool:
    """No mould in more places at once than there are of it."""
    for mould in asked.moulds:
        spans = [
            (close, opening + asked.presses[row].opening_min.value)
            for row, name, close, opening in placed
            if name == mould.name
        ]
        if any(sum(a <= minute < b for a, b in spans) > mould.count for minute, _ in spans):
            return False
    return True


def allowed(asked: Workshop, placed: list[tuple[int, str, int, int]]) -> bool:
    return presses_apart(asked, placed) and people_enough(asked, placed) and moulds_enough(asked, placed)


def possible(asked: Workshop, pressings: list[Pressing]) -> bool:
    end = max(shift.to_min for shift in asked.shifts)
    choices = [list(ways(asked, pressing, end)) for pressing in pressings]

    def place(row: int, placed: list[tuple[int, str, int, int]]) -> bool:
        if row == len(choices):
            return True
        for choice in choices[row]:
            longer = [*placed, choice]
            if allowed(asked, longer) and place(row + 1, longer):
                return True
        return False

    return place(0, [])


def small(rng: random.Random) -> Workshop:
    """A workshop of up to three pairs, two presses, two moulds and a dozen minutes."""
    end = rng.randint(5, 11)
    shifts = [Shift(0, end, rng.randint(1, 2))]
    if rng.random() < 0.5:
        cut = rng.randint(1, end - 2)
        shifts = [Shift(0, cut, rng.randint(1, 3)), Shift(rng.randint(cut, end - 1), end, rng.randint(1, 2))]
    presses = [
        Press(
            f"press {n}",
            rng.random() < 0.5,
            *(Given(value) for value in (rng.randint(0, 1), rng.randint(1, 2), rng.randint(0, 1))),
            Given(rng.randint(1, 2)),
            Given(1),
            closing_hands=rng.randint(1, 2),
            holds=rng.choice((1, 1, 2)),
        )
        for n in range(rng.randint(1, 2))
    ]
    moulds = [Mould(name, rng.choice((1, 1, 2))) for name in ("a", "b")[: rng.randint(1, 2)]]
    pressings = [
        Pressing(
            f"P{n}",
            tuple(rng.sample(("a", "b"), rng.randint(1, 2))),
            rng.choice((0, 0, 1, 2)),
            rng.choice((None, None, end - 1, end)),
        )
        for n in range(rng.randint(1, 3))
    ]
    return Workshop(pressings, presses, moulds, shifts)


def obeys(asked: Workshop, result) -> None:
    """A plan presses everything once and breaks none of the enumeration's rules."""
    rows = {press.name: row for row, press in enumerate(asked.presses)}
    placed, names = [], []
    for cycle in result.cycles:
        press = asked.presses[rows[cycle.press]]
        assert cycle.closed_min - cycle.closing_from_min == press.closing_min.value
        assert cycle.hot_min - cycle.closed_min == press.heat_up_min.value
        assert cycle.hold_until_min - cycle.hot_min == press.hold_min.value
        assert cycle.openable_min - cycle.hold_until_min == press.cool_min.value
        assert cycle.opening_from_min >= cycle.openable_min
        assert cycle.opened_min - cycle.opening_from_min == press.opening_min.value
        if press.heated:
            assert all(people_at(asked, minute) for minute in range(cycle.closed_min, cycle.hold_until_min))
        for name, mould in zip(cycle.pressings, cycle.moulds, strict=True):
            pressing = next(p for p in asked.pressings if p.name == name)
            assert mould in pressing.moulds
            assert pressing.ready_min <= cycle.closing_from_min
            assert pressing.due_min is None or cycle.opened_min <= pressing.due_min
            names.append(name)
            placed.append((rows[cycle.press], mould, cycle.closing_from_min, cycle.opening_from_min))
    assert sorted(names) == sorted(pressing.name for pressing in asked.pressings)
    assert allowed(asked, placed)
    assert [c.closing_from_min for c in result.cycles] == sorted(c.closing_from_min for c in result.cycles)


def smallest_by_hand(asked: Workshop) -> int:
    """How many pairs the smallest choice has that cannot all be pressed."""
    for size in range(1, len(asked.pressings) + 1):
        if not all(possible(asked, list(chosen)) for chosen in combinations(asked.pressings, size)):
            return size
    raise AssertionError("all fit")


@pytest.mark.parametrize("block", range(8))
def test_plan_when_compared_with_brute_force_answers_the_same(block):
    """On random small workshops: fits or not, the plan keeps the rules, the conflict is the smallest."""
    for seed in range(block * 50, block * 50 + 50):
        asked = small(random.Random(seed))
        result = plan(workshop=asked)
        fits = possible(asked, list(asked.pressings))
        assert (result.answer is Answer.FITS) is fits, (seed, asked)
        if fits:
            obeys(asked, result)
            continue
        conflict = [pressing for pressing in asked.pressings if pressing.name in result.conflict]
        assert result.smallest
        assert not possible(asked, conflict), (seed, asked)
        assert len(conflict) == smallest_by_hand(asked), (seed, asked)


def test_brute_force_when_drawn_has_both_answers():
    """The draws are no foregone conclusion: both answers, and conflicts of one, two and three pairs."""
    results = [plan(workshop=small(random.Random(seed))) for seed in range(160)]
    fitting = sum(result.answer is Answer.FITS for result in results)
    assert 40 < fitting < 120
    assert {len(result.conflict) for result in results} == {0, 1, 2, 3}


@pytest.mark.parametrize(
    ("pairs", "moulds", "end", "fits"),
    [
        (4, ("178", "185", "165", "172"), 620, True),
        (4, ("178", "185", "165", "172"), 610, False),
        (3, ("178",), 870, True),
        (3, ("178",), 860, False),
        (4, ("178", "178", "178", "185"), 620, False),
    ],
)
def test_plan_when_asked_at_real_size_agrees_with_an_integer_programme(pairs, moulds, end, fits):
    """Two presses, two people, cycles of 290 minutes on a grid of ten: the very last minute that will do."""
    presses = [
        Press(name, True, Given(40), Given(150), Given(60), Given(30), Given(10))
        for name in ("left", "right")
    ]
    pressings = [Pressing(f"P{n}", (moulds[n % len(moulds)],)) for n in range(pairs)]
    asked = Workshop(pressings, presses, [Mould(name) for name in sorted(set(moulds))], [Shift(0, end, 2)])
    assert Programme(asked, 10).fits() is fits
    assert (plan(workshop=asked).answer is Answer.FITS) is fits


@st.composite
def days(draw):
    """A workshop of real size: one or two days, up to three presses and seven pairs."""
    names = ["165", "172", "178", "185"]
    presses = [
        Press(
            f"press {n}",
            draw(st.booleans()),
            *(Given(draw(st.integers(*bounds))) for bounds in ((0, 60), (60, 240), (0, 90))),
            Given(draw(st.integers(15, 45))),
            Given(draw(st.integers(5, 20))),
            holds=draw(st.sampled_from((1, 1, 2))),
        )
        for n in range(draw(st.integers(1, 3)))
    ]
    shifts = [Shift(480 + 1440 * day, 1080 + 1440 * day, 2) for day in range(draw(st.integers(1, 2)))]
    pressings = [
        Pressing(f"P{n}", tuple(draw(st.lists(st.sampled_from(names), min_size=1, max_size=2, unique=True))))
        for n in range(draw(st.integers(1, 7)))
    ]
    return Workshop(pressings, presses, [Mould(name) for name in names], shifts)


@settings(max_examples=40, deadline=None)
@given(days())
def test_plan_when_it_fits_keeps_every_rule(asked):
    """At real size: what is answered as fitting is a plan that anybody can check."""
    result = plan(workshop=asked)
    if result.answer is Answer.FITS:
        obeys(asked, result)
    elif result.answer is Answer.DOES_NOT_FIT:
        assert result.conflict


@settings(max_examples=25, deadline=None)
@given(days(), st.integers(1, 120))
def test_plan_when_the_day_is_longer_never_fits_worse(asked, more):
    """Monotone: more minutes at the end never turn yes into no."""
    if plan(workshop=asked).answer is Answer.FITS:
        last = asked.shifts[-1]
        longer = [*asked.shifts[:-1], Shift(last.from_min, last.to_min + more, last.hands)]
        after = plan(workshop=Workshop(asked.pressings, asked.presses, asked.moulds, longer))
        assert after.answer is not Answer.DOES_NOT_FIT
