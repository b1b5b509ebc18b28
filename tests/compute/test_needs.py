"""What a pair needs of each material: the worked pair, each kind of layer, rounding, refusals."""

from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.needs import Exact, Factor, needs, whole_range
from inventory.compute.needs.layers import (
    Between,
    Blank,
    Centred,
    Contact,
    Course,
    Per,
    Pieces,
    Sheet,
    Soak,
    Spread,
    Strip,
    Whole,
    reached,
)
from inventory.compute.needs.many import USUAL
from inventory.compute.outline import measures, piece
from inventory.compute.reasons import Basis, Given
from inventory.compute.units import Amount, Base
from inventory.compute.units.convert import mass_of_area
from inventory.errors import Refused
from tests.compute.skis import ski

NOTHING_LOST = Factor(1.0, 1.0, 1.0)
PRESSED = Given(0.55, Basis.ASSUMED, "common practice, no source")
TRIAX = Given(750.0, Basis.DATA_SHEET, "sheet of the fabric")


def need(*layers, outline=None, factor=NOTHING_LOST, learned=None, lengths=None):
    """The one material these layers share."""
    answer = needs(
        outline=outline or ski(),
        layers=layers,
        waste={layer.material: factor for layer in layers},
        learned=learned,
        lengths=lengths,
    )
    (only,) = answer.materials
    return only


def refused(*layers, **more):
    with pytest.raises(Refused) as caught:
        need(*layers, **more)
    return caught.value.code


def wet(cut=1.12, share=1.0, material="mix"):
    """The worked pair's resin: two plies, base and top sheet glued at 120, two core faces at 100 g/m2."""
    return (
        Soak(material, TRIAX, PRESSED, plies=2, cut_factor=Given(cut), share=share),
        Spread(material, Given(120.0), faces=2, share=share),
        Spread(material, Given(100.0), faces=2, share=share),
    )


def test_resin_of_the_worked_pair_agrees():
    """0.526 in the glass + 0.168 glue = 0.695, × 1.15 = 0.799 kg mixed (computed)."""
    glass = need(wet()[0])
    glue = need(*wet()[1:])
    assert glass.net_pair.value / 1e6 == pytest.approx(0.526, abs=0.0006)
    assert glue.net_pair.value / 1e6 == pytest.approx(0.168, abs=0.0006)
    mixed = need(*wet(), factor=USUAL["mixed resin"])
    assert mixed.net_pair.value / 1e6 == pytest.approx(0.695, abs=0.0006)
    assert mixed.pair.expected.value / 1e6 == pytest.approx(0.799, abs=0.0006)
    assert mixed.pair.highest.value / 1e6 == pytest.approx(0.695 * 1.25, abs=0.001)


@pytest.mark.parametrize(("cut", "kilograms"), [(1.0, 0.319), (1.12, 0.347)])
def test_resin_of_one_worked_ski_agrees(cut, kilograms):
    """0.319 kg with glass cut to the outline, 0.347 kg cut larger (computed)."""
    assert need(*wet(cut)).ski.expected.value / 1e6 == pytest.approx(kilograms, abs=0.0006)


def test_resin_and_hardener_of_the_worked_pair_agree():
    """614.7 g resin and 184.4 g hardener at 30 per hundred (computed)."""
    answer = needs(
        outline=ski(),
        layers=[*wet(share=100 / 130, material="resin"), *wet(share=30 / 130, material="hardener")],
        waste={"resin": USUAL["mixed resin"], "hardener": USUAL["mixed resin"]},
    )
    grams = {one.material: one.pair.expected.value / 1000 for one in answer.materials}
    assert grams["resin"] == pytest.approx(614.7, abs=0.5)
    assert grams["hardener"] == pytest.approx(184.4, abs=0.2)
    assert sum(grams.values()) == pytest.approx(
        need(*wet(), factor=USUAL["mixed resin"]).pair.expected.value / 1e3
    )


def test_resin_of_the_worked_ski_is_within_what_builders_mix():
    """300 to 500 g mixed per ski (a builders' site, read)."""
    assert 300_000 < need(*wet(), factor=USUAL["mixed resin"]).ski.expected.value < 500_000


