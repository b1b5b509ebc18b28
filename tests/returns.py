"""Pairs that were built and handed over, for tests of what comes back."""

from dataclasses import dataclass, field
from uuid import UUID

from inventory.actions import press, skis_back
from inventory.actions.by import Done
from inventory.compute.codes import Kind
from tests.make import MONDAY, Shop, grams, pieces

TIP = "delamination-tip"


@dataclass
class Built:
    """A pair, its skis, the cups in it and the cycle it was pressed in."""

    pair: UUID
    left: UUID
    right: UUID
    cups: tuple[UUID, UUID]
    cycle: UUID


@dataclass
class Bench:
    """One press, one bundle of blanks, and jugs by name."""

    shop: Shop
    jugs: dict[str, UUID] = field(default_factory=dict)

    def __post_init__(self) -> None:
        shop = self.shop
        self.resin = shop.package("resin", grams(50_000), "TR-1")
        self.blanks = shop.package("blank", pieces(500), "K-1")
        self.press = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing

    def jug(self, number: str) -> UUID:
        """A jug of hardener of a lot of its own."""
        if number not in self.jugs:
            self.jugs[number] = self.shop.package("hardener", grams(20_000), number)
        return self.jugs[number]

    def pair(
        self, number: str = "TH-1", *, right: str = "", guest: str = "Ida", over: bool = True, **more: object
    ) -> Built:
        """A pair with hardener of one lot, or of two; handed over unless said otherwise."""
        shop = self.shop
        pair, *skis = shop.pair(guest=guest, **more)
        cups = []
        for ski, of in zip(skis, (number, right or number), strict=True):
            cup = shop.mix(self.resin, self.jug(of), 100, 30)
            shop.do(press.lay_up, ski=ski, inputs=[(cup, grams(120)), (self.blanks, pieces(1))])
            cups.append(cup)
        values = {"press": self.press, "mould": None, "set_kpa": 300, "set_c": 75, "minutes": 60}
        cycle = shop.do(press.record_cycle, skis=skis, **values).thing
        built = Built(pair, skis[0], skis[1], (cups[0], cups[1]), cycle)
        if over:
            self.hand_over(built)
        return built

    def hand_over(self, built: Built) -> None:
        shop = self.shop
        shop.do(press.judge, cycle=built.cycle, passed=True, why="held 75 °C")
        for ski in (built.left, built.right):
            shop.do(press.inspect, ski=ski, passed=True, why="straight")
        shop.do(press.finish, skis=[built.left, built.right])
        shop.do(press.hand_over, pair=built.pair)

    def back(self, *skis: UUID, failure: str = TIP, **more: object) -> Done:
        """Skis that came back today."""
        values = {"failure": failure, "observed": "layers part", "came_on": MONDAY.date(), "zone": "tip"}
        seen = skis_back.Failed(**(values | more))
        return self.shop.do(skis_back.log_return, skis=list(skis), seen=seen)
