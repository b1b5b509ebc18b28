"""Power cut in the middle of everything: what was answered *saved* is there, and nothing else is half there.

A child process records the steps of a pair one after the other and says each one once it is answered; it is
killed while the next is being written. The books are then opened anew.
"""

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

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
import django, json
django.setup()
from inventory.models import Act, Event, Line
from inventory.queries.books import differences
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


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Migrated books with nothing in them, to be copied."""
    folder = tmp_path_factory.mktemp("power")
    python(folder, "manage.py", "migrate", "--verbosity", "0")
    return folder


@pytest.mark.parametrize("after", range(1, ANSWERED + 2))
def test_books_after_the_power_was_cut_hold_every_answered_step_and_no_half_one(
    tmp_path: Path, empty: Path, after: int
) -> None:
    """Killed after each step in turn, and once within one."""
    folder = tmp_path / "shop"
    shutil.copytree(empty, folder)
    answered: list[str] = []
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
        for number in range(1, after + 1):
            answered += child.stdout.readline().split()[1:]
            if number < after:
                child.stdin.write("\n")
                child.stdin.flush()
        child.send_signal(signal.SIGKILL)
    found = json.loads(python(folder, "-c", AFTER))
    assert len(answered) == min(after, ANSWERED)
    assert set(answered) <= set(found["acts"])
    assert found["without"] == 0
    assert found["differences"] == 0
    assert "press opened" not in found["steps"]
