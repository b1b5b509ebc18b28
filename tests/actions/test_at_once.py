"""Two phones at once: the last of a jug ends at exactly nothing, one layer is laid once, one step ticked."""

import multiprocessing
import threading
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from uuid import UUID

import pytest
from django.db import connections

from inventory.actions import books, build_steps, laying, press, stock
from inventory.actions.by import By
from inventory.errors import Refused
from inventory.models import Balance, Event
from inventory.queries import build_card, builds
from inventory.queries.books import differences
from tests import bench_world, make
from tests.make import grams

pytestmark = pytest.mark.django_db(transaction=True)


def draw(jug: UUID, tokens: list[UUID], shop: make.Shop, into: list[str]) -> None:
    for token in tokens:
        try:
            stock.draw(By(token, shop.at + timedelta(seconds=1), shop.owner), package=jug, amount=grams(1))
            into.append("drawn")
        except Refused as refused:
            into.append(refused.code)


def in_thread(jug: UUID, tokens: list[UUID], shop: make.Shop, into: list[str]) -> None:
    try:
        draw(jug, tokens, shop, into)
    finally:
        connections.close_all()


def test_four_threads_drawing_the_last_of_a_jug_end_at_nothing(shop):
    """40 draws of 1 g from 25 g: 25 are drawn, 15 refused, none lost, the books right."""
    jug = shop.package(amount=grams(25))
    results: list[str] = []
    hands = [
        threading.Thread(target=in_thread, args=(jug, [make.token() for _ in range(10)], shop, results))
        for _ in range(4)
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert sorted(results) == ["drawn"] * 25 + ["stock.short"] * 15
    assert Balance.objects.get(thing_id=jug).amount == 0
    assert Event.objects.filter(step="drawn").count() == 25
    assert list(differences()) == []


def in_process(jug: UUID, tokens: list[UUID], shop: make.Shop, results: object) -> None:
    connections["default"].connection = None  # the parent's is not this process's to use
    into: list[str] = []
    draw(jug, tokens, shop, into)
    results.put(into)  # type: ignore[attr-defined]
    connections.close_all()


def test_three_processes_drawing_the_last_of_a_jug_end_at_nothing(shop):
    """The same from processes of their own, as after a second server was started by mistake."""
    jug = shop.package(amount=grams(10))
    context = multiprocessing.get_context("fork")
    results = context.Queue()
    tokens = [[make.token() for _ in range(6)] for _ in range(3)]
    hands = [context.Process(target=in_process, args=(jug, part, shop, results)) for part in tokens]
    for hand in hands:
        hand.start()
    found = sorted(code for _ in hands for code in results.get(timeout=60))
    for hand in hands:
        hand.join(timeout=60)
    assert found == ["drawn"] * 10 + ["stock.short"] * 8
    assert Balance.objects.get(thing_id=jug).amount == 0
    assert list(differences()) == []


def test_one_token_from_two_threads_at_once_is_one_act(shop):
    """The same tap sent twice at the same moment draws once."""
    jug = shop.package(amount=grams(25))
    results: list[str] = []
    token = make.token()
    hands = [threading.Thread(target=in_thread, args=(jug, [token], shop, results)) for _ in range(3)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert results == ["drawn"] * 3
    assert Balance.objects.get(thing_id=jug).amount == 24_000


def at_once(*taps: Callable[[], object]) -> list[str]:
    """Each tap in a thread of its own, let go together: `done`, or the code of the refusal."""
    start, results = threading.Barrier(len(taps)), []

    def hand(tap: Callable[[], object]) -> None:
        start.wait(timeout=60)
        try:
            tap()
            results.append("done")
        except Refused as refused:
            results.append(refused.code)
        finally:
            connections.close_all()

    hands = [threading.Thread(target=hand, args=(tap,)) for tap in taps]
    for each in hands:
        each.start()
    for each in hands:
        each.join()
    return sorted(results)


def test_step_ticked_by_two_people_at_once_is_done_once_on_the_card_and_stays_when_one_takes_it_back(shop):
    """Both say that they did it, and both stay on record; one undone, the other still says so."""
    pair, _, _ = shop.pair()
    hands = [shop.by(as_=shop.crew), shop.by(as_=shop.helper)]
    tick = partial(build_steps.record_step, things=[pair], step="trim")
    assert at_once(*(partial(tick, by) for by in hands)) == ["done", "done"]

    def done() -> list[str]:
        (card,) = build_card.standing(list(builds.pairs()))
        return [ski.done["trim"].who for ski in card.skis if "trim" in ski.done]

    assert Event.objects.filter(step="step done").count() == 2
    assert len(done()) == 2
    shop.do(books.undo, token=hands[0].token, reason="the other did it")
    assert done() == ["Sunniva Lid"] * 2
    shop.do(books.undo, token=hands[1].token, reason="nobody did")
    assert done() == []
    assert list(differences()) == []


def test_layer_scanned_by_two_people_at_once_is_laid_once_and_the_other_is_told(shop):
    """Edge is one layer of the card: one scan lays it, the second finds it laid, nothing is drawn twice."""
    world = bench_world.world(shop)
    _, left, right = world.pair()
    shop.do(laying.lay_layer, ski=left, thing=world.packages["base"])
    shop.do(laying.lay_layer, ski=right, thing=world.packages["base"])
    before = shop.amount(world.packages["edge"])
    lay = partial(laying.lay_layer, thing=world.packages["edge"])
    hands = [shop.by(as_=shop.crew), shop.by(as_=shop.helper)]
    assert at_once(*(partial(lay, by, ski=left) for by in hands)) == ["done", "layup.other_material"]
    once = before - shop.amount(world.packages["edge"])
    layers = Event.objects.filter(step="layer added", lines__thing_id=left)
    assert [event.facts["layer"] for event in layers.order_by("sort")] == [1, 2]
    shop.do(laying.lay_layer, ski=right, thing=world.packages["edge"])
    assert before - shop.amount(world.packages["edge"]) == 2 * once
    assert list(differences()) == []


def test_ski_laid_up_in_one_go_by_two_people_at_once_is_laid_up_once(shop):
    """The second is refused; the same for the other ski is not."""
    _, left, right = shop.pair()
    cup = shop.mix(shop.package("resin"), shop.package("hardener"))
    hands = [shop.by(as_=shop.crew), shop.by(as_=shop.helper)]
    laid = partial(press.lay_up, inputs=[(cup, grams(100))])
    assert at_once(*(partial(laid, by, ski=left) for by in hands)) == ["done", "layup.twice"]
    shop.do(press.lay_up, ski=right, inputs=[(cup, grams(100))])
    assert shop.amount(cup) == grams(190).value
    assert list(differences()) == []
