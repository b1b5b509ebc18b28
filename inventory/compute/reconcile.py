"""A lot reckoned up: what came in against everything that became of it, to the last base unit.

Knows no lot and no table: amounts come in by what became of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from inventory.compute.reasons import How, Input
from inventory.errors import Refused, say

RULE = (
    "unexplained = received - (in stock + in batches + in skis + in other things + taken out + written off + "
    "count differences + drawn beyond); shares of what was received, rounded so that they add up"
)
SOURCE = "arithmetic; shares by largest remainder (Hamilton), from memory"
TENTHS = 1_000  # of a per cent, in the whole


class Became(StrEnum):
    """What became of a part of a lot, in the order in which it is told."""

    STOCK = "in stock"
    BATCHES = "in resin batches"
    SKIS = "in skis"
    OTHER = "in other things"
    TAKEN = "taken out, not said for what"
    WASTE = "written off"
    COUNTED = "count differences"
    SHORT = "drawn beyond what there was"
    UNEXPLAINED = "unexplained"


@dataclass(frozen=True, slots=True)
class Share:
    """One line: whole base units, and tenths of a per cent of what was received (None when nothing was)."""

    became: Became
    amount: int
    tenths: int | None

    @property
    def percent(self) -> float | None:
        """The share in per cent, to one decimal."""
        return None if self.tenths is None else self.tenths / 10


@dataclass(frozen=True, slots=True)
class Reckoned:
    """All lines; their amounts add up to `received`, and their shares to 100.0 per cent."""

    received: int
    shares: tuple[Share, ...]
    how: How

    @property
    def unexplained(self) -> int:
        """What no event accounts for; nothing, unless the books are not right."""
        return next(share.amount for share in self.shares if share.became is Became.UNEXPLAINED)


def reckon(*, received: int, became: Mapping[Became, int]) -> Reckoned:
    """Reckon up one lot. A count that found more is a difference below zero.

    Formula: unexplained = received - sum of all else. Shares in tenths of a per cent of what was received, by
        largest remainder, so that they add up to 100.0.
    Units: whole base units of one kind.
    Refuses: reconcile.received
    Source: arithmetic; largest remainder (Hamilton), from memory.
    """
    if received < 0:
        raise Refused(
            "reconcile.received",
            say("{received} was received: less than nothing.", received=received),
            say("Check the books with manage.py check_ledger."),
        )
    amounts: dict[Became, int] = dict.fromkeys(Became, 0)
    amounts |= became
    amounts[Became.UNEXPLAINED] = 0
    amounts[Became.UNEXPLAINED] = received - sum(amounts.values())
    tenths = _tenths(received, amounts)
    shares = tuple(Share(kind, amount, tenths.get(kind)) for kind, amount in amounts.items())
    inputs = (Input("received", received), *(Input(kind.value, amount) for kind, amount in amounts.items()))
    return Reckoned(received, shares, How(RULE, SOURCE, inputs))


def _tenths(received: int, amounts: Mapping[Became, int]) -> dict[Became, int]:
    """Shares that add up to the whole: rounded down, what is left over to the largest remainders."""
    if received == 0:
        return {}
    parts = {kind: divmod(amount * TENTHS, received) for kind, amount in amounts.items()}
    left = TENTHS - sum(whole for whole, _ in parts.values())
    largest = sorted(parts, key=lambda kind: -parts[kind][1])[:left]
    return {kind: whole + (kind in largest) for kind, (whole, _) in parts.items()}
