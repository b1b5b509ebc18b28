"""Two laptops edit cards while apart: different fields both stay, one field asks people, and lists travel."""

from inventory.actions import care, delivery, materials, stock
from inventory.compute.fold import Trouble
from inventory.compute.retest import Trial
from inventory.compute.units import Base
from inventory.models import Disagreement, Lot, Material, Package
from inventory.queries import stock as read
from tests.make import day, grams


def meet(found, shop):
    for one, other in ("AB", "BA"):
        found[other].merge(found[one].export(), shop.by())


def test_cards_edited_apart_keep_both_fields_and_ask_about_one_that_both_changed(laptops):
    """Density here and storage there both stay; two densities are a disagreement."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        resin = shop.material("resin", Base.MG)
    meet(found, shop)
    schedule = [[23.0, 48.0], [60.0, 4.0]]
    edits = {
        "A": {"density_kg_m3": 1100.0, "cure_points": schedule},
        "B": {"stored_to_c": 27.0, "lowest_stock": 5_000_000},
    }
    for letter, changes in edits.items():
        found[letter].do(materials.edit_material, shop.by(), material=resin, changes=changes)
    meet(found, shop)
    for letter in "AB":
        with found[letter].in_hand():
            card = Material.objects.get(id=resin)
            assert (card.density_kg_m3, card.stored_to_c, card.lowest_stock) == (1100.0, 27.0, 5_000_000)
            assert card.cure_points == schedule
            assert not Disagreement.objects.exists()
    for letter, density in (("A", 1110.0), ("B", 1120.0)):
        found[letter].do(
            materials.edit_material, shop.by(), material=resin, changes={"density_kg_m3": density}
        )
    meet(found, shop)
    for letter in "AB":
        with found[letter].in_hand():
            assert Disagreement.objects.get().trouble == Trouble.CARD_EDITED_TWICE
            assert Material.objects.get(id=resin).density_kg_m3 == 1120.0
    assert found["A"].hash() == found["B"].hash()


def test_retest_made_apart_on_both_laptops_is_told_as_a_disagreement(laptops):
    """Two crews re-test one jug apart, with other months: once is all, and people are asked."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        facts = {"chemistry": "amine hardener", "retest_allowed": True}
        of = shop.do(materials.make_material, key="h", name="H", base=Base.MG, facts=facts).thing

        def jug(number, expires):
            values = {"material": of, "number": number, "packages": [grams(1)], "expires_on": day(expires)}
            return shop.do(stock.receive_lot, **values).things[-1]

        old, fresh = jug("OLD", "2026-11-20"), jug("NEW", "2027-11-20")
    meet(found, shop)
    trial = Trial(30.0, 25.0)
    for letter, months in (("A", 1), ("B", 2)):
        found[letter].do(
            care.retest_package,
            shop.by(),
            package=old,
            control=fresh,
            months=months,
            old=trial,
            fresh=trial,
            hardness_as_control=True,
            coupon_as_control=True,
        )
    meet(found, shop)
    with found["A"].in_hand():
        assert Disagreement.objects.get().subject == old
        assert Package.objects.get(thing_id=old).extended_through == day("2027-01-20")


def test_delivery_recorded_apart_travels_with_its_lot_cards_and_dates(laptops):
    """What one laptop received and put right, the other knows after they met."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        resin = shop.material("resin", Base.MG)
        row = delivery.LotRow(resin, "N-1", (grams(5),), expires_on=day("2027-06-01"))
        shop.do(delivery.receive_delivery, lots=[row])
        lot = Lot.objects.get().thing_id
        shop.do(delivery.edit_lot, lot=lot, changes={"expires_on": day("2027-05-01")})
        jug = Package.objects.get().thing_id
    meet(found, shop)
    with found["B"].in_hand():
        assert Lot.objects.get().expires_on == day("2027-05-01")
        assert read.usable([jug])[jug].through == day("2027-05-01")
