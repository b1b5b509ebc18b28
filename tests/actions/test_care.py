"""Re-test, warming, readings: what is refused, and what differs from it by one fact."""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.actions import books, care, materials, stock
from inventory.compute.codes import Kind
from inventory.compute.retest import Trial
from inventory.compute.units import Base
from inventory.models import Event, Hold, Package
from inventory.queries import stock as read
from tests.make import day, grams, refused

pytestmark = pytest.mark.django_db

RIGHT = {
    "months": 2,
    "old": Trial(30.0, 25.0),
    "fresh": Trial(29.0, 25.5),
    "hardness_as_control": True,
    "coupon_as_control": True,
}


def material(shop, chemistry="amine hardener", allowed=True):
    done = shop.do(
        materials.make_material,
        key=f"m-{chemistry}-{allowed}".replace(" ", "-").lower(),
        name="Hardener",
        base=Base.MG,
        facts={"chemistry": chemistry, "retest_allowed": allowed},
    )
    return done.thing


def jug(shop, of, number, expires="2026-11-15"):
    done = shop.do(
        stock.receive_lot, material=of, number=number, packages=[grams(1000)], expires_on=day(expires)
    )
    return done.things[-1]


@pytest.fixture
def old_and_fresh(shop):
    """A jug two weeks past its date, and one of a fresh lot."""
    of = material(shop)
    return jug(shop, of, "OLD"), jug(shop, of, "NEW", "2027-11-15")


def retest(shop, package, control, **more):
    return shop.do(care.retest_package, package=package, control=control, **(RIGHT | more))


def test_retest_that_holds_lets_it_be_used_so_many_months_longer(shop, old_and_fresh):
    """Past its date it is refused; re-tested, two months from its date on, and then refused again."""
    old, fresh = old_and_fresh
    with refused("stock.expired"):
        shop.do(stock.draw, package=old, amount=grams(1))
    retest(shop, old, fresh)
    assert Package.objects.get(thing_id=old).extended_through == day("2027-01-15")
    shop.do(stock.draw, package=old, amount=grams(1))
    shop.at = shop.at.replace(year=2027, month=1, day=16)
    with refused("stock.expired", "2027-01-15", "re-test"):
        shop.do(stock.draw, package=old, amount=grams(1))


@pytest.mark.parametrize(
    "wrong",
    [
        {"old": Trial(40.0, 25.0)},
        {"old": Trial(30.0, 27.0)},
        {"hardness_as_control": False},
        {"coupon_as_control": None},
    ],
)
def test_retest_that_does_not_hold_is_on_record_and_extends_nothing(shop, old_and_fresh, wrong):
    """Gel time, bath, hardness, coupon: one of them off, and its date stays as it was."""
    old, fresh = old_and_fresh
    retest(shop, old, fresh, **wrong)
    assert Package.objects.get(thing_id=old).extended_through is None
    facts = Event.objects.get(step="re-tested").facts
    assert facts["through"] is None
    assert facts["against"]
    with refused("stock.expired"):
        shop.do(stock.draw, package=old, amount=grams(1))


def test_retest_a_second_time_is_refused(shop, old_and_fresh):
    """Once is all, also for what was poured from it since."""
    old, fresh = old_and_fresh
    retest(shop, old, fresh, months=1)
    bottle = shop.do(stock.split_package, package=old, amount=grams(100)).thing
    for again in (old, bottle):
        with refused("care.extended_before", "2026-12-15"):
            retest(shop, again, fresh)


@pytest.mark.parametrize("chemistry", ["cyanoacrylate", "isocyanate", ""])
def test_retest_of_what_is_never_extended_is_refused(shop, chemistry):
    """Cyanoacrylate, isocyanate, and what nobody knows; the same trial of a hardener is not."""
    of = material(shop, chemistry)
    with refused("care.never"):
        retest(shop, jug(shop, of, "OLD"), jug(shop, of, "NEW", "2027-11-15"))
    assert not Event.objects.filter(step="re-tested").exists()


@pytest.mark.parametrize("allowed", [False, None])
def test_retest_without_the_makers_word_is_refused(shop, allowed):
    """Not allowed, or nobody asked."""
    of = material(shop, allowed=allowed)
    with refused("care.maker"):
        retest(shop, jug(shop, of, "OLD"), jug(shop, of, "NEW", "2027-11-15"))


def test_retest_of_what_is_on_hold_is_refused_until_the_hold_is_lifted(shop, old_and_fresh):
    """A hold on the lot, as a recall puts it, stops the re-test; once lifted it is done."""
    old, fresh = old_and_fresh
    lot = read.package(old).lot_id
    shop.do(stock.hold, things=[lot], reason="recalled by its maker")
    with refused("stock.on_hold"):
        retest(shop, old, fresh)
    shop.do(stock.lift_hold, hold=Hold.objects.get(thing_id=lot).event_id, reason="settled")
    retest(shop, old, fresh)


