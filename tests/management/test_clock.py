"""Commands that write ask about a clock far from what was recorded last, as pages do; what reads does not."""

from datetime import timedelta

import pytest
import time_machine

from inventory.actions.watch import BACK, LEAP
from inventory.models import Event, Machine, Shop
from inventory.queries import machine
from tests.laptops import Laptop
from tests.management.running import run

pytestmark = pytest.mark.django_db
SECOND = timedelta(seconds=1)
RIGHT = "--clock-is-right"


def at(offset):
    return time_machine.travel(machine.last_recorded() + offset, tick=False)


@pytest.mark.parametrize(
    ("offset", "asks"),
    [(-BACK - SECOND, True), (-BACK, False), (LEAP, False), (LEAP + SECOND, True)],
)
def test_export_asks_about_a_clock_far_from_what_was_recorded_last(shop, tmp_path, offset, asks):
    """An hour before, 30 days after; asked, it writes nothing, and with the answer it does."""
    file = tmp_path / "a.bundle"
    with at(offset):
        ran = run("export", file)
        assert (ran.code, file.exists()) == ((2, False) if asks else (0, True))
        assert ("what it recorded last is of" in ran.err, RIGHT in ran.err) == (asks, asks)
        if asks:
            assert run("export", file, RIGHT).code == 0
            assert "nothing was written" not in run("ready", "next").err


def test_merge_asks_before_it_writes_and_a_fresh_folder_has_nothing_to_go_by(laptops, tmp_path):
    """Five years ahead: nothing came in; with the answer, and in fresh books, it does."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        shop.package()
        run("export", tmp_path / "a.bundle")
    with found["B"].in_hand(), at(timedelta(days=1600)):
        before = Event.objects.count()
        asked = run("merge", tmp_path / "a.bundle")
        assert (asked.code, Event.objects.count()) == (2, before)
        assert RIGHT in asked.err
        assert run("merge", tmp_path / "a.bundle", RIGHT).code == 0
        assert Event.objects.count() > before
        moment = time_machine.travel(machine.last_recorded() + timedelta(days=1600))
    fresh = Laptop("C")
    with moment, fresh.in_hand():
        assert run("merge", tmp_path / "a.bundle", "--letter", "C").code == 0
    fresh.put_away()


def test_tried_recall_asks_and_the_demo_is_asked_nothing(shop):
    """The demo's days are made up."""
    shop.package("resin")
    with at(-2 * BACK):
        assert run("mock_recall").code == 2
        assert run("mock_recall", RIGHT).code == 0
        Shop.objects.update(demo=True)
        assert run("mock_recall").code == 0


@pytest.mark.django_db(transaction=True)  # the other engine's own tool reads what was committed
def test_backup_is_made_whatever_the_clock_and_noted_only_when_it_may_be_right(shop, tmp_path):
    """A backup that was refused is none; a moment that never was would quiet the day sheet for years."""
    with at(LEAP + SECOND):
        asked = run("backup", tmp_path / "a.zip")
        assert (asked.code, (tmp_path / "a.zip").exists()) == (0, True)
        assert RIGHT in asked.out
        assert Machine.objects.get(here=True).backed_up_at is None
        assert RIGHT not in run("backup", tmp_path / "b.zip", RIGHT).out
        assert Machine.objects.get(here=True).backed_up_at is not None
