"""How long the answer before a trip takes, beside reading the rows it is made of.

Run: python -m tests.benchmarks.bench_ready
Runs on SQLite and on PostgreSQL. A trip to one workshop with 8 pairs of 8 shapes, 60 materials that all of
them need, 400 packages aboard and at home, presses, moulds, plates, goods: all that every room looks at. The
gate is how many times what reading the same rows takes; that it may take 300 ms is asked for, and printed.
"""

import sys
from datetime import date, timedelta
from typing import Any

from tests.benchmarks.books import begin, side_by_side

PAIRS, MATERIALS, PACKAGES = 8, 60, 400
ASKED_MS, MOST_TIMES = 300.0, 4.0
RUNS = 15


def fill() -> tuple[Any, date]:
    """The trip and the day it is asked on."""
    from django.db import transaction

    from inventory.actions import builds, equipment, layups, materials, places, stock, trips
    from inventory.compute.codes import Kind
    from inventory.compute.units import Amount, Base
    from inventory.models import Trip
    from tests.make import Shop

    with transaction.atomic():
        shop = Shop()
        today = shop.at.date()
        yard = shop.place(Kind.YARD, "yard")
        store, trailer = shop.place(Kind.STORE, "store", yard), shop.place(Kind.TRAILER, "trailer", yard)
        zones = [shop.place(Kind.ZONE, f"zone {at}", trailer) for at in range(4)]
        shelf = shop.place(Kind.ZONE, "shelf", store)
        plates = {
            "gross_mg": 2_000_000_000, "axle_load_mg": 1_900_000_000, "nose_mg": 100_000_000,
            "tyres_side_mg": 1_000_000_000, "empty_mg": 600_000_000, "empty_doubt_mg": 5_000_000,
            "empty_nose_mg": 40_000_000, "empty_nose_doubt_mg": 1_000_000, "axles": 1, "axle_mm": 3_000,
            "axle_doubt_mm": 10, "floor_from_mm": 1_000, "floor_to_mm": 4_500, "track_mm": 1_700,
        }  # fmt: skip
        shop.do(places.edit_place, place=trailer, changes=plates)
        for at, zone in enumerate(zones):
            lies = {"behind_mm": 2_000 + 600 * at, "behind_doubt_mm": 40, "right_mm": 0, "right_doubt_mm": 40}
            shop.do(places.edit_place, place=zone, changes=lies)
        keys = []
        for number in range(MATERIALS):
            purpose = {0: "resin", 1: "hardener"}.get(number, "edge")
            base = Base.MG if number < 2 else Base.MM
            facts = {"linear_g_m": 5.0} if number > 1 else {"density_kg_m3": 1100.0, "regulated": False}
            key = f"m-{number}"
            made = shop.do(
                materials.make_material, key=key, name=key, base=base, purpose=purpose, facts=facts
            ).thing
            keys.append((key, made, base))
        mix = {"resin_id": keys[0][1], "hardener_per_hundred": 30.0, "cure_points": [[75.0, 1.0]]}
        shop.do(materials.edit_material, material=keys[1][1], changes=mix)
        for number, (_, made, base) in enumerate(keys):
            share = PACKAGES // MATERIALS + (number < PACKAGES % MATERIALS)
            for place, count in ((zones[number % 4], share // 2), (shelf, share - share // 2)):
                shop.do(
                    stock.receive_lot,
                    material=made,
                    number=f"L-{number}-{count}",
                    packages=[Amount(3_000_000 if base is Base.MG else 30_000, base)] * count,
                    expires_on=today + timedelta(300 + number),
                    place=place,
                )
        strips = [
            {"material": key, "kind": "strip", "plies": 1, "extent": "edge, partial"}
            for key, _, _ in keys[2:]
        ]
        wet = {
            "material": "m-0",
            "kind": "taken up by fabric",
            "plies": 2,
            "extent": "whole ski",
            "g_m2": 750,
        }
        cards = [
            shop.do(layups.make_layup, name=f"card {at}", layers=[wet | {"hardener": "m-1"}, *part]).thing
            for at, part in enumerate((strips[:29], strips[29:]))
        ]
        first = today + timedelta(4)
        workshop = shop.do(
            builds.plan_workshop,
            name="hut",
            starts_on=first,
            ends_on=first + timedelta(1),
            capacity=PAIRS,
            opens_min=480,
            closes_min=1260,
            hands=3,
            circuits=[["a", 230.0, 16.0], ["b", 230.0, 16.0]],
        ).thing
        for at in range(PAIRS):
            pair, *_ = shop.pair(f"guest {at}", 1600 + 40 * at, workshop)
            shape = {"tip_mm": 124.0 + at, "waist_mm": 92.0 + at, "tail_mm": 112.0 + at}
            shop.do(builds.specify, pair=pair, changes=shape | {"layup_id": cards[at % 2]})
            lengths = {"lengths_mm": [1600 + 40 * at], "mass_mg": 20_000_000}
            shop.do(
                equipment.make_equipment, kind=Kind.MOULD, name=f"mould {at}", place=zones[1], facts=lengths
            )
        cycle = {
            "heated": True, "holds_c": 75.0, "takes_pairs": 1, "closing_min": 40, "heat_up_min": 20,
            "cool_min": 35, "opening_min": 5, "watts": 1600.0, "air_l_min": 4.0, "air_kpa": 275.0,
            "mass_mg": 80_000_000,
        }  # fmt: skip
        for at in range(2):
            shop.do(
                equipment.make_equipment, kind=Kind.PRESS, name=f"press {at}", place=zones[2], facts=cycle
            )
        trip = shop.do(
            trips.plan_trip,
            name="hut",
            leaves_on=first - timedelta(1),
            back_on=first + timedelta(2),
            trailers=[trailer],
            workshops=[workshop],
            bay_c=15.0,
            road_low_c=0.0,
            road_high_c=20.0,
            crossings=[],
            watchers=[shop.owner, shop.crew],
        ).thing
    return Trip.objects.get(id=trip), today


def main() -> int:
    """Fill, time and judge."""
    engine = begin()
    trip, today = fill()
    from inventory.queries import readiness
    from inventory.queries.readiness.reader import read

    found = readiness.answer(trip, today)
    needed = {note.about for note in found.reasons if note.page == "materials-card"}
    if len(needed) < MATERIALS:
        print(f"only {len(needed)} materials are needed")
        return 1
    whole, rows, times = side_by_side(
        lambda: readiness.answer(trip, today), lambda: read(trip, today), runs=RUNS
    )
    print(
        f"{engine}: the whole answer {whole:.0f} ms, reading its rows {rows:.0f} ms, {times:.1f} times; "
        f"at most {MOST_TIMES:.0f} times; asked are {ASKED_MS:.0f} ms; {len(found.reasons)} reasons"
    )
    return 0 if times <= MOST_TIMES else 1


if __name__ == "__main__":
    sys.exit(main())
