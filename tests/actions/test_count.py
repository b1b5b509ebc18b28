"""Counts by weight and of a bin: each refusal beside what differs by one fact."""

import pytest

from inventory.actions import books, count, materials, stock
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import Event, Line, Package
from inventory.queries import ledger
from tests.make import grams, metres, pieces, refused

pytestmark = pytest.mark.django_db


def test_count_by_weight_takes_the_container_off_and_keeps_its_weight(shop):
    """4,310 g with a jug of 310 g: 4 kg; the jug's weight is there for the next time."""
    jug = shop.package(amount=grams(5000))
    shop.do(count.count_by_weight, package=jug, gross_mg=4_310_000, tare_mg=310_000)
    assert shop.amount(jug) == 4_000_000
    assert Package.objects.get(thing_id=jug).tare_mg == 310_000
    line = Line.objects.get(event__step="counted")
    assert (line.amount, line.basis) == (4_000_000, "weighed")


def test_count_by_weight_of_a_coil_needs_the_weight_of_a_metre(shop):
    """Nobody entered it: refused. Entered on the card: 2.2 kg of 44 g/m are 50 m."""
    coil = shop.package("edge", metres(60))
    weights = {"package": coil, "gross_mg": 2_300_000, "tare_mg": 100_000}
    with refused("weighing.unknown"):
        shop.do(count.count_by_weight, **weights)
    edge = shop.material("edge", Base.MM)
    shop.do(materials.edit_material, material=edge, changes={"linear_g_m": 44.0})
    shop.do(count.count_by_weight, **weights)
    assert shop.amount(coil) == 50_000


def test_count_by_weight_of_what_is_no_package_is_refused(shop):
    """A bin is weighed by nobody."""
    with refused("stock.not_a_package"):
        shop.do(count.count_by_weight, package=shop.place(Kind.BIN), gross_mg=1, tare_mg=0)


def bin_with(shop, *amounts):
    bin_ = shop.place(Kind.BIN)
    return bin_, [
        shop.package(amount=amount, number=f"N-{n}", place=bin_) for n, amount in enumerate(amounts)
    ]


def test_count_of_a_bin_says_what_is_there_what_is_not_and_what_is_unexpected(shop):
    """One jug less full, one not there, one from another bin: one act, and each is as it was found."""
    bin_, (full, gone) = bin_with(shop, grams(1000), grams(500))
    elsewhere = shop.package(amount=grams(200), number="X", place=shop.place(Kind.BIN))
    done = shop.do(
        count.count_place, place=bin_, counted=[(full, grams(860))], missing=[gone], found=[elsewhere]
    )
    assert shop.amount(full) == 860_000
    assert shop.amount(gone) == 500_000
    assert {state.place for state in ledger.states([full, gone, elsewhere]).values()} == {bin_}
    steps = Event.objects.filter(act=done.token).order_by("number").values_list("step", flat=True)
    assert list(steps) == ["moved", "counted", "not found"]


def test_count_of_a_bin_is_taken_back_as_one(shop):
    """One tap, one undo: amounts and places as before."""
    bin_, (full,) = bin_with(shop, grams(1000))
    other = shop.place(Kind.BIN)
    elsewhere = shop.package(amount=grams(200), number="X", place=other)
    done = shop.do(count.count_place, place=bin_, counted=[(full, grams(860))], found=[elsewhere])
    shop.do(books.undo, token=done.token, reason="wrong bin")
    assert shop.amount(full) == 1_000_000
    assert ledger.states([elsewhere])[elsewhere].place == other


def test_count_of_what_lies_elsewhere_is_refused_unless_it_was_found_here(shop):
    """By the books the jug is in another bin: say so, or say it was found."""
    bin_, _ = bin_with(shop, grams(1))
    jug = shop.package(amount=grams(200), number="X", place=shop.place(Kind.BIN))
    with refused("count.elsewhere", "package"):
        shop.do(count.count_place, place=bin_, counted=[(jug, grams(100))])
    with refused("count.elsewhere"):
        shop.do(count.count_place, place=bin_, missing=[jug])
    shop.do(count.count_place, place=bin_, counted=[(jug, grams(100))], found=[jug])
    assert shop.amount(jug) == 100_000


def test_count_of_a_trailer_reaches_into_its_bins(shop):
    """What lies in a bin of the trailer can be counted with the trailer."""
    trailer = shop.place(Kind.TRAILER)
    bin_ = shop.place(Kind.BIN, inside=shop.place(Kind.ZONE, inside=trailer))
    jug = shop.package(place=bin_)
    shop.do(count.count_place, place=trailer, counted=[(jug, grams(4900))])
    assert shop.amount(jug) == 4_900_000


def test_count_twice_in_one_or_of_nothing_or_in_a_jug_is_refused(shop):
    """Each slip beside the count that is right."""
    bin_, (jug,) = bin_with(shop, grams(1000))
    with refused("count.twice"):
        shop.do(count.count_place, place=bin_, counted=[(jug, grams(1)), (jug, grams(2))])
    with refused("count.twice"):
        shop.do(count.count_place, place=bin_, counted=[(jug, grams(1))], missing=[jug])
    with refused("count.nothing"):
        shop.do(count.count_place, place=bin_)
    with refused("count.no_place"):
        shop.do(count.count_place, place=jug, counted=[(jug, grams(1))])
    with refused("stock.wrong_unit"):
        shop.do(count.count_place, place=bin_, counted=[(jug, pieces(1))])
    shop.do(count.count_place, place=bin_, counted=[(jug, grams(0))])
    assert shop.amount(jug) == 0


def test_count_of_what_was_undone_is_refused(shop):
    """A delivery that was taken back left nothing to count."""
    bin_, (jug,) = bin_with(shop, grams(1000))
    received = Event.objects.get(step="received").act
    shop.do(books.undo, token=received, reason="wrong")
    with refused("count.elsewhere"):
        shop.do(count.count_place, place=bin_, counted=[(jug, grams(1))])
    with refused("thing.unborn"):
        shop.do(stock.count, thing=jug, amount=grams(1))
