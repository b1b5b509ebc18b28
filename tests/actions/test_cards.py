"""Cards edited: only what changed becomes a revision, and what cannot be true is refused."""

import pytest

from inventory.actions import catalogue, equipment, materials, papers, places, suppliers
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import (
    Equipment,
    Event,
    Hold,
    Inspection,
    Material,
    Offer,
    Paper,
    Place,
    Revision,
    Supplier,
    Trailer,
    Zone,
)
from inventory.queries import catalogue as offered
from inventory.queries.equipment import inspections
from tests.make import day, grams, refused

pytestmark = pytest.mark.django_db


def revisions(card):
    return list(Revision.objects.filter(card=card).order_by("number").values_list("before", "after"))


def test_edit_of_a_material_keeps_only_what_changed_with_before_and_after(shop):
    """Two fields sent, one of them as it was: one revision with one field."""
    resin = shop.material("resin", Base.MG)
    shop.do(materials.edit_material, material=resin, changes={"name": "Resin", "density_kg_m3": 1100.0})
    assert revisions("material")[1:] == [({"density_kg_m3": None}, {"density_kg_m3": 1100.0})]
    shop.do(materials.edit_material, material=resin, changes={"density_kg_m3": 1100.0})
    assert len(revisions("material")) == 2


def hardener(shop, **facts):
    base = {"resin_id": shop.material("resin", Base.MG), "hardener_per_hundred": 30.0}
    return shop.do(
        materials.make_material, key="h", name="H", base=Base.MG, purpose="hardener", facts=base | facts
    ).thing


def test_hardener_says_how_it_is_mixed_with_its_resin(shop):
    """Ratio, cup, working time and schedule stand on the hardener's card."""
    made = hardener(
        shop,
        largest_cup_mg=500_000,
        pot_life_min=40.0,
        pot_life_at_c=20.0,
        cure_points=[[60.0, 4.0], [23.0, 48.0]],
    )
    from inventory.queries.materials import mix_of

    card = mix_of(shop.material("resin", Base.MG), made)
    assert (card.hardener_per_hundred, card.cure_points) == (30.0, [[60.0, 4.0], [23.0, 48.0]])
    assert mix_of(made, made) is None


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"name": " "}, "material.no_name"),
        ({"density_kg_m3": 0.0}, "material.number"),
        ({"density_kg_m3": float("nan")}, "material.number"),
        ({"shelf_life_months": 700}, "material.number"),
        ({"stored_from_c": 27.0, "stored_to_c": 15.0}, "material.storage_band"),
        ({"stored_to_c": 200.0}, "material.number"),
        ({"un_number": "308"}, "material.goods"),
        ({"goods_class": "X"}, "material.goods"),
        ({"packing_group": "IV"}, "material.goods"),
        ({"transport_category": 5}, "material.goods"),
        ({"regulated": False, "un_number": "3082"}, "material.goods_apart"),
        ({"resin_id": None}, "material.no_ratio"),
        ({"hardener_per_hundred": 0.0}, "mix.ratio"),
        ({"largest_cup_mg": 0}, "mix.largest_cup"),
        ({"cure_points": [[60.0, 4.0], [80.0, 5.0]]}, "cure.points_cross"),
        ({"cure_points": [[60.0, 0.0]]}, "cure.point"),
    ],
)
def test_edit_of_a_material_to_what_cannot_be_is_refused_and_changes_nothing(shop, changes, code):
    """Each field beyond what can be; the card stays as it was."""
    card = hardener(shop)
    before = len(revisions("material"))
    with refused(code):
        shop.do(materials.edit_material, material=card, changes=changes)
    assert len(revisions("material")) == before


def test_edit_of_a_material_to_what_can_be_is_kept(shop):
    """The neighbours of what is refused above."""
    right = {
        "density_kg_m3": 1100.0,
        "shelf_life_months": 600,
        "stored_from_c": 15.0,
        "stored_to_c": 27.0,
        "regulated": True,
        "un_number": "3082",
        "goods_class": "9",
        "packing_group": "III",
        "transport_category": 3,
        "cure_points": [[60.0, 4.0], [80.0, 3.0]],
    }
    card = hardener(shop)
    shop.do(materials.edit_material, material=card, changes=right)
    found = Material.objects.values(*right).get(id=card)
    assert found == right


def test_hardener_for_what_is_no_resin_or_for_itself_is_refused(shop):
    """It goes with a resin."""
    card = hardener(shop)
    for wrong in (card, shop.material("edge", Base.MM)):
        with refused("material.no_resin"):
            shop.do(materials.edit_material, material=card, changes={"resin_id": wrong})


def test_base_of_a_material_stays_once_lots_are_there(shop):
    """Kept in mg with a lot: refused to become mm; without one it may."""
    resin, edge = shop.material("resin", Base.MG), shop.material("edge", Base.MM)
    shop.package()
    with refused("material.base_in_use", "mg"):
        shop.do(materials.edit_material, material=resin, changes={"base": "ul"})
    shop.do(materials.edit_material, material=edge, changes={"base": "piece"})
    with refused("card.unknown"):
        shop.do(materials.edit_material, material=shop.owner, changes={"name": "x"})


