"""Dangerous goods through the room of the answer: published sums and limits, what is not known, crossings."""

from dataclasses import replace

import pytest

from inventory.compute.reasons import Level
from inventory.queries.readiness.goods import reasons
from tests.queries.rooms import aboard, against, facts, id_of, kg, material, of, package, trailer, zone

LITRE = 1_000_000
SHEET = {"regulated": True, "goods_class": "3", "packing_group": "II", "container_mg": kg(1)}


def good(name, category=2, purpose="solvent", base="ul", container_l=5, **card):
    """A liquid with section 14 read, in containers of so many litres."""
    given = SHEET | {
        "transport_category": category,
        "container_ul": None if container_l is None else container_l * LITRE,
        "density_kg_m3": 800.0,
    }
    return material(name, purpose, base, **(given | card))


def world(*amounts, rules="adr", **more):
    """Goods and litres of each, aboard one trailer."""
    packages = [package(row, round(litres * LITRE)) for row, litres in amounts]
    trip = {"rules": rules} | dict(more.pop("trip", ()))
    return facts(materials=[row for row, _ in amounts], packages=packages, trip=trip, **more)


@pytest.mark.parametrize(
    ("amounts", "points", "level"),
    [
        # 10 of category 1, 100 of 2, 150 of 3 are 950 points: trucknetuk.com/t/138949 (read)
        ([(1, 10), (2, 100), (3, 150)], 950.0, Level.FINE),
        # 20 x 10 l of UN 1987 III are 200 points: gefahrgut-foren.de topic 8224 (read)
        ([(3, 200)], 200.0, Level.FINE),
        # petrol alone, 333 l: hse.gov.uk/cdg/manual/commonproblems/petrol.htm (read)
        ([(2, 333)], 999.0, Level.FINE),
        # the most of one category alone: haufe.de HI7330212 and lagerwiki.de (read)
        ([(2, 333.1)], 999.3, Level.STOP),
        ([(2, 333.1), (3, 0.8)], 1000.1, Level.STOP),
    ],
)
def test_reasons_of_published_loads_come_to_their_points(amounts, points, level):
    """Points by ADR 1.1.3.6 through the cards of what is aboard."""
    rows = [(good(f"good {category}", category), litres) for category, litres in amounts]
    note = of(reasons(world(*rows)), "ready.goods_adr")
    assert note.sentence.values["points"] == pytest.approx(points)
    assert note.level is level
    assert note.how.inputs
    assert note.page == "trips-goods"


def test_reasons_when_category_0_is_aboard_stop():
    """No quantity of it may ride under the relief."""
    notes = reasons(world((good("bad", 0), 0.1)))
    assert "ready.load_adr_blocked" in against(notes)
    assert "ready.load_adr_blocked" not in against(reasons(world((good("bad", 1), 0.1))))


@pytest.mark.parametrize(
    ("card", "points"),
    [
        # UN 3082 in packagings of at most 5 l counts nothing by special provision 375:
        # ecostarenvironmental.co.uk, 12 May 2015 (read)
        ({"un_number": "3082"}, 0.0),
        ({"un_number": "3082", "container_l": 10}, 25.0),
        ({"un_number": "3082", "container_l": None}, 25.0),
        # never hardener: common practice, no source
        ({"un_number": "3082", "purpose": "hardener"}, 25.0),
        ({"un_number": "1090"}, 25.0),
    ],
)
def test_reasons_when_resin_is_in_small_cans_leave_it_out(card, points):
    """One fact differs: the can, the number or what it is."""
    note = of(reasons(world((good("resin", 3, **card), 25))), "ready.goods_adr")
    assert note.sentence.values["points"] == pytest.approx(points)


def test_reasons_when_resin_is_kept_by_weight_count_its_litres():
    """22 kg at 1100 kg/m³ are 20 l; without a density nothing is taken for nothing."""
    for density, code in ((1100.0, []), (None, ["ready.goods_unread", "ready.goods_adr"])):
        row = good("resin", 3, "resin", "mg", density_kg_m3=density)
        given = facts(materials=[row], packages=[package(row, kg(22))], trip={"rules": "adr"})
        notes = reasons(given)
        assert against(notes) == code
    row = good("resin", 3, "resin", "mg", density_kg_m3=1100.0)
    given = facts(materials=[row], packages=[package(row, kg(22))], trip={"rules": "adr"})
    assert of(reasons(given), "ready.goods_adr").sentence.values["points"] == pytest.approx(20.0)


def test_reasons_when_section_14_was_not_read_cannot_say():
    """A solvent without it is never counted as nothing; wood without it is no good at all."""
    row = material("cleaner", "solvent", "ul")
    notes = reasons(world((row, 5)))
    assert against(notes) == ["ready.goods_unread", "ready.goods_adr"]
    note = of(notes, "ready.goods_unread")
    assert note.level is Level.UNKNOWN
    assert note.cures[0].page == "materials-edit"
    assert reasons(world((material("ash", "blank", "piece"), 0.001))) == []


