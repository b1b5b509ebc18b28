"""Traces against networkx on random genealogies, on whichever database runs the suite."""

import random
from uuid import UUID

import networkx as nx
import pytest

from inventory.actions import books, cutting, press, stock
from inventory.compute.codes import Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Amount, Base
from inventory.models import Event, Line
from inventory.queries import bench, ledger, trace
from tests import make
from tests.make import grams, metres

pytestmark = pytest.mark.django_db


def graph() -> nx.DiGraph:
    """The genealogy as networkx has it: from every input to every output and gain of each live event."""
    found: nx.DiGraph = nx.DiGraph()
    for event in Event.objects.filter(skipped__isnull=True):
        lines = list(Line.objects.filter(event=event).values_list("thing_id", "role"))
        made = [thing for thing, role in lines if role in {"output", "gains"}]
        found.add_edges_from((source, thing) for source, role in lines if role == "input" for thing in made)
        found.add_nodes_from(thing for thing, _ in lines)
    return found


class Season:
    """Random splits, mixes, cuts and lay-ups, some of them undone."""

    def __init__(self, shop: make.Shop, seed: int) -> None:
        self.shop, self.dice = shop, random.Random(seed)
        self.jugs = {
            purpose: [shop.package(purpose, grams(50_000), f"{purpose}-{n}") for n in range(3)]
            for purpose in ("resin", "hardener")
        }
        self.to_cut = [shop.package("edge", metres(500), f"edge-{n}") for n in range(2)]
        self.skis: list[UUID] = []
        self.batches: list[UUID] = []
        self.acts: list[UUID] = []
        for _ in range(30):
            what = [self.split, self.mix, self.mix, self.book, self.lay_up, self.lay_up, self.cut, self.cut]
            self.dice.choice(what)()
        for act in self.dice.sample(self.acts, len(self.acts) // 3):
            if not any(ledger.later_users(event).exists() for event in events_of(act)):
                shop.do(books.undo, token=act, reason="slip")

    def split(self) -> None:
        jugs = self.jugs[self.dice.choice(["resin", "hardener"])]
        small = self.shop.do(stock.split_package, package=self.dice.choice(jugs[:3]), amount=grams(900))
        jugs.append(small.thing)
        self.acts.append(small.token)

    def mix(self) -> None:
        resin, hardener = (self.dice.choice(self.jugs[purpose]) for purpose in ("resin", "hardener"))
        self.batches.append(self.shop.mix(resin, hardener, 60, 18))

    def book(self) -> None:
        self.skis += self.shop.pair()[1:]

    def lay_up(self) -> None:
        if self.skis and self.batches:
            self.take_in(self.dice.choice(self.skis), self.dice.choice(self.batches), grams(1))

    def take_in(self, ski: UUID, thing: UUID, amount: Amount) -> None:
        """A ski takes something in; one that is laid up already is to be worked over first."""
        if not bench.takes_more(ski):
            self.shop.do(press.inspect, ski=ski, passed=False, why="to be worked over")
        self.acts.append(self.shop.do(press.lay_up, ski=ski, inputs=[(thing, amount)]).token)

    def cut(self) -> None:
        """A cut of a coil or of an offcut, and a piece of the batch into a ski."""
        source = self.dice.choice(self.to_cut)
        if self.shop.amount(source):
            sizes = {"pieces": [Some(Size(300), 1)], "offcuts": [Size(600)]}
            if source not in self.to_cut[:2]:
                sizes["offcuts"] = []
            done = self.shop.do(cutting.cut, source=source, **sizes)
            self.to_cut += done.things[1:]
            self.acts.append(done.token)
            if self.skis:
                self.take_in(self.dice.choice(self.skis), done.things[0], Amount(300, Base.MM))


def events_of(act: UUID) -> list[UUID]:
    return list(Event.objects.filter(act=act).values_list("id", flat=True))


@pytest.mark.parametrize("seed", range(4))
def test_walks_equal_networkx_on_random_genealogies(shop, seed):
    """Back is ancestors, forward descendants, with splits, mixes, cuts, lay-ups and undone acts."""
    Season(shop, seed)
    whole = graph()
    assert len(whole.edges) > 30
    assert trace.forward_each(whole.nodes) == {each: nx.descendants(whole, each) for each in whole.nodes}
    for thing in whole.nodes:
        assert set(trace.back([thing]).things) == nx.ancestors(whole, thing)
        assert set(trace.forward([thing]).things) == nx.descendants(whole, thing)


def test_walk_does_not_pass_exposures_or_containers(shop):
    """Two skis of one press cycle share no material because of it."""
    resin, hardener = shop.package("resin"), shop.package("hardener")
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    _, left, right = shop.pair()
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(shop.mix(resin, hardener, 100, 30), grams(100))])
    shop.do(
        press.record_cycle, press=machine, skis=[left, right], mould=None, set_kpa=345, set_c=70, minutes=70
    )
    assert machine not in trace.back([left]).things
    assert right not in trace.back([left]).things
    assert trace.forward([machine]).things == ()


def test_left_and_right_from_different_cups_keep_different_batches(shop):
    """One lay-up a ski: the left has nothing of the right's cup."""
    resin, hardener = shop.package("resin"), shop.package("hardener")
    one, other = shop.mix(resin, hardener, 100, 30), shop.mix(resin, hardener, 100, 30)
    _, left, right = shop.pair()
    shop.do(press.lay_up, ski=left, inputs=[(one, grams(100))])
    shop.do(press.lay_up, ski=right, inputs=[(other, grams(100))])
    assert one in trace.back([left]).things
    assert other not in trace.back([left]).things


def test_walk_of_many_things_at_once_passes_the_limit_of_parameters(shop):
    """More things than one statement takes are asked for in parts."""
    jug = shop.package()
    many = [UUID(int=n) for n in range(2000)]
    assert trace.back([*many, jug]).things == tuple(trace.back([jug]).things)
