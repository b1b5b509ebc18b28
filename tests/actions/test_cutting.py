"""Cut batches, offcuts and glued-up blanks: what balances, what is refused, lay-up and trace through them."""

from datetime import timedelta

import pytest

from inventory.actions import books, cutting, laying, materials, press, stock
from inventory.actions import shop as shop_actions
from inventory.compute.codes import Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Amount, Base
from inventory.models import Event, Line, Note
from inventory.queries import bench, trace
from inventory.queries import cutting as queries
from inventory.queries import laying as state
from inventory.queries.dossier.names import named
from inventory.roles import Role
from tests import bench_world
from tests.make import grams, metres, pieces, refused

pytestmark = pytest.mark.django_db
STRIP = Size(1900, 130)


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


def sheets(shop, count=4, number="SH-1"):
    """A bundle of base sheets of 2,000 × 600 mm."""
    package = shop.package("sheet", Amount(count * 2000 * 600, Base.MM2), number)
    shop.do(
        materials.edit_material,
        material=shop.names["sheet"],
        changes={"length_mm": 2000.0, "width_mm": 600.0},
    )
    return package


def cut(shop, source, some, **more):
    return shop.do(cutting.cut, source=source, pieces=some, **more)


def test_cut_when_sheets_are_cut_alike_balances_to_the_last_square_millimetre(shop):
    """What went in is pieces, offcut and waste; the batch and the offcut know their sizes."""
    bundle = sheets(shop)
    done = cut(
        shop, bundle, [Some(STRIP, 8)], offcuts=[Size(2000, 60), Size(2000, 60)], lengths=2, kerf_mm=3.0
    )
    batch, first, second = done.things
    whole, parts, ends = 2 * 2000 * 600, 8 * 1900 * 130, 2 * 2000 * 60
    assert shop.amount(bundle) == 2 * whole - whole
    assert (shop.amount(batch), shop.amount(first) + shop.amount(second)) == (parts, ends)
    waste = Line.objects.get(event__step="written off")
    assert waste.amount == whole - parts - ends == Event.objects.get(step="cut").facts["lost"]
    row = queries.made([batch])[batch]
    assert (row.kind, row.size, row.pieces, row.material.purpose) == (Kind.CUT_BATCH, STRIP, 8, "sheet")
    assert queries.made([first])[first].size == Size(2000, 60)
    assert named([batch])[batch].name == "Sheet, 1900 × 130 mm"
    shop.do(books.undo, token=done.token, reason="slip")
    assert shop.amount(bundle) == 2 * whole
    assert queries.made([batch]) == {}


def test_cut_when_the_source_is_a_roll_takes_only_the_length_it_needs(world):
    """Edge off a coil of 60 m: 4 × 1,500 mm and 2 × 1,400 mm, a kerf each; the rest stays on the coil."""
    shop, coil = world.shop, world.packages["edge"]
    done = cut(shop, coil, [Some(Size(1500), 4), Some(Size(1400), 2)], kerf_mm=1.5)
    assert [queries.made(done.things)[thing].pieces for thing in done.things] == [4, 2]
    assert shop.amount(coil) == 60_000 - (4 * 1500 + 2 * 1400 + 9)
    with refused("cutting.no_room"):
        cut(shop, coil, [Some(Size(1500), 36)])
    with refused("cutting.too_long", "70000 mm"):
        cut(shop, coil, [Some(Size(70_000), 1)])


@pytest.mark.parametrize(
    ("code", "some", "more"),
    [
        ("cutting.no_pieces", [], {}),
        ("cutting.count", [Some(STRIP, 0)], {}),
        ("cutting.length", [Some(Size(0, 130), 1)], {}),
        ("cutting.width", [Some(Size(1900), 1)], {}),
        ("cutting.too_long", [Some(Size(2001, 130), 1)], {}),
        ("cutting.too_wide", [Some(Size(1900, 601), 1)], {}),
        ("cutting.kerf", [Some(STRIP, 1)], {"kerf_mm": 51.0}),
        ("cutting.no_room", [Some(Size(2000, 148), 4)], {"kerf_mm": 3.0}),  # 4 × 148 + 3 × 3 = 601
        ("cutting.no_room", [Some(Size(2000, 300), 2)], {"offcuts": [Size(100, 100)]}),
        ("cutting.count", [Some(STRIP, 1)], {"lengths": 0}),
        ("cutting.too_many", [Some(Size(100 + n, 10), 1) for n in range(41)], {}),
        ("stock.short", [Some(STRIP, 4)], {"lengths": 5}),
    ],
)
def test_cut_when_it_cannot_be_is_refused_and_nothing_is_cut(shop, code, some, more):
    """One fact wrong at a time; four strips of one sheet pass."""
    bundle = sheets(shop)
    with refused(code):
        cut(shop, bundle, some, **more)
    assert shop.amount(bundle) == 4 * 2000 * 600
    assert cut(shop, bundle, [Some(Size(2000, 147), 4)], kerf_mm=3.0).things


