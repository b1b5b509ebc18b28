"""A season's list as the page asks for it: 20 workshops, 120 pairs, 60 materials, replanned after a seat
changes; and a sheet of 5,000 rows, read, looked through and taken, beside csv and openpyxl alone.

Run by `python -m tests.benchmarks.bench_season`. Replanning may take a second, the middle of a few; a sheet
may take 10 seconds in all. What csv or openpyxl alone need to read the same file stands beside it. The shop
is invented.
"""

import csv
import io
import os
import sys
import tempfile
from datetime import date, timedelta
from statistics import median
from time import perf_counter
from typing import Any

from tests.benchmarks.books import begin

WORKSHOPS, PAIRS, MATERIALS, ROWS = 20, 6, 60, 5_000
MOST_S, MOST_SHEET_S = 1.0, 10.0
TODAY = date(2026, 11, 30)
RUNS = 5


def shop() -> Any:
    """Twenty workshops of six pairs, sixty materials on the lay-up card, each in stock and offered twice."""
    from inventory.actions import layups, materials
    from inventory.compute.units import Base
    from tests.make import Shop, pieces
    from tests.season_shop import plan

    made = Shop()
    starts = tuple(20 + 5 * at for at in range(WORKSHOPS))
    planned = plan(made, TODAY, starts=starts, pairs=0, seats=8, fill_percent=50)
    other = made.do(materials.make_supplier, name="Bukkeli", facts={"freight": 9_000}).thing
    keys = [f"m{at}" for at in range(MATERIALS)]
    for at, key in enumerate(keys):
        made.material(key, Base.PIECE)
        planned.offer(key, 20 + at, prices=[[1, 1_000], [5, 900]], lead_days=10)
        planned.offer(key, 10 + at, other, prices=[[1, 800]], lead_days=15)
        made.package(key, pieces(100), number=f"L{at}", expires_on=TODAY + timedelta(30 + at))
    layers = [
        {"material": key, "kind": "piece", "plies": 1 + at % 4, "extent": "once a pair", "loss": 1.0}
        for at, key in enumerate(keys[:38])
    ]
    more = [
        {"material": key, "kind": "piece", "plies": 1, "extent": "whole ski", "loss": 1.0}
        for key in keys[38:]
    ]
    cards = [
        made.do(layups.make_layup, name=name, layers=rows).thing
        for name, rows in (("A", layers), ("B", more))
    ]
    for at in range(WORKSHOPS * PAIRS):
        planned.layup = cards[at % 2]
        planned.book(at % WORKSHOPS, f"Guest {at}")
    return planned


def replan(planned: Any) -> float:
    """Book one more seat, ask for the list: the middle one of a few, in seconds."""
    from inventory.models import Season
    from inventory.queries.season import plan as season_plan

    season = Season.objects.get(id=planned.season)
    season_plan.season_list(season, TODAY)
    times = []
    for run in range(RUNS):
        planned.book(run, f"One more {run}")
        begun = perf_counter()
        answer = season_plan.season_list(season, TODAY)
        times.append(perf_counter() - begun)
        assert len(answer.ahead) == WORKSHOPS
        assert len(answer.rows) == MATERIALS
    return median(times)


def sheets() -> list[tuple[str, float, float]]:
    """By file: seconds to read, look through and take 5,000 rows, and how much reading takes beside alone."""
    from django.db import transaction
    from openpyxl import load_workbook

    from inventory.actions import sheets as actions
    from inventory.formats import sheets as formats
    from inventory.formats.sheets import Sheet
    from inventory.queries.sheets_in import What
    from inventory.queries.sheets_kinds import COLUMNS, dry_run
    from tests.make import Shop

    columns = tuple(column.name for column in COLUMNS[What.MATERIALS])
    found = []
    for kind, made in (("CSV", formats.write_csv), ("XLSX", formats.write_xlsx)):
        rows = [[f"{kind} {at}", "weight", "wax", 12, 90, "2 kg"] for at in range(ROWS)]
        data = made(Sheet("materials", columns, rows))
        begun = perf_counter()
        if kind == "CSV":
            alone_rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
        else:
            alone_rows = list(
                load_workbook(io.BytesIO(data), read_only=True).active.iter_rows(values_only=True)
            )
        alone = perf_counter() - begun
        assert len(alone_rows) == ROWS + 1
        begun = perf_counter()
        table = formats.read(data, COLUMNS[What.MATERIALS])
        read = perf_counter() - begun
        dry = dry_run(What.MATERIALS, table)
        assert dry.ready
        with transaction.atomic():
            actions.take_sheet(Shop.by(_SHOP[0]), jobs=dry.jobs)
        whole = perf_counter() - begun
        found.append((kind, whole, read / alone))
    return found


_SHOP: list[Any] = []


def main() -> int:
    """Print every number and the gates; exit 1 when one is missed."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("SHOP_DATA", folder)
        engine = begin()
        planned = shop()
        _SHOP.append(planned.shop)
        middle = replan(planned)
        print(f"{engine}: {WORKSHOPS} workshops replanned after a seat changed: {middle:.2f} s")
        missed = middle > MOST_S
        for kind, whole, ratio in sheets():
            print(f"{kind}, {ROWS} rows: {whole:.1f} s in all; reading {ratio:.1f} x the bare reader")
            missed |= whole > MOST_SHEET_S
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
