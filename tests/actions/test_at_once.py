"""Two phones at once: threads and processes draw the last of a jug, and it ends at exactly nothing."""

import multiprocessing
import threading
from datetime import timedelta
from uuid import UUID

import pytest
from django.db import connections

from inventory.actions import stock
from inventory.actions.by import By
from inventory.errors import Refused
from inventory.models import Balance, Event
from inventory.queries.books import differences
from tests import make
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
