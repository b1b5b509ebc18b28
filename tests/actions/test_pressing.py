"""A press at work: each refusal beside what differs by one fact; the verdicts of the three logs."""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.actions import books, build_steps, equipment, press, pressing, stock
from inventory.compute.codes import Kind
from inventory.models import Event, Hold
from inventory.queries import bench, cycles
from inventory.queries import pressing as queries
from inventory.queries.books import differences
from tests import bench_world, press_runs
from tests.make import day, refused
from tests.press_runs import HEATED, SEEN, closed, closing, laid_up, machine

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


def test_close_press_when_all_is_in_order_runs_a_cycle_until_it_is_opened(world):
    """The press is closed, its skis lie in it; opening frees it and ticks cool and open on the card."""
    skis, on = laid_up(world), machine(world)
    cycle = closed(world, on, skis)
    (row,) = cycles.closed(world.shop.at)
    assert (row.id, row.press, set(row.skis), row.heated) == (cycle, on, set(skis), True)
    assert row.watcher == "Odd Fether"
    world.shop.at += timedelta(hours=3)
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    assert cycles.closed(world.shop.at) == []
    jobs = {event.facts["job"] for event in Event.objects.filter(step="step done")}
    assert jobs == {"cool", "open"}
    with refused("press.opened_before"):
        world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)


@pytest.mark.parametrize(
    ("change", "code", "words"),
    [
        ({"set_kpa": 420.0}, "press.not_in_order", "420.0 kPa is above"),
        ({"set_c": 120.0}, "press.not_in_order", "no known rating at 120.0 °C"),
        ({"watcher": None}, "press.not_in_order", "named watcher"),
        ({"checked": HEATED[:-1]}, "press.not_checked", "extinguisher"),
        ({"heated": False, "checked": HEATED}, "press.no_bay", "bay"),
        ({"skis": []}, "press.no_skis", "No ski"),
        ({"set_kpa": float("nan")}, "press.set_point", "not a number"),
    ],
)
def test_close_press_with_one_fact_wrong_is_refused_and_without_it_is_not(world, change, code, words):
    """Above a rating, hotter than any, unwatched, unchecked, unheated without the bay, nothing in it."""
    skis, on = laid_up(world), machine(world)
    with refused(code, words):
        world.shop.do(pressing.close_press, **closing(world, on, skis) | change)
    world.shop.do(pressing.close_press, **closing(world, on, skis))


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"ratings": []}, "no known rating"),
        ({"relief_kpa": None}, "relief valve"),
        ({"relief_kpa": 430.0}, "relief valve opens at 430.0 kPa, above"),
        ({"frame_kn": 80.0}, "The frame would carry 92.4 kN"),  # 275 kPa x 2.1 m x 0.16 m, by hand
        ({"bladders_mm": []}, "unknown"),
    ],
)
def test_close_press_whose_plates_do_not_say_or_do_not_bear_it_is_refused_and_else_not(world, facts, words):
    """Unknown is not in order."""
    skis = laid_up(world)
    with refused("press.not_in_order", words):
        world.shop.do(pressing.close_press, **closing(world, machine(world, "Press 2", **facts), skis))
    world.shop.do(pressing.close_press, **closing(world, machine(world), skis))


def test_close_press_with_a_hose_of_lower_rating_or_an_inspection_overdue_is_refused(world):
    """A hose rated 60 psi never sees 80 (corrections to the trade's notes): less when hot."""
    shop, skis, on = world.shop, laid_up(world), machine(world)
    hose = shop.do(
        equipment.make_equipment,
        kind=Kind.EQUIPMENT,
        name="Hose",
        facts={"ratings": [[30.0, 414.0], [100.0, 240.0]], "part_of_id": on, "sort": "hose"},
    ).thing
    with refused("press.not_in_order"):
        shop.do(pressing.close_press, **closing(world, on, skis, set_kpa=200.0))  # never inspected
    due = shop.do(
        equipment.plan_inspection, equipment=hose, what="hose", every_months=6, last_on=day("2026-04-01")
    )
    assert due
    with refused("press.not_in_order", "inspection of Hose was due"):
        shop.do(pressing.close_press, **closing(world, on, skis, set_kpa=200.0))
    (inspection,) = cycles_inspections(hose)
    shop.do(equipment.inspect_equipment, inspection=inspection, passed=True, why="no cracks")
    with refused("press.not_in_order", "275.0 kPa is above the 240.0 kPa that Hose"):
        shop.do(pressing.close_press, **closing(world, on, skis))
    with refused("press.not_in_order", "relief valve"):
        shop.do(pressing.close_press, **closing(world, on, skis, set_kpa=200.0))
    shop.do(equipment.edit_equipment, equipment=on, changes={"relief_kpa": 230.0})
    shop.do(pressing.close_press, **closing(world, on, skis, set_kpa=200.0))