def test_glass_of_the_worked_pair_agrees():
    """0.77 m2 and 0.574 kg on the skis, 0.643 kg cut (computed)."""
    glass = need(Sheet("glass", plies=2), factor=USUAL["glass"])
    assert glass.net_pair.value / 1e6 == pytest.approx(0.766, abs=0.001)
    on_skis = mass_of_area(area=glass.net_pair, areal_weight_g_per_m2=TRIAX).amount
    cut = mass_of_area(area=glass.pair.expected, areal_weight_g_per_m2=TRIAX).amount
    assert on_skis.value / 1e6 == pytest.approx(0.574, abs=0.0006)
    assert cut.value / 1e6 == pytest.approx(0.643, abs=0.0006)


@pytest.mark.parametrize(
    ("layer", "base", "expected", "tolerance"),
    [
        # Per pair: computed from these inputs, or common practice, no source.
        (Strip("edge", Course.EDGE), Base.MM, 6_200, 5),
        (Strip("edge", Course.EDGE_WRAP), Base.MM, 7_494, 5),
        (Sheet("base"), Base.MM2, 383_000, 500),
        (Sheet("base", Blank(150.0, 50.0)), Base.MM2, 570_000, 1),
        (Sheet("base", Blank(150.0)), Base.MM2, 540_000, 1),
        (Strip("sidewall", Course.SIDEWALL), Base.MM, 5_400, 1),
        (Strip("rubber", Contact(25.0), strands=2), Base.MM, 6_000, 1),
        (Pieces("core"), Base.PIECE, 2, 0),
    ],
)
def test_needs_of_the_worked_pair_agree_with_the_yield_table(layer, base, expected, tolerance):
    """What one pair takes of edge, base, sidewall, rubber and core."""
    got = need(layer)
    assert got.base is base
    assert got.net_pair.value == pytest.approx(expected, abs=tolerance)
    assert got.net_pair.value == ceil(got.exact_pair.net)


@pytest.mark.parametrize(
    ("reach", "start", "end"),
    [
        (Whole(), 0.0, 1800.0),
        (Contact(), 100.0, 1550.0),
        (Contact(100.0), 0.0, 1650.0),
        (Centred(800.0), 425.0, 1225.0),
        (Between(500.0, 900.0), 500.0, 900.0),
    ],
)
def test_layer_when_it_reaches_part_of_the_ski_takes_the_area_of_that_part(reach, start, end):
    """Plies, glue and resin of a layer follow how far it reaches."""
    outline = ski()
    part = piece(outline=outline, start_mm=start, end_mm=end)
    assert reached(outline=outline, reach=reach).area_mm2 == part.area_mm2
    assert need(Sheet("glass", reach, plies=3)).ski.expected.value == ceil(3 * Fraction(part.area_mm2))
    tape = need(Strip("tape", reach, strands=2))
    assert tape.ski.expected.value == tape.how.inputs[0].value == ceil(2 * (end - start))
    assert need(Spread("glue", Given(100.0), reach=reach)).ski.expected.value == ceil(part.area_mm2 / 10)
    soaked = need(Soak("mix", TRIAX, Given(0.5), reach=reach)).ski.expected.value
    assert soaked == pytest.approx(part.area_mm2 * 0.75, abs=1)


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        (Contact(-1.0), Contact(0.0)),
        (Contact(101.0), Contact(100.0)),
        (Contact(float("nan")), Contact(5.0)),
        (Centred(0.0), Centred(1.0)),
        (Centred(1651.0), Centred(1650.0)),
        (Between(-1.0, 5.0), Between(0.0, 5.0)),
        (Between(5.0, 5.0), Between(5.0, 6.0)),
        (Between(6.0, 5.0), Between(5.0, 6.0)),
        (Between(0.0, 1801.0), Between(0.0, 1800.0)),
        (Between(float("nan"), 5.0), Between(1.0, 5.0)),
    ],
)
def test_layer_when_it_leaves_the_ski_is_refused(bad, good):
    """Each reach that is impossible, beside the nearest that is not."""
    assert refused(Sheet("glass", bad)) == "needs.reach"
    assert need(Sheet("glass", good)).pair.expected.value > 0


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        (Blank(129.0), Blank(130.0)),
        (Blank(2_001.0), Blank(2_000.0)),
        (Blank(150.0, -1.0), Blank(150.0, 0.0)),
        (Blank(150.0, 501.0), Blank(150.0, 500.0)),
        (Blank(float("nan")), Blank(150.0)),
    ],
)
def test_blank_when_it_does_not_hold_the_ski_is_refused(bad, good):
    """A rectangle narrower than the widest place cannot be cut to this ski."""
    assert refused(Sheet("base", bad)) == "needs.reach"
    assert need(Sheet("base", good)).pair.expected.value >= 2 * 130 * 1800


