"""Skis that come back: each refusal beside the return that differs by one fact."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import books, skis_back, stock
from inventory.actions.papers import File
from inventory.actions.shop import change_person
from inventory.actions.skis_back import Failed
from inventory.compute.codes import Kind
from inventory.compute.skis_back import CHECKS
from inventory.models import Event, Paper, State
from inventory.queries import skis_back as queries
from inventory.queries import trace
from inventory.queries.books import differences
from inventory.roles import Role
from tests.make import MONDAY, grams, refused
from tests.returns import TIP, Bench

pytestmark = pytest.mark.django_db
TODAY = MONDAY.date()
PHOTO = File("0" * 64, "image/jpeg", 10, "photo")


@pytest.fixture
def bench(shop):
    return Bench(shop)


def seen(**more):
    return Failed(**({"failure": TIP, "observed": "a gap", "came_on": TODAY, "zone": "tip"} | more))


def test_return_puts_the_ski_somewhere_and_keeps_words_out_of_the_facts(bench, shop):
    """One ski of a pair; its partner stays with the owner."""
    built = bench.pair()
    bin_ = shop.place(Kind.BIN)
    done = shop.do(
        skis_back.log_return, skis=[built.left], seen=seen(from_tip_mm=120, days_used=40), place=bin_
    )
    event = Event.objects.get(step="returned")
    assert event.facts == {
        "return": str(done.thing),
        "failure": TIP,
        "came_on": str(TODAY),
        "zone": "tip",
        "from_tip_mm": 120,
        "days_used": 40,
    }
    row = queries.back(done.thing)
    assert (row.observed, row.place, row.waits_for, row.guest) == ("a gap", bin_, "inspect", "Ida")
    assert [ski.id for ski in row.skis] == [built.left]
    assert State.objects.get(thing=built.right).place_id is None
    assert list(differences()) == []


def test_return_of_a_pair_is_one_return_of_two_skis(bench):
    """Both lie here; the list has one row."""
    built = bench.pair()
    bench.back(built.left, built.right)
    (row,) = queries.backs()
    assert [ski.id for ski in row.skis] == [built.left, built.right]


def test_return_of_what_is_here_already_is_refused_and_after_it_left_is_not(bench, shop):
    """The same return twice; one act sent twice is one return."""
    built = bench.pair()
    by = shop.by()
    first = shop.do(skis_back.log_return, by=by, skis=[built.left], seen=seen())
    again = shop.do(skis_back.log_return, by=by, skis=[built.left], seen=seen())
    assert (again.again, again.thing) == (True, first.thing)
    with refused("back.twice", "30"):
        bench.back(built.left)
    bench.back(built.right)
    shop.do(skis_back.answer_return, back=first.thing, answer="nothing", reason="as made")
    shop.do(skis_back.send_back, back=first.thing)
    bench.back(built.left)
    assert len(queries.backs(gone=False)) == 2


def test_return_of_a_ski_that_never_left_is_refused(bench):
    """The other pair was handed over."""
    work, out = bench.pair(over=False), bench.pair()
    with refused("back.never_handed_over", "Ski"):
        bench.back(work.left)
    bench.back(out.left)


@pytest.mark.parametrize(
    ("code", "wrong", "right"),
    [
        ("back.before_handed_over", {"came_on": TODAY - timedelta(days=1)}, {"came_on": TODAY}),
        ("back.future", {"came_on": TODAY + timedelta(days=1)}, {"came_on": TODAY}),
        ("back.failure", {"failure": "broken"}, {"failure": "other"}),
        ("back.where", {"zone": "nose"}, {"zone": "tail"}),
        ("back.where", {"part": "heart"}, {"part": "base"}),
        ("back.number", {"from_tip_mm": 2301}, {"from_tip_mm": 2300}),
        ("back.number", {"days_used": -1}, {"days_used": 0}),
        ("back.not_observed", {"observed": "  "}, {"observed": "a gap"}),
    ],
)
def test_return_with_what_cannot_be_is_refused(bench, shop, code, wrong, right):
    """Each beside the one that can."""
    built = bench.pair()
    with refused(code):
        shop.do(skis_back.log_return, skis=[built.left], seen=seen(**wrong))
    shop.do(skis_back.log_return, skis=[built.left], seen=seen(**right))


def test_return_of_no_ski_or_of_a_pairs_code_is_refused(bench, shop):
    """The form turns a pair into its two skis; the action takes skis."""
    built = bench.pair()
    with refused("back.no_ski"):
        shop.do(skis_back.log_return, skis=[], seen=seen())
    with refused("back.not_a_ski", "Pair"):
        shop.do(skis_back.log_return, skis=[built.pair], seen=seen())


def test_unknown_ski_is_kept_with_a_photo_and_tied_later(bench, shop):
    """Nobody knows it; then it is the left one of a pair, and lies where it lay."""
    built, work = bench.pair(), bench.pair(over=False)
    loft = shop.place(Kind.STORE)
    with refused("back.no_photo"):
        shop.do(skis_back.log_unknown, seen=seen(), photos=[], place=loft)
    done = shop.do(skis_back.log_unknown, seen=seen(), photos=[PHOTO], place=loft)
    row = queries.back(done.thing)
    assert (row.unknown, row.waits_for, row.where) == (True, "tie", "store")
    assert Paper.objects.get().about == row.skis[0].id
    with refused("back.untied"):
        shop.do(skis_back.send_back, back=done.thing)
    with refused("back.never_handed_over"):
        shop.do(skis_back.tie_unknown, back=done.thing, ski=work.left)
    shop.do(skis_back.tie_unknown, back=done.thing, ski=built.left)
    row = queries.back(done.thing)
    assert ([ski.id for ski in row.skis], row.unknown, row.where) == ([built.left], False, "store")
    with refused("back.known"):
        shop.do(skis_back.tie_unknown, back=done.thing, ski=built.right)
    with refused("back.twice"):
        bench.back(built.left)
    assert list(differences()) == []


def test_inspection_keeps_what_is_suspected_apart_from_what_was_seen(bench, shop):
    """Said again, the newest counts; the first stays readable."""
    back = bench.back(bench.pair().left).thing
    with refused("back.check"):
        shop.do(skis_back.inspect_return, back=back, checks={"smell": "well"}, cause="unknown")
    with refused("back.cause"):
        shop.do(skis_back.inspect_return, back=back, checks={"tap": "not"}, cause="the helper")
    nowhere = dict.fromkeys(CHECKS, "")
    with refused("back.nothing_looked_at"):
        shop.do(skis_back.inspect_return, back=back, checks=nowhere, cause="unknown")
    assert queries.back(back).waits_for == "inspect"
    shop.do(skis_back.inspect_return, back=back, checks=nowhere | {"tap": "not"}, cause="unknown")
    assert queries.back(back).checks == {"tap": "not"}
    for cause, suspected in (("unknown", ""), ("material suspect", "old hardener")):
        shop.do(skis_back.inspect_return, back=back, checks={"tap": "not"}, cause=cause, suspected=suspected)
    row = queries.back(back)
    assert (row.observed, row.suspected, row.cause) == ("layers part", "old hardener", "material suspect")
    assert [said.step for said in row.told] == ["returned", *["return inspected"] * 3]
    assert row.waits_for == "answer"


def test_answer_needs_a_reason_and_is_one_of_the_list(bench, shop):
    """Repair, replace, refuse, nothing; what it costs in the smallest unit."""
    back = bench.back(bench.pair().left).thing
    other = bench.pair(guest="Ola")
    values = {"back": back, "answer": "replace", "reason": "beyond repair", "cost": 350_000}
    for code, wrong in (
        ("back.answer", {"answer": "swap"}),
        ("back.no_reason", {"reason": " "}),
        ("back.number", {"cost": -1}),
        ("back.not_a_pair", {"pair": other.left}),
        ("back.unknown", {"back": other.pair}),
    ):
        with refused(code):
            shop.do(skis_back.answer_return, **(values | wrong))
    shop.do(skis_back.answer_return, **values, pair=other.pair)
    row = queries.back(back)
    assert (row.answer, row.cost, row.replaced_by) == ("replace", 350_000, other.pair)


def test_repair_takes_from_the_stock_and_a_trace_from_it_finds_the_ski(bench, shop):
    """Of this return's skis only; not with what is on hold, not by somebody under 18."""
    built = bench.pair()
    back = bench.back(built.left).thing
    glue = shop.package("glue", grams(50), "G-9")
    values = {"back": back, "ski": built.left, "inputs": [(glue, grams(5))], "done": "re-bonded the tip"}
    with refused("back.other_ski"):
        shop.do(skis_back.repair_return, **(values | {"ski": built.right}))
    with refused("back.no_reason"):
        shop.do(skis_back.repair_return, **(values | {"done": ""}))
    hold = shop.do(stock.hold, things=[glue], reason="thick")
    with refused("stock.on_hold"):
        shop.do(skis_back.repair_return, **values)
    event = Event.objects.get(act=hold.token)
    shop.do(stock.lift_hold, hold=event.id, reason="it is well")
    card = {"name": "Sunniva Lid", "role": Role.HELPER}
    shop.do(change_person, person=shop.helper, under_18=True, **card)
    with refused("step.under_age"):
        shop.do(skis_back.repair_return, by=shop.by(as_=shop.helper), **values)
    shop.do(change_person, person=shop.helper, under_18=False, **card)
    shop.do(skis_back.repair_return, by=shop.by(as_=shop.helper), **values)
    assert trace.forward([glue]).things == (built.left,)
    assert shop.amount(glue) == 45_000


