"""Choosing lots for a season: 60 materials, 20 needs, 12 lots each.

Run: python -m tests.benchmarks.bench_choose
The floor is reading the same 1,920 rows by the ORM's `values()` from SQLite in memory, in the same run.
The sweep with its reasons may take 1.5 times that floor; maximum flow for all 60 may take 30 ms as the floor
stood at 2.9 ms, so 10.3 times the floor. Exit 1 when a ratio is passed.
"""

import random
import sys
import time
from datetime import date, timedelta

import django
from django.conf import settings

SWEEP_RATIO = 1.5
FLOW_RATIO = 30 / 2.9
ROUNDS = 60


def best_ms(*jobs):
    """The quickest run of each job, in processor time and in turns: other work counts little."""
    times = [[] for _ in jobs]
    for _ in range(ROUNDS):
        for job, taken in zip(jobs, times, strict=True):
            start = time.process_time()
            job()
            taken.append(time.process_time() - start)
    return [min(taken) * 1_000 for taken in times]


def season(crossing):
    """Sixty materials; deliberately tight, so that about one in eight needs is short."""
    from inventory.compute.choose import Lot, Need

    rng = random.Random(4)
    start = date(2026, 1, 1)
    materials = []
    for material in range(60):
        lots = [
            Lot(f"lot {material}.{at}", rng.randint(1, 30), start + timedelta(rng.randint(20, 260)), "Loft")
            for at in range(12)
        ]
        needs = []
        for at in range(20):
            load = at * 10 + (rng.randint(-25, 25) if crossing else 0)
            last = load + (rng.randint(2, 60) if crossing else 3)
            days = start + timedelta(load + 30), start + timedelta(last + 30)
            needs.append(Need(f"workshop {at}", rng.randint(1, 12), *days, frozenset({"Stoat"})))
        materials.append((lots, needs))
    return materials


def floor(materials):
    """Read the rows these lots and needs are made of."""
    from django.db import connection, models

    class Row(models.Model):
        material = models.IntegerField(db_index=True)
        key = models.CharField(max_length=30)
        amount = models.BigIntegerField()
        first = models.DateField(null=True)
        last = models.DateField(null=True)
        place = models.CharField(max_length=30)
        held = models.BooleanField(default=False)

        class Meta:
            app_label = "bench"

    with connection.schema_editor() as editor:
        editor.create_model(Row)
    for at, (lots, needs) in enumerate(materials):
        rows = [Row(material=at, key=x.key, amount=x.amount, last=x.last_day, place=x.place) for x in lots]
        rows += [
            Row(material=at, key=x.key, amount=x.amount, first=x.load_day, last=x.last_day) for x in needs
        ]
        Row.objects.bulk_create(rows)
    fields = ("material", "key", "amount", "first", "last", "place", "held")
    return lambda: list(Row.objects.order_by("material").values(*fields))


def main():
    """Print the three times and judge their ratios."""
    settings.configure(DATABASES={"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}})
    django.setup()
    from inventory.compute.choose import Method, who_gets_what
    from inventory.compute.units import Base

    def answer(materials):
        return [
            who_gets_what(lots=lots, needs=needs, base=Base.MG, horizon=date(2026, 12, 31))
            for lots, needs in materials
        ]

    plain, crossed = season(False), season(True)
    answers = answer(plain), answer(crossed)
    for found, method in zip(answers, (Method.SWEEP, Method.FLOW), strict=True):
        if any(choice.method is not method for choice in found):
            sys.exit(f"The season was meant to be answered by {method}.")
    read, sweep, flow = best_ms(floor(plain), lambda: answer(plain), lambda: answer(crossed))
    short = sum(met.short > 0 for choice in answers[0] for met in choice.met)
    print(f"1,200 needs, of them short {short}")
    print(f"reading the rows by values()    {read:7.2f} ms")
    print(f"sweep with reasons              {sweep:7.2f} ms  {sweep / read:5.2f} x, at most {SWEEP_RATIO}")
    print(f"maximum flow for all            {flow:7.2f} ms  {flow / read:5.2f} x, at most {FLOW_RATIO:.1f}")
    sys.exit(sweep > SWEEP_RATIO * read or flow > FLOW_RATIO * read)


if __name__ == "__main__":
    main()
