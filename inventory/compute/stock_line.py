"""How much of a material is there day by day: what comes in, what is taken, what passes its date.

Knows no lot and no order; a picture is drawn from it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Move(StrEnum):
    """Why there is more or less from a day on."""

    ORDERED = "comes in from an order"
    PLANNED = "comes in as planned"
    PASSES = "passes its date"
    TAKEN = "taken for a workshop"


@dataclass(frozen=True, slots=True)
class Change:
    """So much more, or less, from one day on; `what` names the workshop, the lot or the order."""

    on: date
    amount: int
    move: Move
    what: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """What is there once a day's change has happened; below zero: short by so much."""

    on: date
    before: int
    after: int
    change: Change


_FIRST = {move: rank for rank, move in enumerate(Move)}


def stock_line(*, start: int, changes: Iterable[Change]) -> tuple[Point, ...]:
    """What is there after each change, in the order of the days.

    Formula: after = before + change; on one day what comes in counts first, then what passes, then what is
        taken.
    Units: the material's base unit.
    Source: arithmetic.
    """
    found, level = [], start
    for change in sorted(changes, key=lambda each: (each.on, _FIRST[each.move], each.what)):
        found.append(Point(change.on, level, level + change.amount, change))
        level += change.amount
    return tuple(found)
