"""Who gets what: the worked cases, which method answers, what is said, and what is refused."""

from datetime import date

import pytest

from inventory.compute.choose import KEEPS, Draw, Lot, Method, Need, PassedOver, Rest, Why
from inventory.compute.reasons import Level
from tests.compute.lots import FAR, choose, day, lot, need


def covered(choice):
    return sum(draw.amount for draw in choice.draws)


def codes(choice):
    return [reason.code for reason in choice.verdict.reasons]


def test_choose_when_windows_agree_sweeps_what_passes_first():
    """The earlier date goes first, though the later lot is listed first."""
    choice = choose([lot("late", 10, 60), lot("soon", 5, 30)], [need("W1", 7, 8, 10)])
    assert choice.draws == (Draw("W1", "soon", 5, False), Draw("W1", "late", 2, False))
    assert (choice.method, choice.short, choice.moved) == (Method.SWEEP, 0, 7)
    assert choice.rests == (Rest("late", 8, day(60), True),)
    assert choice.verdict.level is Level.LOOK
    assert codes(choice) == ["choose.expires", "choose.method"]
    assert "No need's days lie inside another's" in str(choice.verdict.reasons[-1].sentence)
    assert (
        str(choice.verdict.reasons[0].sentence)
        == "8 mg of lot late is left over and passes its date on 2026-03-02."
    )


def test_choose_when_a_lot_comes_late_passes_over_what_is_used_up_behind_it():
    """Neither the late lot nor the empty one appears in the draws."""
    lots = [lot("late", 5, 50, start=20), lot("first", 5, 60), lot("then", 5, 70)]
    choice = choose(lots, [need("W", 5, 8, 9), need("V", 3, 9, 10)])
    assert choice.draws == (Draw("W", "first", 5, False), Draw("V", "then", 3, False))


def test_choose_in_may_and_september_finds_what_totals_hide():
    """Stock 16 and demand 16, yet 2 short in September and 2 of A pass their date.

    A worked example of netting with and without dates (computed, by hand: 8 from A in May; in September A has
    passed and B holds 6).
    """
    lots = [
        Lot("A", 10, date(2026, 6, 30)),
        Lot("B", 6, date(2026, 12, 31)),
    ]
    needs = [
        Need("May", 8, date(2026, 5, 15), date(2026, 5, 15)),
        Need("September", 8, date(2026, 9, 1), date(2026, 9, 1)),
    ]
    choice = choose(lots, needs, horizon=date(2026, 9, 30))
    assert choice.draws == (Draw("May", "A", 8, False), Draw("September", "B", 6, False))
    assert [met.short for met in choice.met] == [0, 2]
    assert choice.expiring == (Rest("A", 2, date(2026, 6, 30), True),)
    assert choice.met[1].passed_over == (PassedOver("A", Why.PASSED), PassedOver("B", Why.USED_UP))
    assert codes(choice) == ["choose.short", "choose.expires", "choose.method"]
    assert "September is short 2 mg of 8 mg" in str(choice.verdict.reasons[0].sentence)


def test_choose_when_a_window_lies_inside_another_weighs_all_ways():
    """Lots (0,30,5), (10,60,5); needs (20,21,5), (1,29,5): the sweep covers 5, the best 10 (computed)."""
    lots = [lot("a", 5, 30, start=0), lot("b", 5, 60, start=10)]
    crossing = choose(lots, [need("inner", 5, 20, 21), need("outer", 5, 1, 29)])
    assert (covered(crossing), crossing.method) == (10, Method.FLOW)
    assert "Outer is loaded before inner and used after it" in str(crossing.why)
    agreeing = choose(lots, [need("inner", 5, 20, 21), need("outer", 5, 20, 29)])
    assert (covered(agreeing), agreeing.method) == (10, Method.SWEEP)


def test_choose_when_a_place_binds_weighs_all_ways():
    """Depot lot to day 50 for A and B, trailer B's lot to day 60 only for B: sweep 5, best 10 (computed)."""
    lots = [lot("depot", 5, 50), lot("aboard", 5, 60, place="B")]
    b = need("tripB", 5, 10, 10, trailers="B", reach={"Loft"})
    a = need("tripA", 5, 20, 20, trailers="A", reach={"Loft"})
    choice = choose(lots, [b, a])
    assert (covered(choice), choice.method) == (10, Method.FLOW)
    assert choice.draws == (Draw("tripB", "aboard", 5, True), Draw("tripA", "depot", 5, False))
    assert "Lot aboard is in reach of tripB but not of tripA" in str(choice.why)
    assert choice.moved == 5
    free = choose(lots, [b, need("tripA", 5, 20, 20, trailers="A", reach={"Loft", "B"})])
    assert (covered(free), free.method) == (10, Method.SWEEP)


