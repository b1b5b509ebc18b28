"""At the bench: what a hold on the press stops, which verdict counts, what a mix opens."""

import pytest

from inventory.actions import press, stock
from inventory.compute.codes import Kind
from inventory.models import Hold, Material, State
from tests.make import grams, refused

pytestmark = pytest.mark.django_db
RUN = {"set_kpa": 300.0, "set_c": 80.0, "minutes": 60.0}


@pytest.fixture
def bench(shop):
    """A pair whose skis are laid up, and a press: pair, left, right, press."""
    pair, left, right = shop.pair()
    batch = shop.mix(shop.package("resin"), shop.package("hardener"))
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(batch, grams(100))])
    made = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1")
    return pair, left, right, made.thing


@pytest.mark.parametrize("held", ["press", "mould"])
def test_cycle_with_a_press_or_mould_on_hold_is_refused_and_once_lifted_is_not(shop, bench, held):
    """A hold on what the skis are pressed with stops the cycle as one on the skis does."""
    _, left, _, on = bench
    mould = shop.do(press.put_equipment_into_use, kind=Kind.MOULD, name="185").thing
    thing = on if held == "press" else mould
    shop.do(stock.hold, things=[thing], reason="it leaks")
    with refused("stock.on_hold", held):
        shop.do(press.record_cycle, press=on, skis=[left], mould=mould, **RUN)
    event = Hold.objects.get(thing_id=thing).event_id
    shop.do(stock.lift_hold, hold=event, reason="mended")
    shop.do(press.record_cycle, press=on, skis=[left], mould=mould, **RUN)


def passed(shop, skis, cycle):
    """Judge and inspect."""
    shop.do(press.judge, cycle=cycle, passed=True, why="as it should")
    for ski in skis:
        shop.do(press.inspect, ski=ski, passed=True, why="as it should")


def test_hand_over_of_a_ski_pressed_again_is_refused_until_that_cycle_is_judged_and_it_is_inspected(
    shop, bench
):
    """The verdict on an earlier cycle says nothing of the last one."""
    pair, left, right, on = bench
    first = shop.do(press.record_cycle, press=on, skis=[left, right], mould=None, **RUN).thing
    passed(shop, [left, right], first)
    again = shop.do(press.record_cycle, press=on, skis=[left], mould=None, **RUN).thing
    with refused("handover.no_verdict"):
        shop.do(press.hand_over, pair=pair)
    shop.do(press.judge, cycle=first, passed=True, why="looked at the log again")
    with refused("handover.no_verdict"):
        shop.do(press.hand_over, pair=pair)
    shop.do(press.judge, cycle=again, passed=True, why="as it should")
    with refused("handover.no_inspection"):
        shop.do(press.hand_over, pair=pair)
    shop.do(press.inspect, ski=left, passed=True, why="as it should")
    shop.do(press.hand_over, pair=pair)


def test_hand_over_of_a_ski_that_failed_and_was_pressed_again_is_allowed_once_that_passes(shop, bench):
    """A failed cycle is made good by a later one."""
    pair, left, right, on = bench
    first = shop.do(press.record_cycle, press=on, skis=[left, right], mould=None, **RUN).thing
    shop.do(press.judge, cycle=first, passed=False, why="too cold")
    with refused("handover.failed"):
        shop.do(press.hand_over, pair=pair)
    again = shop.do(press.record_cycle, press=on, skis=[left, right], mould=None, **RUN).thing
    passed(shop, [left, right], again)
    shop.do(press.hand_over, pair=pair)


@pytest.mark.parametrize("days", [90, None])
def test_mix_opens_what_has_a_life_once_opened_and_nothing_else(shop, days):
    """A jug that was only ever mixed from breathes as one that was drawn from."""
    resin, hardener = shop.package("resin"), shop.package("hardener")
    Material.objects.filter(purpose="hardener").update(opened_life_days=days)
    shop.mix(resin, hardener)
    opened = {row.thing_id: row.opened_at is not None for row in State.objects.all()}
    assert (opened[resin], opened[hardener]) == (False, days is not None)


@pytest.mark.parametrize("set_point", [float("nan"), float("inf"), -1.0, 1e308])
def test_cycle_with_an_impossible_pressure_is_refused_and_with_a_usual_one_is_not(shop, bench, set_point):
    """No number, less than nothing, the absurd: refused before anything is written."""
    _, left, right, machine = bench
    cycle = RUN | {"press": machine, "skis": [left, right], "mould": None}
    with refused("press.set_point", "pressure"):
        shop.do(press.record_cycle, **cycle | {"set_kpa": set_point})
    shop.do(press.record_cycle, **cycle)