def test_retest_beside_no_fresh_control_is_refused(shop, old_and_fresh):
    """The same lot, another material, one past its date: none of these is a control."""
    old, fresh = old_and_fresh
    of = read.package(old).lot.material_id
    same_lot = shop.do(stock.split_package, package=old, amount=grams(100)).thing
    for control in (old, same_lot, jug(shop, of, "ALSO-OLD"), shop.package(number="R")):
        with refused("care.control"):
            retest(shop, old, control)
    retest(shop, old, fresh)


def test_retest_beyond_three_months_or_when_they_are_over_is_refused(shop, old_and_fresh):
    """Four months are never given; and one month from September is over in December."""
    old, fresh = old_and_fresh
    with refused("retest.months"):
        retest(shop, old, fresh, months=4)
    older = jug(shop, read.package(old).lot.material_id, "OLDER", "2026-09-15")
    with refused("care.over", "2026-10-15"):
        retest(shop, older, fresh, months=1)
    retest(shop, older, fresh, months=3)


def test_retest_is_not_taken_back_so_that_nobody_gets_a_second_one(shop, old_and_fresh):
    """What was granted in error is put on hold instead; a draw can be taken back."""
    old, fresh = old_and_fresh
    token = retest(shop, old, fresh).token
    drawn = shop.do(stock.draw, package=old, amount=grams(1)).token
    shop.do(books.undo, token=drawn, reason="wrong jug")
    with refused("books.final", "re-tested"):
        shop.do(books.undo, token=token, reason="wrong jug")


def test_retest_of_what_has_no_date_is_refused(shop):
    """Nothing is there to extend."""
    of = material(shop)
    undated = shop.do(stock.receive_lot, material=of, number="U", packages=[grams(1)]).things[-1]
    with refused("care.no_date"):
        retest(shop, undated, jug(shop, of, "NEW", "2027-11-15"))


WARM = {
    "bath_c": 50.0,
    "minutes": 60.0,
    "cap_loosened": True,
    "water_bath": True,
    "looked_clear": True,
}


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"cap_loosened": False}, "care.cap"),
        ({"water_bath": False}, "care.bath"),
        ({"bath_c": 56.0}, "care.too_hot"),
        ({"minutes": 0.0}, "care.minutes"),
    ],
)
def test_warming_without_a_precaution_is_refused_and_with_it_recorded(shop, wrong, code):
    """Cap, water, not too hot, for a time: each missing alone is refused."""
    can = jug(shop, material(shop, "epoxy resin"), "R")
    with refused(code):
        shop.do(care.warm, package=can, **(WARM | wrong))
    shop.do(care.warm, package=can, **WARM)
    assert Event.objects.get(step="warmed").facts["looked_clear"] is True


def test_warming_of_anything_but_epoxy_resin_is_refused(shop):
    """Hardener, and what nobody knows."""
    for chemistry in ("amine hardener", "cyanoacrylate", ""):
        with refused("care.not_warmed"):
            shop.do(care.warm, package=jug(shop, material(shop, chemistry), "H"), **WARM)


def test_warming_what_is_on_hold_is_refused(shop):
    """A swollen can is left alone."""
    can = jug(shop, material(shop, "epoxy resin"), "R")
    shop.do(stock.hold, things=[can], reason="swollen")
    with refused("stock.on_hold"):
        shop.do(care.warm, package=can, **WARM)


def test_reading_in_a_place_is_recorded_and_elsewhere_refused(shop):
    """A thermometer hangs in a store, not in a jug and not over a yard."""
    store = shop.place(Kind.STORE)
    shop.do(care.record_reading, place=store, celsius=18.0, highest_c=31.0, lowest_c=-12.0)
    event = Event.objects.get(step="temperature read")
    assert event.where_id == store
    assert event.facts == {"celsius": 18.0, "highest_c": 31.0, "lowest_c": -12.0}
    for wrong in (shop.package(), shop.place(Kind.YARD)):
        with refused("care.no_place"):
            shop.do(care.record_reading, place=wrong, celsius=18.0)


def test_reading_with_highest_and_lowest_swapped_is_refused(shop):
    """Highest below, lowest above what it shows; and 2,100 degrees."""
    store = shop.place(Kind.STORE)
    for code, wrong in (
        ("readings.highest", {"highest_c": 17.0}),
        ("readings.lowest", {"lowest_c": 19.0}),
        ("storage.temperature", {"celsius": 2100.0}),
    ):
        with refused(code):
            shop.do(care.record_reading, place=store, **({"celsius": 18.0} | wrong))


def test_trial_is_frozen_so_that_one_tap_is_one_trial(shop, old_and_fresh):
    """The same token with another gel time is another content, and refused."""
    old, fresh = old_and_fresh
    by = shop.by()
    care.retest_package(by, package=old, control=fresh, **RIGHT)
    other = RIGHT | {"old": replace(RIGHT["old"], gel_min=31.0)}
    with refused("act.other_content"):
        care.retest_package(by, package=old, control=fresh, **other)
    assert shop.at + timedelta(0) == by.now
