"""The page *How a lot flows*, done step by step with its own numbers."""

import re
from pathlib import Path
from uuid import UUID

from inventory.actions import books, places, press, stock
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.queries import ledger as read
from inventory.queries import trace
from tests import make
from tests.make import day, grams

PAGE = Path(__file__).resolve().parents[2] / "inventory" / "docs" / "how-a-lot-flows.md"


def rows() -> list[tuple[str, str]]:
    """What does each step, and what the books say afterwards, as the page has it."""
    return re.findall(r"^\| .+ \(`([a-z_.]+)`\) \| (.+) \|$", PAGE.read_text("utf-8"), re.MULTILINE)


class Story:
    """The shop of the page, and what the books say of jug 1."""

    def __init__(self, shop: make.Shop) -> None:
        self.shop = shop
        self.said: list[tuple[str, str]] = []
        self.names: dict[UUID, str] = {}
        self.store = self.place(Kind.STORE, "store")
        self.trailer = self.place(Kind.TRAILER, "trailer")
        shelf = self.place(Kind.ZONE, "shelf", self.store)
        self.bin = self.place(Kind.BIN, "bin", shelf)
        self.zone = self.place(Kind.ZONE, "trailer", self.trailer)
        self.resin = shop.package("resin", grams(5_000))
        self.jug = self.lot = UUID(int=0)

    def place(self, kind: Kind, name: str, inside: UUID | None = None) -> UUID:
        made = self.shop.place(kind, name, inside)
        self.names[made] = name
        return made

    def then(self, does: str, more: str = "") -> None:
        """Note what the books say of jug 1 after the step that `does`."""
        state = read.states([self.jug])[self.jug]
        self.said.append((does, f"{state.amount // 1000} g{more}"))
        assert state.amount % 1000 == 0

    def lies_in(self, jug: UUID) -> str:
        """Where it lies: the bin, or where the bin was taken to when that is no shelf."""
        place = read.states([jug])[jug].place
        around = read.states([place])[place].place if place == self.bin else None
        return self.names[self.zone if around == self.zone else place]


def test_a_lot_when_it_flows_has_the_amounts_of_the_page(shop: make.Shop) -> None:
    """Every row of the page's table is done by the function it names, and the amounts are the page's."""
    story = Story(shop)
    arrive(story)
    use(story)
    stop(story)
    put_right(story)
    assert story.said == rows()


def arrive(story: Story) -> None:
    """Delivered, put in a bin, loaded."""
    shop = story.shop
    story.lot, story.jug, _ = shop.do(
        stock.receive_lot,
        material=shop.material("hardener", Base.MG),
        number="2511",
        packages=[grams(2_000), grams(2_000)],
        made_on=day("2026-09-01"),
        expires_on=day("2027-09-01"),
        place=story.store,
    ).things
    story.then("stock.receive_lot", f" in the {story.lies_in(story.jug)}")
    shop.do(places.move, things=[story.jug], to=story.bin)
    story.then("places.move", f" in the {story.lies_in(story.jug)}")
    shop.do(places.move, things=[story.bin], to=story.zone)
    story.then("places.move", f" in the {story.lies_in(story.jug)}")


def use(story: Story) -> None:
    """Opened, mixed from, poured into a bottle."""
    shop, jug = story.shop, story.jug
    shop.do(stock.open_package, package=jug)
    story.then("stock.open_package", ", opened" if read.states([jug])[jug].opened_at else "")
    batch = shop.do(
        press.record_mix,
        resin=story.resin,
        hardener=jug,
        resin_mg=130_000,
        hardener_mg=39_000,
        hardener_per_hundred=30.0,
    ).thing
    assert shop.amount(batch) == 169_000
    assert set(trace.back([batch]).things) >= {jug, story.lot, story.resin}
    story.then("press.record_mix")
    bottle = shop.do(stock.split_package, package=jug, amount=grams(500)).thing
    assert shop.amount(bottle) == 500_000
    assert story.lot in trace.back([bottle]).things
    story.then("stock.split_package")


def stop(story: Story) -> None:
    """Put on hold with its lot, and freed again."""
    shop, jug = story.shop, story.jug
    shop.do(stock.hold, things=[story.lot], reason="smells off")
    with make.refused("stock.on_hold"):
        shop.do(stock.draw, package=jug, amount=grams(1))
    shop.do(places.move, things=[jug], to=story.bin)  # moving stays possible
    story.then("stock.hold", ", stopped" if trace.stopped_by([jug]) else "")
    (hold,) = read.states([story.lot])[story.lot].holds
    shop.do(stock.lift_hold, hold=hold, reason="the maker has answered")
    story.then("stock.lift_hold", ", stopped" if trace.stopped_by([jug]) else "")


def put_right(story: Story) -> None:
    """Counted, spilt, drawn in error and undone, used up."""
    shop, jug = story.shop, story.jug
    shop.do(stock.count, thing=jug, amount=grams(1_449))
    story.then("stock.count")
    shop.do(stock.write_off, thing=jug, amount=grams(20), reason="spilt")
    story.then("stock.write_off")
    wrong = shop.do(stock.draw, package=jug, amount=grams(100))
    story.then("stock.draw")
    shop.do(books.undo, token=wrong.token, reason="it was the other jug")
    story.then("books.undo")
    with make.refused("stock.short"):
        shop.do(stock.draw, package=jug, amount=grams(1_430))
    shop.do(stock.draw, package=jug, amount=grams(1_429))
    story.then("stock.draw")
