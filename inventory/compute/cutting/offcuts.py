"""Ways to fill offcuts with wanted pieces, to be tried one by one. Knows whole numbers only, as the patterns.

A filling is one pattern an offcut, in the order they are cut; an offcut that is not used has none.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import islice

from inventory.compute.cutting import patterns
from inventory.compute.cutting.patterns import Pattern

MOST_TRIED = 64

Filling = tuple[tuple[int, Pattern], ...]  # (which offcut, its pattern)
Fill = Callable[[int, Sequence[int]], Pattern]


def fillings(
    *, rooms: Sequence[int], sizes: Sequence[int], counts: Sequence[int], worth: Sequence[float] | None
) -> list[Filling]:
    """Ways to fill these offcuts: none; each in two orders, fullest, fullest with the longest piece that
    fits, and worth most; and where they are few, every way that leaves no room for a further piece.

    Formula: as said; worths are those of the best plan in fractions of whole lengths.
    Units: those of the sizes.
    Shapes: sizes falling, one count a size; `rooms` with the kerf that may end flush; at most 64 of the last.
    Source: common practice, no source.
    """
    rising = sorted(range(len(rooms)), key=lambda place: rooms[place])
    ways: list[Fill] = [
        lambda room, wanted: patterns.fullest(room, sizes, wanted),
        lambda room, wanted: _with_longest(room, sizes, wanted),
    ]
    if worth is not None:
        ways.append(lambda room, wanted: _dearest(room, sizes, wanted, worth))
    found: list[Filling] = [()]
    for order in (rising, rising[::-1]):
        found += [_one_by_one(order, rooms, counts, way) for way in ways]
    every = list(islice(_every(rising[::-1], rooms, sizes, list(counts)), MOST_TRIED + 1))
    if len(every) <= MOST_TRIED:
        found += every
    return list(dict.fromkeys(found))


def left(filling: Filling, counts: Sequence[int]) -> list[int]:
    """What is still wanted after a filling.

    Formula: counts less the patterns' counts.
    Units: counts.
    Source: arithmetic.
    """
    wanted = list(counts)
    for _, pattern in filling:
        wanted = [have - take for have, take in zip(wanted, pattern, strict=True)]
    return wanted


def _one_by_one(order: Sequence[int], rooms: Sequence[int], counts: Sequence[int], way: Fill) -> Filling:
    wanted, found = list(counts), []
    for place in order:
        pattern = way(rooms[place], wanted)
        if any(pattern):
            wanted = [have - take for have, take in zip(wanted, pattern, strict=True)]
            found.append((place, pattern))
    return tuple(found)


def _with_longest(room: int, sizes: Sequence[int], wanted: Sequence[int]) -> Pattern:
    """The fullest pattern that has the longest piece in it that fits."""
    fits = [count if size <= room else 0 for size, count in zip(sizes, wanted, strict=True)]
    return patterns.fullest(room, sizes, fits, longest=any(fits))


def _dearest(room: int, sizes: Sequence[int], wanted: Sequence[int], worth: Sequence[float]) -> Pattern:
    """The pattern worth most, among equals the one with most of the largest; fullest where they are many."""
    full = patterns.full_patterns(room, sizes, wanted)
    if full is None:
        return patterns.fullest(room, sizes, wanted)
    return max(full, key=lambda pattern: (round(patterns.value(pattern, worth), 9), pattern))


def _every(
    order: Sequence[int], rooms: Sequence[int], sizes: Sequence[int], wanted: list[int]
) -> Iterator[Filling]:
    """Every way to fill the offcuts in this order, none of them with room for a further wanted piece."""
    if not order:
        yield ()
        return
    first, rest = order[0], order[1:]
    full = patterns.full_patterns(rooms[first], sizes, wanted) or []
    for pattern in full:
        after = [have - take for have, take in zip(wanted, pattern, strict=True)]
        own = ((first, pattern),) if any(pattern) else ()
        for filling in _every(rest, rooms, sizes, after):
            yield own + filling
