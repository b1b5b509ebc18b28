"""Cutting patterns: how many of which size come out of one length, and lists of them that give all pieces.

Knows whole numbers only: sizes (kerf already added), counts, and the length they are cut from. `cutting`
gives them their millimetres.

A pattern is one count per size, sizes falling; a list of patterns is (pattern, times) in cutting order.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

Pattern = tuple[int, ...]
Patterns = list[tuple[Pattern, int]]

MOST_PATTERNS = 1_000
MOST_TRIED = 10_000
_MOST_STEPS = 400
_SMALL = 1e-9


@dataclass(frozen=True, slots=True)
class Prices:
    """What each size is worth in lengths, no pattern worth more than 1; and a plan in fractions."""

    worth: tuple[float, ...]
    fractions: tuple[tuple[Pattern, float], ...]


def used(pattern: Pattern, sizes: Sequence[int]) -> int:
    """How much of the length a pattern uses, kerf included.

    Formula: sum of count x size.
    Units: those of the sizes.
    Shapes: one count a size.
    Source: arithmetic.
    """
    return sum(count * size for count, size in zip(pattern, sizes, strict=True))


def fullest(
    length: int,
    sizes: Sequence[int],
    counts: Sequence[int],
    *,
    large_first: bool = True,
    longest: bool = False,
) -> Pattern:
    """The pattern that leaves least of the length; among equals the one with most of the largest (smallest).

    Formula: the largest sum of wanted sizes <= length, exact: the sums that can be reached are the bits of
        one number. With `longest` the largest size still wanted is cut at least once.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size.
    Source: subset sums by bits (from memory).
    """
    wanted, room = list(counts), length
    must = next(place for place, count in enumerate(wanted) if count) if longest else None
    if must is not None:
        wanted[must] -= 1
        room -= sizes[must]
    order = list(range(len(sizes)))
    if large_first:
        order.reverse()
    reach = [1]
    for place in order:
        reach.append(_reached(reach[-1], sizes[place], min(wanted[place], room // sizes[place]), room))
    left, pattern = reach[-1].bit_length() - 1, [0] * len(sizes)
    for before, place in zip(reversed(reach[:-1]), reversed(order), strict=True):
        most = min(wanted[place], left // sizes[place])
        pattern[place] = next(
            count for count in range(most, -1, -1) if before >> left - count * sizes[place] & 1
        )
        left -= pattern[place] * sizes[place]
    if must is not None:
        pattern[must] += 1
    return tuple(pattern)


def _reached(before: int, size: int, most: int, room: int) -> int:
    """The sums reached with up to `most` more of a size, doubling the number added at a time."""
    full, step, reached = (1 << room + 1) - 1, 1, before
    while most > 0:
        take = min(step, most)
        reached |= reached << size * take & full
        most -= take
        step *= 2
    return reached


def repeat_fullest(
    length: int, sizes: Sequence[int], counts: Sequence[int], *, large_first: bool, longest: bool
) -> Patterns:
    """The fullest pattern as often as the counts allow, then the next fullest.

    Formula: times = least of count // taken over the pattern's sizes.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size.
    Source: common practice, no source.
    """
    wanted, out = list(counts), []
    while any(wanted):
        pattern = fullest(length, sizes, wanted, large_first=large_first, longest=longest)
        times = min(have // take for have, take in zip(wanted, pattern, strict=True) if take)
        wanted = [have - times * take for have, take in zip(wanted, pattern, strict=True)]
        out.append((pattern, times))
    return out


def first_fit(length: int, sizes: Sequence[int], counts: Sequence[int]) -> Patterns:
    """The largest piece first, each into the first length that still holds it.

    Formula: first fit, sizes falling.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size.
    Source: first fit decreasing (from memory).
    """
    room: list[int] = []
    cut: list[list[int]] = []
    for place, count in enumerate(counts):
        start = 0
        for _ in range(count):
            while start < len(room) and room[start] < sizes[place]:
                start += 1
            if start == len(room):
                room.append(length)
                cut.append([0] * len(sizes))
            room[start] -= sizes[place]
            cut[start][place] += 1
    return list(Counter(map(tuple, cut)).items())


def full_patterns(length: int, sizes: Sequence[int], counts: Sequence[int]) -> list[Pattern] | None:
    """All patterns to which no further wanted piece can be added; None when there are too many.

    Formula: every count of every size that fits, up to 10,000 tried and 1,000 found.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size.
    Source: Gilmore and Gomory 1961 (from memory).
    """
    tried = list(islice(_tried(length, sizes, counts, 0, ()), MOST_TRIED + 1))
    found = [taken for taken, room in tried if _is_full(taken, room, sizes, counts)]
    return found if len(tried) <= MOST_TRIED and len(found) <= MOST_PATTERNS else None


def _tried(
    room: int, sizes: Sequence[int], counts: Sequence[int], place: int, taken: Pattern
) -> Iterator[tuple[Pattern, int]]:
    """Patterns with as many of the last size as fit, and the room left."""
    most = min(counts[place], room // sizes[place])
    if place == len(sizes) - 1:
        yield (*taken, most), room - most * sizes[place]
        return
    for count in range(most, -1, -1):
        yield from _tried(room - count * sizes[place], sizes, counts, place + 1, (*taken, count))


def _is_full(taken: Pattern, room: int, sizes: Sequence[int], counts: Sequence[int]) -> bool:
    return all(room < size or have >= count for size, have, count in zip(sizes, taken, counts, strict=True))


def prices(length: int, sizes: Sequence[int], counts: Sequence[int], patterns: Sequence[Pattern]) -> Prices:
    """The best plan in fractions of patterns, and what each size is worth in it.

    Formula: least sum of fractions with all counts cut, by the simplex method; the worths are divided by the
        dearest pattern's, so that none is worth more than 1 whatever was rounded, wherever it stopped.
    Units: lengths.
    Shapes: sizes falling, one count a size; `patterns` as full_patterns gives them.
    Source: Gilmore and Gomory 1961; Dantzig's simplex method (from memory).
    """
    size_count = len(sizes)
    column = [
        tuple(max(1, min(length // size, count)) if row == place else 0 for row in range(size_count))
        for place, (size, count) in enumerate(zip(sizes, counts, strict=True))
    ]
    cost = [1.0] * size_count
    inverse = [
        [1 / column[row][row] if row == place else 0.0 for place in range(size_count)]
        for row in range(size_count)
    ]
    amount = [count * inverse[row][row] for row, count in enumerate(counts)]
    for _ in range(_MOST_STEPS):
        worth = [
            sum(cost[row] * inverse[row][place] for row in range(size_count)) for place in range(size_count)
        ]
        entering, price = _entering(worth, patterns)
        if entering is None:
            break
        row = _pivot(entering, inverse, amount)
        column[row], cost[row] = entering, price
    worth = [max(0.0, each) for each in worth]
    dearest = max(1.0, max(value(pattern, worth) for pattern in patterns))
    fractions = [(pattern, part) for pattern, part, price in zip(column, amount, cost, strict=True) if price]
    return Prices(tuple(each / dearest for each in worth), tuple(fractions))


def value(pattern: Iterable[int], worth: Sequence[float]) -> float:
    """What these counts are worth together.

    Formula: sum of count x worth.
    Units: lengths.
    Shapes: one count and one worth a size.
    Source: arithmetic.
    """
    return sum(count * each for count, each in zip(pattern, worth, strict=True))


def _entering(worth: Sequence[float], patterns: Sequence[Pattern]) -> tuple[Pattern | None, float]:
    """The pattern worth most if more than 1, at a cost of 1; or cutting one piece too many, at no cost."""
    least = min(range(len(worth)), key=worth.__getitem__)
    if worth[least] < -_SMALL:
        return tuple(-1 if place == least else 0 for place in range(len(worth))), 0.0
    dearest = max(patterns, key=lambda pattern: value(pattern, worth))
    return (dearest, 1.0) if value(dearest, worth) > 1 + _SMALL else (None, 0.0)


def _pivot(entering: Pattern, inverse: list[list[float]], amount: list[float]) -> int:
    """Take the entering pattern in, and give back the row of the one that leaves."""
    step = [value(entering, row) for row in inverse]
    leaving = min(
        (row for row, part in enumerate(step) if part > _SMALL),
        key=lambda row: (amount[row] / step[row], row),
    )
    pivot = step[leaving]
    inverse[leaving] = [part / pivot for part in inverse[leaving]]
    amount[leaving] /= pivot
    for row, part in enumerate(step):
        if row != leaving and part:
            inverse[row] = [a - part * b for a, b in zip(inverse[row], inverse[leaving], strict=True)]
            amount[row] = max(0.0, amount[row] - part * amount[leaving])
    return leaving


def rounded(fractions: Sequence[tuple[Pattern, float]], counts: Sequence[int]) -> tuple[Patterns, list[int]]:
    """The whole part of a plan in fractions, and the counts still wanted after it.

    Formula: each pattern floor(fraction) times, largest fraction first, never more than is wanted.
    Units: counts.
    Shapes: one count a size.
    Source: common practice, no source.
    """
    wanted, out = list(counts), []
    for pattern, part in sorted(fractions, key=lambda row: -row[1]):
        times = min(
            int(part + _SMALL), *(have // take for have, take in zip(wanted, pattern, strict=True) if take)
        )
        if times:
            wanted = [have - times * take for have, take in zip(wanted, pattern, strict=True)]
            out.append((pattern, times))
    return out, wanted


def fewest(length: int, sizes: Sequence[int], counts: Sequence[int]) -> Patterns:
    """The shortest list of patterns of four simple ways.

    Formula: least of first fit and of three kinds of repeating the fullest pattern.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size.
    Source: common practice, no source.
    """
    if not any(counts):
        return []
    ways = [
        repeat_fullest(length, sizes, counts, large_first=True, longest=False),
        repeat_fullest(length, sizes, counts, large_first=True, longest=True),
        repeat_fullest(length, sizes, counts, large_first=False, longest=True),
        first_fit(length, sizes, counts),
    ]
    return min(ways, key=lengths)


def lengths(patterns: Patterns) -> int:
    """How many lengths a list of patterns takes.

    Formula: sum of times.
    Units: lengths.
    Source: arithmetic.
    """
    return sum(times for _, times in patterns)
