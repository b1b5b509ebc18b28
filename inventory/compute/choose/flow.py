"""Maximum flow between piles and wants, small and plain. Knows no lot, no day and no place.

A *pile* has so much, a *want* needs so much, and `reach` says which piles each want may draw from.
The three steps do not disturb one another: what one has settled, the next keeps.
1. `cover`: wants in their order, each served as far as it can be without taking from an earlier one.
2. `use_first`: with the wants' cover kept, the piles of lower rank are used up before those of higher rank.
3. `fewest_moves`: with cover and use of every rank kept, as little as possible is drawn from far away.
"""

from collections import deque
from collections.abc import Sequence
from collections.abc import Set as AbstractSet

_HOP = tuple[int, int, int]  # (pile that gives, want that takes it, pile that this want gives back to)
_STAYS = -1
_NONE = (2, 0)  # dearer than any exchange


class Sharing:
    """A plan in the making: who draws how much from which pile. Amounts are whole numbers."""

    __slots__ = ("drawn", "left", "reach", "short", "takers")

    def __init__(self, *, piles: Sequence[int], wants: Sequence[int], reach: Sequence[Sequence[int]]) -> None:
        self.left = list(piles)
        self.short = list(wants)
        self.reach = reach
        self.drawn: list[dict[int, int]] = [{} for _ in wants]
        self.takers: list[set[int]] = [set() for _ in piles]

    def draw(self, want: int, pile: int, amount: int) -> None:
        """Let a want draw from a pile; a negative amount gives back."""
        total = self.drawn[want].get(pile, 0) + amount
        self.left[pile] -= amount
        self.short[want] -= amount
        if total:
            self.drawn[want][pile] = total
            self.takers[pile].add(want)
        else:
            self.drawn[want].pop(pile, None)
            self.takers[pile].discard(want)

    def _pass_on(self, hops: Sequence[_HOP], amount: int) -> None:
        for giver, want, back in hops:
            self.draw(want, back, -amount)
            self.draw(want, giver, amount)


def cover(sharing: Sharing) -> None:
    """How much of each want can be covered, wants served in order?

    Formula: maximum flow by augmenting paths. A path starts at the want in turn and never lowers what an
        earlier want got in all, so the cover is the largest there is and, among the largest, the one that
        favours earlier wants.
    Units: amounts in any one whole unit.
    Refuses: nothing
    Source: Ford and Fulkerson, shortest paths first as in Edmonds and Karp (from memory)
    """
    for want in range(len(sharing.short)):
        _draw_directly(sharing, want)
        while sharing.short[want] and _augment(sharing, want):
            pass


def _draw_directly(sharing: Sharing, want: int) -> None:
    for pile in sharing.reach[want]:
        if not sharing.short[want]:
            return
        amount = min(sharing.left[pile], sharing.short[want])
        if amount:
            sharing.draw(want, pile, amount)


def _augment(sharing: Sharing, start: int) -> bool:
    """Find a chain of wants that make room for one another, ending at a pile with something left."""
    asked_by: dict[int, int] = {}
    holds: dict[int, int] = {}
    queue = deque([start])
    while queue:
        want = queue.popleft()
        for pile in sharing.reach[want]:
            if pile in asked_by:
                continue
            asked_by[pile] = want
            if sharing.left[pile]:
                _serve(sharing, start, pile, asked_by, holds)
                return True
            for other in sharing.takers[pile]:
                if other != start and other not in holds:
                    holds[other] = pile
                    queue.append(other)
    return False


def _serve(sharing: Sharing, start: int, pile: int, asked_by: dict[int, int], holds: dict[int, int]) -> None:
    hops: list[_HOP] = []
    want = asked_by[pile]
    while want != start:
        hops.append((pile, want, holds[want]))
        pile = holds[want]
        want = asked_by[pile]
    room = [sharing.drawn[taker][back] for _, taker, back in hops]
    end = hops[0][0] if hops else pile
    amount = min(sharing.short[start], sharing.left[end], *room)
    sharing._pass_on(hops, amount)
    sharing.draw(start, pile, amount)


def use_first(sharing: Sharing, rank: Sequence[int]) -> None:
    """Which piles are used up first, if no want's cover may change?

    Formula: while there is one, carry out a chain of exchanges that gives from a pile with something left
        and gives back to one of a higher rank. When none is left, no plan with the same cover uses more of
        the low ranks: exchanges lead from any plan to any other.
    Units: amounts in any one whole unit.
    Shapes: one rank for each pile.
    Refuses: nothing
    Source: the covers of the two sides of a matching are independent, Mendelsohn and Dulmage (from memory)
    """
    reached_by = _reached_by(sharing)
    for pile in sorted(range(len(rank)), key=lambda each: rank[each]):
        while sharing.left[pile]:
            hops = _chain_to_later(sharing, pile, rank, reached_by)
            if not hops:
                break
            room = min(sharing.drawn[want][back] for _, want, back in hops)
            sharing._pass_on(hops, min(sharing.left[pile], room))


