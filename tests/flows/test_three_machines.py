"""Three laptops do anything in any order, with clocks hours off, and meet: they end with the same books.

The long form (200 runs): `LONG=1 pytest tests/flows/test_three_machines.py`.
"""

import os
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from inventory.actions import books, builds, places, press, stock
from inventory.actions.by import By
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.errors import Refused
from inventory.models import Balance, Disagreement, Event, Hold, Skipped, State, Tag
from inventory.queries.books import differences
from tests import make
from tests.laptops import Laptop
from tests.make import grams

LETTERS = "ABC"
RUNS, STEPS = (200, 40) if os.environ.get("LONG") else (12, 25)
laptop = st.sampled_from(LETTERS)
pick = st.integers(0, 1000)


class Apart(RuleBasedStateMachine):
    """What people can do on laptops that may not have met."""

    laptops: dict[str, Laptop]
    shop: make.Shop
    materials: dict[str, UUID]
    places: list[UUID]

    @initialize(skew=st.tuples(*[st.integers(-300, 300)] * 3))
    def start(self, skew: tuple[int, int, int]) -> None:
        self.savepoints = {}
        for letter, held in self.laptops.items():
            with held.in_hand():
                self.savepoints[letter] = transaction.atomic()
                self.savepoints[letter].__enter__()
        self.skew = dict(zip(LETTERS, skew, strict=True))
        self.at = self.shop.at
        self.acts: list[UUID] = []
        self.last: tuple[By, Any, dict[str, Any]] | None = None

    def teardown(self) -> None:
        try:
            if hasattr(self, "acts"):
                self.all_meet()
        finally:
            for letter, held in self.laptops.items():
                with held.in_hand():
                    transaction.set_rollback(True)
                    self.savepoints[letter].__exit__(None, None, None)

    def by(self, letter: str, late: bool = False) -> By:
        self.at += timedelta(seconds=7)
        now = self.at + timedelta(minutes=self.skew[letter])
        at = now - timedelta(minutes=50) if late else None
        return By(token=make.token(), now=now, person=self.shop.owner, at=at)

    def do(self, letter: str, action: Any, by: By | None = None, **values: Any) -> None:
        """Do it, or be refused and leave nothing behind."""
        by = by or self.by(letter)
        with self.laptops[letter].in_hand():
            before = Event.objects.count()
            try:
                action(by, **values)
            except Refused:
                assert Event.objects.count() == before
                return
        self.acts.append(by.token)
        self.last = (by, action, values)

    def one(self, letter: str, kind: Kind, index: int) -> UUID | None:
        with self.laptops[letter].in_hand():
            rows = (
                State.objects.filter(thing__kind=kind).order_by("thing_id").values_list("thing_id", flat=True)
            )
            return rows[index % len(rows)] if rows else None

    @rule(letter=laptop, purpose=st.sampled_from(["resin", "hardener"]), amount=st.integers(1, 100))
    def receive(self, letter: str, purpose: str, amount: int) -> None:
        self.do(
            letter,
            stock.receive_lot,
            material=self.materials[purpose],
            number="N-1",
            packages=[grams(amount)] * 2,
        )

    @rule(letter=laptop, index=pick, amount=st.integers(1, 90), late=st.booleans())
    def draw(self, letter: str, index: int, amount: int, late: bool) -> None:
        if jug := self.one(letter, Kind.PACKAGE, index):
            self.do(letter, stock.draw, self.by(letter, late), package=jug, amount=grams(amount))

    @rule(letter=laptop, index=pick, amount=st.integers(1, 50))
    def split(self, letter: str, index: int, amount: int) -> None:
        if jug := self.one(letter, Kind.PACKAGE, index):
            self.do(letter, stock.split_package, package=jug, amount=grams(amount))

    @rule(letter=laptop, one=pick, other=pick, amount=st.integers(10, 40))
    def mix(self, letter: str, one: int, other: int, amount: int) -> None:
        resin, hardener = self.one(letter, Kind.PACKAGE, one), self.one(letter, Kind.PACKAGE, other)
        if resin and hardener:
            weights = {"resin_mg": amount * 1000, "hardener_mg": amount * 300, "hardener_per_hundred": 30.0}
            self.do(letter, press.record_mix, resin=resin, hardener=hardener, **weights)

    @rule(letter=laptop)
    def book(self, letter: str) -> None:
        self.do(letter, builds.book_pair, workshop=None, guest="Ida", length_mm=1840)

    @rule(letter=laptop, ski=pick, batch=pick, amount=st.integers(1, 20))
    def lay_up(self, letter: str, ski: int, batch: int, amount: int) -> None:
        on, of = self.one(letter, Kind.SKI, ski), self.one(letter, Kind.RESIN_BATCH, batch)
        if on and of:
            self.do(letter, press.lay_up, ski=on, inputs=[(of, grams(amount))])

    @rule(letter=laptop, index=pick, to=pick)
    def move(self, letter: str, index: int, to: int) -> None:
        if jug := self.one(letter, Kind.PACKAGE, index):
            self.do(letter, places.move, things=[jug], to=self.places[to % len(self.places)])

    @rule(letter=laptop, index=pick, amount=st.integers(0, 90))
    def count(self, letter: str, index: int, amount: int) -> None:
        if jug := self.one(letter, Kind.PACKAGE, index):
            self.do(letter, stock.count, thing=jug, amount=grams(amount))

    @rule(letter=laptop, index=pick)
    def open(self, letter: str, index: int) -> None:
        if jug := self.one(letter, Kind.PACKAGE, index):
            self.do(letter, stock.open_package, package=jug)

    @rule(letter=laptop, index=pick, kind=st.sampled_from([Kind.PACKAGE, Kind.LOT, Kind.RESIN_BATCH]))
    def hold(self, letter: str, index: int, kind: Kind) -> None:
        if thing := self.one(letter, kind, index):
            self.do(letter, stock.hold, things=[thing], reason="cloudy")

    @rule(letter=laptop, index=pick)
    def lift(self, letter: str, index: int) -> None:
        with self.laptops[letter].in_hand():
            holds = Hold.objects.order_by("event_id").values_list("event_id", flat=True)
            hold = holds[index % len(holds)] if holds else None
        if hold:
            self.do(letter, stock.lift_hold, hold=hold, reason="clear again")

    @rule(letter=laptop, index=pick)
    def undo(self, letter: str, index: int) -> None:
        if self.acts:
            self.do(letter, books.undo, token=self.acts[-1 - index % min(len(self.acts), 6)], reason="slip")

    @rule(letter=laptop)
    def send_again(self, letter: str) -> None:
        """A phone's queue reaches a second laptop, or the same one twice."""
        if self.last:
            by, action, values = self.last
            self.do(letter, action, by, **values)

    @rule(letter=laptop, index=pick)
    def settle(self, letter: str, index: int) -> None:
        with self.laptops[letter].in_hand():
            rows = (
                Disagreement.objects.filter(settled_by__isnull=True)
                .order_by("id")
                .values_list("id", flat=True)
            )
            row = rows[index % len(rows)] if rows else None
        if row:
            self.do(letter, books.settle, disagreement=row, how="agreed")

    @rule(letter=laptop, other=laptop)
    def meet(self, letter: str, other: str) -> None:
        if letter != other:
            self.laptops[letter].merge(self.laptops[other].export(), self.by(letter))
            self.books_are_right(letter)

    def books_are_right(self, letter: str) -> None:
        with self.laptops[letter].in_hand():
            assert list(differences()) == []
            short = set(Balance.objects.filter(short__gt=0).values_list("thing_id", flat=True))
            told = Disagreement.objects.filter(trouble="short", settled_by__isnull=True)
            assert short <= set(told.values_list("subject", flat=True))

    def all_meet(self) -> None:
        for letter in LETTERS:
            self.books_are_right(letter)
        for letter, other in ("AB", "AC", "BA", "CA"):
            self.laptops[letter].merge(self.laptops[other].export(), self.by(letter))
        for letter in LETTERS:
            self.books_are_right(letter)
        assert len({held.hash() for held in self.laptops.values()}) == 1
        derived = [self.derived(letter) for letter in LETTERS]
        assert derived[0] == derived[1] == derived[2]

    def derived(self, letter: str) -> list[list[tuple[Any, ...]]]:
        with self.laptops[letter].in_hand():
            return [
                sorted(model.objects.values_list(*fields), key=str)
                for model, fields in (
                    (Balance, ("thing_id", "amount", "short")),
                    (State, ("thing_id", "place_id", "opened_at", "born_id")),
                    (Hold, ("thing_id", "event_id")),
                    (Tag, ("code", "thing_id")),
                    (Skipped, ("event_id", "undone")),
                    (Disagreement, ("id", "trouble", "amount", "settled_by")),
                )
            ]


def test_three_machines_in_any_order_end_with_the_same_books(laptops):
    """Equal hashes, equal derived rows, and derived rows equal to the fold."""
    found, shop = laptops(LETTERS)
    with found["A"].in_hand():
        materials = {purpose: shop.material(purpose, Base.MG) for purpose in ("resin", "hardener")}
        rooms = [shop.place(Kind.STORE), shop.place(Kind.TRAILER)]
    for letter in "BC":
        found[letter].merge(found["A"].export(), shop.by())
    machine = type(
        "Machines", (Apart,), {"laptops": found, "shop": shop, "materials": materials, "places": rooms}
    )
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=RUNS,
            stateful_step_count=STEPS,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            database=None,
        ),
    )