def cycles_inspections(thing):
    from inventory.queries import equipment as queries

    return [due.id for due in queries.inspections(thing)]


def test_close_press_twice_or_on_a_ski_in_another_press_is_refused_until_it_is_opened(world):
    """One press, one cycle; one ski, one press."""
    first, second = laid_up(world), laid_up(world, "Ola")
    one, other = machine(world), machine(world, "Press 2")
    cycle = closed(world, one, first)
    with refused("press.closed_already"):
        world.shop.do(pressing.close_press, **closing(world, one, second))
    with refused("press.ski_elsewhere"):
        world.shop.do(pressing.close_press, **closing(world, other, first))
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    world.shop.do(pressing.close_press, **closing(world, one, second))
    world.shop.do(pressing.close_press, **closing(world, other, first))


@pytest.mark.parametrize(
    ("mould", "bladder", "code"),
    [([1720], 2100, "press.mould_short"), ([1720, 1840], 1800, "press.too_short"), ([1840], 2100, "")],
)
def test_close_press_with_a_mould_or_bladder_too_short_is_refused(world, mould, bladder, code):
    """A ski of 1840 mm; the mould takes 1720, the bladder is 1800."""
    skis, on = laid_up(world), machine(world, bladders_mm=[[bladder, 160]])
    on_mould = world.shop.do(
        equipment.make_equipment, kind=Kind.MOULD, name="mould", facts={"lengths_mm": mould}
    ).thing
    values = closing(world, on, skis, mould=on_mould)
    if code:
        with refused(code, "1840 mm"):
            world.shop.do(pressing.close_press, **values)
    else:
        world.shop.do(pressing.close_press, **values)


def test_close_press_on_more_skis_than_it_takes_or_on_one_not_laid_up_or_on_hold_is_refused(world):
    """One pair a closing; each ski laid up, none on hold."""
    first, second, on = laid_up(world), laid_up(world, "Ola"), machine(world)
    _, bare, _ = world.pair("Una")
    with refused("press.too_many"):
        world.shop.do(pressing.close_press, **closing(world, on, (*first, *second)))
    with refused("press.not_laid_up"):
        world.shop.do(pressing.close_press, **closing(world, on, (first[0], bare)))
    world.shop.do(stock.hold, things=[first[0]], reason="a gap at the edge")
    with refused("stock.on_hold"):
        world.shop.do(pressing.close_press, **closing(world, on, first))
    world.shop.do(pressing.close_press, **closing(world, on, second))


@pytest.mark.parametrize("missing", SEEN)
def test_open_press_with_anything_not_looked_at_is_refused_and_with_all_of_it_is_not(world, missing):
    """Schedule, heat, vent, gauge, cool, clear: each by itself."""
    cycle = closed(world, machine(world), laid_up(world))
    with refused("press.not_seen"):
        world.shop.do(pressing.open_press, cycle=cycle, checked=[key for key in SEEN if key != missing])
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)


def test_open_press_while_the_readings_say_it_is_too_early_is_refused_and_an_owner_records_what_happened(
    world,
):
    """Half the schedule permits nothing; what happened is kept, and the skis are on hold."""
    shop = world.shop
    skis = laid_up(world)
    cycle = closed(world, machine(world), skis)
    for _ in range(5):
        shop.at += timedelta(minutes=10)
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 70.0, "2": 72.0}, kpa=275.0)
    with refused("press.too_early", "of the schedule has run"):
        shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    with refused("press.owner_says"):
        shop.do(pressing.opened_early, by=shop.by(as_=shop.crew), cycle=cycle, why="the hose burst")
    with refused("press.no_why"):
        shop.do(pressing.opened_early, cycle=cycle, why="")
    shop.do(pressing.opened_early, cycle=cycle, why="the hose burst")
    assert set(Hold.objects.values_list("thing_id", flat=True)) == set(skis)
    assert cycles.one(cycle).early
    with refused("stock.on_hold"):
        shop.do(press.finish, skis=list(skis))


