"""Whether what is worn at work comes along for everybody, by size.

Reads facts only. The sizes are the guests'; what fits everybody has none.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from inventory.compute.reasons import Level
from inventory.errors import say
from inventory.queries.notes import Note
from inventory.queries.readiness.cures import nearest
from inventory.queries.readiness.facts import Facts, Piece

WORN = ("respirator", "ear defender")


def worn(facts: Facts) -> Iterator[Note]:
    """What is worn, by the sizes of those who are there on one day. What fits everybody has no size."""
    days = sorted({workshop.row.starts_on for workshop in facts.workshops})
    for sort in WORN:
        pieces = facts.of_sort(sort, coming=False)
        coming = Counter(each.row.size for each in pieces if each.spot.goes and not each.held)
        most: dict[str, tuple[int, int]] = {}
        for day in days if pieces else ():
            for size, people, there in _lacking(_sizes_on(facts, day), coming):
                before = most.get(size, (0, 0))
                most[size] = max(before, (people, there), key=lambda row: row[0] - row[1])
        for size, (people, there) in most.items():
            yield _too_few(sort, size, people, there, pieces, facts)


def _sizes_on(facts: Facts, day: date) -> Counter[str]:
    """The sizes of the guests whose workshop is on that day."""
    there = [each for each in facts.workshops if each.row.starts_on <= day <= each.row.ends_on]
    return Counter(size for workshop in there for size in workshop.sizes)


def _lacking(sizes: Counter[str], coming: Counter[str]) -> Iterator[tuple[str, int, int]]:
    """Sizes that do not go round, with people and pieces; whose size nobody knows wears what is left."""
    spare = coming[""]
    for size, people in sorted(sizes.items()):
        lacks = people - coming[size] if size else 0
        if lacks > spare:
            yield size, people, coming[size] + spare
        spare = max(0, spare - max(0, lacks))
    left = spare + sum(max(0, count - sizes[size]) for size, count in coming.items() if size)
    if sizes[""] > left:
        yield "", sum(sizes.values()), sum(coming.values())


def _too_few(sort: str, size: str, people: int, there: int, pieces: Iterable[Piece], facts: Facts) -> Note:
    values = {"sort": sort, "size": size, "people": people, "there": there}
    if size:
        sentence = say("Of {sort}s in size {size} {there} come along for {people} guests.", **values)
    else:
        sentence = say("{there} {sort}s come along for {people} guests.", **values)
    home = [
        each
        for each in pieces
        if not each.spot.goes and each.free and each.row.size in (("", size) if size else (each.row.size,))
    ]
    return Note(
        sentence,
        Level.STOP,
        page="equipment",
        code="ready.worn",
        cures=tuple(nearest(facts, home, sort)),
        by=facts.loads_on,
    )
