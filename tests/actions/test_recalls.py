"""Holds of a whole set and recalls: frozen by the trace, told, added to, closed, and what is refused."""

import networkx as nx
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import books, places, press, recalls, skis_back, stock
from inventory.compute.codes import Kind
from inventory.compute.skis_back import RULE_VERSION
from inventory.models import Event, Guest, Hold, Line, MockRecall, Recall
from inventory.queries import recalls as queries
from inventory.queries.books import differences
from tests.actions.test_skis_back import PHOTO, seen
from tests.make import MONDAY, grams, refused
from tests.returns import TIP, Bench

pytestmark = pytest.mark.django_db
JUG = "TH-2466"


@pytest.fixture
def bench(shop):
    return Bench(shop)


def opened(shop, *roots, **more):
    values = {"roots": list(roots), "name": "One jug", "failure": TIP, "reason": "tips part"} | more
    return shop.do(recalls.open_recall, **values).things[-1]


def standing(recall):
    return queries.standing(Recall.objects.get(id=recall))


def by_networkx(root):
    """The skis below a thing, from the raw lines of live events. Outside check: networkx."""
    graph = nx.DiGraph()
    for event in Event.objects.filter(skipped__isnull=True):
        lines = list(Line.objects.filter(event=event).values_list("thing_id", "role"))
        made = [thing for thing, role in lines if role in {"output", "gains"}]
        graph.add_edges_from((thing, other) for thing, role in lines if role == "input" for other in made)
    skis = set(Line.objects.filter(thing__kind=Kind.SKI).values_list("thing_id", flat=True))
    return nx.descendants(graph, root) & skis


def test_recall_takes_in_exactly_the_skis_that_share_the_jug(bench, shop):
    """Owners, one ski of a mixed pair, a ski in work; nobody of another jug. As networkx finds them."""
    whole, mixed = bench.pair(JUG), bench.pair(JUG, right="TH-1", guest="Ola")
    work, other = bench.pair(JUG, over=False, guest="Kari"), bench.pair("TH-1", guest="Per")
    recall = opened(shop, bench.jug(JUG))
    found = standing(recall)
    assert set(found.taken_in) == {whole.left, whole.right, mixed.left, work.left, work.right}
    assert set(found.taken_in) == by_networkx(bench.jug(JUG))
    assert set(found.states) == {whole.pair, mixed.pair}
    assert (found.since, found.added, found.no_more) == (frozenset(), frozenset(), frozenset())
    rows = {row.owner.pair.id: row.owner for row in queries.to_tell(found, list(found.states))}
    assert (rows[whole.pair].whole, rows[mixed.pair].whole) == (True, False)
    assert [ski.id for ski in rows[mixed.pair].skis] == [mixed.left]
    events = Event.objects.filter(step="recalled")
    assert {event.facts["rule"] for event in events} == {RULE_VERSION}
    assert queries.warning(mixed.pair)
    assert queries.warning(whole.right)
    assert queries.warning(mixed.right) is None
    assert queries.warning(other.pair) is None
    assert list(differences()) == []


def test_recall_from_a_press_cycle_takes_in_what_went_through_it(bench, shop):
    """One hop: the cycle's two skis, and nothing made of the same jug."""
    one, two = bench.pair(JUG), bench.pair(JUG, guest="Ola")
    found = standing(opened(shop, one.cycle))
    assert set(found.taken_in) == {one.left, one.right}
    assert queries.warning(two.left) is None
    assert queries.warning(one.left)


def test_recall_holds_jug_and_ski_in_work_and_stops_them_at_the_next_step(bench, shop):
    """A helper who scans them is refused; a ski of another jug goes on."""
    work, other = bench.pair(JUG, over=False), bench.pair("TH-1", over=False, guest="Ola")
    bench.pair(JUG, guest="Per")
    opened(shop, bench.jug(JUG))
    assert {bench.jug(JUG), work.left, work.right} <= set(Hold.objects.values_list("thing_id", flat=True))
    helper = shop.by(as_=shop.helper)
    with refused("stock.on_hold"):
        press.finish(helper, skis=[work.left])
    with refused("stock.on_hold"):
        shop.mix(bench.resin, bench.jug(JUG))
    press.finish(shop.by(as_=shop.helper), skis=[other.left])
    shop.mix(bench.resin, bench.jug("TH-1"))


