"""Suspects, what skis share, how far a thing reaches, and one ski beside the others."""

from datetime import timedelta
from fractions import Fraction
from math import comb

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from scipy import stats

from inventory.actions import builds, places, press, pressing, skis_back, stock
from inventory.compute.codes import Kind
from inventory.compute.suspects import Band
from inventory.queries.skis_back import beside, shelf, suspects
from inventory.queries.skis_back import reach as reaches
from inventory.queries.skis_back.exposures import exposed, seasons
from tests.make import MONDAY, day, grams
from tests.returns import TIP, Bench

pytestmark = pytest.mark.django_db
TODAY = MONDAY.date()
JUG = "TH-2466"


@pytest.fixture
def bench(shop):
    return Bench(shop)


def lines(page):
    """The told lines by kind and code of everything on them."""
    return {
        (factor.kind, factor.code): row.suspect
        for row in (*page.told, *page.untold)
        for factor, _ in row.leads
    }


def test_jug_of_five_returned_pairs_is_suspected_with_the_chance_scipy_gives(bench):
    """Outside check: scipy.stats.fisher_exact and binomtest on the same four counts."""
    guilty = [bench.pair(JUG, guest=f"G{number}") for number in range(5)]
    fine = [bench.pair("TH-1", guest=f"F{number}") for number in range(15)]
    for built in guilty:
        bench.back(built.left)
    bench.back(fine[0].left, failure="edge")
    page = suspects.suspects(TIP)
    found = lines(page)["hardener lot", JUG]
    assert (found.exposed, found.returned, found.returned_exposed, found.delivered) == (5, 5, 5, 20)
    table = [[5, 0], [0, 15]]
    expected = stats.fisher_exact(table, alternative="greater").pvalue
    assert found.chance == pytest.approx(expected, rel=1e-9)
    assert found.chance == pytest.approx(float(Fraction(1, comb(20, 5))), rel=1e-12)
    assert found.band is Band.UNLIKELY
    interval = stats.binomtest(5, 5).proportion_ci(0.95, "exact")
    assert (found.rate.low, found.rate.high) == pytest.approx((interval.low, interval.high), rel=1e-9)
    assert any("48 % to 100 % is plausible" in str(sentence) for sentence in found.sentences)
    bars = page.told[0]
    assert (bars.with_it.back, bars.with_it.there, bars.without.back, bars.without.there) == (5, 5, 0, 15)
    assert (bars.without.width, bars.with_it.filled) == (320.0, 106.7)
    aliases = {(factor.kind, factor.code) for factor, _ in page.told[0].leads}
    assert ("hardener lot", JUG) in aliases
    assert any(kind == "hardener package" for kind, _ in aliases)
    assert lines(page)["resin lot", "TR-1"].adjusted is None  # every ski has it: nothing to compare


def test_suspects_page_gives_fishers_tea_where_the_counts_are_his(bench):
    """Outside check: Fisher, The Design of Experiments (1935): 3 of 4 cups right, 17 in 70."""
    first = [bench.pair("TH-A", guest=f"A{number}") for number in range(4)]
    second = [bench.pair("TH-B", guest=f"B{number}") for number in range(4)]
    for built in (*first[:3], second[0]):
        bench.back(built.left)
    page = suspects.suspects(TIP)
    found = lines(page)["hardener lot", "TH-A"]
    assert (found.returned_exposed, found.exposed, found.returned) == (3, 4, 4)
    assert found.chance == pytest.approx(17 / 70, rel=1e-12)
    assert found.band is Band.CHANCE
    assert stats.fisher_exact([[3, 1], [1, 3]], alternative="greater").pvalue == pytest.approx(17 / 70)


def test_one_return_alone_compares_nothing_and_says_so(bench):
    """The gate: fewer than three pairs."""
    bench.pair("TH-1", guest="Ola")
    bench.back(bench.pair(JUG).left)
    page = suspects.suspects(TIP)
    assert page.told == ()
    assert "not enough returns" in str(page.found.sentences[0])
    assert {row.suspect.band for row in page.untold} == {Band.TOO_FEW, Band.SEASON}


def test_everything_returned_has_nothing_to_compare_with(bench):
    """Every delivered pair is back: each line is as good as the season."""
    for number in range(4):
        bench.back(bench.pair(JUG, guest=f"G{number}").left)
    page = suspects.suspects(TIP)
    assert page.told == ()
    assert lines(page)["hardener lot", JUG].band is Band.SEASON


def test_old_lot_is_not_accused_for_being_old(bench, shop):
    """Returns of an older season, all of it of one lot, beside a season without any."""
    bench.shop.at = MONDAY.replace(year=2025)
    for number in range(4):
        bench.back(bench.pair("TH-OLD", guest=f"O{number}").left, came_on=day("2025-11-30"))
    bench.shop.at = MONDAY
    for number in range(6):
        bench.pair("TH-NEW", guest=f"N{number}")
    found = lines(suspects.suspects(TIP))["hardener lot", "TH-OLD"]
    assert (found.band, found.adjusted) == (Band.SEASON, None)


