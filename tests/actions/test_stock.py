"""Stock: each refusal beside the success that differs by one fact."""

import pytest

from inventory.actions import books, places, stock
from inventory.compute.codes import Kind, read
from inventory.compute.units import Amount, Base
from inventory.models import Balance, Event, Hold, State, Tag
from inventory.queries import ledger
from tests import make
from tests.make import grams, refused

pytestmark = pytest.mark.django_db


def test_receive_bears_packages_with_amount_code_and_place(shop):
    """A delivery of two jugs: one lot, two packages with their amounts, each with a code, in the bin."""
    store = shop.place(Kind.STORE)
    bin_ = shop.place(Kind.BIN, inside=store)
    done = shop.do(
        stock.receive_lot,
        material=shop.material("resin", Base.MG),
        number="N-7741-B",
        packages=[grams(5000), grams(4000)],
        place=bin_,
    )
    lot, first, second = done.things
    assert [shop.amount(first), shop.amount(second)] == [5_000_000, 4_000_000]
    assert {state.place for state in ledger.states([first, second]).values()} == {bin_}
    assert {tag.code[0] for tag in Tag.objects.filter(thing_id__in=[first, second])} == {"P"}
    assert Tag.objects.get(thing_id=lot).code[0] == "G"


def test_receive_of_a_known_lot_adds_packages_to_it(shop):
    """A second delivery of the same lot number does not make a second lot."""
    shop.package(number="N-1")
    again = shop.do(
        stock.receive_lot, material=shop.material("resin", Base.MG), number="N-1", packages=[grams(5)]
    )
    assert len(again.things) == 1
    assert Event.objects.filter(step="lot known").count() == 1


def test_receive_without_packages_is_refused(shop):
    """A delivery of nothing is refused; of one package it is not."""
    resin = shop.material("resin", Base.MG)
    with refused("stock.no_packages"):
        shop.do(stock.receive_lot, material=resin, number="1", packages=[])
    shop.do(stock.receive_lot, material=resin, number="1", packages=[grams(1)])


def test_receive_when_dates_are_reversed_is_refused(shop):
    """An expiry before the making is refused; the same dates the right way round are not."""
    resin = shop.material("resin", Base.MG)
    early, late = make.day("2026-05-03"), make.day("2027-03-05")
    with refused("stock.made_after_expiry", "2027-03-05"):
        shop.do(
            stock.receive_lot, material=resin, number="1", packages=[grams(1)], made_on=late, expires_on=early
        )
    shop.do(
        stock.receive_lot, material=resin, number="1", packages=[grams(1)], made_on=early, expires_on=late
    )


def test_receive_when_made_after_the_delivery_is_refused(shop):
    """A lot cannot be delivered before it is made."""
    resin = shop.material("resin", Base.MG)
    with refused("stock.not_made_yet"):
        shop.do(
            stock.receive_lot, material=resin, number="1", packages=[grams(1)], made_on=make.day("2027-01-01")
        )


def test_receive_when_a_tag_is_taken_is_refused_and_leaves_nothing(shop):
    """A tag answers for one thing; nothing of the delivery is written."""
    first = shop.package()
    code = read(Tag.objects.get(thing_id=first).code)
    before = Event.objects.count()
    with refused("tag.taken", code.shown):
        shop.do(
            stock.receive_lot,
            material=shop.material("resin", Base.MG),
            number="2",
            packages=[grams(1)],
            codes=[code],
        )
    assert Event.objects.count() == before


def test_draw_when_more_than_is_left_is_refused_and_says_what_is_left(shop):
    """640 g cannot give 641 g; it can give 640 g."""
    jug = shop.package(amount=grams(640))
    with refused("stock.short", "641 g", "640 g"):
        shop.do(stock.draw, package=jug, amount=grams(641))
    shop.do(stock.draw, package=jug, amount=grams(640))
    assert shop.amount(jug) == 0


@pytest.mark.parametrize("amount", [Amount(0, Base.MG), Amount(-5, Base.MG), Amount(10**17, Base.MG)])
def test_draw_of_nothing_or_of_the_absurd_is_refused(shop, amount):
    """Zero, negative and absurd amounts are refused before anything is written."""
    jug = shop.package()
    with refused("stock.not_positive"):
        shop.do(stock.draw, package=jug, amount=amount)
    assert shop.amount(jug) == 5_000_000


def test_draw_in_another_unit_is_refused(shop):
    """A jug kept in milligrams gives no millimetres."""
    jug = shop.package()
    with refused("stock.wrong_unit", "mg", "mm"):
        shop.do(stock.draw, package=jug, amount=make.metres(1))
    shop.do(stock.draw, package=jug, amount=grams(1))


