"""The choice of lots against general libraries: scipy's maximum flow, networkx, and every way tried."""

from datetime import date, timedelta
from itertools import product

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from inventory.compute.choose import KEEPS, Lot, Method, Need, who_gets_what
from inventory.compute.choose.mixes import assign
from inventory.compute.units import Base

START = date(2026, 1, 1)
HORIZON = 40
PLACES = ("Loft", "Stoat", "Ptarmigan")


def day(number):
    return START + timedelta(days=number)


DAYS = st.sampled_from(range(0, HORIZON + 1, 4))  # few days, so that many lots and needs meet


@st.composite
def lots(draw, arriving=True):
    result = []
    for at in range(draw(st.integers(0, 7))):
        last = draw(st.sampled_from((8, 12, 20, 24, 32, HORIZON, HORIZON + 9, None)))
        start = draw(st.sampled_from((0, 0, 4, 8))) if arriving else 0
        last_day = KEEPS if last is None else day(last)
        amount = draw(st.integers(0, 9))
        result.append(Lot(f"l{at}", amount, last_day, draw(st.sampled_from(PLACES)), day(start)))
    return result


@st.composite
def needs(draw, crossing=True, binding=True):
    spans = [(min(span), max(span)) for span in draw(st.lists(st.tuples(DAYS, DAYS), max_size=7))]
    if not crossing:
        spans = list(zip(sorted(a for a, _ in spans), sorted(b for _, b in spans), strict=True))
    result = []
    for at, (load, last) in enumerate(spans):
        trailers = draw(st.sampled_from((frozenset(), {"Stoat"}, {"Ptarmigan"}, {"Stoat", "Ptarmigan"})))
        reach = draw(st.none() | st.frozensets(st.sampled_from(PLACES))) if binding else None
        result.append(
            Need(f"n{at}", draw(st.integers(0, 9)), day(load), day(last), frozenset(trailers), reach)
        )
    return draw(st.permutations(result))


def choose(lots, needs, **kwargs):
    return who_gets_what(lots=lots, needs=needs, base=Base.PIECE, horizon=day(HORIZON), **kwargs)


def suits(lot, need):
    """Written a second time on purpose, from the words of the rule."""
    here = need.reach is None or lot.place in need.reach or lot.place in need.trailers
    return here and lot.available_from <= need.load_day and need.last_day <= lot.last_day


def most(lots, needs):
    """The most that can be covered, by scipy's maximum_flow: source 0, lots, needs, sink."""
    size = len(lots) + len(needs) + 2
    graph = np.zeros((size, size), dtype=np.int32)
    for a, lot in enumerate(lots, 1):
        graph[0, a] = lot.amount
        for b, need in enumerate(needs, len(lots) + 1):
            if suits(lot, need):
                graph[a, b] = 1_000
    for b, need in enumerate(needs, len(lots) + 1):
        graph[b, size - 1] = need.amount
    return int(maximum_flow(csr_array(graph), 0, size - 1).flow_value)


def by_date(needs):
    return sorted(needs, key=lambda need: (need.last_day, need.load_day, needs.index(need)))


def drawn_from(choice, lot):
    return sum(draw.amount for draw in choice.draws if draw.lot == lot.key)


@given(lots(), needs())
def test_choose_when_anything_may_cross_or_bind_covers_what_scipy_covers(lots, needs):
    """As much as maximum_flow covers, and so for the first need alone, the first two, and so on."""
    choice = choose(lots, needs)
    got = {met.need: met.needed - met.short for met in choice.met}
    in_turn = by_date(needs)
    for count in range(len(needs) + 1):
        assert sum(got[need.key] for need in in_turn[:count]) == most(lots, in_turn[:count])


@given(lots(), needs(crossing=False, binding=False))
def test_choose_when_windows_agree_sweeps_and_covers_what_scipy_covers(lots, needs):
    """Glover's theorem: for windows in one order the sweep is a maximum matching."""
    choice = choose(lots, needs)
    assert choice.method is Method.SWEEP
    assert sum(draw.amount for draw in choice.draws) == most(lots, needs)


@given(lots(arriving=False), needs(crossing=False, binding=False))
def test_choose_when_all_is_on_hand_is_short_by_the_closed_form(lots, needs):
    """Hall's condition: the largest, over days, of what is needed from then on less what lasts to then."""
    over = [
        sum(n.amount for n in needs if n.last_day >= each.last_day)
        - sum(lot.amount for lot in lots if lot.last_day >= each.last_day)
        for each in needs
    ]
    assert choose(lots, needs).short == max([0, *over])


