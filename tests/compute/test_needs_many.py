"""Needs of many pairs added up and rounded once, and factors learned from past builds."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.needs import Factor, needs
from inventory.compute.needs.layers import Course, Pieces, Sheet, Strip
from inventory.compute.needs.many import FEWEST, USUAL, Use, learn, total
from inventory.compute.reasons import Basis
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from tests.compute.skis import ski

REJECTS = Factor(1.05, 1.075, 1.10)


def pair(length=1800.0, layers=None):
    kept = layers or [Strip("edge", Course.EDGE), Pieces("core")]
    return needs(
        outline=ski(length_mm=length), layers=kept, waste={layer.material: REJECTS for layer in kept}
    )


def refused(call, **arguments):
    with pytest.raises(Refused) as caught:
        call(**arguments)
    return caught.value.code


def test_total_of_eighty_pairs_rounds_once():
    """160 cores with 5 to 10 % rejected are 168 to 176, not 80 times 3."""
    totals = {one.material: one for one in total(pairs=[pair()] * 80)}
    cores = totals["core"]
    assert [cores.amount.lowest.value, cores.amount.expected.value, cores.amount.highest.value] == [
        168,
        172,
        176,
    ]
    one = pair().materials[0]
    assert totals["edge"].exact.expected == 80 * one.exact_pair.expected
    assert (cores.exact.net, cores.exact.lowest, cores.exact.highest) == (160, 168, 176)
    assert 0 <= totals["edge"].amount.expected.value - totals["edge"].exact.expected < 1
    assert totals["edge"].amount.expected.value <= 80 * one.pair.expected.value
    assert [line.value for line in cores.how.inputs] == [80, 0]


def test_total_when_a_spare_pair_is_carried_adds_all_it_needs():
    """One complete spare pair's materials a workshop (common practice, no source)."""
    five, spare = [pair(1700.0)] * 5, pair(1850.0)
    without = {one.material: one for one in total(pairs=five)}
    with_spare = {one.material: one for one in total(pairs=five, spares=[spare])}
    for need in spare.materials:
        more = with_spare[need.material].exact.expected - without[need.material].exact.expected
        assert more == need.exact_pair.expected
    assert with_spare["edge"].how.inputs[1].value == 1


def test_total_when_there_are_no_pairs_or_two_measures_is_refused():
    """Nothing to add; or one material by length in one pair and by area in another."""
    assert refused(total, pairs=[]) == "needs.nothing"
    other = pair(layers=[Sheet("edge")])
    assert refused(total, pairs=[pair(), other]) == "needs.mixed"
    assert {one.material for one in total(pairs=[pair(), pair(layers=[Sheet("base")])])} == {
        "edge",
        "core",
        "base",
    }


@given(st.lists(st.floats(1200, 2000), min_size=1, max_size=6), st.floats(1200, 2000))
def test_total_when_a_pair_is_added_grows_and_order_does_not_matter(lengths, another):
    """The sum of the exact needs, whatever the order; one pair more never needs less."""
    pairs = [pair(length) for length in lengths]
    one_way = {one.material: one.exact for one in total(pairs=pairs)}
    assert one_way == {one.material: one.exact for one in total(pairs=pairs[::-1])}
    more = {one.material: one for one in total(pairs=[*pairs, pair(another)])}
    for one in total(pairs=pairs):
        assert one.amount.expected < more[one.material].amount.expected
        assert one.amount.lowest <= one.amount.expected <= one.amount.highest


def uses(*ratios, net=1_000_000):
    return [Use(Amount(net, Base.MG), Amount(round(net * ratio), Base.MG)) for ratio in ratios]


def test_learn_when_five_builds_are_recorded_gives_a_factor():
    """Four teach nothing yet; five do (common practice, no source)."""
    four = learn(builds=uses(1.1, 1.2, 1.1, 1.2))
    assert (four.factor, four.builds) == (None, 4)
    five = learn(builds=uses(1.1, 1.2, 1.1, 1.2, 1.15))
    assert five.builds == FEWEST
    assert five.factor.expected == pytest.approx(1.15)
    assert (five.factor.basis, five.factor.source) == (Basis.LEARNED, "learned from 5 builds")
    assert [line.value for line in five.how.inputs] == [5, 5_000_000, 5_750_000]
    assert learn(builds=[]).factor is None
    assert learn(builds=uses(1.1)).builds == 1