def test_reasons_when_the_sheet_says_that_it_is_none_say_nothing():
    """No is an answer."""
    assert reasons(world((good("water glue", regulated=False), 5))) == []


@pytest.mark.parametrize(
    ("card", "amount", "codes"),
    [
        # 30 l in packing group II, 0.5 l in I, 200 kg in all: 49 CFR 173.6, law.cornell.edu (read)
        ({"container_l": 30}, 30 * LITRE, []),
        ({"container_l": 0.5, "packing_group": "I"}, 0.4 * LITRE, []),
        # a can of 35 l, half full: the limit is its capacity, not its content
        ({"container_l": 35}, 17 * LITRE, ["ready.load_trade_packaging"]),
        ({"container_l": 1, "packing_group": "I"}, 0.4 * LITRE, ["ready.load_trade_packaging"]),
        # waste and classes that are not listed are no materials of trade
        ({"purpose": "waste"}, LITRE, ["ready.load_trade_never", "ready.goods_waste"]),
        ({"goods_class": "1.4"}, LITRE, ["ready.load_trade_never"]),
        # a cylinder of division 2.1: 110 kg gross is above 100, 100 is not
        ({"goods_class": "2.1", "base": "mg"}, kg(109), ["ready.load_trade_packaging"]),
        ({"goods_class": "2.1", "base": "mg"}, kg(99), []),
    ],
)
def test_reasons_by_49_cfr_173_6_come_to_its_limits(card, amount, codes):
    """Through the cards: class, group, the container's capacity and gross mass."""
    row = good("good", **card)
    given = facts(materials=[row], packages=[package(row, round(amount))], trip={"rules": "trade"})
    notes = reasons(given)
    assert against(notes) == codes
    assert all(note.level is Level.STOP for note in notes if "trade_" in note.code and note.level)


@pytest.mark.parametrize(("litres", "above"), [(243.75, False), (245.0, True)])
def test_reasons_when_all_materials_of_trade_weigh_above_200_kg_stop(litres, above):
    """243.75 l at 0.8 kg/l in five cans of 1 kg are 200 kg gross: at the limit, not above it."""
    row = good("thinner", container_l=30)
    packages = [package(row, round(litres / 5 * LITRE), code=f"P{n}") for n in range(5)]
    notes = reasons(facts(materials=[row], packages=packages, trip={"rules": "trade"}))
    assert (of(notes, "ready.goods_trade").level is Level.STOP) is above


def test_reasons_when_no_rules_are_chosen_state_both_and_stop_by_neither():
    """Above one limit of rules that may not hold where one drives is to be looked at."""
    rows = [(good("thinner", 2), 400)]
    notes = reasons(world(*rows, rules=""))
    assert [note.level for note in notes if note.code in ("ready.goods_adr", "ready.goods_trade")] == [
        Level.LOOK,
        Level.LOOK,
    ]
    assert of(reasons(world(*rows)), "ready.goods_adr").level is Level.STOP


def test_reasons_count_the_tow_car_with_its_trailer_and_another_apart():
    """200 l in the car and 200 in its trailer are above the most of category 2; in two combinations not."""
    row = good("thinner", 2)
    wren = trailer()
    van = replace(aboard(), goes_in=id_of("the van"), goes_zone=None)
    one = [package(row, 200 * LITRE, code="P1"), package(row, 200 * LITRE, van, code="P2")]
    given = facts(materials=[row], packages=one, trailers=[wren], trip={"rules": "adr"})
    assert of(reasons(given), "ready.goods_adr").level is Level.STOP
    owl = trailer("Owl", zones=[zone("zone 1", of="Owl")], towed_by=None)
    two = [package(row, 200 * LITRE, code="P1"), package(row, 200 * LITRE, aboard(of="Owl"), code="P2")]
    given = facts(materials=[row], packages=two, trailers=[wren, owl], trip={"rules": "adr"})
    notes = [note for note in reasons(given) if note.code == "ready.goods_adr"]
    assert [note.level for note in notes] == [Level.FINE, Level.FINE]


@pytest.mark.parametrize(
    ("crossings", "codes"),
    [
        ([], []),
        (None, ["ready.goods_way"]),
        (["ferry"], ["ready.goods_ferry"]),
        (["ferry", "tunnel"], ["ready.goods_ferry", "ready.goods_tunnel"]),
    ],
)
def test_reasons_when_a_ferry_or_a_tunnel_is_on_the_way_say_so(crossings, codes):
    """Not entered is not known; without goods aboard nobody asks."""
    assert against(reasons(world((good("thinner"), 5), trip={"crossings": crossings}))) == codes
    assert reasons(world(trip={"crossings": crossings})) == []


def test_reasons_of_a_supply_run_say_that_work_is_no_relief():
    """The same goods on the way to work with: nothing is said."""
    assert against(reasons(world((good("thinner"), 5), trip={"sort": "supply run"}))) == [
        "ready.goods_supply"
    ]
    assert against(reasons(world((good("thinner"), 5)))) == []