@given(lots(), needs())
def test_choose_uses_what_passes_first_as_far_as_networkx_can(lots, needs):
    """What passes by any day before the horizon is used as much as a cheapest maximum flow uses it."""
    choice = choose(lots, needs)
    got = {met.need: met.needed - met.short for met in choice.met}
    for limit in sorted({lot.last_day for lot in lots if lot.last_day < day(HORIZON)}):
        graph = nx.DiGraph([("source", "sink", {"capacity": 0})])
        for lot in lots:
            late = lot.last_day > limit
            graph.add_edge("source", lot.key, capacity=lot.amount, weight=int(late))
            for need in filter(lambda need, lot=lot: suits(lot, need), needs):
                graph.add_edge(lot.key, need.key, capacity=1_000, weight=0)
        for need in needs:
            graph.add_edge(need.key, "sink", capacity=got[need.key], weight=0)
        flow = nx.max_flow_min_cost(graph, "source", "sink")
        used = sum(flow["source"][lot.key] for lot in lots if lot.last_day <= limit)
        assert sum(drawn_from(choice, lot) for lot in lots if lot.last_day <= limit) == used


@settings(max_examples=150)
@given(lots(), needs())
def test_choose_moves_no_more_than_networkx(lots, needs):
    """With the cover and the use of every last day kept, a cheapest flow moves no less."""
    choice = choose(lots, needs)
    got = {met.need: met.needed - met.short for met in choice.met}
    graph = nx.DiGraph([("source", "sink", {"capacity": 0})])
    used = {}
    for lot in lots:
        rank = min(lot.last_day, day(HORIZON))
        used[rank] = used.get(rank, 0) + drawn_from(choice, lot)
        graph.add_edge(rank, lot.key, capacity=lot.amount, weight=0)
        for need in filter(lambda need, lot=lot: suits(lot, need), needs):
            graph.add_edge(lot.key, need.key, capacity=1_000, weight=int(lot.place not in need.trailers))
    for rank, amount in used.items():
        graph.add_edge("source", rank, capacity=amount, weight=0)
    for need in needs:
        graph.add_edge(need.key, "sink", capacity=got[need.key], weight=0)
    flow = nx.max_flow_min_cost(graph, "source", "sink")
    assert sum(flow["source"].values()) == sum(got.values())
    assert choice.moved == nx.cost_of_flow(graph, flow)


@given(lots(), needs(), st.booleans())
def test_choose_conserves_every_lot_and_every_need(lots, needs, one_lot_each):
    """Nothing appears and nothing is lost: draws and rests are the lots, draws and shortages the needs."""
    choice = choose(lots, needs, one_lot_each=one_lot_each)
    rests = {rest.lot: rest.amount for rest in choice.rests}
    for lot in lots:
        assert drawn_from(choice, lot) + rests.get(lot.key, 0) == lot.amount
    for need, met in zip(needs, choice.met, strict=True):
        assert met.aboard + met.to_load + met.short == met.needed == need.amount
        assert sum(draw.amount for draw in choice.draws if draw.need == need.key) == met.needed - met.short
    lot_of, need_of = {lot.key: lot for lot in lots}, {need.key: need for need in needs}
    for draw in choice.draws:
        assert draw.amount > 0
        assert suits(lot_of[draw.lot], need_of[draw.need])
        assert draw.aboard is (lot_of[draw.lot].place in need_of[draw.need].trailers)
    if one_lot_each:
        assert all(met.short in (0, met.needed) for met in choice.met)
        assert len({draw.need for draw in choice.draws}) == len(choice.draws)


@given(lots(), needs(), st.integers(1, 12))
def test_choose_when_there_is_more_is_never_shorter(lots, needs, more):
    """Another lot that suits everyone can only help, need by need in their order."""
    extra = Lot("extra", more, KEEPS, "Loft", START)
    assert choose([*lots, extra], needs).short <= choose(lots, needs).short


@given(lots(), needs(), st.data())
def test_choose_when_lots_are_listed_in_another_order_covers_the_same(lots, needs, data):
    """The order of the list decides between equals only."""
    other = choose(data.draw(st.permutations(lots)), needs)
    one = choose(lots, needs)
    assert [(met.short, met.short_at_best) for met in other.met] == [
        (met.short, met.short_at_best) for met in one.met
    ]
    assert other.moved == one.moved