def test_choose_when_all_are_covered_still_uses_first_what_passes_first():
    """Each need alone would take what passes first of what it reaches, and leave lot x to pass its date."""
    lots = [lot("z", 5, 15), lot("x", 5, 20, place="A"), lot("y", 5, 60)]
    first = need("tripA", 5, 8, 10, trailers="A", reach={"Loft"})
    then = need("tripB", 5, 12, 14, trailers="B", reach={"Loft"})
    choice = choose(lots, [first, then])
    assert choice.method is Method.FLOW
    assert choice.draws == (Draw("tripA", "x", 5, True), Draw("tripB", "z", 5, False))
    assert choice.rests == (Rest("y", 5, day(60), True),)


def test_choose_when_three_needs_reach_three_ways_still_sees_that_a_place_binds():
    """However many ways there are to reach, one lot in reach of one and not of another is enough."""
    lots = [lot("depot", 5, 50), lot("aboard", 5, 60, place="B")]
    needs = [
        need("tripB", 5, 10, 10, trailers="B", reach={"Loft"}),
        need("tripA", 5, 20, 20, trailers="A", reach={"Loft"}),
        need("tripC", 1, 55, 55, trailers="C", reach={"Barn"}),
    ]
    choice = choose(lots, needs)
    assert (covered(choice), choice.method) == (10, Method.FLOW)
    assert "Lot depot" not in str(choice.why)
    third = need("tripD", 1, 21, 21, trailers="D", reach={"Loft"})
    assert "in reach of tripB but not of tripA" in str(choose(lots, [*needs, third]).why)


def test_choose_when_the_lot_that_would_bind_is_empty_sweeps():
    """An empty can in another trailer is no reason to weigh all ways; a full one is."""
    needs = [need("tripB", 5, 10, 10, trailers="B", reach={"Loft"}), need("tripA", 5, 20, 20, reach={"Loft"})]
    lots = [lot("depot", 10, 50), lot("aboard", 0, 60, place="B")]
    assert choose(lots, needs).method is Method.SWEEP
    assert choose([lots[0], lot("aboard", 1, 60, place="B")], needs).method is Method.FLOW


def test_choose_when_every_need_has_the_same_reach_sweeps_without_the_rest():
    """A lot nobody can reach is left alone; it needs no maximum flow."""
    choice = choose(
        [lot("gone", 5, 20, place="Ptarmigan"), lot("here", 5, 30)],
        [need("W1", 4, 5, 6, reach={"Loft"}), need("W2", 4, 8, 9, reach={"Loft"})],
    )
    assert (choice.method, [met.short for met in choice.met]) == (Method.SWEEP, [0, 3])
    assert choice.met[1].passed_over[0] == PassedOver("gone", Why.ELSEWHERE)


def test_choose_when_reach_differs_but_dates_keep_them_apart_sweeps():
    """A place binds only where the days would have suited both."""
    lots = [lot("early", 5, 12, place="B"), lot("late", 5, 60)]
    needs = [need("tripB", 5, 10, 10, trailers="B", reach={"Loft"}), need("tripA", 5, 20, 20, reach={"Loft"})]
    choice = choose(lots, needs)
    assert (choice.method, choice.short) == (Method.SWEEP, 0)


@pytest.mark.parametrize(("last", "load", "start", "short"), [(10, 8, 8, 0), (9, 8, 8, 5), (10, 8, 9, 5)])
def test_choose_counts_days_on_both_ends(last, load, start, short):
    """In date through the last day of use and here on the load day: those days themselves still count."""
    choice = choose([lot("a", 5, last, start=start)], [need("W", 5, load, 10)])
    assert choice.short == short


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"held": True}, Why.HELD),
        ({"last": 9}, Why.PASSED),
        ({"start": 9}, Why.LATE),
        ({"place": "Stoat"}, Why.ELSEWHERE),
        ({"last": None}, Why.UNDATED),
    ],
)
def test_choose_when_one_fact_of_a_lot_changes_leaves_the_need_short_and_says_why(changed, why):
    """The same lot without that fact covers the need."""
    facts = {"key": "a", "amount": 5, "last": 20}
    asked = [need("W", 5, 8, 10, reach={"Loft"})]
    assert choose([lot(**facts)], asked).short == 0
    choice = choose([lot(**(facts | changed))], asked)
    assert choice.short == 5
    assert choice.met[0].passed_over == (PassedOver("a", why),)