@pytest.mark.parametrize(
    ("bad", "good", "code"),
    [
        (Sheet("  "), Sheet("glass"), "needs.layer"),
        (Sheet("glass", plies=0), Sheet("glass", plies=1), "needs.layer"),
        (Sheet("glass", plies=21), Sheet("glass", plies=20), "needs.layer"),
        (Sheet("glass", plies=1.5), Sheet("glass", plies=2), "needs.layer"),
        (Sheet("glass", plies=True), Sheet("glass", plies=1), "needs.layer"),
        (Strip("edge", Course.EDGE, 0), Strip("edge", Course.EDGE, 1), "needs.layer"),
        (Spread("glue", Given(100.0), faces=-1), Spread("glue", Given(100.0), faces=1), "needs.layer"),
        (Soak("mix", TRIAX, PRESSED, plies=0), Soak("mix", TRIAX, PRESSED), "needs.layer"),
        (Soak("mix", TRIAX, PRESSED, cut_factor=Given(0.9)), Soak("mix", TRIAX, PRESSED), "needs.layer"),
        (Pieces("core", Amount(0, Base.PIECE)), Pieces("core", Amount(1, Base.PIECE)), "needs.layer"),
        (Pieces("core", Amount(-1, Base.PIECE)), Pieces("core"), "needs.layer"),
        (Pieces("core", Amount(True, Base.PIECE)), Pieces("core"), "needs.layer"),
        (Pieces("core", Amount(1.5, Base.PIECE)), Pieces("core"), "needs.layer"),
        (Pieces("glue", Amount(10**9 + 1, Base.UL)), Pieces("glue", Amount(10**9, Base.UL)), "needs.layer"),
        (Spread("glue", Given(0.0)), Spread("glue", Given(0.1)), "needs.weight"),
        (Spread("glue", Given(5_001.0)), Spread("glue", Given(5_000.0)), "needs.weight"),
        (Spread("glue", Given(float("nan"))), Spread("glue", Given(100.0)), "needs.weight"),
        (Spread("glue", Given(100.0), share=0.0), Spread("glue", Given(100.0), share=0.1), "needs.share"),
        (Spread("glue", Given(100.0), share=1.1), Spread("glue", Given(100.0), share=1.0), "needs.share"),
        (Soak("mix", TRIAX, PRESSED, share=float("nan")), Soak("mix", TRIAX, PRESSED), "needs.share"),
        (Soak("mix", TRIAX, Given(0.0)), Soak("mix", TRIAX, Given(0.1)), "needs.share"),
        (Soak("mix", TRIAX, Given(1.0)), Soak("mix", TRIAX, Given(0.9)), "needs.share"),
        (Soak("mix", Given(4.0), PRESSED), Soak("mix", Given(5.0), PRESSED), "needs.weight"),
        (Soak("mix", Given(5_001.0), PRESSED), Soak("mix", Given(5_000.0), PRESSED), "needs.weight"),
    ],
)
def test_layer_when_impossible_is_refused_and_the_nearest_is_taken(bad, good, code):
    """Each limit of a layer, beside what still passes it."""
    assert refused(bad) == code
    assert need(good).pair.expected.value > 0


