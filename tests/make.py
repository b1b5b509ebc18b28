"""Builds what a test needs, by the same actions as the screens, so that nothing impossible can be set up."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any
from uuid import UUID

import pytest

from inventory.actions import builds, materials, places, press, stock
from inventory.actions import shop as shop_actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Kind, derived, uuid7
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.queries import ledger as read
from inventory.roles import Role

MONDAY = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
_tokens = count(1)


def token() -> UUID:
    """A fresh token; the same in every run of a test."""
    number = next(_tokens)
    return uuid7(milliseconds=1_764_000_000_000 + number, random=number.to_bytes(10, "big"))


def grams(value: float) -> Amount:
    return Amount(round(value * 1000), Base.MG)


def metres(value: float) -> Amount:
    return Amount(round(value * 1000), Base.MM)


def pieces(value: int) -> Amount:
    return Amount(value, Base.PIECE)


@contextmanager
def refused(code: str, *mentions: str) -> Iterator[None]:
    """The block must be refused with this code, and its sentence must mention these."""
    with pytest.raises(Refused) as caught:
        yield
    error = caught.value
    assert error.code == code, f"refused with {error.code}: {error}"
    for mention in mentions:
        assert mention in str(error.sentence), f"{mention!r} not in {error.sentence!s}"
    assert str(error.what_to_do)


@dataclass
class Shop:
    """A shop on one machine, with a clock of its own that moves a second an act."""

    letter: str = "A"
    at: datetime = MONDAY
    owner: UUID | None = None
    crew: UUID | None = None
    helper: UUID | None = None
    names: dict[str, UUID] = field(default_factory=dict)
    places: dict[Kind, int] = field(default_factory=dict)  # how many got a name of their kind

    def __post_init__(self) -> None:
        machine = derived(UUID(int=ord(self.letter)), 0, of="machine")
        shop_actions.found_machine(id=machine, letter=self.letter)
        self.machine = machine
        if self.letter == "A":
            self.do(shop_actions.open_shop, name="Quillfeather Ski Bench", host="QFB.EXAMPLE")
            self.owner = self.do(shop_actions.take_on, name="Ragna Quill", role=Role.OWNER).thing
            self.crew = self.do(shop_actions.take_on, name="Odd Fether", role=Role.CREW).thing
            self.helper = self.do(shop_actions.take_on, name="Sunniva Lid", role=Role.HELPER).thing

    def by(self, *, as_: UUID | None = None, token_: UUID | None = None, at: datetime | None = None) -> By:
        self.at += timedelta(seconds=1)
        return By(token=token_ or token(), now=self.at, person=as_ or self.owner, at=at)

    def do(self, action: Any, *, by: By | None = None, **values: Any) -> Done:
        return action(by or self.by(), **values)

    def material(self, purpose: str, base: Base) -> UUID:
        if purpose not in self.names:
            done = self.do(
                materials.make_material, key=purpose, name=purpose.capitalize(), base=base, purpose=purpose
            )
            self.names[purpose] = done.thing
        return self.names[purpose]

    def package(
        self, purpose: str = "resin", amount: Amount | None = None, number: str = "N-1", **more: Any
    ) -> UUID:
        """One package of a lot."""
        amount = amount or grams(5000)
        material = self.material(purpose, amount.base)
        return self.do(stock.receive_lot, material=material, number=number, packages=[amount], **more).things[
            -1
        ]

    def place(self, kind: Kind, name: str = "", inside: UUID | None = None) -> UUID:
        if not name:
            self.places[kind] = self.places.get(kind, 0) + 1
            name = kind.value if self.places[kind] == 1 else f"{kind.value} {self.places[kind]}"
        return self.do(places.make_place, kind=kind, name=name, inside=inside).thing

    def pair(
        self, guest: str = "Ida", length_mm: int = 1840, workshop: UUID | None = None
    ) -> tuple[UUID, UUID, UUID]:
        """A booked pair: pair, left, right."""
        done = self.do(builds.book_pair, workshop=workshop, guest=guest, length_mm=length_mm)
        return done.things[0], done.things[1], done.things[2]

    def mix(self, resin: UUID, hardener: UUID, resin_g: float = 300, hardener_g: float = 90) -> UUID:
        return self.do(
            press.record_mix,
            resin=resin,
            hardener=hardener,
            resin_mg=round(resin_g * 1000),
            hardener_mg=round(hardener_g * 1000),
            hardener_per_hundred=30.0,
        ).thing

    def amount(self, thing: UUID) -> int | None:
        state = read.states([thing]).get(thing)
        return None if state is None else state.value


def day(text: str) -> date:
    return date.fromisoformat(text)