def test_choose_when_only_a_lot_without_a_date_could_help_cannot_say():
    """Unknown stays unknown: neither covered nor short for certain. A real shortage outranks it."""
    asked = [need("W", 5, 8, 10)]
    unknown = choose([lot("a", 3, 20), lot("found", 2, None)], asked)
    assert unknown.met[0].short == 2
    assert unknown.met[0].short_at_best == 0
    assert unknown.verdict.level is Level.UNKNOWN
    assert codes(unknown)[0] == "choose.undated"
    short = choose([lot("a", 3, 20), lot("found", 1, None)], asked)
    assert (short.met[0].short, short.met[0].short_at_best) == (2, 1)
    assert short.verdict.level is Level.STOP
    held = choose([lot("a", 3, 20), lot("found", 2, None, held=True)], asked)
    assert held.met[0].short_at_best == 2


def test_choose_when_something_keeps_never_says_it_passes():
    """Edges have no date; the unknown has no date to say either."""
    choice = choose([lot("edges", 9, "keeps"), lot("found", 4, None)], [need("W", 5, 8, 10)])
    assert choice.rests == (Rest("edges", 4, KEEPS, False), Rest("found", 4, None, False))
    assert (choice.expiring, choice.verdict.level) == ((), Level.FINE)


def test_choose_when_a_lot_lasts_to_the_horizon_does_not_say_it_passes():
    """What is left over matters only if its day comes before the horizon."""
    asked = [need("W", 5, 8, 10)]
    assert choose([lot("a", 9, 40)], asked, horizon=day(40)).expiring == ()
    assert choose([lot("a", 9, 40)], asked, horizon=day(41)).expiring == (Rest("a", 4, day(40), True),)


def test_choose_beyond_the_horizon_takes_what_is_aboard():
    """Up to the horizon what passes first goes first, beyond it nothing is saved by moving anything."""
    lots = [lot("loft", 5, 300), lot("aboard", 5, 400, place="Stoat")]
    asked = [need("W", 5, 8, 10, trailers={"Stoat"})]
    assert choose(lots, asked, horizon=day(200)).draws == (Draw("W", "aboard", 5, True),)
    assert choose(lots, asked, horizon=day(350)).draws == (Draw("W", "loft", 5, False),)


def test_choose_between_equal_dates_takes_aboard_then_the_store_then_another_trailer():
    """Among equals: own trailer, then what is in nobody's trailer, then another's."""
    lots = [lot("other", 2, 50, place="Ptarmigan"), lot("loft", 2, 50), lot("own", 2, 50, place="Stoat")]
    asked = [need("W", 3, 8, 10, trailers={"Stoat"}), need("V", 1, 18, 20, trailers={"Ptarmigan"})]
    choice = choose(lots, asked)
    assert choice.draws == (
        Draw("W", "loft", 1, False),
        Draw("W", "own", 2, True),
        Draw("V", "other", 1, True),
    )
    assert (choice.met[0].aboard, choice.met[0].to_load, choice.moved) == (2, 1, 1)


def test_choose_takes_from_the_store_before_another_trips_trailer():
    """Either way one thing is carried; nobody empties the other trailer without need."""
    lots = [lot("other", 5, 50, place="Ptarmigan"), lot("loft", 5, 50)]
    asked = [need("W", 3, 8, 10, trailers={"Stoat"}), need("V", 2, 18, 20, trailers={"Ptarmigan"})]
    choice = choose(lots, asked)
    assert choice.draws == (Draw("W", "loft", 3, False), Draw("V", "other", 2, True))


@pytest.mark.parametrize(("load", "method"), [(18, Method.SWEEP), (5, Method.FLOW)])
def test_choose_when_a_swap_saves_a_move_swaps(load, method):
    """By the dates alone W would empty the store and V what lies in W's trailer; the other way moves less."""
    lots = [lot("loft", 5, 40), lot("stoat", 5, 50, place="Stoat")]
    asked = [need("W", 5, 8, 10, trailers={"Stoat"}), need("V", 5, load, 20, trailers={"Ptarmigan"})]
    choice = choose(lots, asked)
    assert choice.draws == (Draw("W", "stoat", 5, True), Draw("V", "loft", 5, False))
    assert (choice.method, choice.moved, choice.short) == (method, 5, 0)


def test_choose_one_lot_for_each_mix_finds_the_fit_the_sweep_misses():
    """Lots to day 90: 4, to day 120: 6; mixes 3, 3, 4: the sweep covers 6, the best 10 (computed)."""
    lots = [lot("a", 4, 90), lot("b", 6, 120)]
    mixes = [need("m1", 3, 1, 2), need("m2", 3, 3, 4), need("m3", 4, 5, 6)]
    choice = choose(lots, mixes, one_lot_each=True)
    assert (covered(choice), choice.method, choice.certain) == (10, Method.SEARCH, True)
    assert [draw.lot for draw in choice.draws] == ["b", "b", "a"]


