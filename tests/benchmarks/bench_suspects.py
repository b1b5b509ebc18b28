"""Suspects at the size of a long history: 20,000 pairs, 300 factors, 400 returns, 20 seasons.

Run by `python -m tests.benchmarks.bench_suspects`. Gates on the ratio to a floor measured in the same run
(one plain pass over the same exposures that looks each ski up and counts by season) and on the error against
whole numbers. Milliseconds are printed only.
"""

import math
import random
import sys
from collections import Counter
from fractions import Fraction
from time import process_time

from inventory.compute import chance
from inventory.compute.exposures import Fleet
from inventory.compute.suspects import Delivered, Factor, judge

PAIRS, SEASONS, FACTORS, RETURNS = 20_000, 20, 300, 400
LARGEST_RATIO = 14.0
LARGEST_ERROR = 1e-9


def history(*, everywhere: int, shares: tuple[float, ...]) -> tuple[list[Delivered], list[str], list[Factor]]:
    """Invented: `everywhere` factors occur in all seasons (a press, a mould), the others in one or two."""
    source = random.Random(20)
    each = PAIRS // SEASONS
    delivered = [
        Delivered(f"{pair:05}{side}", f"{pair:05}", f"{pair // each:02}")
        for pair in range(PAIRS)
        for side in "LR"
    ]
    returned = [f"{pair:05}{source.choice('LR')}" for pair in source.sample(range(PAIRS), RETURNS)]
    factors = []
    for place in range(FACTORS):
        if place < everywhere:
            share = source.choice(shares)
            pairs = [pair for pair in range(PAIRS) if source.random() < share]
        else:
            start = source.randrange(PAIRS - each)
            pairs = source.sample(range(start, start + each), source.choice([8, 40, 150, 500]))
        sides = "LR" if place % 4 else "L"
        factors.append(Factor(f"F{place}", "lot", [f"{pair:05}{side}" for pair in pairs for side in sides]))
    return delivered, returned, factors


def floor(delivered: list[Delivered], factors: list[Factor]) -> float:
    """One pass over all exposures: look up, count by season."""
    start = process_time()
    season_of = {row.ski: row.season for row in delivered}
    for factor in factors:
        Counter(map(season_of.__getitem__, factor.skis))
    return process_time() - start


def exact(count: int, rows: list[tuple[int, int, int]]) -> Fraction:
    """The same chance in whole numbers."""
    ways, all_ways = [1], 1
    for delivered, exposed, returned in rows:
        here = [
            math.comb(exposed, x) * math.comb(delivered - exposed, returned - x)
            for x in range(min(exposed, returned) + 1)
        ]
        out = [0] * (len(ways) + len(here) - 1)
        for place, before in enumerate(ways):
            for x, more in enumerate(here):
                out[place + x] += before * more
        ways, all_ways = out, all_ways * math.comb(delivered, returned)
    return Fraction(sum(ways[count:]), all_ways)


def largest_error(delivered: list[Delivered], returned: list[str], factors: list[Factor]) -> float:
    """Relative error against whole numbers, over every 15th factor and beyond what was observed."""
    fleet, worst = Fleet(delivered, returned), 0.0
    for factor in factors[::15]:
        strata = fleet.line(factor).strata
        rows = [(row.delivered, row.exposed, row.returned) for row in strata]
        count = sum(row.returned_exposed for row in strata)
        most = sum(min(row.exposed, row.returned) for row in strata)
        for at_least in {count, min(most, count + 5)}:
            got = chance.chance_at_least(at_least, [chance.spread(*row) for row in rows])
            worst = max(worst, abs(got / float(exact(at_least, rows)) - 1))
    return worst


def main() -> int:
    ok = True
    for everywhere, shares in ((30, (0.03, 0.1, 0.25, 0.5)), (300, (0.05,))):
        data = history(everywhere=everywhere, shares=shares)
        delivered, returned, factors = data
        skis = sum(len(factor.skis) for factor in factors)
        base = min(floor(delivered, factors) for _ in range(3))
        times = []
        for _ in range(3):
            start = process_time()
            answer = judge(failure="a loose tip", delivered=delivered, returned=returned, factors=factors)
            times.append(process_time() - start)
        ratio = min(times) / base
        error = largest_error(*data)
        sys.stdout.write(
            f"suspects, {everywhere} of {FACTORS} factors in all seasons, {skis} exposures: "
            f"{1000 * min(times):.0f} ms ({answer.compared} compared), floor {1000 * base:.0f} ms, "
            f"ratio {ratio:.1f}, error {error:.1e}\n"
        )
        ok = ok and ratio <= LARGEST_RATIO and error <= LARGEST_ERROR
    return 0 if ok else 1


if __name__ == "__main__":
    sys.exit(main())