def test_service_is_noted_and_leads_back_to_the_owner(bench, shop):
    """For service alone nothing has to be answered."""
    built = bench.pair()
    back = bench.back(built.left, built.right, failure="service").thing
    with refused("back.unanswered"):
        shop.do(skis_back.send_back, back=back)
    with refused("back.no_service"):
        shop.do(skis_back.service, back=back, done=[])
    shop.do(skis_back.service, back=back, done=["wax", "edges"])
    assert queries.back(back).services == ("edges", "wax")
    shop.do(skis_back.send_back, back=back)
    row = queries.back(back)
    assert (row.gone_on, row.place, row.waits_for) == (TODAY, None, "")
    with refused("back.gone"):
        shop.do(skis_back.service, back=back, done=["wax"])


def test_ski_on_hold_is_not_given_back(bench, shop):
    """Nor one with anything in it that is."""
    built = bench.pair("TH-2466")
    back = bench.back(built.left).thing
    shop.do(skis_back.answer_return, back=back, answer="nothing", reason="as made")
    hold = shop.do(stock.hold, things=[bench.jug("TH-2466")], reason="suspect")
    with refused("stock.on_hold", "went into it"):
        shop.do(skis_back.send_back, back=back)
    shop.do(stock.lift_hold, hold=Event.objects.get(act=hold.token).id, reason="cleared")
    shop.do(skis_back.send_back, back=back)


def test_return_that_was_undone_is_none(bench, shop):
    """And the ski may come back again."""
    built = bench.pair()
    done = bench.back(built.left)
    shop.do(books.undo, token=done.token, reason="another ski")
    assert queries.backs() == []
    bench.back(built.left)


def test_list_of_skis_back_is_searched_and_takes_the_same_statements_for_one_row_and_for_ten(
    bench, django_assert_num_queries
):
    """By guest, by failure, by what was seen."""
    pairs = [bench.pair(guest=f"Guest{number}") for number in range(10)]
    bench.back(pairs[0].left)
    with CaptureQueriesContext(connection) as one:
        assert len(queries.backs()) == 1
    for number, built in enumerate(pairs[1:], 1):
        bench.back(built.left, failure="edge" if number % 2 else TIP)
    with django_assert_num_queries(len(one)):
        assert len(queries.backs()) == 10
    assert [row.guest for row in queries.backs(words="guest7")] == ["Guest7"]
    assert len(queries.backs(failure="edge")) == 5
    found = queries.find_out("guest3 1840")
    assert [(row.ski.name, row.here) for row in found] == [("left", True), ("right", False)]
