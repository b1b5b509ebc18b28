"""Where to draw what a thing is made of and went into: boxes in columns, and the lines between them.

Knows no thing, no word and no colour. Columns go from what is bought on the left to what is handed over on
the right; a column that is empty takes no room.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Id = TypeVar("Id", bound=Hashable)

WIDTH, GAP, HEIGHT, SPACE, HEAD = (
    720,
    56,
    40,
    12,
    24,
)  # of the drawing, between columns, of a box, under it, above


@dataclass(frozen=True, slots=True)
class Box(Generic[Id]):
    """One thing in its place; `x` and `y` are its upper left corner."""

    id: Id
    column: int
    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Lineage(Generic[Id]):
    """A drawing: its boxes, the lines as SVG paths, the columns used and what was left out of each."""

    boxes: tuple[Box[Id], ...]
    lines: tuple[str, ...]
    columns: tuple[tuple[int, int], ...]  # column, x
    left_out: int
    box_width: int
    width: int
    height: int


def draw(columns: Mapping[Id, int], steps: Iterable[tuple[Id, Id]], *, most: int = 24) -> Lineage[Id]:
    """Place each thing in its column, near what it is joined to, and join every step's two things.

    Shapes: the column of each thing, in the order to keep where nothing else decides; steps from, to.
    Formula: in every column things stand in the order of the mean height of what they are joined to in the
        columns placed before, from the right to the left and back (barycentre ordering)
    Source: Sugiyama, Tagawa and Toda 1981 (from memory)
    """
    joined = [step for step in dict.fromkeys(steps) if step[0] in columns and step[1] in columns]
    rows: dict[int, list[Id]] = {}
    for id, column in columns.items():
        rows.setdefault(column, []).append(id)
    used = sorted(rows)
    for order in (list(reversed(used)), used):
        _sort(rows, order, joined)
    left_out = sum(max(len(row) - most, 0) for row in rows.values())
    across = (WIDTH - GAP * (len(used) - 1)) // max(len(used), 1)
    across = min(across, (WIDTH - 3 * GAP) // 3)
    at = {column: index * (across + GAP) for index, column in enumerate(used)}
    boxes = {
        id: Box(id, column, at[column], HEAD + index * (HEIGHT + SPACE))
        for column in used
        for index, id in enumerate(rows[column][:most])
    }
    lines = tuple(_line(boxes[a], boxes[b], across) for a, b in joined if a in boxes and b in boxes)
    height = max((box.y + HEIGHT + SPACE for box in boxes.values()), default=HEAD)
    columns_at = tuple((column, at[column]) for column in used)
    width = max((x + across for _, x in columns_at), default=WIDTH)
    return Lineage(tuple(boxes.values()), lines, columns_at, left_out, across, width, height)


def _sort(rows: dict[int, list[Id]], order: Sequence[int], joined: Iterable[tuple[Id, Id]]) -> None:
    """Sort each column by what is joined to it in the columns sorted before."""
    beside: dict[Id, list[Id]] = {}
    for a, b in joined:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    height: dict[Id, float] = {}
    for column in order:
        found = {}
        for index, id in enumerate(rows[column]):
            near = [height[other] for other in beside.get(id, ()) if other in height]
            found[id] = sum(near) / len(near) if near else float(index)
        rows[column].sort(key=found.__getitem__)
        height.update((id, float(index)) for index, id in enumerate(rows[column]))


def _line(a: Box[Id], b: Box[Id], across: int) -> str:
    """From the right side of one box to the left side of another; in one column round the left side."""
    y1, y2 = a.y + HEIGHT // 2, b.y + HEIGHT // 2
    if a.column == b.column:
        out = a.x - GAP // 3
        return f"M{a.x} {y1}C{out} {y1} {out} {y2} {b.x} {y2}"
    left, right = (a, b) if a.x < b.x else (b, a)
    y1, y2 = left.y + HEIGHT // 2, right.y + HEIGHT // 2
    x1, x2 = left.x + across, right.x
    middle = (x1 + x2) // 2
    return f"M{x1} {y1}C{middle} {y1} {middle} {y2} {x2} {y2}"
