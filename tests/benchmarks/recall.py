"""What a recall asks of books of 30,000 pairs: the skis of the biggest lot, and the page of what shares it.

Measured by `bench_trace`, in the books it has filled. Gates: the skis take at most 1.5 times the bare
statements that find the same; the whole page, its list in pages, at most 4 times. Milliseconds are printed
only: they are the machine's.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from uuid import UUID

from tests.benchmarks.books import side_by_side

MOST, MOST_PAGE = 1.5, 4.0
_AT = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
_CHUNK = 900


def bare_skis(walk: Callable[[], set[UUID]]) -> Callable[[], dict[UUID, UUID]]:
    """The recursive statement, and the skis among what it reaches with their pairs, by the plain driver."""
    import sqlite3

    from django.db import connection

    sqlite = connection.vendor == "sqlite"
    mark = "?" if sqlite else "%s"

    def call() -> dict[UUID, UUID]:
        ids = list(walk())
        found: dict[UUID, UUID] = {}
        cursor = sqlite3.Cursor(connection.connection) if sqlite else connection.connection.cursor()
        for start in range(0, len(ids), _CHUNK):
            part = [id.hex if sqlite else id for id in ids[start : start + _CHUNK]]
            marks = ", ".join([mark] * len(part))
            cursor.execute(
                f"SELECT thing_id, pair_id FROM inventory_ski WHERE thing_id IN ({marks})",
                part,
            )
            for ski, pair in cursor.fetchall():
                found[UUID(ski) if sqlite else ski] = UUID(pair) if sqlite else pair
        return found

    return call


def measure(engine: str, lot: UUID, walk: Callable[[], set[UUID]]) -> bool:
    """Print both, and return True when a gate was missed."""
    from inventory.queries.skis_back.reach import reach

    floor = bare_skis(walk)
    found = reach([lot])
    skis = found.skis
    assert dict(found.pairs) == floor()
    assert set(skis) == set(found.pairs)
    ours, plain, ratio = side_by_side(lambda: reach([lot]), floor, runs=9)
    print(
        f"{engine}: skis of the biggest lot, {len(skis):,}: {ours:.1f} ms; bare {plain:.1f} ms; "
        f"ratio {ratio:.2f} (at most {MOST})"
    )
    turns = iter(range(1, 100))
    get = _page(lot)
    get(next(turns))
    page, plain, slower = side_by_side(lambda: get(next(turns)), floor, runs=7)
    print(
        f"{engine}: the page of what shares it: {page:.0f} ms; bare {plain:.0f} ms; "
        f"ratio {slower:.2f} (at most {MOST_PAGE})"
    )
    return ratio > MOST or slower > MOST_PAGE


def _page(lot: UUID) -> Callable[[int], object]:
    """Gets one of the page's pages, as an owner does."""
    from django.contrib.auth.models import User
    from django.test import Client
    from django.test.utils import override_settings
    from django.urls import reverse

    from inventory.actions import people
    from inventory.actions import shop as founding
    from inventory.actions.by import By
    from inventory.compute import codes
    from inventory.models import State, Tag
    from inventory.roles import Role

    founding.found_machine(id=UUID(int=1), letter="A")
    act = iter(range(100, 200))

    def by() -> By:
        return By(token=codes.derived(UUID(int=9), next(act), of="act"), now=_AT)

    founding.open_shop(by(), name="Benchmark", host="QFB.EXAMPLE")
    person = founding.take_on(by(), name="An Owner", role=Role.OWNER).thing
    people.give_way_in(person=person, username="owner", password="a-long-one-for-tests")
    code = codes.make(letter="G", machine="A", seed=lot.bytes)
    Tag.objects.create(code=code.text, thing_id=lot)
    assert not State.objects.filter(thing_id=lot).exists()
    client = Client()
    client.force_login(User.objects.get(), "django.contrib.auth.backends.ModelBackend")

    def get(number: int) -> object:
        with override_settings(ALLOWED_HOSTS=["testserver"]):
            answer = client.get(reverse("skis-back-forward", args=[code]), {"page": number})
        assert answer.status_code == 200
        assert b"Pairs and owners" in answer.content
        return answer

    return get