def offer(shop, **more):
    supplier = shop.do(materials.make_supplier, name="Lomtjern Resin").thing
    facts = {"prices": [[1, 18_950], [5, 17_500]], "lead_days": 7, "least_packs": 1} | more
    values = {"supplier": supplier, "material": shop.material("resin", Base.MG), "pack": 5_000_000}
    return shop.do(suppliers.make_offer, **values, facts=facts).thing


def test_offer_has_pack_prices_lead_time_and_minimum_and_can_end(shop):
    """Five kilograms for 189.50, from five packs on 175.00; a year later sold no more."""
    id = offer(shop)
    shop.do(suppliers.edit_offer, offer=id, changes={"ended": True})
    card = Offer.objects.get(id=id)
    assert (card.pack, card.prices, card.ended) == (5_000_000, [[1, 18_950], [5, 17_500]], True)
    shop.do(suppliers.edit_supplier, supplier=card.supplier_id, changes={"freight": 9_900})
    assert Supplier.objects.get().freight == 9_900


@pytest.mark.parametrize("prices", [[[1, 100], [5, 110]], [[2, 100]], [[1, 100], [1, 90]], [[1, -1]]])
def test_offer_whose_prices_do_not_go_on_is_refused(shop, prices):
    """Dearer by the dozen, no price of one, one number twice, below nothing."""
    with refused("offer.prices"):
        offer(shop, prices=prices)
    offer(shop, prices=[])


def test_offer_of_nothing_is_refused(shop):
    """A pack of nothing, at least no pack, no such material."""
    id = offer(shop)
    for changes, code in (({"pack": 0}, "offer.pack"), ({"least_packs": 0}, "offer.least")):
        with refused(code):
            shop.do(suppliers.edit_offer, offer=id, changes=changes)
    with refused("card.unknown"):
        shop.do(suppliers.make_offer, supplier=shop.owner, material=shop.owner, pack=1)
    with refused("supplier.no_name"):
        shop.do(suppliers.edit_supplier, supplier=Supplier.objects.get().id, changes={"name": ""})


def hose(shop, **facts):
    return shop.do(equipment.make_equipment, kind=Kind.EQUIPMENT, name="Hose", facts=facts).thing


def test_equipment_says_what_it_bears_at_which_temperature(shop):
    """410 kPa cold, 300 hot; nothing bears more when it is hotter."""
    id = hose(shop, ratings=[[20.0, 410.0], [80.0, 300.0]])
    with refused("equipment.rating", "80"):
        shop.do(equipment.edit_equipment, equipment=id, changes={"ratings": [[20.0, 300.0], [80.0, 410.0]]})
    with refused("equipment.no_name"):
        shop.do(equipment.edit_equipment, equipment=id, changes={"name": ""})
    with refused("equipment.kind"):
        shop.do(equipment.make_equipment, kind=Kind.PACKAGE, name="Jug")
    assert Equipment.objects.get().ratings == [[20.0, 410.0], [80.0, 300.0]]


def test_inspection_is_due_until_it_passed_and_again_so_many_months_later(shop):
    """Never done: due. Passed on 30 November: by the last of February."""
    id = hose(shop)
    shop.do(equipment.plan_inspection, equipment=id, what="wear", who="anyone", every_months=3)
    today = day("2026-11-30")
    (due,) = inspections(id)
    assert due.overdue(today)
    shop.do(equipment.inspect_equipment, inspection=due.id, passed=True, why="no crack")
    (due,) = inspections(id)
    assert (due.by, due.overdue(today)) == (day("2027-02-28"), False)
    assert due.overdue(day("2027-03-01"))
    shop.do(equipment.edit_inspection, inspection=due.id, changes={"ended": True})
    assert inspections(id) == []


def test_inspection_that_did_not_pass_puts_it_on_hold_and_stays_due(shop):
    """A cracked hose is used by nobody."""
    id = hose(shop)
    shop.do(equipment.plan_inspection, equipment=id, what="wear", every_months=3)
    (due,) = inspections(id)
    shop.do(equipment.inspect_equipment, inspection=due.id, passed=False, why="cracked at the fitting")
    assert Hold.objects.get().thing_id == id
    assert inspections(id)[0].overdue(day("2026-11-30"))
    assert Event.objects.get(step="inspected").facts["passed"] is False


def test_inspection_that_cannot_be_is_refused(shop):
    """No name, no months, a day to come, no findings; each beside what is right."""
    id = hose(shop)
    right = {"equipment": id, "what": "wear", "every_months": 3, "last_on": day("2026-11-30")}
    for wrong, code in (
        ({"what": " "}, "equipment.no_what"),
        ({"every_months": 0}, "equipment.months"),
        ({"last_on": day("2026-12-01")}, "equipment.not_yet"),
        ({"equipment": shop.owner}, "card.unknown"),
    ):
        with refused(code):
            shop.do(equipment.plan_inspection, **(right | wrong))
    shop.do(equipment.plan_inspection, **right)
    inspection = Inspection.objects.get().id
    with refused("equipment.no_why"):
        shop.do(equipment.inspect_equipment, inspection=inspection, passed=True, why=" ")
    with refused("equipment.not_yet"):
        shop.do(
            equipment.inspect_equipment, inspection=inspection, passed=True, why="x", on=day("2027-01-01")
        )