def _reached_by(sharing: Sharing) -> list[list[int]]:
    reached_by: list[list[int]] = [[] for _ in sharing.left]
    for want, piles in enumerate(sharing.reach):
        for pile in piles:
            reached_by[pile].append(want)
    return reached_by


def _chain_to_later(
    sharing: Sharing, start: int, rank: Sequence[int], reached_by: Sequence[Sequence[int]]
) -> list[_HOP]:
    came: dict[int, _HOP] = {}
    queue = deque([start])
    while queue:
        giver = queue.popleft()
        for want in reached_by[giver]:
            for back in sharing.drawn[want]:
                if back == start or back in came:
                    continue
                came[back] = (giver, want, back)
                if rank[back] > rank[start]:
                    return _trail(came, start, back)
                queue.append(back)
    return []


def _trail(came: dict[int, _HOP], start: int, end: int) -> list[_HOP]:
    hops = []
    pile = end
    while pile != start:
        hops.append(came[pile])
        pile = came[pile][0]
    return hops


def fewest_moves(sharing: Sharing, rank: Sequence[int], near: Sequence[AbstractSet[int]]) -> None:
    """How little can be drawn from afar, if cover and the use of every rank stay?

    Formula: while there is one, carry out a ring of exchanges that saves a move. A flow is cheapest when it
        has no ring of negative cost; each ring saves at least one whole unit, so there is an end.
    Units: amounts in any one whole unit; what is drawn from a pile that is not near counts once.
    Shapes: one rank for each pile; for each want the positions of the piles near it.
    Refuses: nothing
    Source: cancelling of negative cycles, Klein; the ring by Bellman and Ford (from memory)
    """
    while _could_save(sharing, near):
        ring = _saving_ring(sharing, rank, near)
        if not ring:
            return
        amount = min(_room(sharing, hop) for hop in ring)
        sharing._pass_on([hop for hop in ring if hop[1] != _STAYS], amount)


def _could_save(sharing: Sharing, near: Sequence[AbstractSet[int]]) -> bool:
    """Does any want draw from afar although a pile near it is in reach?"""
    for want, drawn in enumerate(sharing.drawn):
        here = near[want]
        if here and any(pile not in here for pile in drawn) and any(p in here for p in sharing.reach[want]):
            return True
    return False


def _room(sharing: Sharing, hop: _HOP) -> int:
    _giver, want, back = hop
    return sharing.left[back] if want == _STAYS else sharing.drawn[want][back]


def _exchanges(
    sharing: Sharing, rank: Sequence[int], near: Sequence[AbstractSet[int]]
) -> dict[tuple[int, int], tuple[int, int]]:
    """For two piles, the cheapest way to give from the first and take back into the second: (cost, want).

    `_STAYS` as want: the first pile keeps what it has, and the second, of the same rank, gives from what it
    has left.
    """
    best: dict[tuple[int, int], tuple[int, int]] = {}
    for want, drawn in enumerate(sharing.drawn):
        here = near[want]
        for back in drawn:
            saved = 0 if back in here else 1
            for giver in sharing.reach[want]:
                cost = (0 if giver in here else 1) - saved
                if giver != back and cost < best.get((giver, back), _NONE)[0]:
                    best[giver, back] = (cost, want)
    for giver, height in enumerate(rank):
        for back, left in enumerate(sharing.left):
            if left and giver != back and rank[back] == height and best.get((giver, back), _NONE)[0] > 0:
                best[giver, back] = (0, _STAYS)
    return best


def _saving_ring(sharing: Sharing, rank: Sequence[int], near: Sequence[AbstractSet[int]]) -> list[_HOP]:
    """A ring of exchanges with negative cost, by Bellman and Ford; empty when there is none."""
    exchanges = _exchanges(sharing, rank, near)
    cost = [0] * len(rank)
    came: dict[int, int] = {}
    last = -1
    for _ in range(len(rank)):
        last = -1
        for (giver, back), (price, _want) in exchanges.items():
            if cost[giver] + price < cost[back]:
                cost[back] = cost[giver] + price
                came[back] = giver
                last = back
        if last < 0:
            return []
    for _ in range(len(rank)):
        last = came[last]
    ring: list[_HOP] = []
    back = last
    while True:
        giver = came[back]
        ring.append((giver, exchanges[giver, back][1], back))
        back = giver
        if back == last:
            return ring