@pytest.mark.parametrize("seed", range(40))
def test_choose_of_a_workshops_size_meets_networkx(seed):
    """A second library beside scipy: networkx maximum_flow_value on instances of a workshop's size."""
    rng = np.random.default_rng(seed)
    lots = [
        Lot(
            f"l{at}",
            int(rng.integers(1, 30)),
            day(int(rng.integers(20, 200))),
            PLACES[rng.integers(0, 3)],
            START,
        )
        for at in range(12)
    ]
    needs = []
    for at in range(20):
        load = int(rng.integers(0, 120))
        reach = frozenset({"Loft", PLACES[rng.integers(1, 3)]})
        needs.append(
            Need(
                f"n{at}",
                int(rng.integers(1, 12)),
                day(load),
                day(load + int(rng.integers(0, 30))),
                reach=reach,
            )
        )
    graph = nx.DiGraph()
    graph.add_nodes_from(["source", "sink"])
    for lot in lots:
        graph.add_edge("source", lot.key, capacity=lot.amount)
        graph.add_edges_from((lot.key, need.key) for need in needs if suits(lot, need))
    graph.add_edges_from((need.key, "sink", {"capacity": need.amount}) for need in needs)
    choice = who_gets_what(lots=lots, needs=needs, base=Base.MG, horizon=day(250))
    assert sum(draw.amount for draw in choice.draws) == nx.maximum_flow_value(graph, "source", "sink")


small = st.lists(st.integers(1, 9), min_size=1, max_size=5)


@given(st.lists(st.integers(0, 14), max_size=4), small, st.data())
def test_assign_covers_as_much_as_every_way_tried(piles, sizes, data):
    """Against all ways written out: the same amount, and among equals the earlier mixes."""
    options = st.lists(st.sampled_from(range(len(piles))), unique=True) if piles else st.just([])
    reach = [data.draw(options) for _ in sizes]
    best = (0, ())
    for way in product(*([None, *each] for each in reach)):
        used = [0] * len(piles)
        for pile, size in zip(way, sizes, strict=True):
            if pile is not None:
                used[pile] += size
        if all(a <= b for a, b in zip(used, piles, strict=True)):
            total = sum(size for pile, size in zip(way, sizes, strict=True) if pile is not None)
            best = max(best, (total, tuple(pile is not None for pile in way)))
    found = assign(piles=piles, sizes=sizes, reach=reach)
    assert found.certain
    covers = tuple(pile is not None for pile in found.pile)
    assert (sum(size for size, is_in in zip(sizes, covers, strict=True) if is_in), covers) == (
        best[0],
        best[1] or covers,
    )


@given(lots(), needs())
def test_choose_one_lot_each_never_covers_more_than_when_lots_may_be_mixed(lots, needs):
    """A plan of whole mixes is a plan; it cannot beat the maximum flow."""
    assert choose(lots, needs, one_lot_each=True).short >= choose(lots, needs).short


@given(lots(), needs(), st.integers(1, 5))
def test_choose_one_lot_each_of_one_size_covers_as_many_as_every_way_tried(lots, needs, size):
    """Mixes of one size are counted, not searched, and lose nothing by it."""
    mixes = [Need(n.key, size, n.load_day, n.last_day, n.trailers, n.reach) for n in needs]
    choice = choose(lots, mixes, one_lot_each=True)
    assert choice.method is not Method.SEARCH
    searched = assign(
        piles=[lot.amount for lot in lots],
        sizes=[size] * len(mixes),
        reach=[[at for at, lot in enumerate(lots) if suits(lot, mix)] for mix in by_date(mixes)],
    )
    assert sum(met.short == 0 for met in choice.met) == sum(pile is not None for pile in searched.pile)


def test_assign_when_it_must_stop_early_keeps_the_better_of_two_simple_fits():
    """Without a single step: the first fit covers 6, the tightest fit 10."""
    facts = {"piles": [4, 6], "sizes": [3, 3, 4], "reach": [[0, 1]] * 3}
    none = assign(**facts, limit=0)
    assert sum(size for size, pile in zip(facts["sizes"], none.pile, strict=True) if pile is not None) == 10
    tight = assign(piles=[5, 5], sizes=[4, 4, 1, 3], reach=[[0, 1]] * 4, limit=0)
    assert not tight.certain
    assert assign(piles=[5, 5], sizes=[4, 4, 1, 3], reach=[[0, 1]] * 4).certain