def test_open_press_once_the_readings_hold_nothing_against_it_is_recorded(world):
    """2 h at 70 °C are the listed schedule; then cooled below 40 °C, pressure kept."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    for minute in range(0, 220, 10):
        shop.at = cycles.one(cycle).closed_at + timedelta(minutes=minute + 1)
        celsius = 70.0 if minute <= 150 else 35.0
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": celsius, "2": celsius + 1}, kpa=275.0)
    shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    shop.do(pressing.judge_by_log, cycle=cycle)
    assert bench.last_verdict(cycles.one(cycle).skis[0], "judged") is True


@pytest.mark.parametrize(
    ("name", "outcome", "code"),
    [
        ("reached-late", "passes", ""),
        ("with-a-gap", "cannot be judged", "press.cannot_judge"),
        ("too-cold", "does not pass", ""),
    ],
)
def test_judge_of_the_three_press_logs_gives_their_three_verdicts(world, name, outcome, code):
    """Reached late and passes; a gap of two hours that decides is not judged; too cold does not pass."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    press_runs.run(world, cycle, name)
    row = cycles.one(cycle)
    told = cycles.judged(row, shop.at)
    assert told.verdict.outcome == outcome, [str(r.sentence) for r in told.verdict.verdict.reasons]
    if code:
        with refused(code):
            shop.do(pressing.judge_by_log, cycle=cycle)
        assert bench.last_verdict(row.skis[0], "judged") is None
        shop.do(press.judge, cycle=cycle, passed=True, why="an oven thermometer stood beside it")
        return
    shop.do(pressing.judge_by_log, cycle=cycle)
    assert bench.last_verdict(row.skis[0], "judged") is (outcome == "passes")
    if outcome == "does not pass":
        with refused("press.log_says_no"):
            shop.do(press.judge, cycle=cycle, passed=True, why="it looks well")
        shop.do(press.judge, cycle=cycle, passed=False, why="too cold")