def test_offcut_is_cut_once_and_named_when_it_is_cut_again(shop):
    """All of it goes: pieces, a smaller offcut, waste."""
    bundle = sheets(shop)
    _, end = cut(shop, bundle, [Some(STRIP, 4)], offcuts=[Size(2000, 70)]).things
    done = cut(shop, end, [Some(Size(900, 70), 1)], offcuts=[Size(1000, 70)])
    assert shop.amount(end) == 0
    assert queries.made(done.things)[done.things[1]].lot == queries.source(bundle).lot
    with refused("cutting.used_up", "Offcut"):
        cut(shop, end, [Some(Size(900, 70), 1)])


def test_cut_when_it_is_no_sheet_or_its_width_is_not_known_is_refused(world):
    """Resin is not cut; glass without a width on its card is, once that is entered."""
    shop = world.shop
    with refused("cutting.not_cut"):
        cut(shop, world.packages["resin"], [Some(STRIP, 1)])
    with refused("cutting.no_width", "Glass"):
        cut(shop, world.packages["glass"], [Some(STRIP, 1)])
    shop.do(materials.edit_material, material=shop.names["glass"], changes={"width_mm": 1000.0})
    cut(shop, world.packages["glass"], [Some(STRIP, 7)])
    assert shop.amount(world.packages["glass"]) == 40_000_000 - 1900 * 1000


def test_cut_batch_is_laid_up_by_whole_pieces_and_a_hold_on_the_lot_stops_the_ski(world):
    """Two edges a ski out of a batch; its lot on hold stops the ski's next step, and its use."""
    shop = world.shop
    _, left, right = world.pair()
    need = queries.piece_for(bench_pair(left), 2)
    coil = world.packages["edge"]
    short, long = (cut(shop, coil, [Some(Size(need.size.length_mm + by), 4)]).thing for by in (-1, 5))
    shop.do(laying.lay_layer, ski=left, thing=world.packages["base"])
    with refused("layup.too_short"):
        shop.do(laying.lay_layer, ski=left, thing=short)
    shop.do(laying.lay_layer, ski=left, thing=long)
    laid = state.state(left).layers[1].laid[0]
    assert (laid.thing, laid.amount.value) == (long, 2 * (need.size.length_mm + 5))
    assert queries.made([long])[long].pieces == 2
    lot = queries.source(coil).lot
    assert {long, coil, lot} <= set(trace.back([left]).things)
    assert {long, short, left} <= set(trace.forward([lot]).things)
    shop.do(stock.hold, things=[lot], reason="cracks")
    with refused("stock.on_hold", "went into it"):
        shop.do(laying.lay_layer, ski=left, thing=world.packages["glass"])
    shop.do(laying.lay_layer, ski=right, thing=world.packages["base"])
    with refused("stock.on_hold"):
        shop.do(laying.lay_layer, ski=right, thing=long)
    with refused("stock.on_hold"):
        cut(shop, coil, [Some(Size(100), 1)])


def bench_pair(ski):
    return state.state(ski).pair


def wood(shop, number="W-1", amount=40_000):
    return shop.package("wood", Amount(amount, Base.MM), number)


def glue_up(shop, **more):
    values = {
        "blank": shop.names["blank"], "count": 4, "length_mm": 1900,
        "wood": [(wood(shop), metres(16), 8.0)],
        "glue": shop.package("glue", grams(1000), "G-1"), "glue_amount": grams(250),
    }  # fmt: skip
    return shop.do(cutting.glue_up, **values | more)


def test_glued_up_blank_goes_into_a_ski_as_a_bought_one_does(world):
    """One code for four blanks; one is laid up; its wood, glue and their lots are what the ski is made of."""
    shop = world.shop
    blanks = glue_up(shop).thing
    _, left, right = world.pair()
    for what in ("base", "edge", "glass"):
        shop.do(laying.lay_layer, ski=left, thing=world.packages[what])
    shop.do(laying.lay_layer, ski=left, thing=blanks)
    assert shop.amount(blanks) == 3
    assert bench.blanks_in(left) == [blanks]
    event = Event.objects.get(step="glued up")
    inputs = set(event.lines.filter(role="input").values_list("thing_id", flat=True))
    assert inputs <= set(trace.back([left]).things)
    assert list(event.facts["moisture"].values()) == [8.0]
    with refused("layup.second_blank"):
        shop.do(press.lay_up, ski=left, inputs=[(blanks, pieces(1))])
    shop.do(press.lay_up, ski=right, inputs=[(blanks, pieces(1))])
    assert bench.blanks_in(right) == [blanks]


def test_glued_up_blank_shorter_than_the_ski_is_refused_at_the_scan(world):
    """1,830 mm for a ski of 1,840 mm."""
    shop = world.shop
    _, left, _ = world.pair()
    for what in ("base", "edge", "glass"):
        shop.do(laying.lay_layer, ski=left, thing=world.packages[what])
    with refused("layup.too_short", "1830"):
        shop.do(laying.lay_layer, ski=left, thing=glue_up(shop, length_mm=1830).thing)
    shop.do(laying.lay_layer, ski=left, thing=glue_up(shop, length_mm=1840).thing)


