"""A press cycle's page with a curve of 5,000 points, beside the same page before its log was added.

Run: python -m tests.benchmarks.bench_cycle
In time of this process, the least of some. Exit 1 when the curve makes the page more than MOST times as dear.
"""

import sys
from datetime import timedelta
from time import process_time

from tests.benchmarks.books import begin

RUNS, MOST = 7, 6.0


def main() -> int:
    """Print both pages' milliseconds, and return 1 when their ratio is above the gate."""
    engine = begin()

    from django.contrib.auth.models import User
    from django.test import Client
    from django.utils import timezone

    from inventory.actions import people
    from inventory.queries import things
    from tests import bench_world
    from tests.make import Shop
    from tests.press_runs import closed, laid_up, long_log, machine

    shop = Shop()
    shop.at = timezone.now() - timedelta(hours=9)
    world = bench_world.world(shop)
    cycle = closed(world, machine(world), laid_up(world))
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    client = Client(SERVER_NAME="localhost")
    client.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    page = f"/pressing/{things.codes_of([cycle])[0]}/cycle/"

    def best() -> float:
        taken = []
        for _ in range(RUNS):
            begun = process_time()
            assert client.get(page).status_code == 200
            taken.append(1000 * (process_time() - begun))
        return min(taken[1:])

    bare = best()
    long_log(world, cycle)
    ours = best()
    print(
        f"{engine}: the page of a cycle with 5,000 points {ours:.0f} ms, without a curve {bare:.0f} ms, "
        f"{ours / bare:.1f} times; at most {MOST:.0f}"
    )
    return int(ours > MOST * bare)


if __name__ == "__main__":
    sys.exit(main())