def test_needs_when_there_are_no_layers_or_no_factor_is_refused():
    """A loss that is not known is not nothing: it is asked for."""
    for layers in ([], ()):
        with pytest.raises(Refused) as caught:
            needs(outline=ski(), layers=layers, waste={})
        assert caught.value.code == "needs.nothing"
    with pytest.raises(Refused) as caught:
        needs(outline=ski(), layers=[Sheet("glass")], waste={"base": NOTHING_LOST})
    assert caught.value.code == "needs.no_factor"
    assert "glass" in str(caught.value)


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        (Factor(1.2, 1.1, 1.3), Factor(1.1, 1.2, 1.3)),
        (Factor(1.0, 1.3, 1.2), Factor(1.0, 1.2, 1.2)),
        (Factor(0.29, 1.0, 1.0), Factor(0.3, 1.0, 1.0)),
        (Factor(1.0, 1.0, 5.1), Factor(1.0, 1.0, 5.0)),
        (Factor(1.0, float("nan"), 1.2), Factor(1.0, 1.1, 1.2)),
    ],
)
def test_factor_when_impossible_or_out_of_order_is_refused(bad, good):
    """Lowest, expected, highest, in that order."""
    assert refused(Sheet("glass"), factor=bad) == "needs.factor"
    with pytest.raises(Refused) as caught:
        need(Sheet("glass"), factor=Factor(1.3, 1.2, 1.1))
    assert "glass are 1.3, 1.2 and 1.1" in str(caught.value)
    got = need(Sheet("glass"), factor=good)
    assert got.pair.lowest <= got.pair.expected <= got.pair.highest


def test_factor_when_one_was_learned_outranks_the_usual_and_says_so():
    """The unfolded sum names the factor's basis."""
    learned = Factor(1.02, 1.04, 1.06, Basis.LEARNED, "learned from 12 builds")
    usual = need(Sheet("glass"), factor=USUAL["glass"])
    got = need(Sheet("glass"), factor=USUAL["glass"], learned={"glass": learned})
    assert got.factor is learned
    assert got.pair.expected.value < usual.pair.expected.value
    assert got.how.source == "learned from 12 builds"
    assert {line.basis for line in got.how.inputs[1:]} == {Basis.LEARNED}
    other = need(Sheet("glass"), factor=USUAL["glass"], learned={"base": learned})
    assert other.pair == usual.pair
    assert need(Sheet("glass")).how.source == "assumed"


def test_needs_when_a_material_is_measured_in_two_ways_is_refused():
    """One material by area and by length cannot be added; both by area can."""
    mixed = [Sheet("tape"), Strip("tape", Course.EDGE)]
    assert refused(*mixed) == "needs.mixed"
    assert need(Sheet("tape"), Sheet("tape", Contact())).pair.expected.value > 0


def test_needs_when_a_lay_up_has_several_materials_keeps_their_order_and_adds_each_up():
    """Materials in the order of the lay-up, each with a line for every layer it is in."""
    layers = [Sheet("base"), Sheet("glass"), Pieces("core"), Sheet("glass"), Sheet("top")]
    answer = needs(
        outline=ski(), layers=layers, waste=dict.fromkeys(("base", "glass", "core", "top"), NOTHING_LOST)
    )
    assert [one.material for one in answer.materials] == ["base", "glass", "core", "top"]
    glass = answer.materials[1]
    assert glass.exact_pair.net == 2 * answer.materials[0].exact_pair.net
    assert [line.value for line in glass.how.inputs[:2]] == [191_472, 191_472]
    assert "whole ski" in glass.how.inputs[0].name
    soaked = need(Soak("mix", TRIAX, PRESSED)).how.inputs[0]
    assert soaked.name == "taken up by 144 g of fabric, fibre share 0.55"
    assert soaked.value == pytest.approx(117_494, abs=60)
    assert (soaked.unit, soaked.basis) == ("mg", Basis.ASSUMED)
    assert answer.how.inputs[-1].value == 5


def test_needs_when_only_a_pair_has_it_gives_no_amount_for_one_ski():
    """Cups and one printed top sheet for both skis belong to the pair."""
    cups = need(Pieces("cup", Amount(5, Base.PIECE), Per.PAIR))
    assert cups.ski is None
    assert need(Pieces("cup", Amount(2, Base.PIECE), Per.PAIR)).ski is None
    assert cups.pair.expected == Amount(5, Base.PIECE)
    glue = need(Pieces("glue", Amount(4_000, Base.UL)))
    assert (glue.ski.expected, glue.pair.expected) == (Amount(4_000, Base.UL), Amount(8_000, Base.UL))
    both = need(Pieces("cup"), Pieces("cup", Amount(5, Base.PIECE), Per.PAIR))
    assert both.ski is None
    assert both.pair.expected == Amount(7, Base.PIECE)


