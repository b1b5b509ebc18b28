"""Makes the whole season in the open books: two batches, with the second laptop leaving in between."""

import random
from collections.abc import Callable
from datetime import date
from pathlib import Path

from django.db import transaction

from inventory.actions import shop as founding
from inventory.compute import codes
from inventory.management.season import second_laptop
from inventory.management.season.agenda import SEED, Agenda, data
from inventory.management.season.building import Building
from inventory.management.season.cutting import Cutting
from inventory.management.season.drawing import Drawing
from inventory.management.season.equipping import Equipping
from inventory.management.season.homing import Homing
from inventory.management.season.leaving import Leaving
from inventory.management.season.ordering import Ordering
from inventory.management.season.returning import Returning
from inventory.management.season.stocking import Stocking
from inventory.management.season.touring import plan_trips
from inventory.management.season.trouble import PARTED, UNDER_MG, Trouble
from inventory.queries.machine import fingerprint


def make_season(*, today: date, units: str, folder: Path, tell: Callable[[str], None]) -> int:
    """Make the season in fresh books, and the second laptop's bundle in the folder. Gives the number of acts.

    One transaction for hundreds of acts: an act flushed to the disk by itself would cost its own wait.
    """
    season = data()
    agenda = Agenda(today)
    stocking = Stocking(agenda, season, units)
    building = Building(stocking, tell)
    trouble = Trouble(building)
    stocking.plan()
    Equipping(stocking).plan()
    Ordering(stocking).plan()
    for number, row in enumerate(season["workshops"], 1):
        building.plan(row, number)
    Drawing(building).plan()
    Cutting(building).plan()
    trouble.plan()
    Returning(building).plan()
    plan_trips(building)
    Homing(building).plan()
    Leaving(building).plan()
    parted = agenda.moment(PARTED, "18:00")
    dice = random.Random(SEED + 1)  # noqa: S311 - a story, no secret
    first, second = (
        codes.uuid7(
            milliseconds=int(agenda.moment(-810, "07:00").timestamp() * 1000) + index,
            random=dice.getrandbits(80).to_bytes(10, "big"),
        )
        for index in range(2)
    )
    with transaction.atomic(durable=True):
        founding.found_machine(id=first, letter="A", fingerprint=fingerprint())
        agenda.run(parted)
    apart = folder / "second.sqlite3"
    second_laptop.copy_books(apart)
    with transaction.atomic(durable=True):
        agenda.run(agenda.moment(0, "00:00"))
    tell("The second laptop works apart.")
    assert trouble.counted, "the agenda was run"  # noqa: S101 - for the type checker
    theirs = Agenda(today, dice=dice, people=agenda.people)
    with second_laptop.books_in(apart):
        second_laptop.work_apart(
            theirs,
            id=second,
            can=trouble.counted,
            unopened=trouble.package("TR-6641", 1),
            under_mg=UNDER_MG,
            left=parted,
            bundle=folder / second_laptop.BUNDLE,
        )
    for name in (apart.name, f"{apart.name}-wal", f"{apart.name}-shm"):
        (folder / name).unlink(missing_ok=True)
    return agenda.acts + theirs.acts
