"""A dossier now and as of a moment, in both senses, against a general graph library over the raw events."""

from datetime import timedelta

import networkx
import pytest

from inventory.actions import books, press, stock
from inventory.compute.fold import Trouble
from inventory.models import Event, Line
from inventory.queries import dossier as query
from inventory.queries import ledger
from inventory.queries.as_of import AsOf, Sense
from inventory.queries.dossier.tree import tree
from tests.make import grams, pieces

pytestmark = pytest.mark.django_db


def graph(events) -> networkx.DiGraph:
    """What went into what, from the rows as they were written and nothing else."""
    found = networkx.DiGraph()
    ids = {event.id for event in events}
    rows = {}
    for event, thing, role in Line.objects.filter(event_id__in=ids).values_list(
        "event_id", "thing_id", "role"
    ):
        rows.setdefault(event, []).append((thing, role))
    for lines in rows.values():
        made = [thing for thing, role in lines if role in {"output", "gains"}]
        found.add_edges_from((thing, other) for thing, role in lines if role == "input" for other in made)
    return found


def counting(events):
    """Events but reversals and what they reversed: on one laptop every reversal counts."""
    undone = {event.reverses for event in events if event.reverses}
    return [event for event in events if event.id not in undone and not event.reverses]


def assert_same(thing, raw, as_of=None):
    """The dossier's two walks are the library's ancestors and descendants; every step is one of its edges."""
    found = query.dossier(thing, as_of=as_of)
    back = networkx.ancestors(raw, thing) if thing in raw else set()
    forth = networkx.descendants(raw, thing) if thing in raw else set()
    assert {link.of.id for link in found.made_of} == back
    assert {link.made.id for link in found.went_into} == forth
    within = raw.subgraph(back | {thing}) if thing in raw else raw.subgraph(())
    assert {(link.of.id, link.made.id) for link in found.made_of} == set(within.edges)


@pytest.fixture
def season(shop):
    """Two pairs from shared jugs; a mix recorded in error and undone; moments after each act."""
    shop.moments = []
    do = shop.do

    def remembered(action, **values):
        done = do(action, **values)
        shop.moments.append(shop.at)
        return done

    shop.do = remembered
    resin = shop.package("resin", number="R-1")
    hardener = shop.package("hardener", number="H-9")
    blanks = shop.package("blank", amount=pieces(4), number="K-3")
    small = shop.do(stock.split_package, package=resin, amount=grams(900)).thing
    wrong = shop.do(
        press.record_mix,
        resin=small,
        hardener=hardener,
        resin_mg=30_000,
        hardener_mg=9_000,
        hardener_per_hundred=30.0,
    )
    skis = []
    for jug in (resin, small):
        _, left, right = shop.pair()
        cup = shop.mix(jug, hardener)
        for ski in (left, right):
            shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1)), (cup, grams(100))])
        skis += [left, right]
    shop.do(books.undo, token=wrong.token, reason="wrong cup")
    shop.built = {"resin": resin, "hardener": hardener, "small": small, "wrong": wrong.thing, "skis": skis}
    return shop


def things(season):
    b = season.built
    return [b["resin"], b["hardener"], b["small"], b["wrong"], *b["skis"]]


def test_dossier_of_every_thing_is_what_a_graph_library_finds_in_the_raw_events(season):
    """networkx 3.6: ancestors and descendants."""
    raw = graph(counting(list(Event.objects.all())))
    assert raw.number_of_edges() > 10
    for thing in things(season):
        assert_same(thing, raw)


def test_dossier_as_it_was_at_any_moment_is_the_graph_of_what_counts_today_up_to_then(season):
    """What was undone later does not count at any moment."""
    counts = counting(list(Event.objects.all()))
    for moment in season.moments:
        clock = ledger.microseconds(moment) + 999_999
        as_of = AsOf(moment + timedelta(microseconds=999_999), Sense.WAS)
        raw = graph([event for event in counts if event.sort <= clock])
        for thing in things(season):
            assert_same(thing, raw, as_of)