def test_split_keeps_the_sum_the_lot_and_the_date(shop):
    """500 g poured into a bottle: both sum to what there was, same lot, same date."""
    jug = shop.package(amount=grams(4000), expires_on=make.day("2027-06-01"))
    small = shop.do(stock.split_package, package=jug, amount=grams(500)).thing
    assert shop.amount(jug) + shop.amount(small) == 4_000_000
    from inventory.queries.stock import package

    assert package(small).lot_id == package(jug).lot_id
    assert package(small).expires_on == make.day("2027-06-01")


def test_use_when_its_lot_is_on_hold_is_refused_until_an_owner_lifts_it(shop):
    """A hold on the lot stops its jugs; the same jug gives once the hold is lifted."""
    jug = shop.package()
    from inventory.queries.stock import package

    lot = package(jug).lot_id
    shop.do(stock.hold, things=[lot], reason="cloudy")
    with refused("stock.on_hold", "lot"):
        shop.do(stock.draw, package=jug, amount=grams(1))
    hold = Hold.objects.get(thing_id=lot).event_id
    with refused("stock.owner_lifts"):
        shop.do(stock.lift_hold, by=shop.by(as_=shop.crew), hold=hold, reason="clear again")
    shop.do(stock.lift_hold, hold=hold, reason="clear again")
    shop.do(stock.draw, package=jug, amount=grams(1))


def test_move_when_on_hold_is_allowed(shop):
    """What is on hold may be moved and counted and written off."""
    store = shop.place(Kind.STORE)
    jug = shop.package()
    shop.do(stock.hold, things=[jug], reason="swollen can")
    shop.do(places.move, things=[jug], to=store)
    shop.do(stock.count, thing=jug, amount=grams(4999))
    shop.do(stock.write_off, thing=jug, amount=grams(4999), reason="to the waste firm")
    assert shop.amount(jug) == 0


def test_use_when_past_its_date_needs_an_owner_and_a_reason(shop):
    """Past its date: refused; with a reason refused to crew; with a reason by an owner recorded."""
    jug = shop.package(expires_on=make.day("2026-11-29"))
    with refused("stock.expired", "2026-11-29"):
        shop.do(stock.draw, package=jug, amount=grams(1))
    with refused("stock.owner_overrides"):
        shop.do(stock.draw, by=shop.by(as_=shop.crew), package=jug, amount=grams(1), override="re-tested")
    shop.do(stock.draw, package=jug, amount=grams(1), override="re-tested")
    assert Event.objects.get(step="drawn").facts["override"] == "re-tested"


def test_use_on_its_last_day_is_allowed(shop):
    """A date is passed on the day after it."""
    jug = shop.package(expires_on=make.day("2026-11-30"))
    shop.do(stock.draw, package=jug, amount=grams(1))


@pytest.mark.parametrize(
    ("inner", "outer"), [(Kind.BIN, Kind.BIN), (Kind.ZONE, Kind.BIN), (Kind.STORE, Kind.TRAILER)]
)
def test_place_in_a_place_that_ranks_no_higher_is_refused(shop, inner, outer):
    """A bin lies in no bin, a zone in no bin, a store in no trailer."""
    place = shop.place(outer)
    with refused("place.rank"):
        shop.place(inner, inside=place)


def test_bin_into_itself_or_into_a_package_is_refused_and_into_a_zone_is_not(shop):
    """Rank forbids circles."""
    trailer = shop.place(Kind.TRAILER)
    zone = shop.place(Kind.ZONE, inside=trailer)
    bin_ = shop.place(Kind.BIN)
    jug = shop.package()
    for target in (bin_, jug):
        with refused("place.rank"):
            shop.do(places.move, things=[bin_], to=target)
    shop.do(places.move, things=[bin_], to=zone)
    assert State.objects.get(thing_id=bin_).place_id == zone


def test_same_token_again_answers_as_the_first_time_and_writes_nothing(shop):
    """The button pressed twice: one event, the same answer."""
    jug = shop.package()
    by = shop.by()
    first = stock.draw(by, package=jug, amount=grams(100))
    second = stock.draw(by, package=jug, amount=grams(100))
    assert second.again
    assert first.things == second.things
    assert shop.amount(jug) == 4_900_000


def test_same_token_with_other_content_is_refused(shop):
    """One token, two amounts: the second is refused, nothing of it is written."""
    jug = shop.package()
    by = shop.by()
    stock.draw(by, package=jug, amount=grams(100))
    with refused("act.other_content"):
        stock.draw(by, package=jug, amount=grams(101))
    assert shop.amount(jug) == 4_900_000


