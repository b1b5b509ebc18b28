"""How long a page of the list of packages takes with 50,000 of them, beside the bare query of the same page.

Run: python -m tests.benchmarks.bench_stock
Runs on SQLite and on PostgreSQL, after ANALYZE. A page is asked for as a browser does, through every
middleware to the last byte of markup; beside it stand the bare statements that count all and fetch the 25
rows of the first page by the plain driver. The list as it opens may take 100 ms: as the bare query stood at
25 ms on SQLite and at 13 ms on PostgreSQL, 4.5 and 8.5 times that, an eighth added for noise. Pages that
are sorted or narrowed down may take 25 times the bare query: an alarm, no aim.
"""

import random
import sys
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from uuid import UUID

from tests.benchmarks.books import begin, side_by_side

PACKAGES, EMPTY, LOTS, MATERIALS, BINS, OPEN, HELD = 50_000, 10_000, 5_000, 60, 300, 500, 50
MOST, MOST_NARROWED = {"SQLite": 4.5, "PostgreSQL": 8.5}, 25.0
RUNS = 9
TODAY = date(2026, 11, 30)

PAGES = {
    "last day": "",
    "last day, page 1,000": "?page=1000",
    "material": "?sort=material",
    "place": "?sort=place",
    "words": "?q=material+7",
    "place and state": "?state=open&place={place}",
    "past its date": "?state=past",
}
_ROWS = """
SELECT p.thing_id, p.expires_on, p.extended_through, l.number, l.by_shelf_life, m.name, m.base,
  m.opened_life_days, b.amount, s.place_id, s.opened_at, (SELECT t.code FROM inventory_tag t WHERE
  t.thing_id = p.thing_id ORDER BY t.code LIMIT 1), EXISTS (SELECT 1 FROM inventory_hold h WHERE h.thing_id
  = p.thing_id OR h.thing_id = p.lot_id) FROM inventory_package p JOIN inventory_balance b ON b.thing_id =
  p.thing_id JOIN inventory_state s ON s.thing_id = p.thing_id JOIN inventory_lot l ON l.thing_id = p.lot_id
  JOIN inventory_material m ON m.id = l.material_id WHERE b.amount > 0 ORDER BY p.expires_on, p.thing_id
  LIMIT 25
"""
_COUNT = """
SELECT count(*) FROM inventory_package p JOIN inventory_balance b ON b.thing_id = p.thing_id WHERE b.amount
> 0
"""


def fill() -> UUID:
    """Write the shop in bulk; return the place of the first trailer."""
    from django.db import connection, transaction

    from inventory import models as m
    from inventory.compute.codes import derived, make

    dice = random.Random(3)
    numbers = iter(range(1, 10**6))
    root = UUID(int=5)

    def things(kind: str, count: int, base: str = "") -> list[UUID]:
        ids = [derived(root, next(numbers), of="bench") for _ in range(count)]
        m.Thing.objects.bulk_create([m.Thing(id=id, kind=kind, base=base) for id in ids], batch_size=2_000)
        return ids

    at = datetime(2026, 11, 1, tzinfo=UTC)
    with transaction.atomic():
        event = m.Event(
            id=root, machine=root, number=1, clock=1, sort=1, act=root, type="", biz_step="", step="x", at=at
        )
        m.Event.objects.bulk_create([event])
        trailers, bins = things("trailer", 4), things("bin", BINS)
        m.Place.objects.bulk_create(
            [m.Place(thing_id=id, name=f"trailer {n}") for n, id in enumerate(trailers)]
        )
        m.Place.objects.bulk_create([m.Place(thing_id=id, name=f"bin {n}") for n, id in enumerate(bins)])
        states = [m.State(thing_id=id, born=event) for id in trailers]
        states += [m.State(thing_id=id, born=event, place_id=dice.choice(trailers)) for id in bins]
        materials = [
            m.Material(
                id=derived(root, n, of="material"),
                key=f"m-{n}",
                name=f"material {n}",
                base="mg",
                opened_life_days=180 if n % 3 == 0 else None,
            )
            for n in range(MATERIALS)
        ]
        m.Material.objects.bulk_create(materials)
        lots, packages = things("lot", LOTS), things("package", PACKAGES + EMPTY, "mg")
        day = [TODAY + timedelta(dice.randint(-20, 900)) for _ in lots]
        m.Lot.objects.bulk_create(
            [
                m.Lot(thing_id=id, material=dice.choice(materials), number=f"N-{n}", expires_on=day[n])
                for n, id in enumerate(lots)
            ],
            batch_size=2_000,
        )
        states += [m.State(thing_id=id, born=event) for id in lots]
        rows, balances, tags = [], [], []
        opened = set(dice.sample(range(PACKAGES), OPEN))
        for n, id in enumerate(packages):
            lot = dice.randrange(LOTS)
            rows.append(m.Package(thing_id=id, lot_id=lots[lot], expires_on=day[lot] if n % 20 else None))
            balances.append(m.Balance(thing_id=id, amount=dice.randint(1, 5_000_000) if n < PACKAGES else 0))
            opened_at = at if n in opened else None
            states.append(m.State(thing_id=id, born=event, place_id=dice.choice(bins), opened_at=opened_at))
            seed = id.bytes
            tags.append(m.Tag(code=make(letter="P", machine="A", seed=seed).text, thing_id=id))
        ties = [m.Tagging(event=event, code=tag.code, thing_id=tag.thing_id) for tag in tags]
        coded = {m.Tag: tags, m.Tagging: ties}
        for model, made in ({m.Package: rows, m.Balance: balances, m.State: states} | coded).items():
            model._default_manager.bulk_create(made, batch_size=2_000, ignore_conflicts=model in coded)
        held = [m.Hold(event=event, thing_id=id) for id in islice(packages, HELD)]
        m.Hold.objects.bulk_create(held)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return trailers[0]


def sign_in() -> object:
    """A browser of an owner."""
    from django.contrib.auth.models import User
    from django.test import Client

    from inventory.models import Person, SignIn

    user = User.objects.create_user("ragna")
    person = Person.objects.create(id=UUID(int=9), name="Ragna", role="owner")
    SignIn.objects.create(person=person, user=user)
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def bare() -> None:
    """The count and the rows of the first page, by the plain driver."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(_COUNT)
        cursor.fetchone()
        cursor.execute(_ROWS)
        cursor.fetchall()


def main() -> int:
    """Print the times, and return 1 when a page takes more than the gate."""
    engine = begin()
    place = fill()
    client = sign_in()
    print(f"{engine}: {PACKAGES:,} packages that hold something, {EMPTY:,} empty, {OPEN:,} open")
    failed = False
    for name, query in PAGES.items():

        def page(address: str = f"/stock/{query.format(place=place)}") -> None:
            answer = client.get(address)  # type: ignore[attr-defined]
            if answer.status_code != 200 or b"chip" not in answer.content:
                raise SystemExit(f"{address} is no page: {answer.status_code}")

        page()
        ours, floor, ratio = side_by_side(page, bare, runs=RUNS)
        most = MOST_NARROWED if query else MOST[engine]
        failed = failed or ratio > most
        print(f"{name:22} {ours:6.1f} ms, bare query {floor:6.1f} ms, {ratio:5.2f} times, at most {most}")
    return failed


if __name__ == "__main__":
    sys.exit(main())