def test_dossier_as_known_here_at_any_moment_is_the_graph_of_what_was_written_by_then(season):
    """What was undone later counts until then."""
    wrong = []
    for moment in season.moments:
        clock = ledger.microseconds(moment) + 999_999
        as_of = AsOf(moment + timedelta(microseconds=999_999), Sense.KNOWN)
        raw = graph(counting([event for event in Event.objects.all() if event.clock <= clock]))
        for thing in things(season):
            assert_same(thing, raw, as_of)
        wrong.append(query.dossier(season.built["wrong"], as_of=as_of).born)
    assert wrong[0] is False
    assert True in wrong
    assert wrong[-1] is False


@pytest.mark.parametrize("sense", list(Sense))
def test_dossier_as_of_the_last_moment_is_the_dossier_of_now(season, sense):
    """Folding everything again gives what is written: amounts, places, events, holds."""
    season.do(stock.hold, things=[season.built["hardener"]], reason="cloudy")
    as_of = AsOf(season.at + timedelta(hours=1), sense)
    for thing in things(season):
        now, then = query.dossier(thing), query.dossier(thing, as_of=as_of)
        for name in ("left", "short", "opened_at", "place", "events", "holds", "doubts", "exposures", "born"):
            assert getattr(then, name) == getattr(now, name), name
        assert set(then.made_of) == set(now.made_of)
        assert set(then.went_into) == set(now.went_into)


def test_dossier_as_of_a_moment_before_a_draw_has_the_amount_of_then(shop):
    """And the hold of then, which was lifted since."""
    jug = shop.package(amount=grams(500))
    shop.do(stock.hold, things=[jug], reason="cloudy")
    held = shop.at
    stop = query.dossier(jug).holds[0].hold
    shop.do(stock.lift_hold, hold=stop, reason="clear again")
    shop.do(stock.draw, package=jug, amount=grams(120))
    for sense in Sense:
        then = query.dossier(jug, as_of=AsOf(held + timedelta(microseconds=900_000), sense))
        assert (then.left, [row.reason for row in then.holds]) == (grams(500), ["cloudy"])
    now = query.dossier(jug)
    assert (now.left, now.holds) == (grams(380), ())


def test_dossier_of_two_laptops_that_were_apart_differs_by_sense_until_they_met(laptops):
    """B drew while apart: as it was, A's jug had less; as known on A, it had not until they met."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        jug = shop.package(amount=grams(100))
    found["B"].merge(found["A"].export(), shop.by())
    found["B"].do(stock.draw, shop.by(), package=jug, amount=grams(80))
    found["A"].do(stock.draw, shop.by(), package=jug, amount=grams(30))
    apart = shop.at + timedelta(microseconds=900_000)
    found["A"].merge(found["B"].export(), shop.by())
    met = shop.at + timedelta(microseconds=900_000)
    with found["A"].in_hand():
        was = query.dossier(jug, as_of=AsOf(apart, Sense.WAS))
        known = query.dossier(jug, as_of=AsOf(apart, Sense.KNOWN))
        later = query.dossier(jug, as_of=AsOf(met, Sense.KNOWN))
    assert (was.left, was.short) == (grams(0), grams(10))
    assert [doubt.trouble for doubt in was.doubts] == [Trouble.SHORT]
    assert (known.left, known.short, known.doubts) == (grams(70), None, ())
    assert (later.left, later.short) == (grams(0), grams(10))


def test_tree_of_a_ski_has_lots_under_packages_and_packages_under_cups(season):
    """As `trace` tells it; a jug reached twice is unfolded once."""
    ski = season.built["skis"][2]
    branches = tree(query.dossier(ski), forward=False)
    cup = next(branch for branch in branches if branch.thing.kind == "resin batch")
    jugs = [branch.thing.kind.value for branch in cup.below]
    assert jugs == ["package", "package"]
    under = {below.thing.kind.value for jug in cup.below for below in jug.below}
    assert under == {"package", "lot"}  # the small jug was poured from the large one