def test_suspects_of_a_failure_nobody_had_are_none_and_unknown_skis_are_not_counted(bench, shop):
    """Only skis that are known were delivered."""
    seen = skis_back.Failed("edge", "an edge lifts", TODAY)
    from inventory.actions.papers import File

    photo = File("0" * 64, "image/jpeg", 1, "photo")
    bench.pair()
    shop.do(skis_back.log_unknown, seen=seen, photos=[photo])
    assert suspects.suspects("edge") is None
    assert suspects.suspects(TIP) is None


def test_repair_is_no_cause_of_what_it_repaired(bench, shop):
    """The glue of the repair is in the trace, and among no suspects."""
    built = bench.pair(JUG)
    glue = shop.package("glue", grams(50), "G-9")
    back = bench.back(built.left).thing
    shop.do(skis_back.repair_return, back=back, ski=built.left, inputs=[(glue, grams(5))], done="re-bonded")
    assert not [factor for factor in exposed().factors if "glue" in factor.kind]
    assert reaches.reach([glue]).skis == (built.left,)


def test_exposures_name_bands_of_the_mix_and_the_days_a_jug_stood_open(bench, shop):
    """What the events know, each ski once, whatever was mixed."""
    jug = shop.package("hardener", grams(5000), "TH-5", made_on=day("2026-01-01"))
    bench.jugs["TH-5"] = jug
    shop.do(stock.open_package, package=jug)
    shop.at = MONDAY.replace(day=30, hour=20)
    bench.pair("TH-5")
    found = {(factor.kind, factor.code): factor for factor in exposed().factors}
    assert ("mix error", "up to 1 %") in found
    assert ("hardener open for", "up to 7 days") in found
    assert ("hardener made", "6 to 12 months before") in found
    assert ("laid up after mixing", "up to 10 min") in found
    assert ("turn in the press that day", "1") in found
    assert all(len(set(factor.skis)) == len(factor.skis) for factor in found.values())


def test_season_ends_with_a_pause_and_after_a_year():
    """Two winters, and a shop that never pauses."""
    winters = [day(text) for text in ("2024-12-01", "2025-01-20", "2025-03-20", "2025-05-19")]
    assert [seasons(winters)[one] for one in winters] == ["from 1 Dec 2024"] * 3 + ["from 19 May 2025"]
    steady = [day("2025-01-01") + timedelta(days=50 * turn) for turn in range(9)]
    assert [steady.index(one) for one in steady if seasons(steady)[one] != "from 1 Jan 2025"] == [8]


def test_what_skis_share_names_the_fewest_first(bench):
    """Two skis of one jug, and one of another: jug first, then what all have."""
    one, two = bench.pair(JUG), bench.pair(JUG, guest="Ola")
    other = bench.pair("TH-1", guest="Per")
    rows = reaches.shared([[one.left], [two.right]])
    assert rows[0].skis == 4
    assert bench.jug(JUG) in {row.thing.id for row in rows if row.skis == 4}
    assert bench.press in {row.thing.id for row in rows if row.skis == 6}
    apart = {row.thing.id for row in reaches.shared([[one.left], [other.left]])}
    assert bench.jug(JUG) not in apart
    assert bench.resin in apart
    assert reaches.shared([]) == []


def test_what_skis_share_asks_as_often_for_many_things_as_for_few_and_counts_as_reach_does(bench, shop):
    """Two skis of one jug; two more that have ten cans of glue in them besides."""
    one, two = bench.pair(JUG), bench.pair(JUG, guest="Ola")
    with CaptureQueriesContext(connection) as few:
        rows = reaches.shared([[one.left], [two.left]])
    more = [bench.pair(JUG, guest=guest, over=False) for guest in ("Per", "Kari")]
    cans = [(shop.package("glue", number=f"G-{number}"), grams(10)) for number in range(10)]
    for pair in more:
        shop.do(press.inspect, ski=pair.left, passed=False, why="the tip is dry")
        shop.do(press.lay_up, ski=pair.left, inputs=cans)
    with CaptureQueriesContext(connection) as many:
        wide = reaches.shared([[pair.left] for pair in more])
    assert len(wide) >= len(rows) + 10
    assert len(many) == len(few)
    assert {row.thing.id: row.skis for row in wide} == {
        row.thing.id: len(reaches.reach([row.thing.id]).skis) for row in wide
    }


