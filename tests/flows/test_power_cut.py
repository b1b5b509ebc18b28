"""Power cut in the middle of everything: what was answered *saved* is there, and nothing else is half there.

A child process records the steps of a pair one after the other and says each one once it is answered. The
data folder is copied as it lies on the disk at that moment, which is what a cut would leave; while the last
step is being written the child is killed. Each of these books is then opened anew.
"""

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.own_books
ROOT = Path(__file__).resolve().parents[2]
ANSWERED = 9  # of the steps below, each by itself

CHILD = """
import django, os, sys
django.setup()
from django.db import transaction
from tests import bench_world, make, press_runs
from inventory.actions import finishing, laying, press, pressing, stock, shop as shop_actions
from inventory.compute.finished import Measured

with transaction.atomic(durable=True):
    world = bench_world.world(make.Shop())
    _, left, right = world.pair()
    on = press_runs.machine(world)
shop = world.shop

def step(action, **values):
    with transaction.atomic(durable=True):
        done = shop.do(action, **values)
    print(action.__name__, done.token, flush=True)
    sys.stdin.readline()  # until told to go on
    return done

jugs = {"resin": world.packages["resin"], "hardener": world.packages["hardener"]}
mixed = {"resin_mg": 130000, "hardener_mg": 39000, "skis": [left], "air": bench_world.DRY}
cup = step(press.record_mix, **jugs, **mixed).thing
for what in ("base", "edge", "glass", "blank"):
    step(laying.lay_layer, ski=left, thing=world.packages[what])
step(laying.lay_layer, ski=left, thing=cup)
step(laying.end_lay_up, ski=left, why="a trial")
cycle = step(pressing.close_press, **press_runs.closing(world, on, (left,))).things[0]
step(pressing.read_press, cycle=cycle, probes_c={"1": 70.0}, kpa=275.0)
with transaction.atomic(durable=True):
    shop.do(pressing.open_press, cycle=cycle, checked=press_runs.SEEN)
    print("half", flush=True)
    sys.stdin.readline()  # killed here, before it is answered
"""

AFTER = """
import django, json, sys
django.setup()
from django.db import connection
from inventory.models import Act, Event, Line
from inventory.queries.books import differences
for folder in sys.argv[1:]:
    connection.close()
    connection.settings_dict["NAME"] = folder + "/shop.sqlite3"
    bare = Event.objects.filter(lines__isnull=True).exclude(step__in=("reversed", "met", "settled"))
    print(json.dumps({
        "acts": [str(token) for token in Act.objects.values_list("token", flat=True)],
        "steps": list(Event.objects.values_list("step", flat=True)),
        "without": bare.count(),
        "differences": len(list(differences())),
    }))
"""


def environment(folder: Path) -> dict[str, str]:
    own = {"SHOP_DATA": str(folder), "DATABASE_URL": "", "DJANGO_SETTINGS_MODULE": "shop.settings"}
    return os.environ | own | {"PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}


def python(folder: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, *words],
        env=environment(folder),
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def cut_at_every_step(folder: Path) -> Iterator[str]:
    """Let the child work: the token of each step it answers, with a copy of its folder as it lies there."""
    with subprocess.Popen(
        [sys.executable, "-c", CHILD],
        env=environment(folder),
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        for number in range(1, ANSWERED + 1):
            name, token = child.stdout.readline().split()
            shutil.copytree(folder, folder.with_name(f"{number} {name}"))
            yield token
            child.stdin.write("\n")
            child.stdin.flush()
        assert child.stdout.readline() == "half\n"
        child.send_signal(signal.SIGKILL)


def test_books_after_the_power_was_cut_hold_every_answered_step_and_no_half_one(tmp_path: Path) -> None:
    """Cut after each step in turn, and once within one."""
    folder = tmp_path / "within"
    python(folder, "manage.py", "migrate", "--verbosity", "0")
    answered = list(cut_at_every_step(folder))
    cut = sorted((f for f in tmp_path.iterdir() if f != folder), key=lambda f: int(f.name.split()[0]))
    found = [json.loads(line) for line in python(folder, "-c", AFTER, *map(str, [*cut, folder])).splitlines()]
    assert len(found) == ANSWERED + 1
    for number, books in enumerate(found, 1):
        assert set(answered[:number]) <= set(books["acts"])
        assert set(answered[number:]).isdisjoint(books["acts"])
        assert books["without"] == 0
        assert books["differences"] == 0
        assert "press opened" not in books["steps"]