def test_hold_of_a_set_is_one_act_and_leaves_skis_with_owners_alone(bench, shop):
    """Crew may; with nothing here it is refused."""
    out, work = bench.pair(JUG), bench.pair(JUG, over=False, guest="Ola")
    crew = shop.by(as_=shop.crew)
    with refused("stock.no_reason"):
        recalls.hold_reach(shop.by(as_=shop.crew), thing=bench.jug(JUG), reason=" ")
    recalls.hold_reach(crew, thing=bench.jug(JUG), reason="tips part")
    held = set(Hold.objects.values_list("thing_id", flat=True))
    assert {bench.jug(JUG), work.left, work.right} <= held
    assert not {out.left, out.right, out.pair} & held
    assert Event.objects.filter(step="held").values("act").distinct().count() == 1
    with refused("recall.nothing_to_hold"):
        recalls.hold_reach(shop.by(), thing=out.pair, reason="one pair")


def test_recall_is_opened_by_an_owner_from_something_that_was_made_into_skis(bench, shop):
    """Each refusal beside the recall that differs by one fact."""
    bench.pair(JUG)
    fresh = shop.package("hardener", grams(500), "TH-NEW")
    jug = bench.jug(JUG)
    values = {"roots": [jug], "name": "One jug", "failure": TIP, "reason": "tips part"}
    with refused("recall.owner_decides"):
        recalls.open_recall(shop.by(as_=shop.crew), **values)
    for code, wrong in (
        ("recall.no_name", {"name": " "}),
        ("recall.failure", {"failure": "bad luck"}),
        ("recall.nothing_made", {"roots": [fresh]}),
        ("recall.nothing_made", {"roots": []}),
        ("stock.no_reason", {"reason": ""}),
    ):
        with refused(code):
            shop.do(recalls.open_recall, **(values | wrong))
    opened(shop, jug)
    with refused("recall.open_already", "One jug"):
        shop.do(recalls.open_recall, **values)
    opened(shop, jug, fresh, name="Both")


def test_nothing_is_added_while_the_trace_finds_nothing_new(bench, shop):
    """What another laptop brings is in tests/flows."""
    bench.pair(JUG)
    recall = opened(shop, bench.jug(JUG))
    with refused("recall.nothing_new"):
        shop.do(recalls.add_found, recall=recall)


def test_what_was_found_since_is_held_and_what_an_owner_has_lifted_stays_lifted(bench, shop):
    """The jug was found good, and more was built of it: its new skis are another matter."""
    bench.pair(JUG)
    jug = bench.jug(JUG)
    recall = opened(shop, jug)
    for hold in set(Hold.objects.values_list("event_id", flat=True)):
        shop.do(stock.lift_hold, hold=hold, reason="tested, good")
    new = bench.pair(JUG, over=False, guest="Ola")
    assert not Hold.objects.exists()
    shop.do(recalls.add_found, recall=recall)
    assert set(Hold.objects.values_list("thing_id", flat=True)) >= {new.left, new.right}
    assert not Hold.objects.filter(thing_id=jug).exists()


def test_ski_taken_in_that_the_trace_no_longer_finds_stays_on_the_list(bench, shop):
    """What was recorded in error is undone; its owner was told and stays told."""
    one = bench.pair(JUG)
    work = bench.pair("TH-1", over=False, guest="Ola")
    shop.do(press.inspect, ski=work.left, passed=False, why="the tip is dry")
    wrong = shop.do(press.lay_up, ski=work.left, inputs=[(bench.jug(JUG), grams(1))])
    recall = opened(shop, bench.jug(JUG))
    assert set(standing(recall).taken_in) == {one.left, one.right, work.left}
    shop.do(books.undo, token=wrong.token, reason="another jug")
    found = standing(recall)
    assert found.no_more == {work.left}
    assert set(found.taken_in) == {one.left, one.right, work.left}


