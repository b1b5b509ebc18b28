"""How many acts a second the pen writes, beside a bare insert of one row in a transaction of its own.

An act writes an event, a line, an act, a balance and the machine's clock, and looks for holds: 14 statements.
On SQLite both flush to the disk before they answer, as in the shop; a PostgreSQL that was told not to flush
makes the bare insert cheap, so the gate is wide: an act costs at most 100 bare inserts.
"""

import sys
from statistics import median
from time import perf_counter
from uuid import UUID

from tests.benchmarks.books import begin

ACTS, ROUNDS, MOST = 100, 5, 100.0


def main() -> int:
    """Print acts a second, and return 1 when an act costs more than the gate."""
    engine = begin()

    from django.db import connection, transaction

    from inventory.actions import stock
    from tests import make

    shop = make.Shop()
    jug = shop.package(amount=make.grams(1_000_000))
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE bare (id char(32) PRIMARY KEY, amount bigint)")

    def act() -> None:
        with transaction.atomic(durable=True):
            stock.draw(shop.by(), package=jug, amount=make.grams(1))

    def bare() -> None:
        number.append(len(number))
        with transaction.atomic(durable=True), connection.cursor() as cursor:
            cursor.execute("INSERT INTO bare VALUES (%s, 1)", [UUID(int=len(number)).hex])

    number: list[int] = []
    rounds: list[tuple[float, float]] = []
    for _ in range(ROUNDS):
        times = []
        for call in (act, bare):
            begun = perf_counter()
            for _ in range(ACTS):
                call()
            times.append((perf_counter() - begun) / ACTS * 1000)
        rounds.append((times[0], times[1]))
    ours, floor = (median(column) for column in zip(*rounds, strict=True))
    ratio = median(one / other for one, other in rounds)
    print(
        f"{engine}: {1000 / ours:.0f} acts/s, {ours:.2f} ms an act; bare insert {floor:.2f} ms; "
        f"ratio {ratio:.1f} (at most {MOST:.0f})"
    )
    return int(ratio > MOST)


if __name__ == "__main__":
    sys.exit(main())