def test_judge_by_log_while_the_press_is_closed_or_without_a_log_is_refused(world):
    """A cycle has to have ended, and to have been read."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    with refused("press.not_opened"):
        shop.do(pressing.judge_by_log, cycle=cycle)
    shop.at += timedelta(hours=4)
    shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    with refused("press.no_log"):
        shop.do(pressing.judge_by_log, cycle=cycle)
    shop.do(press.judge, cycle=cycle, passed=True, why="read by hand, on the paper card")


def test_log_of_other_hours_of_a_missing_probe_or_too_long_is_refused_and_its_own_is_kept(world):
    """Another cycle's log, a clock a day off, a probe that is not in it."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    shop.at += timedelta(hours=7)
    log, _ = press_runs.fixture("reached-late", cycles.one(cycle).closed_at)
    for days in (-1, 1):
        with refused("press.log_elsewhere"):
            moved = replace(log, starts=log.starts + timedelta(days=days))
            shop.do(pressing.read_log, cycle=cycle, log=moved)
    with refused("press.no_probe", "Heel"):
        shop.do(pressing.read_log, cycle=cycle, log=log, left_out=["Heel"])
    long = replace(log, at_s=tuple(range(60_000)), probes_c={"1": (70.0,) * 60_000}, kpa=())
    with refused("press.log_long"):
        shop.do(pressing.read_log, cycle=cycle, log=long)
    shop.do(pressing.read_log, cycle=cycle, log=log, left_out=["Tail"])
    assert cycles.curve_of(cycles.one(cycle)).left_out == ("Tail",)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        # ends before opening while still hot, has a silent probe, starts long after closing
        (lambda log: replace(log, at_s=log.at_s[:40], probes_c={k: v[:40] for k, v in log.probes_c.items()},
                             kpa=log.kpa[:40]), "does not pass"),
        (lambda log: replace(log, probes_c={**log.probes_c, "Dead": (None,) * len(log.at_s)}),
         "cannot be judged"),
        (lambda log: replace(log, at_s=tuple(s + 1800 for s in log.at_s)), "cannot be judged"),
        # Fahrenheit taken as Celsius is hotter than every part bears
        (lambda log: replace(log, probes_c={k: tuple(c * 1.8 + 32 for c in v)
                                            for k, v in log.probes_c.items()}), "does not pass"),
        (lambda log: log, "passes"),
    ],
)  # fmt: skip
def test_judge_of_a_log_with_something_wrong_never_passes_it(world, change, code):
    """And the log as it is passes."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    row = cycles.one(cycle)
    log, minutes = press_runs.fixture("reached-late", row.closed_at)
    shop.at = row.closed_at + timedelta(minutes=minutes)
    shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    shop.do(pressing.read_log, cycle=cycle, log=change(log))
    told = cycles.judged(cycles.one(cycle), shop.at)
    assert told.verdict.outcome == code, [str(r.sentence) for r in told.verdict.verdict.reasons]


def test_forecast_of_an_unheated_cycle_follows_the_bay_and_of_a_heated_one_the_coldest_probe(world):
    """At 70 °C the sheet lists 2 h; an unheated cycle at 60 °C would take the 4 h listed there."""
    shop = world.shop
    heated = closed(world, machine(world), laid_up(world))
    assert cycles.judged(cycles.one(heated), shop.at).forecast is None  # nothing was read yet
    start = cycles.one(heated).closed_at
    for minute in (1, 11):
        shop.at = start + timedelta(minutes=minute)
        shop.do(pressing.read_press, cycle=heated, probes_c={"1": 70.0, "2": 75.0})
    told = cycles.judged(cycles.one(heated), shop.at)
    assert told.forecast.temperature_c.value == 70.0
    assert told.ready_at_s == pytest.approx(60 + 2 * 3600, abs=1)
    cold = closed(
        world, machine(world, "Press 2"), laid_up(world, "Ola"), heated=False, bay_c=60.0, set_c=60.0
    )
    assert cycles.judged(cycles.one(cold), shop.at).forecast.hours_left == pytest.approx(4)


def test_readings_of_nothing_or_after_the_opening_are_refused(world):
    """What was read before the opening may still be written down."""
    shop = world.shop
    cycle = closed(world, machine(world), laid_up(world))
    with refused("press.nothing_read"):
        shop.do(pressing.read_press, cycle=cycle, probes_c={})
    with refused("press.reading"):
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 900.0})
    with refused("press.no_cycle"):
        shop.do(pressing.read_press, cycle=cycles.one(cycle).skis[0], probes_c={"1": 20.0})
    before = shop.at
    shop.at += timedelta(hours=4)
    shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    shop.at += timedelta(minutes=5)
    with refused("press.opened_before"):
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 20.0})
    shop.do(
        pressing.read_press, by=shop.by(at=before + timedelta(minutes=3)), cycle=cycle, probes_c={"1": 20.0}
    )


def test_watcher_under_18_is_refused_and_of_age_is_not(world):
    """Who watches a heated press is of age, as who works at it."""
    from inventory.models import Person

    skis, on = laid_up(world), machine(world)
    Person.objects.filter(id=world.shop.crew).update(under_18=True)
    with refused("step.under_age"):
        world.shop.do(pressing.close_press, **closing(world, on, skis))
    Person.objects.filter(id=world.shop.crew).update(under_18=False)
    world.shop.do(pressing.close_press, **closing(world, on, skis))


def test_step_open_or_cool_of_a_ski_in_a_closed_press_is_not_ticked_by_hand(world):
    """The press page records it, with what was looked at; after that the step may be ticked again."""
    skis = laid_up(world)
    cycle = closed(world, machine(world), skis)
    for step in ("cool", "open"):
        with refused("step.in_the_press"):
            world.shop.do(build_steps.record_step, things=[skis[0]], step=step)
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    world.shop.do(build_steps.record_step, things=[skis[0]], step="open")


def test_closing_of_a_press_that_is_undone_frees_press_and_skis_and_can_be_recorded_again(world):
    """As if it had not been closed: no ski is pressed, the press is open, no cycle runs."""
    shop, on = world.shop, machine(world)
    skis = laid_up(world)
    done = shop.do(pressing.close_press, **closing(world, on, skis))
    again = closing(world, on, skis)
    with refused("press.closed_already"):
        shop.do(pressing.close_press, **again)
    shop.do(books.undo, token=done.token, reason="the other press")
    assert not any(bench.has_step(ski, "pressed") for ski in skis)
    assert queries.closed_now(on) is None
    assert cycles.closed(shop.at) == []
    assert cycles.one(done.things[0]) is None
    shop.do(pressing.close_press, **again)
    assert list(differences()) == []


def test_closing_that_was_read_or_opened_since_is_undone_only_after_those(world):
    """Newest first: the opening, the reading, the closing."""
    shop, on = world.shop, machine(world)
    done = shop.do(pressing.close_press, **closing(world, on, laid_up(world)))
    cycle = done.things[0]
    shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 70.0}, kpa=275.0)
    with refused("books.touched", "press read"):
        shop.do(books.undo, token=done.token, reason="in error")
    opened = shop.do(pressing.opened_early, cycle=cycle, why="a hose burst")
    with refused("books.held"):
        shop.do(books.undo, token=opened.token, reason="in error")
    other = machine(world, "Press 2")
    skis = laid_up(world, "Ola")
    second = shop.do(pressing.close_press, **closing(world, other, skis))
    seen = shop.do(pressing.open_press, cycle=second.things[0], checked=SEEN)
    with refused("books.touched", "press opened"):
        shop.do(books.undo, token=second.token, reason="in error")
    shop.do(books.undo, token=seen.token, reason="in error")
    assert queries.closed_now(other) == second.things[0]
    shop.do(books.undo, token=second.token, reason="in error")
    assert queries.closed_now(other) is None
    assert list(differences()) == []