def test_choose_one_lot_for_each_mix_when_the_first_fit_covers_all_says_so():
    """No search needed: each mix took what passes first and can hold it."""
    choice = choose(
        [lot("a", 7, 90), lot("b", 6, 120)], [need("m1", 3, 1, 2), need("m2", 4, 3, 4)], one_lot_each=True
    )
    assert (choice.method, [draw.lot for draw in choice.draws]) == (Method.SWEEP, ["a", "a"])
    assert "covers every mix" in str(choice.why)


def test_choose_one_lot_for_each_mix_of_one_size_takes_what_is_aboard_first():
    """Counted in mixes, told in grams, and trailers count as for anything else."""
    lots = [lot("loft", 7, 50), lot("own", 4, 50, place="Stoat")]
    mixes = [need(f"m{at}", 3, at, at, trailers={"Stoat"}) for at in range(3)]
    choice = choose(lots, mixes, one_lot_each=True)
    assert (choice.method, choice.short, choice.moved) == (Method.SWEEP, 0, 6)
    assert [(draw.lot, draw.amount) for draw in choice.draws] == [("own", 3), ("loft", 3), ("loft", 3)]
    assert [rest.amount for rest in choice.rests] == [1, 1]


def test_choose_one_lot_for_each_mix_of_one_size_leaves_the_heel():
    """A lot of 7 holds two mixes of 3; the 1 that stays is too little, not free."""
    mixes = [need(f"m{at}", 3, at, at) for at in range(4)]
    choice = choose([lot("a", 7, 90), lot("b", 5, 120)], mixes, one_lot_each=True)
    assert (covered(choice), choice.method) == (9, Method.SWEEP)
    assert [met.short for met in choice.met] == [0, 0, 0, 3]
    assert choice.met[3].passed_over == (PassedOver("a", Why.TOO_LITTLE), PassedOver("b", Why.TOO_LITTLE))
    assert [rest.amount for rest in choice.rests] == [1, 2]
    spread = choose([lot("a", 7, 90), lot("b", 5, 120)], mixes)
    assert spread.short == 0


def test_choose_one_lot_for_each_mix_when_the_first_fit_leaves_one_short_was_searched():
    """The first fit may be the best there is; that it is, only the search knows."""
    choice = choose([lot("a", 5, 90)], [need("m1", 3, 1, 2), need("m2", 4, 3, 4)], one_lot_each=True)
    assert (choice.method, choice.short, choice.certain) == (Method.SEARCH, 3, True)
    least = choose([lot("a", 5, 90)], [need("m1", 4, 1, 2), need("m2", 3, 3, 4)], one_lot_each=True)
    assert (least.method, least.short, least.certain) == (Method.SEARCH, 3, True)


def thirty_mixes(lots, sizes):
    mixes = [need(f"m{at}", size, at, at) for at, size in enumerate(sizes)]
    return choose(
        [lot(f"l{at}", amount, 90 + at) for at, amount in enumerate(lots)], mixes, one_lot_each=True
    )


def test_choose_when_the_search_ends_early_says_more_may_be_possible():
    """Thirty odd mixes into tight lots: an answer in time, and honest about it."""
    choice = thirty_mixes([97] * 12, [37 + 11 * at % 29 for at in range(30)])
    assert (choice.method, choice.certain) == (Method.SEARCH, False)
    assert "choose.not_certain" in codes(choice)


def test_choose_when_the_search_ends_early_but_every_lot_is_used_up_is_certain():
    """The same mixes; nothing is left in any lot, so nothing more could be covered."""
    sizes = sorted((37 + 11 * at % 29 for at in range(30)), reverse=True)
    choice = thirty_mixes(sizes[:12], sizes)
    assert (choice.method, choice.certain, choice.rests) == (Method.SEARCH, True, ())
    assert "choose.not_certain" not in codes(choice)


def test_choose_with_nothing_to_do_or_nothing_to_do_it_with_answers():
    """No needs: all stays. No lots: all short. A need of nothing is met."""
    assert choose([lot("a", 5, 20)], []).rests == (Rest("a", 5, day(20), True),)
    empty = choose([], [need("W", 5, 8, 10), need("nothing", 0, 8, 10)])
    assert [met.short for met in empty.met] == [5, 0]
    assert empty.met[0].passed_over == ()
    assert choose([lot("gone", 0, 20)], [need("W", 5, 8, 10)]).met[0].passed_over == ()
    assert choose([], [], one_lot_each=True).short == 0


def test_choose_says_how_it_was_got():
    """The rule of the method that answered, its source and what went in."""
    how = choose([lot("a", 5, 20)], [need("W", 5, 8, 10)]).how
    assert "what passes first" in how.rule
    assert "Glover" in how.source
    assert [(line.name, line.value) for line in how.inputs] == [("lots", 1), ("needs", 1), ("horizon", FAR)]
