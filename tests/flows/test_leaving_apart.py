"""Two laptops load one mould into two places: after they met, the answer before the trip cannot say."""

from inventory.actions import equipment, places
from inventory.compute.codes import Kind
from inventory.queries.readiness.reader import read
from inventory.queries.readiness.safety import reasons
from tests import away


def said(shop) -> list[str]:
    """The reasons of safety and books for the trip, by code."""
    return [note.code for note in reasons(read(away.trip(shop), shop.at.date()))]


def test_answer_when_a_mould_was_moved_apart_asks_to_settle_it(laptops):
    """The next move, by whoever found it, settles it."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        away.plan(shop)
        mould = shop.do(equipment.make_equipment, kind=Kind.MOULD, name="172 mould").things[0]
        assert "ready.safety_apart" not in said(shop)
    b.merge(a.export(), shop.by())
    a.do(places.move, shop.by(), things=[mould], to=shop.names["store"])
    b.do(places.move, shop.by(), things=[mould], to=shop.names["zone"])
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert "ready.safety_apart" in said(shop)
    a.do(places.move, shop.by(), things=[mould], to=shop.names["zone"])
    with a.in_hand():
        assert "ready.safety_apart" not in said(shop)