def test_undo_of_a_delivery_takes_its_balance_away_and_frees_its_tag(shop):
    """A reversed birth has no balance row; its tag is empty and can be used again."""
    jug = shop.package()
    code = read(Tag.objects.get(thing_id=jug).code)
    token = Event.objects.filter(step="received").get().act
    shop.do(books.undo, token=token, reason="wrong lot")
    assert not Balance.objects.filter(thing_id=jug).exists()
    assert Tag.objects.get(code=code.text).thing_id is None
    again = shop.do(
        stock.receive_lot,
        material=shop.material("resin", Base.MG),
        number="N-2",
        packages=[grams(5)],
        codes=[code],
    )
    assert Tag.objects.get(code=code.text).thing_id == again.things[-1]


def test_undo_of_what_was_used_since_is_refused_until_the_use_is_undone(shop):
    """A delivery cannot be undone under a draw; undo the draw, then the delivery."""
    jug = shop.package()
    received = Event.objects.get(step="received").act
    drawn = shop.do(stock.draw, package=jug, amount=grams(5)).token
    with refused("books.touched", "drawn"):
        shop.do(books.undo, token=received, reason="wrong")
    shop.do(books.undo, token=drawn, reason="wrong")
    shop.do(books.undo, token=received, reason="wrong")
    with refused("books.undone_before"):
        shop.do(books.undo, token=received, reason="wrong")


def test_undo_that_would_leave_less_than_nothing_is_refused(shop):
    """A count that found more, and was drawn from, cannot be undone; without the draw it can."""
    jug = shop.package(amount=grams(100))
    counted = shop.do(stock.count, thing=jug, amount=grams(150)).token
    drawn = shop.do(stock.draw, package=jug, amount=grams(120)).token
    with refused("stock.would_go_short"):
        shop.do(books.undo, token=counted, reason="miscounted")
    shop.do(books.undo, token=drawn, reason="wrong")
    shop.do(books.undo, token=counted, reason="miscounted")
    assert shop.amount(jug) == 100_000


def test_undo_of_a_hold_is_refused(shop):
    """A hold is lifted by an owner; anybody's undo would go round that."""
    jug = shop.package()
    held = shop.do(stock.hold, things=[jug], reason="cloudy").token
    with refused("books.held"):
        shop.do(books.undo, token=held, reason="oops")


def test_late_draw_before_a_count_changes_nothing_of_the_count(shop):
    """Paper typed in later sorts at its claimed time: a count after it still states what is there."""
    jug = shop.package(amount=grams(1000))
    afternoon = shop.at
    shop.do(stock.count, thing=jug, amount=grams(700))
    shop.do(stock.draw, by=shop.by(at=afternoon), package=jug, amount=grams(300))
    assert shop.amount(jug) == 700_000


def test_late_draw_beyond_what_there_was_is_refused(shop):
    """A late record is folded in where it sorts, and still cannot leave less than nothing."""
    jug = shop.package(amount=grams(1000))
    with refused("stock.would_go_short"):
        shop.do(stock.draw, by=shop.by(at=shop.at), package=jug, amount=grams(1001))
    shop.do(stock.draw, by=shop.by(at=shop.at), package=jug, amount=grams(1000))


def test_late_record_before_the_birth_of_its_thing_sorts_after_it(shop):
    """A claimed time before the delivery does not put the draw before the jug was there."""
    long_ago = shop.at.replace(year=2025)
    jug = shop.package(amount=grams(1000))
    shop.do(stock.draw, by=shop.by(at=long_ago), package=jug, amount=grams(10))
    born = Event.objects.get(step="received")
    drawn = Event.objects.get(step="drawn")
    assert drawn.late
    assert drawn.sort > born.sort
    assert shop.amount(jug) == 990_000


def test_record_of_a_time_to_come_is_refused(shop):
    """A claimed time in the future is a slip."""
    jug = shop.package()
    with refused("date.future", "2030"):
        shop.do(stock.draw, by=shop.by(at=shop.at.replace(year=2030)), package=jug, amount=grams(1))


def test_undo_of_what_another_recorded_is_refused_to_a_helper_and_not_to_crew(shop):
    """A helper takes back their own taps; crew anybody's."""
    jug = shop.package()
    owners = shop.do(stock.draw, package=jug, amount=grams(5)).token
    own = shop.do(stock.draw, by=shop.by(as_=shop.helper), package=jug, amount=grams(5)).token
    with refused("books.not_yours"):
        shop.do(books.undo, by=shop.by(as_=shop.helper), token=owners, reason="slip")
    shop.do(books.undo, by=shop.by(as_=shop.helper), token=own, reason="slip")
    shop.do(books.undo, by=shop.by(as_=shop.crew), token=owners, reason="slip")
    assert shop.amount(jug) == 5_000_000