def test_place_keeps_where_a_zone_lies_and_what_a_trailers_plates_say(shop):
    """A zone's middle and how far off it may be; a trailer's plates; names as before."""
    trailer = shop.place(Kind.TRAILER, "Stoat")
    zone = shop.place(Kind.ZONE, "zone 1", trailer)
    shop.do(
        places.edit_place,
        place=zone,
        changes={"name": "front", "behind_mm": 1800, "behind_doubt_mm": 50, "right_mm": -400},
    )
    shop.do(places.edit_place, place=trailer, changes={"gross_mg": 3_500_000_000, "assumed_c": 38.0})
    assert Place.objects.get(thing_id=zone).name == "front"
    assert (Zone.objects.get().behind_mm, Zone.objects.get().right_mm) == (1800, -400)
    assert Trailer.objects.get().gross_mg == 3_500_000_000
    assert Place.objects.get(thing_id=trailer).assumed_c == 38.0


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"name": ""}, "place.no_name"),
        ({"assumed_c": 200.0}, "place.measure"),
        ({"axle_mm": -1}, "place.measure"),
        ({"track_mm": 50_000}, "place.measure"),
        ({"floor_from_mm": 4000, "floor_to_mm": 1000}, "place.floor"),
    ],
)
def test_place_that_cannot_be_is_refused(shop, changes, code):
    """Measures out of any trailer; a floor that ends before it begins."""
    trailer = shop.place(Kind.TRAILER, "Stoat")
    with refused(code):
        shop.do(places.edit_place, place=trailer, changes=changes)
    with refused("card.unknown"):
        shop.do(places.edit_place, place=shop.owner, changes={"name": "x"})
    shop.do(places.edit_place, place=trailer, changes={"floor_from_mm": 1000, "floor_to_mm": 4000})


def test_catalogue_is_taken_with_sources_and_leaves_own_cards_alone(shop):
    """Everything ticked: cards with sources, no class and no ratio made up; one of the shop's own stays."""
    own = shop.do(materials.make_material, key="acetone", name="Our acetone", base=Base.UL).thing
    found = offered.offered()
    shop.do(catalogue.take_catalogue, entries=found.entries, pieces=found.pieces)
    assert Material.objects.get(id=own).name == "Our acetone"
    taken = Material.objects.exclude(id=own)
    assert taken.count() == len(found.entries) - 1
    assert not taken.filter(source="").exists()
    assert not taken.exclude(un_number="", transport_category=None, hardener_per_hundred=None).exists()
    # NIST SP 811, ounce per square yard: 3.390575E-02 kg/m2 (from memory)
    assert Material.objects.get(key="glass-triax-22").areal_g_m2 == pytest.approx(22 * 33.90575, rel=1e-6)
    assert Equipment.objects.count() == len(found.pieces)
    assert Inspection.objects.filter(every_months=12).exists()
    with refused("catalogue.nothing"):
        shop.do(catalogue.take_catalogue, entries=[])


def test_catalogue_taken_again_changes_nothing_and_leaves_a_card_of_the_same_name(shop):
    """A card of the shop's own by the same name stays the only one; a second time makes none."""
    shop.do(materials.make_material, key="steel-wool", name="ACETONE", base=Base.UL)
    found = offered.offered()
    assert shop.do(catalogue.take_catalogue, entries=found.entries).things
    taken = Material.objects.exclude(key="steel-wool")
    assert taken.count() == len(found.entries) - 1
    again = shop.do(catalogue.take_catalogue, entries=found.entries)
    assert (again.things, Material.objects.count()) == ((), len(found.entries))


def test_paper_is_kept_by_its_content_and_can_be_taken_away(shop, settings, tmp_path):
    """The same photo twice is one file; a withdrawn paper leads nowhere; a wrong word is refused."""
    from io import BytesIO

    from PIL import Image

    from inventory.queries import papers as read

    settings.DATA_FOLDER = tmp_path
    out = BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    files = [papers.keep(out.getvalue(), what="certificate", title="A") for _ in range(2)]
    assert files[0] == files[1]
    assert [path.name for path in (tmp_path / "papers").rglob("*") if path.is_file()] == [files[0].sha256]
    jug = shop.package(amount=grams(1))
    shop.do(papers.attach, about=jug, file=files[0])
    (paper,) = read.of([jug])
    assert read.content(paper)[:3] == b"\xff\xd8\xff"
    shop.do(papers.withdraw, paper=paper.id)
    assert read.of([jug]) == []
    assert Paper.objects.count() == 1
    with refused("paper.what"):
        papers.keep(out.getvalue(), what="passport")
    with refused("card.unknown"):
        shop.do(papers.withdraw, paper=shop.owner)