def test_needs_when_edge_is_cut_otherwise_uses_the_measures_given():
    """A shop that leaves 150 mm over at each end says so."""
    outline = ski()
    own = measures(outline=outline, edge_overrun_mm=Given(150.0, Basis.MEASURED))
    longer = need(Strip("edge", Course.EDGE), outline=outline, lengths=own)
    usual = need(Strip("edge", Course.EDGE), outline=outline)
    assert longer.pair.expected.value - usual.pair.expected.value == 200


@pytest.mark.parametrize(
    ("exact", "base", "expected"),
    [
        # Two cores, a twentieth to a tenth rejected: two are bought for a pair, three may be needed.
        ((2, "2.1", "2.15", "2.2"), Base.PIECE, (2, 2, 3)),
        # Eighty pairs: 168 to 176.
        ((160, "168", "172", "176"), Base.PIECE, (168, 172, 176)),
        ((160, "168.4", "172.5", "176.1"), Base.PIECE, (168, 173, 177)),
        ((2, "1.2", "1.4", "1.9"), Base.PIECE, (2, 2, 2)),
        ((10, "10.2", "10.6", "10.7"), Base.PIECE, (10, 11, 11)),
        (("1.5", "1.5", "1.5", "1.6"), Base.PIECE, (2, 2, 2)),
        (("1.2", "1.2", "1.2", "1.2"), Base.PIECE, (2, 2, 2)),
        ((10, "10", "10.000001", "11"), Base.MG, (10, 11, 11)),
        ((10, "9.1", "9.5", "10"), Base.MM, (10, 10, 10)),
    ],
)
def test_range_when_rounded_keeps_pieces_near_and_all_else_up(exact, base, expected):
    """Pieces to the nearest, never below what is in the ski; the rest up; each rounded once."""
    given_range = whole_range(exact=Exact(*(Fraction(value) for value in exact)), base=base)
    got = (given_range.lowest, given_range.expected, given_range.highest)
    assert got == tuple(Amount(value, base) for value in expected)


LAYERS = st.sampled_from(
    [
        Sheet("m", plies=2),
        Sheet("m", Blank(160.0, 50.0)),
        Strip("m", Course.EDGE),
        Strip("m", Course.EDGE_WRAP),
        Strip("m", Course.SIDEWALL),
        Strip("m", Contact(10.0), strands=2),
        Pieces("m"),
        Spread("m", Given(120.0), faces=2),
        Soak("m", TRIAX, PRESSED, plies=2),
    ]
)
FACTORS = st.lists(st.floats(1.0, 2.0), min_size=3, max_size=3).map(lambda values: Factor(*sorted(values)))


@given(LAYERS, FACTORS, st.floats(1200, 1900), st.floats(0, 200))
def test_needs_when_the_ski_is_longer_are_no_smaller(layer, factor, length, more):
    """Lowest, expected, highest in order; never below what is in the pair; longer never needs less."""
    short = need(layer, outline=ski(length_mm=length), factor=factor)
    longer = need(layer, outline=ski(length_mm=length + more), factor=factor)
    for one in (short, longer):
        assert (
            one.net_pair.value <= one.pair.lowest.value <= one.pair.expected.value <= one.pair.highest.value
        )
        assert one.ski.lowest.value <= one.ski.expected.value <= one.ski.highest.value
        assert one.exact_pair.net <= one.exact_pair.lowest
    for name in ("lowest", "expected", "highest"):
        assert getattr(short.pair, name) <= getattr(longer.pair, name)


@given(LAYERS, FACTORS)
def test_needs_of_a_pair_are_those_of_two_skis(layer, factor):
    """Each rounded once, a pair and two skis are at most one base unit apart."""
    one = need(layer, factor=factor)
    for name in ("lowest", "expected", "highest"):
        ski_amount, pair_amount = getattr(one.ski, name).value, getattr(one.pair, name).value
        assert abs(2 * ski_amount - pair_amount) <= 1


@given(st.integers(1, 10), st.integers(1, 10))
def test_needs_when_plies_are_added_add_up(one, two):
    """So many plies and so many more need as much as all of them at once."""
    together = need(Sheet("m", plies=one + two))
    apart = need(Sheet("m", plies=one), Sheet("m", plies=two))
    assert together.exact_pair.net == apart.exact_pair.net
    assert need(Sheet("m", plies=one)).exact_pair.net < together.exact_pair.net
