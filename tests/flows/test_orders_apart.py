"""Two laptops apart: one writes an order, the other receives it; and both decide for one material."""

from inventory.actions import delivery, materials, orders, season
from inventory.actions.delivery import LotRow
from inventory.actions.orders import Packs
from inventory.compute.fold import Trouble
from inventory.compute.units import Base
from inventory.models import Disagreement, Ruling
from inventory.queries import orders as read
from inventory.queries.books import differences
from inventory.queries.orders import Stage
from tests.flows.test_cards_apart import meet
from tests.make import day, grams


def test_order_sent_here_and_received_there_is_all_here_on_both(laptops):
    """How far it is follows from the deliveries, wherever they were recorded; what came twice is over."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        glue = shop.material("glue", Base.MG)
        supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks").thing
        line = Packs(glue, 50_000, 2, 18_900)
        order, tie = shop.do(orders.write_order, supplier=supplier, lines=[line]).things
        shop.do(orders.send_order, order=order)
    meet(found, shop)
    row = LotRow(glue, "G-1", (grams(50), grams(50)), order_line=tie)
    found["B"].do(delivery.receive_delivery, shop.by(), lots=[row])
    meet(found, shop)
    for letter in "AB":
        with found[letter].in_hand():
            assert read.order(order).stage is Stage.HERE
            assert list(differences()) == []
    for letter in "AB":
        more = LotRow(glue, f"G-{letter}", (grams(50),), order_line=tie)
        found[letter].do(delivery.receive_delivery, shop.by(), lots=[more])
    meet(found, shop)
    for letter in "AB":
        with found[letter].in_hand():
            (of,) = read.order(order).lines
            assert (of.over.value, len(of.arrivals)) == (100_000, 3)
    assert found["A"].hash() == found["B"].hash()


def test_two_decisions_for_one_material_made_apart_are_one_disagreement(laptops):
    """One card for a season and material: the later one stands, and people are asked."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        glue = shop.material("glue", Base.MG)
        winter = shop.do(
            season.make_season, name="Winter", starts_on=day("2026-12-01"), ends_on=day("2027-03-01")
        ).thing
    meet(found, shop)
    for letter, packs in (("A", 3), ("B", 5)):
        found[letter].do(season.rule, shop.by(), season=winter, material=glue, packs=packs)
    meet(found, shop)
    for letter in "AB":
        with found[letter].in_hand():
            assert Ruling.objects.get().packs == 5
            assert Disagreement.objects.get().trouble == Trouble.CARD_EDITED_TWICE
    assert found["A"].hash() == found["B"].hash()