def test_owners_are_told_one_by_one_and_it_closes_with_what_was_learned(bench, shop):
    """Nobody is left to tell, the authority is settled, something was learned."""
    one, two = bench.pair(JUG), bench.pair(JUG, guest="Ola")
    other = bench.pair("TH-1", guest="Per")
    recall = opened(shop, bench.jug(JUG))
    tell = {"recall": recall, "pair": one.pair, "state": "told", "means": "letter"}
    for code, wrong in (
        ("recall.not_in_it", {"pair": other.pair}),
        ("recall.state", {"state": "warned"}),
        ("recall.means", {"means": ""}),
        ("recall.means", {"means": "pigeon"}),
        ("recall.unknown", {"recall": one.pair}),
    ):
        with refused(code):
            shop.do(recalls.tell_owner, **(tell | wrong))
    shop.do(recalls.tell_owner, **tell)
    close = {"recall": recall, "learned": "cap the jug"}
    with refused("recall.not_all_told", "1"):
        shop.do(recalls.close_recall, **close)
    shop.do(recalls.tell_owner, **(tell | {"pair": two.pair, "state": "cannot reach", "passed_on": True}))
    assert standing(recall).counts == [
        ("to tell", 0),
        ("told", 1),
        ("answered", 0),
        ("back", 0),
        ("cannot reach", 1),
    ]
    with refused("recall.authority_open"):
        shop.do(recalls.close_recall, **close)
    with refused("recall.authority"):
        shop.do(recalls.note_authority, recall=recall, authority="perhaps")
    shop.do(recalls.note_authority, recall=recall, authority="told")
    with refused("recall.not_learned"):
        shop.do(recalls.close_recall, recall=recall, learned="")
    with refused("recall.owner_decides"):
        recalls.close_recall(shop.by(as_=shop.crew), **close)
    shop.do(recalls.close_recall, **close)
    assert queries.warning(one.pair) is None
    assert Hold.objects.filter(thing_id=bench.jug(JUG)).exists()
    with refused("recall.closed"):
        shop.do(recalls.tell_owner, **tell)


def test_pair_in_two_recalls_is_told_of_in_both_and_each_list_names_the_other(bench, shop):
    """Two that overlap in one pair."""
    mixed = bench.pair(JUG, right="TH-1")
    first, second = opened(shop, bench.jug(JUG)), opened(shop, bench.jug("TH-1"), name="The other jug")
    (row,) = queries.to_tell(standing(first), [mixed.pair])
    assert row.elsewhere == ("The other jug",)
    (row,) = queries.to_tell(standing(second), [mixed.pair])
    assert row.elsewhere == ("One jug",)


def test_recalled_ski_that_is_back_stays_until_an_owner_lifts_the_hold(bench, shop):
    """The return is answered; giving it back is refused."""
    one = bench.pair(JUG)
    back = bench.back(one.left).thing
    opened(shop, bench.jug(JUG))
    shop.do(skis_back.answer_return, back=back, answer="nothing", reason="as made")
    with refused("stock.on_hold"):
        shop.do(skis_back.send_back, back=back)


def held_skis():
    return [hold.thing_id for hold in Hold.objects.filter(thing__kind=Kind.SKI)]


def test_ski_of_a_recall_from_a_cycle_is_held_as_it_comes_back_and_a_ski_of_another_is_not(bench, shop):
    """Brought back as its owner was told. Only an owner lifts the hold; a return undone takes it along."""
    one, other = bench.pair(JUG), bench.pair("TH-2", guest="Siv")
    opened(shop, one.cycle)
    wrong = bench.back(one.left)
    assert held_skis() == [one.left]
    shop.do(books.undo, token=wrong.token, reason="another ski")
    assert held_skis() == []
    for ski in (one.left, other.left):
        back = bench.back(ski).thing
        shop.do(skis_back.answer_return, back=back, answer="nothing", reason="as made")
        assert held_skis() == ([ski] if ski == one.left else [])
        if held_skis():
            with refused("stock.on_hold"):
                shop.do(skis_back.send_back, back=back)
            hold = Hold.objects.get(thing_id=ski).event_id
            shop.do(stock.lift_hold, hold=hold, reason="glued anew")
        shop.do(skis_back.send_back, back=back)
    stray = shop.do(skis_back.log_unknown, seen=seen(), photos=[PHOTO]).thing
    assert held_skis() == []
    shop.do(skis_back.tie_unknown, back=stray, ski=one.right)
    assert held_skis() == [one.right]
    assert list(differences()) == []


def test_list_of_owners_takes_the_same_statements_for_one_pair_and_for_ten(
    bench, shop, django_assert_num_queries
):
    """Two recalls of one jug each."""
    bench.pair("TH-1")
    for number in range(10):
        bench.pair(JUG, guest=f"Guest{number}")
    small, large = opened(shop, bench.jug("TH-1"), name="One"), opened(shop, bench.jug(JUG))

    def ask(recall):
        found = standing(recall)
        return queries.to_tell(found, list(found.spread.out))

    with CaptureQueriesContext(connection) as one:
        assert len(ask(small)) == 1
    with django_assert_num_queries(len(one)):
        assert len(ask(large)) == 10