def test_reach_tells_owners_work_and_stock_on_the_trailer_it_lies_on(bench, shop):
    """A jug poured in two, one part on each trailer."""
    out, work = bench.pair(JUG), bench.pair(JUG, over=False, guest="Ola")
    yard = shop.place(Kind.YARD)
    stoat, loft = shop.place(Kind.TRAILER, "Stoat", yard), shop.place(Kind.STORE, "the Loft", yard)
    small = shop.do(stock.split_package, package=bench.jug(JUG), amount=grams(500)).thing
    shop.do(places.move, things=[small], to=stoat)
    shop.do(places.move, things=[bench.jug(JUG)], to=loft)
    found = reaches.reach([bench.jug(JUG)])
    spread = reaches.spread(found.skis)
    assert (spread.out, set(spread.in_work)) == ((out.pair,), {work.left, work.right})
    left = {row.thing.id: (row.trailer, row.amount.value) for row in shelf.left(found.others, TODAY)}
    assert left[small] == ("Stoat", 500_000)
    assert left[bench.jug(JUG)][0] == ""
    (owner,) = reaches.owners(spread.out, spread)
    assert (owner.guest, owner.whole, owner.handed_over_on) == ("Ida", True, TODAY)


def test_reach_of_what_went_into_nothing_is_empty_and_siblings_are_one_level_over(bench, shop):
    """A fresh jug; the two cups of a pair come from one jug."""
    fresh = shop.package("hardener", grams(100), "TH-9")
    found = reaches.reach([fresh])
    assert (found.skis, found.others) == ((), (fresh,))
    built = bench.pair(JUG)
    assert [row.id for row in reaches.siblings(built.cups[0])] == [built.cups[1]]
    assert reaches.siblings(fresh) == []
    assert set(reaches.reach([built.pair]).skis) == {built.left, built.right}


def test_ski_beside_the_others_marks_what_differs_and_nobody(bench, shop):
    """Its jug is not theirs; its press is."""
    first = MONDAY.date()
    workshop = shop.do(builds.plan_workshop, name="Hestlia", starts_on=first, ends_on=first).thing
    odd = bench.pair(JUG, workshop=workshop)
    for number in range(3):
        bench.pair("TH-1", guest=f"G{number}", workshop=workshop)
    found = beside.beside(odd.left)
    facts = {fact.name: fact for fact in found.facts}
    assert (len(found.others), found.left_out) == (7, 0)
    assert (facts["hardener lot"].own, facts["hardener lot"].apart) == (JUG, True)
    assert facts["hardener lot"].others.startswith("TH-1 (6)")
    assert not facts["press"].apart
    assert not facts["press verdict"].apart
    assert not any("Ragna" in f"{fact.own}{fact.others}" for fact in found.facts)
    assert any("Ragna" in line for line in found.people)
    assert beside.beside(bench.jug(JUG)) is None


def test_coldest_probe_of_a_closing_stands_beside_the_others(bench, shop):
    """Typed at the press: 61 °C where the others reached 75; each probe by its highest reading."""
    first = MONDAY.date()
    workshop = shop.do(builds.plan_workshop, name="Hestlia", starts_on=first, ends_on=first).thing
    cold = bench.pair(JUG, over=False, workshop=workshop)
    warm = bench.pair(JUG, over=False, guest="Ola", workshop=workshop)
    for cycle, readings in ((cold.cycle, ((50, 40), (75, 61))), (warm.cycle, ((76, 75),))):
        for tip, tail in readings:
            shop.do(pressing.read_press, cycle=cycle, probes_c={"tip": float(tip), "tail": float(tail)})
    facts = {fact.name: fact for fact in beside.beside(cold.left).facts}
    told = (str(facts["coldest"].own), str(facts["coldest"].others))
    assert told == ("61 °C", "61 °C to 75 °C")  # its partner lay beside it


def test_suspects_take_the_same_statements_for_one_return_and_for_ten(bench, django_assert_num_queries):
    """However many pairs were delivered."""
    bench.back(bench.pair(JUG).left)
    with CaptureQueriesContext(connection) as one:
        suspects.suspects(TIP)
    for number in range(9):
        bench.back(bench.pair(JUG, guest=f"G{number}").left)
    with django_assert_num_queries(len(one)):
        suspects.suspects(TIP)


def test_left_and_right_of_different_cups_keep_different_suspects(bench):
    """A pair whose skis took hardener of two jugs: each ski has its own jug and cup."""
    built = bench.pair(JUG, right="TH-1")
    exposed_to = exposed()
    having = {
        exposed_to.things[factor.kind, factor.code]: set(factor.skis)
        for factor in exposed_to.factors
        if (factor.kind, factor.code) in exposed_to.things
    }
    left, right = str(built.left), str(built.right)
    assert having[bench.jug(JUG)] == {left} == having[built.cups[0]]
    assert having[bench.jug("TH-1")] == having[built.cups[1]] == {right}
    assert having[bench.press] == having[bench.resin] == {left, right}