@given(st.lists(st.integers(300_000, 5_000_000), min_size=5, max_size=30))
def test_learn_when_compared_with_a_general_library_agrees(used):
    """Tenths as numpy's quantiles; expected between lowest and highest; all material accounted for."""
    builds = [Use(Amount(1_000_000, Base.MG), Amount(one, Base.MG)) for one in used]
    factor = learn(builds=builds).factor
    ratios = np.array(used) / 1_000_000
    assert factor.expected == pytest.approx(ratios.mean())
    assert factor.lowest == pytest.approx(min(np.quantile(ratios, 0.1), ratios.mean()))
    assert factor.highest == pytest.approx(max(np.quantile(ratios, 0.9), ratios.mean()))
    assert factor.lowest <= factor.expected <= factor.highest
    assert Fraction(sum(used), len(used) * 1_000_000) == pytest.approx(factor.expected)


def test_learn_when_builds_differ_in_size_weighs_the_large_ones_more():
    """All used over all net: a child's pair counts as much as it is."""
    builds = [*uses(1.5, net=100_000), *uses(1.1, 1.1, 1.1, 1.1)]
    assert learn(builds=builds).factor.expected == pytest.approx((150 + 4400) / (100 + 4000))


def test_learn_when_far_off_is_used_stays_a_factor_that_needs_takes():
    """What was learned can be used as it is."""
    learned = learn(builds=uses(0.3, 0.3, 5.0, 5.0, 0.3)).factor
    answer = needs(
        outline=ski(),
        layers=[Sheet("glass")],
        waste={},
        learned={"glass": learned},
    )
    assert answer.materials[0].factor == learned


@pytest.mark.parametrize(
    ("build", "code"),
    [
        (Use(Amount(0, Base.MG), Amount(5, Base.MG)), "needs.use"),
        (Use(Amount(0, Base.MG), Amount(0, Base.MG)), "needs.use"),
        (Use(Amount(-5, Base.MG), Amount(-5, Base.MG)), "needs.use"),
        (Use(Amount(1_000, Base.MG), Amount(299, Base.MG)), "needs.use"),
        (Use(Amount(1_000, Base.MG), Amount(5_001, Base.MG)), "needs.use"),
        (Use(Amount(1_000, Base.UL), Amount(1_100, Base.UL)), "needs.mixed"),
        (Use(Amount(1_000, Base.MG), Amount(1_100, Base.UL)), "needs.mixed"),
    ],
)
def test_learn_when_a_build_cannot_be_is_refused(build, code):
    """Nothing in the pair, far too little or too much used, or other units; the nearest are taken."""
    good = uses(1.1, 1.2, 1.3, 1.1)
    assert refused(learn, builds=[*good, build]) == code
    for used in (300, 5_000):
        edge = Use(Amount(1_000, Base.MG), Amount(used, Base.MG))
        assert learn(builds=[*good, edge]).factor is not None


# Common practice, no source. Where practice names one number: nothing lost at best, that number expected.
WASTE_TABLE = [
    ("edge", 1.05, 1.075, 1.10),
    ("base sheet", 1.35, 1.425, 1.5),
    ("glass", 1.10, 1.12, 1.15),
    ("mixed resin", 1.15, 1.15, 1.25),
    ("mixed resin, first-time builders", 1.15, 1.25, 1.25),
    ("core blank", 1.05, 1.075, 1.10),
    ("sidewall", 1.0, 1.05, 1.05),
    ("rubber foil", 1.0, 1.05, 1.05),
    ("top sheet", 1.0, 1.25, 1.25),
]


def test_usual_factors_when_listed_are_those_of_the_waste_table():
    """Each can be used as it is, and says that it is assumed."""
    assert [(name, one.lowest, one.expected, one.highest) for name, one in USUAL.items()] == WASTE_TABLE
    for factor in USUAL.values():
        assert 1 <= factor.lowest <= factor.expected <= factor.highest
        assert (factor.basis, factor.source) == (Basis.ASSUMED, "common practice, no source")