def test_mock_recall_is_kept(bench, shop):
    """What was found, as it was found."""
    done = shop.do(recalls.keep_mock_recall, lot=bench.jug(JUG), tried_at=MONDAY, result={"skis": 4})
    row = MockRecall.objects.get(id=done.thing)
    assert (row.lot_id, row.result) == (bench.jug(JUG), {"skis": 4})


@pytest.mark.parametrize("over", [True, False])
def test_recall_is_not_undone_whether_it_held_anything_or_not_and_is_closed_instead(bench, shop, over):
    """Owners may have been told by then: it stays on record, with what was learned."""
    bench.pair(JUG, over=over)
    values = {"roots": [bench.jug(JUG)], "name": "One jug", "failure": TIP, "reason": "tips part"}
    done = shop.do(recalls.open_recall, **values)
    with refused("books.final", "recalled"):
        shop.do(books.undo, token=done.token, reason="the wrong jug")
    assert standing(done.things[-1]).taken_in
    assert list(differences()) == []


def test_what_a_recall_would_come_to_is_just_what_it_then_does_and_writes_nothing(bench, shop):
    """Owners with a contact, without one, erased; a ski in work, one that is back, two jugs at two places."""
    told, silent, gone = (bench.pair(JUG, guest=name) for name in ("Kari", "Ola", "Per"))
    work = bench.pair(JUG, over=False, guest="Liv")
    bench.back(told.right)
    Guest.objects.filter(name="Kari").update(contact="kari@guest.example")
    Guest.objects.filter(name="Per").update(name="", contact="")
    store = shop.place(Kind.STORE, "the Loft")
    shop.do(places.move, things=[bench.jug(JUG)], to=store)
    written = Event.objects.count()
    found = queries.ahead([bench.jug(JUG)], MONDAY.date())
    assert Event.objects.count() == written
    assert (len(found.spread.skis), found.over, set(found.spread.in_work)) == (8, 6, {work.left, work.right})
    pairs = [[row.pair.id for row in rows] for rows in (found.can_be_told, found.no_contact, found.nobody)]
    assert pairs == [[told.pair], [silent.pair], [gone.pair]]
    assert (found.shelf[0].thing.id, found.shelf[0].where) == (bench.jug(JUG), "the Loft")
    assert [row.where for row in found.shelf[1:]] == [""] * (len(found.shelf) - 1)
    assert (found.on_hold, found.same) == (0, None)
    recall = opened(shop, bench.jug(JUG))
    held = set(Hold.objects.values_list("thing_id", flat=True))
    assert {row.thing.id for row in found.shelf} == held
    assert {work.left, work.right, told.right} < held
    assert set(standing(recall).taken_in) == set(found.spread.skis)
    after = queries.ahead([bench.jug(JUG)], MONDAY.date())
    assert (after.on_hold, after.same.id) == (len(held), recall)


def test_what_a_recall_would_come_to_takes_the_same_statements_for_one_pair_and_for_ten(
    bench, shop, django_assert_num_queries
):
    """A jug each."""
    bench.pair("TH-1")
    for number in range(10):
        bench.pair(JUG, guest=f"Guest{number}")
    with CaptureQueriesContext(connection) as one:
        assert len(queries.ahead([bench.jug("TH-1")], MONDAY.date()).owners) == 1
    with django_assert_num_queries(len(one)):
        assert len(queries.ahead([bench.jug(JUG)], MONDAY.date()).owners) == 10


def test_recall_of_a_pair_that_is_with_its_owner_is_opened_though_nothing_is_here_to_hold(bench, shop):
    """Its owner is told; while one of its skis is in work again, that one is held too."""
    out, two = bench.pair(JUG), bench.pair(JUG, guest="Ola")
    recall = opened(shop, out.pair)
    assert set(standing(recall).taken_in) == {out.left, out.right}
    assert not Hold.objects.exists()
    bench.back(two.left)
    opened(shop, two.pair, name="Another")
    assert set(Hold.objects.values_list("thing_id", flat=True)) == {two.left}
