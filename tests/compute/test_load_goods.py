"""Dangerous goods: published sums and limits, what counts and what does not, what is not known, refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.load.adr import Category, Goods, Measure, Standing, adr_total
from inventory.compute.load.trade import Form, Group, Packaging, trade_total
from inventory.compute.reasons import Level
from inventory.errors import Refused

TWO, THREE, FOUR = Category.TWO, Category.THREE, Category.FOUR


def adr(*goods):
    return adr_total(combination="Stoat and its car", goods=goods)


def trade(*packagings):
    return trade_total(packagings=packagings)


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def refused(code, make, *mentions):
    with pytest.raises(Refused) as caught:
        make()
    assert caught.value.code == code
    for mention in mentions:
        assert mention in str(caught.value)


@pytest.mark.parametrize(
    ("goods", "points", "standing"),
    [
        # 10 of category 1, 100 of 2, 150 of 3: trucknetuk.com/t/138949 (read)
        ([(Category.ONE, 10.0), (TWO, 100.0), (THREE, 150.0)], 950.0, Standing.UNDER),
        # 20 x 10 l UN 1987 III: gefahrgut-foren.de topic 8224 (read)
        ([(THREE, 200.0)], 200.0, Standing.UNDER),
        # petrol alone, 333 l: hse.gov.uk/cdg/manual/commonproblems/petrol.htm (read)
        ([(TWO, 333.0)], 999.0, Standing.UNDER),
        # the most of one category alone and the sum of several: haufe.de HI7330212 and lagerwiki.de (read)
        ([(TWO, 333.1)], 999.3, Standing.ABOVE),
        ([(TWO, 333.1), (THREE, 0.7)], 1_000.0, Standing.UNDER),
        ([(TWO, 333.1), (THREE, 0.8)], 1_000.1, Standing.ABOVE),
        ([(Category.ONE, 20.0)], 1_000.0, Standing.UNDER),
        ([(Category.ONE, 20.1)], 1_005.0, Standing.ABOVE),
        ([(THREE, 1_000.0)], 1_000.0, Standing.UNDER),
        ([(THREE, 1_000.1)], 1_000.1, Standing.ABOVE),
        ([(FOUR, 5_000.0)], 0.0, Standing.UNDER),
        ([], 0.0, Standing.UNDER),
    ],
)
def test_adr_of_published_loads_comes_to_their_points(goods, points, standing):
    """Points, and where they stand; at the limit itself nothing is above it."""
    result = adr(*(Goods(f"g{at}", category, kg) for at, (category, kg) in enumerate(goods)))
    assert result.points == pytest.approx(points)
    assert result.standing is standing
    assert result.verdict.level is (Level.LOOK if standing is Standing.ABOVE else Level.FINE)
    assert not result.at_least


def test_adr_of_footnote_substances_counts_twenty():
    """50 of them alone are 1000 points, 50.1 are above: haufe.de HI7330212 (read)."""
    fifty = adr(Goods("a", Category.ONE, 50.0, footnote=True))
    assert (fifty.points, fifty.standing) == (1_000.0, Standing.UNDER)
    assert adr(Goods("a", Category.ONE, 50.1, footnote=True)).standing is Standing.ABOVE
    assert adr(Goods("a", TWO, 10.0, footnote=True)).points == 30.0


def test_adr_category_0_blocks_full_or_empty():
    """Empties of category 0 stay 0, others become 4: lagerwiki.de, ADR 2007 1.1.3.6.1 (read)."""
    for empty in (False, True):
        result = adr(Goods("bad", Category.ZERO, 0.1, empty=empty), Goods("resin", THREE, 10.0))
        assert (result.standing, result.verdict.level, result.at_least) == (
            Standing.BLOCKED,
            Level.STOP,
            True,
        )
        assert "load.adr_blocked" in codes(result)
    other = adr(Goods("cans", TWO, 400.0, empty=True))
    assert (other.points, other.standing, other.lines[0].counted_as) == (0.0, Standing.UNDER, FOUR)
    assert other.by_category == {FOUR: 0.0}
    assert adr(Goods("none left", Category.ZERO, 0.0)).standing is Standing.UNDER


def test_adr_what_is_not_known_is_never_nothing():
    """An unknown category or quantity: at least so much, cannot say. Above is above without it."""
    for unknown in (
        Goods("x", None, 5.0),
        Goods("x", TWO, None),
        Goods("x", None, 0.0, empty=True),
        Goods("x", None, 5.0, limited_quantity=True, marked_combination=True),
    ):
        result = adr(unknown, Goods("resin", THREE, 10.0))
        assert (result.points, result.at_least, result.standing) == (10.0, True, Standing.NOT_KNOWN)
        assert result.verdict.level is Level.UNKNOWN
        assert "at least 10.0" in str(result.verdict.reasons[0].sentence) or "load.adr_not_known" in codes(
            result
        )
    above = adr(Goods("x", None, 5.0), Goods("resin", THREE, 1_001.0))
    assert above.standing is Standing.ABOVE
    alone = adr(Goods("x", TWO, None), Goods("petrol", TWO, 333.2))
    assert alone.standing is Standing.NOT_KNOWN
    assert adr(Goods("x", None, 0.0)).standing is Standing.UNDER


def test_adr_names_what_of_a_good_is_not_known():
    """Category before quantity, in words."""
    assert "transport category" in str(adr(Goods("x", None, None)).lines[0].reason.sentence)
    assert "its quantity" in str(adr(Goods("x", TWO, None)).lines[0].reason.sentence)


@pytest.mark.parametrize(
    ("marked", "points", "code"), [(True, 0.0, "load.adr_line"), (False, 30.0, "load.adr_counts_anyway")]
)
def test_adr_limited_quantities_count_nothing_only_in_a_marked_package(marked, points, code):
    """Not counted with the rest: gefahrgut-foren.de topic 8224 (read); loose cans are counted."""
    result = adr(Goods("acetone", TWO, 10.0, un=1090, limited_quantity=True, marked_combination=marked))
    assert result.points == points
    assert result.lines[0].reason.code == code
    zero = adr(Goods("bad", Category.ZERO, 1.0, limited_quantity=True, marked_combination=True))
    assert zero.standing is Standing.BLOCKED
    assert adr(Goods("acetone", TWO, 10.0, marked_combination=True)).points == 30.0


@pytest.mark.parametrize(
    ("changes", "points"),
    [
        ({}, 0.0),
        ({"un": 3077}, 0.0),
        ({"largest_inner": 5.01}, 20.0),
        ({"largest_inner": None}, 20.0),
        ({"un": 2735}, 20.0),
        ({"un": None}, 20.0),
        ({"hardener": True}, 20.0),
    ],
)
def test_adr_special_provision_375_covers_small_packagings_of_two_numbers(changes, points):
    """UN 3082 and 3077 up to 5 l or 5 kg: ecostarenvironmental.co.uk, 12 May 2015 (read). Never hardener."""
    facts = {"un": 3082, "provision_375": True, "largest_inner": 5.0}
    result = adr(Goods("resin", THREE, 20.0, **(facts | changes)))
    assert result.points == points
    assert result.verdict.level is (Level.LOOK if points else Level.FINE)
    plain = adr(Goods("resin", THREE, 20.0, un=3082, largest_inner=5.0))
    assert (plain.points, plain.lines[0].reason.code) == (20.0, "load.adr_line")


def test_adr_names_its_edition_and_its_cautions():
    """Printed with every answer, whatever it is; what each quantity counts is among the inputs."""
    result = adr(Goods("air", THREE, 24.0, Measure.WATER_LITRES))
    assert "2027 from January 2027" in result.edition
    assert result.edition in str(result.verdict.reasons[0].sentence)
    assert any("section 14" in str(caution) for caution in result.cautions)
    assert any("Vent" in str(caution) for caution in result.cautions)
    assert result.how.inputs[0].unit == "litres of the receptacle's water capacity, compressed gases"
    assert result.by_category == {THREE: 24.0}


@given(st.lists(st.tuples(st.sampled_from([1, 2, 3, 4]), st.floats(0.001, 50)), max_size=8))
def test_adr_points_are_the_sum_of_the_parts_and_grow(parts):
    """Conservation, and monotone: leaving something at home never adds points."""
    goods = [Goods(f"g{at}", Category(category), kg) for at, (category, kg) in enumerate(parts)]
    result = adr(*goods)
    assert result.points == pytest.approx(sum(adr(each).points for each in goods))
    assert all(adr(*goods[:count]).points <= result.points + 1e-9 for count in range(len(goods)))
    assert sum(result.by_category.values()) == pytest.approx(sum(kg for _, kg in parts))


def test_adr_when_a_value_is_impossible_is_refused():
    """Beside each the nearest that is possible."""
    assert Goods("a", TWO, 0.0, largest_inner=0.0)
    refused("load.goods", lambda: Goods("a", TWO, -0.1), "a")
    refused("load.goods", lambda: Goods("a", TWO, math.nan))
    refused("load.goods", lambda: Goods("a", TWO, 5.0, largest_inner=-1.0))
    refused("load.goods", lambda: Goods("a", 5, 5.0), "5")
    refused("load.goods", lambda: Goods("a", 2, 5.0), "2")
    assert adr(Goods("a", TWO, 1.0), Goods("b", TWO, 1.0)).points == 6.0
    refused("load.goods_twice", lambda: adr(Goods("a", TWO, 1.0), Goods("a", TWO, 1.0)), "a")


@pytest.mark.parametrize(
    ("packaging", "warned"),
    [
        # 49 CFR 173.6(a)(1): law.cornell.edu/cfr/text/49/173.6 (read)
        (Packaging("can", "3", Group.II, capacity_l=35.0, gross_kg=5.0), True),
        (Packaging("can", "3", Group.II, capacity_l=30.0, gross_kg=25.0), False),
        (Packaging("can", "3", Group.III, capacity_l=30.1, gross_kg=5.0), True),
        (Packaging("can", "8", Group.I, capacity_l=0.5, gross_kg=0.6), False),
        (Packaging("can", "8", Group.I, capacity_l=0.51, gross_kg=0.6), True),
        (Packaging("bag", "4.1", Group.II, Form.SOLID, gross_kg=30.0), False),
        (Packaging("bag", "4.1", Group.II, Form.SOLID, gross_kg=30.1), True),
        (Packaging("bag", "4.1", Group.I, Form.SOLID, gross_kg=0.6), True),
        (Packaging("tank", "9", diluted=True, capacity_l=1_500.0, gross_kg=1_600.0), False),
        (Packaging("tank", "9", diluted=True, capacity_l=1_501.0, gross_kg=1_600.0), True),
        (Packaging("tank", "3", Group.II, diluted=True, capacity_l=31.0, gross_kg=30.0), True),
        # (a)(2) and (3)
        (Packaging("propane", "2.1", gross_kg=100.0), False),
        (Packaging("propane", "2.1", gross_kg=110.0), True),
        (Packaging("air", "2.2", gross_kg=100.1), True),
        (Packaging("vial", "4.3", Group.III, capacity_l=0.030, gross_kg=0.1), False),
        (Packaging("vial", "4.3", Group.II, capacity_l=0.031, gross_kg=0.1), True),
    ],
)
def test_trade_limits_are_the_packagings_own(packaging, warned):
    """A half-full 35 l can fails: capacity or gross mass counts, not content. The limit itself is allowed."""
    result = trade(packaging)
    assert ("load.trade_packaging" in codes(result)) is warned
    assert result.verdict.level is (Level.LOOK if warned else Level.FINE)


@pytest.mark.parametrize(
    ("counts", "gross", "level"),
    [
        ((8, 0), 200.0, Level.FINE),
        ((8, 1), 201.0, Level.LOOK),
        ((0, 1), 1.0, Level.FINE),
        ((0, 0), 0.0, Level.FINE),
    ],
)
def test_trade_in_all_may_weigh_200_kg(counts, gross, level):
    """200 kg gross for all: note to 49 CFR 392.51, jjkellercompliancenetwork.com (read)."""
    cans = Packaging("cans", "3", Group.II, count=counts[0], capacity_l=25.0, gross_kg=25.0)
    glue = Packaging("glue", "9", Group.III, count=counts[1], capacity_l=1.0, gross_kg=1.0)
    result = trade(cans, glue)
    assert (result.gross_kg, result.verdict.level, result.at_least) == (gross, level, False)


def test_trade_leaves_out_what_is_not_regulated_and_the_diluted_tank():
    """Resin that this mode does not regulate adds nothing; a dilute class 9 tank is no part of the 200 kg."""
    resin = Packaging("resin", "9", Group.III, capacity_l=25.0, gross_kg=300.0, regulated=False)
    tank = Packaging("tank", "9", diluted=True, capacity_l=1_000.0, gross_kg=1_000.0)
    assert trade(resin, tank).gross_kg == 0.0
    assert trade(Packaging("p", "3", Group.II, capacity_l=9.0, gross_kg=9.0, diluted=True)).gross_kg == 9.0
    assert codes(trade(resin)) == ["load.trade_total"]
    regulated = Packaging("resin", "9", Group.III, capacity_l=25.0, gross_kg=30.0)
    assert trade(regulated).gross_kg == 30.0


@pytest.mark.parametrize(
    "packaging",
    [
        Packaging("x", None, Group.II, capacity_l=5.0, gross_kg=5.0),
        Packaging("x", "3", None, capacity_l=5.0, gross_kg=5.0),
        Packaging("x", "3", Group.II, capacity_l=None, gross_kg=5.0),
        Packaging("x", "4.3", None, capacity_l=0.01, gross_kg=5.0),
        Packaging("x", "4.3", Group.II, capacity_l=None, gross_kg=5.0),
        Packaging("x", "9", diluted=True, capacity_l=None, gross_kg=5.0),
    ],
)
def test_trade_what_is_not_known_is_said(packaging):
    """Class, packing group or capacity missing: cannot say, by name."""
    result = trade(packaging)
    assert result.verdict.level is Level.UNKNOWN
    assert "load.trade_not_known" in codes(result)


def test_trade_when_a_gross_mass_is_not_known_gives_the_least_it_may_be():
    """At least so much, not 0 for the missing; what is above is above without it."""
    unknown = Packaging("drum", "3", Group.II, capacity_l=20.0)
    known = Packaging("can", "3", Group.II, capacity_l=20.0, gross_kg=20.0)
    result = trade(unknown, known)
    assert (result.gross_kg, result.at_least, result.verdict.level) == (20.0, True, Level.UNKNOWN)
    assert "not known: drum" in str(result.verdict.reasons[0].sentence)
    heavy = Packaging("cans", "3", Group.II, count=11, capacity_l=20.0, gross_kg=20.0)
    assert "load.trade_total" in [
        reason.code for reason in trade(unknown, heavy).verdict.reasons if reason.level is Level.LOOK
    ]
    cylinder = trade(Packaging("propane", "2.1"))
    assert "load.trade_not_known" in codes(cylinder)
    solid = trade(Packaging("bag", "4.1", Group.II, Form.SOLID))
    assert "load.trade_not_known" in codes(solid)
    assert trade(Packaging("none", "3", Group.II, count=0)).at_least is False


@pytest.mark.parametrize(
    ("hazard", "group"), [("1", None), ("2.3", None), ("4.2", Group.II), ("4.3", Group.I), ("7", None)]
)
def test_trade_classes_off_the_list_stop(hazard, group):
    """The exception names its classes; class 3 beside them is one."""
    result = trade(Packaging("x", hazard, group, capacity_l=0.01, gross_kg=0.1))
    assert codes(result)[0] == "load.trade_never"
    assert result.verdict.level is Level.STOP
    assert trade(Packaging("x", "3", Group.II, capacity_l=0.01, gross_kg=0.1)).verdict.level is Level.FINE


def test_trade_waste_is_never_a_material_of_trade():
    """Waste solvent on the way home: worktruckonline.com/145832 (read)."""
    waste = Packaging("waste", "3", Group.II, capacity_l=5.0, gross_kg=5.0, never=True)
    assert codes(trade(waste)) == ["load.trade_never", "load.trade_total"]


def test_trade_names_its_edition_and_its_cautions():
    """Printed with every answer."""
    result = trade()
    assert "173.6" in result.edition
    assert result.edition in str(result.verdict.reasons[0].sentence)
    assert any("Waste solvent" in str(caution) for caution in result.cautions)
    assert result.limit_kg == 200.0


def test_trade_when_a_value_is_impossible_is_refused():
    """Beside each the nearest that is possible."""
    assert Packaging("a", "3", count=0, capacity_l=0.1, gross_kg=0.1)
    refused("load.packaging", lambda: Packaging("a", "3", capacity_l=0.0), "a")
    refused("load.packaging", lambda: Packaging("a", "3", gross_kg=math.inf), "a")
    refused("load.packaging", lambda: Packaging("a", "3", count=-1), "−1")
    refused("load.packaging", lambda: Packaging("a", "3", count=1.5), "1.5")
    one = Packaging("a", "3", Group.II, capacity_l=1.0, gross_kg=1.0)
    assert trade(one).gross_kg == 1.0
    refused("load.goods_twice", lambda: trade(one, one), "a")
