"""Which lot each mix comes from, when a mix may not be spread over two. Knows no day and no place.

Exact for a workshop's size: every way is tried unless it cannot be better than the best one so far.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

LIMIT = 20_000
"""The most steps the search takes before it gives its best answer so far."""

_NO_LOT = -1
_Key = tuple[int, int]  # (amount covered, which mixes are covered: the earlier, the higher its bit)


@dataclass(frozen=True, slots=True)
class Assigned:
    """For each mix the pile it comes from, or None.

    `certain` when no other way covers more; `first_fit` when each mix took the first pile that could hold it.
    """

    pile: tuple[int | None, ...]
    certain: bool
    first_fit: bool


def assign(
    *, piles: Sequence[int], sizes: Sequence[int], reach: Sequence[Sequence[int]], limit: int = LIMIT
) -> Assigned:
    """Give every mix one pile, so that as much as possible is covered, and earlier mixes before later ones.

    Formula: depth first over the mixes in their order, piles in the order of `reach`; a branch is left when
        all it could still cover would not beat the best, or when the same rest was reached with as much.
    Units: amounts in any one whole unit.
    Shapes: sizes and reach have one entry for each mix; reach holds positions in piles.
    Refuses: nothing
    Source: branch and bound, common practice, no source
    """
    search = _Search(list(piles), sizes, reach)
    plain = _first_fit(piles, sizes, reach)
    search.consider(plain)
    search.consider(_tightest_fit(piles, sizes, reach))
    done = search.run(limit)
    best = [None if pile == _NO_LOT else pile for pile in search.best]
    return Assigned(tuple(best), done or search.best_key[0] == sum(sizes), search.best == plain)


def _first_fit(piles: Sequence[int], sizes: Sequence[int], reach: Sequence[Sequence[int]]) -> list[int]:
    left = list(piles)
    chosen = []
    for size, options in zip(sizes, reach, strict=True):
        pile = next((each for each in options if left[each] >= size), _NO_LOT)
        if pile != _NO_LOT:
            left[pile] -= size
        chosen.append(pile)
    return chosen


def _tightest_fit(piles: Sequence[int], sizes: Sequence[int], reach: Sequence[Sequence[int]]) -> list[int]:
    """The largest mix first, into the pile where least stays over: a good start when piles are tight."""
    left = list(piles)
    chosen = [_NO_LOT] * len(sizes)
    for mix in sorted(range(len(sizes)), key=lambda each: -sizes[each]):
        fits = [pile for pile in reach[mix] if left[pile] >= sizes[mix]]
        if fits:
            chosen[mix] = min(fits, key=lambda pile: left[pile])
            left[chosen[mix]] -= sizes[mix]
    return chosen


class _Search:
    """The state of one search: what is left, what is chosen so far, the best seen."""

    def __init__(self, left: list[int], sizes: Sequence[int], reach: Sequence[Sequence[int]]) -> None:
        self.left = left
        self.sizes = sizes
        self.reach = reach
        self.rest = [sum(sizes[mix:]) for mix in range(len(sizes) + 1)]
        self.best: list[int] = [_NO_LOT] * len(sizes)
        self.best_key: _Key = (0, 0)
        self.chosen: list[int] = []
        self.keys: list[_Key] = [(0, 0)]
        self.seen: dict[tuple[int, ...], _Key] = {}

    def _with(self, key: _Key, mix: int, pile: int) -> _Key:
        if pile == _NO_LOT:
            return key
        return key[0] + self.sizes[mix], key[1] | 1 << (len(self.sizes) - 1 - mix)

    def consider(self, chosen: list[int]) -> None:
        key: _Key = (0, 0)
        for mix, pile in enumerate(chosen):
            key = self._with(key, mix, pile)
        if key > self.best_key:
            self.best, self.best_key = list(chosen), key

    def _hopeless(self) -> bool:
        """True when this branch cannot beat the best, or the same rest was seen before with as much."""
        mix, (covered, which) = len(self.chosen), self.keys[-1]
        ahead = (covered + self.rest[mix], which | (1 << (len(self.sizes) - mix)) - 1)
        if ahead <= self.best_key:
            return True
        rest = (mix, *self.left)
        if self.seen.get(rest, (-1, 0)) >= self.keys[-1]:
            return True
        self.seen[rest] = self.keys[-1]
        return False

    def _options(self) -> Iterator[int]:
        mix = len(self.chosen)
        if mix == len(self.sizes) or self._hopeless():
            return
        for pile in self.reach[mix]:
            if self.left[pile] >= self.sizes[mix]:
                yield pile
        yield _NO_LOT

    def _step(self, pile: int) -> None:
        mix = len(self.chosen)
        if pile != _NO_LOT:
            self.left[pile] -= self.sizes[mix]
        self.chosen.append(pile)
        self.keys.append(self._with(self.keys[-1], mix, pile))
        if len(self.chosen) == len(self.sizes) and self.keys[-1] > self.best_key:
            self.best, self.best_key = list(self.chosen), self.keys[-1]

    def _back(self) -> None:
        self.keys.pop()
        pile = self.chosen.pop()
        if pile != _NO_LOT:
            self.left[pile] += self.sizes[len(self.chosen)]

    def run(self, limit: int) -> bool:
        """Try every way worth trying; True when none was left out for want of steps."""
        trail = [self._options()]
        for _ in range(limit):
            if not trail:
                return True
            pile = next(trail[-1], None)
            if pile is not None:
                self._step(pile)
                trail.append(self._options())
                continue
            trail.pop()
            if self.chosen:
                self._back()
        return not trail
