"""How long the demo season takes to make, beside as many of the smallest acts.

Run: python -m tests.benchmarks.bench_demo
The season is made by its command, in a process of its own; the floor is a gram drawn from a jug, an act each.
Both in processor time, on SQLite. Exit 1 when an act of the season costs more than MOST draws.
"""

import re
import resource
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time

from tests.benchmarks.books import begin
from tests.seasons import manage

DRAWS, ASKED_S, MOST = 400, 20, 4.0


def season_s() -> tuple[float, int]:
    """Seconds of processor, and of how many acts the command says the season is made."""
    with TemporaryDirectory() as folder:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        ran = manage(Path(folder) / "shop", "demo", "--no-serve")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    told = re.search(r"Made of ([\d,. ]+) acts", ran.stdout)
    if ran.returncode or told is None:
        sys.exit(ran.stdout + ran.stderr)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, int(re.sub(r"\D", "", told[1]))


def main() -> int:
    """Print seconds and acts, and return 1 when the season costs more than the gate."""
    engine = begin()

    from django.db import transaction

    from inventory.actions import stock
    from tests import make

    shop = make.Shop()
    jug = shop.package(amount=make.grams(1_000_000))
    begun = process_time()
    for _ in range(DRAWS):
        with transaction.atomic(durable=True):
            stock.draw(shop.by(), package=jug, amount=make.grams(1))
    draw = (process_time() - begun) / DRAWS
    spent, acts = season_s()
    ratio = spent / acts / draw
    print(
        f"{engine}: {acts} acts in {spent:.1f} s of processor (asked: {ASKED_S}), "
        f"{1000 * spent / acts:.1f} ms an act; a draw {1000 * draw:.1f} ms; "
        f"ratio {ratio:.1f} (at most {MOST:.0f})"
    )
    return int(ratio > MOST)


if __name__ == "__main__":
    sys.exit(main())