@pytest.mark.parametrize("read", [12.5, 4.0, None])
def test_wood_too_wet_too_dry_or_unread_is_glued_only_with_a_reason(world, read):
    """6 to 10 %: common practice, no source. The reason is a note, never a fact."""
    shop = world.shop
    bundle = wood(shop, "W-9")
    with refused("blank.moisture", "ackage"):
        glue_up(shop, wood=[(bundle, metres(16), read)])
    glue_up(shop, wood=[(bundle, metres(16), read)], why="for a show piece")
    event = Event.objects.get(step="glued up")
    assert "show piece" not in str(event.facts)
    assert Note.objects.get(id=event.note).text == "for a show piece"


def test_strips_of_two_bundles_apart_by_more_than_two_per_cent_are_said(world):
    """6.5 and 9 % suit each alone, not beside each other."""
    shop = world.shop
    rows = [(wood(shop, "W-2"), metres(8), 6.5), (wood(shop, "W-3"), metres(8), 9.0)]
    with refused("blank.moisture", "6.5 to 9.0"):
        glue_up(shop, wood=rows)
    glue_up(shop, wood=[rows[0], (rows[1][0], metres(8), 8.5)])


def test_glue_up_when_something_does_not_fit_is_refused(world):
    """No wood, no glue, no blank, nothing of it, wood on hold; the same without the slip passes."""
    shop = world.shop
    resin, held = world.packages["resin"], wood(shop, "W-4")
    shop.do(stock.hold, things=[held], reason="blue stain")
    for code, slip in (
        ("blank.no_wood", {"wood": []}),
        ("blank.not_wood", {"wood": [(resin, grams(10), 8.0)]}),
        ("blank.not_glue", {"glue": resin}),
        ("blank.material", {"blank": shop.names["resin"]}),
        ("blank.count", {"count": 0}),
        ("pair.length", {"length_mm": 190}),
        ("wood.moisture", {"wood": [(wood(shop, "W-5"), metres(1), 120.0)]}),
        ("stock.on_hold", {"wood": [(held, metres(1), 8.0)]}),
        ("stock.short", {"glue_amount": grams(1001)}),
        ("stock.wrong_unit", {"glue_amount": pieces(1)}),
    ):
        with refused(code):
            glue_up(shop, **slip)
    assert glue_up(shop).thing


def test_cut_for_a_workshop_when_no_pair_takes_so_many_is_refused(world):
    """Two skis take four edges; a fifth is cut only without naming the workshop."""
    shop = world.shop
    _, left, _ = world.pair()
    size = Size(queries.piece_for(bench_pair(left), 2).size.length_mm + 10)
    coil, workshop = world.packages["edge"], world.workshop
    with refused("cutting.not_wanted", "1 more"):
        cut(shop, coil, [Some(size, 5)], workshop=workshop)
    cut(shop, coil, [Some(size, 4)], workshop=workshop)
    with refused("cutting.not_wanted"):
        cut(shop, coil, [Some(size, 1)], workshop=workshop)
    cut(shop, coil, [Some(size, 1)])


def test_what_was_cut_lasts_no_longer_than_what_it_was_cut_from(shop):
    """A dated coil, pieces and an offcut of it, pieces of the offcut: after its day none goes into a ski."""
    day = shop.at.date() + timedelta(days=3)
    coil = shop.package("rubber", metres(20), "RB-1", expires_on=day)
    bundle = shop.package("bare", metres(20), "RB-2")
    _, left, right = shop.pair()
    batch, offcut = cut(shop, coil, [Some(Size(1800), 4)], offcuts=[Size(4000)]).things
    second = cut(shop, offcut, [Some(Size(1800), 2)]).thing
    undated = cut(shop, bundle, [Some(Size(1800), 4)]).thing
    shop.do(press.lay_up, ski=left, inputs=[(batch, metres(1.8)), (second, metres(1.8))])
    shop.at += timedelta(days=4)
    for thing in (batch, second):
        with refused("stock.expired"):
            shop.do(press.lay_up, ski=right, inputs=[(thing, metres(1.8))])
        with refused("stock.owner_overrides"):
            values = {"ski": right, "inputs": [(thing, metres(1.8))], "override": "looks fine"}
            shop.do(press.lay_up, by=shop.by(as_=shop.crew), **values)
    inputs = [(undated, metres(1.8)), (batch, metres(1.8))]
    shop.do(press.lay_up, ski=right, inputs=inputs, override="the maker says so in writing")


def test_cut_or_glued_by_somebody_under_18_is_refused(world):
    """Saw and router are for adults."""
    shop = world.shop
    card = {"name": "Sunniva Lid", "role": Role.HELPER, "under_18": True}
    shop.do(shop_actions.change_person, person=shop.helper, **card)
    young = {"by": shop.by(as_=shop.helper)}
    with refused("step.under_age"):
        cut(shop, world.packages["edge"], [Some(Size(100), 1)], **young)
    cut(shop, world.packages["edge"], [Some(Size(100), 1)])
