"""Watts and amps of what runs together against circuits and a generator."""

import math
from dataclasses import replace

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.power import Circuit, Draw, Generator, Window, power
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

UNITS = pint.UnitRegistry()


def plate(value):
    return Given(float(value), Basis.DATA_SHEET, "plate")


LINE = Circuit("line 1", plate(230), plate(16))
BLANKET = Draw("blanket", "line 1", plate(1_000))
COMPRESSOR = Draw("compressor", "line 1", plate(1_500), motor=True, start_watts=plate(4_500))
GENERATOR = Generator(plate(5_000), plate(6_000))


def run(*draws, **facts):
    return power(**({"draws": draws or (BLANKET,), "circuits": [LINE]} | facts))


def heaters(watts, **facts):
    return run(Draw("heater", "line 1", plate(watts)), **facts)


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def texts(result):
    return " ".join(str(reason.sentence) for reason in result.verdict.reasons)


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


@pytest.mark.parametrize(
    ("volts", "amps", "watts"),
    [
        (230, 16, 3_680),  # the plate of a 16 A camping inlet: common practice, no source
        (120, 15, 1_800),  # a North American 15 A line: from memory
        (230, 13, 2_990),  # a British plug: from memory
    ],
)
def test_power_at_exactly_a_circuits_rating_is_near_and_above_it_stops(volts, amps, watts):
    """A load that is the whole rating is worth a look; one watt more stops."""
    line = Circuit("line 1", plate(volts), plate(amps))
    at = heaters(watts, circuits=[line])
    assert at.circuits[0].amps == pytest.approx(amps)
    assert codes(at)[0] == "power.circuit_near"
    over = heaters(watts + 1, circuits=[line])
    assert codes(over)[0] == "power.circuit_over"
    assert over.verdict.level is Level.STOP


def test_power_above_eighty_percent_of_a_circuit_is_worth_a_look():
    """1440 W on 120 V and 15 A are exactly 80 %: NEC 210.20 (from memory); a watt more asks for a look."""
    line = Circuit("line 1", plate(120), plate(15))
    assert codes(heaters(1_440, circuits=[line])) == ["power.together"]
    near = heaters(1_452, circuits=[line])
    assert codes(near) == ["power.circuit_near", "power.together"]
    assert near.verdict.level is Level.LOOK
    assert "Line 1 would carry 12.1 A of its 15.0 A from minute 0, above 80 % of it" in texts(near)
    assert codes(heaters(1_441, circuits=[line]))[0] == "power.circuit_near"
    assert codes(heaters(1_441, circuits=[line], long_share=Given(0.9))) == ["power.together"]


@given(watts=st.floats(1, 5_000), volts=st.floats(100, 400), factor=st.floats(0.3, 1))
def test_power_amps_agree_with_a_library_of_units(watts, volts, factor):
    """The same quotient by pint."""
    draw = Draw("x", "line 1", Given(watts), power_factor=Given(factor))
    result = run(draw, circuits=[Circuit("line 1", Given(volts), Given(100.0))])
    amps = (watts * UNITS.watt / (volts * UNITS.volt) / factor).to("ampere").magnitude
    assert result.circuits[0].amps == pytest.approx(amps)
    assert result.circuits[0].watts == pytest.approx(watts)


def test_power_of_a_motor_takes_more_amps_than_a_heater():
    """A motor without a power factor counts with 0.8, assumed; one with its own counts with that."""
    motor = Draw("fan", "line 1", plate(920), motor=True)
    assert run(motor).circuits[0].amps == pytest.approx(5)
    assert run(replace(motor, motor=False)).circuits[0].amps == pytest.approx(4)
    own = replace(motor, power_factor=plate(0.5))
    assert run(own).circuits[0].amps == pytest.approx(8)
    lines = {line.name: (line.value, line.basis) for line in run(motor).how.inputs}
    assert lines["fan, power factor"] == (0.8, Basis.ASSUMED)
    assert {line.name: line.basis for line in run(own).how.inputs}["fan, power factor"] is Basis.DATA_SHEET


def test_power_adds_what_runs_on_one_circuit_and_not_on_another():
    """Two lines carry their own loads; the total is of both."""
    other = Circuit("line 2", plate(230), plate(10))
    result = run(
        BLANKET, replace(BLANKET, name="oven", circuit="line 2", watts=plate(2_000)), circuits=[LINE, other]
    )
    assert [(each.name, each.watts) for each in result.circuits] == [("line 1", 1_000), ("line 2", 2_000)]
    assert result.watts == 3_000
    assert [each.rated_amps for each in result.circuits] == [16, 10]


def test_power_of_what_does_not_run_together_is_not_added():
    """From 0 to 60 and from 60 on never run together; an overlap of a minute does."""
    first = replace(BLANKET, when=Window(0, 60))
    second = Draw("saw", "line 1", plate(2_000), when=Window(60, 120))
    apart = run(first, second)
    assert (apart.watts, apart.at_min) == (2_000, 60)
    assert (apart.circuits[0].watts, apart.circuits[0].at_min) == (2_000, 60)
    overlap = run(replace(first, when=Window(0, 61)), second)
    assert (overlap.watts, overlap.at_min) == (3_000, 60)
    assert overlap.circuits[0].watts == 3_000
    assert "At most 3000 W run together, from minute 60" in texts(overlap)
    same = run(first, replace(second, watts=plate(1_000)))
    assert (same.at_min, same.circuits[0].at_min) == (0, 0)


def test_power_of_a_circuit_that_carries_nothing_is_nothing():
    """A line without any load is listed with none."""
    spare = Circuit("spare", plate(230), plate(16))
    result = run(BLANKET, circuits=[LINE, spare])
    assert (result.circuits[1].name, result.circuits[1].watts, result.circuits[1].amps) == ("spare", 0, 0)
    assert result.circuits[1].at_min == 0


def test_power_with_a_plate_nobody_read_cannot_say():
    """What has no plate is named and left out of the sum; what is known over its rating still stops."""
    unknown = run(BLANKET, Draw("old fan", "line 1", None))
    assert codes(unknown) == ["power.plate_unknown", "power.together"]
    assert unknown.verdict.level is Level.UNKNOWN
    assert unknown.watts == 1_000
    assert "plate of old fan" in texts(unknown)
    both = run(replace(BLANKET, watts=plate(4_000)), Draw("old fan", "line 1", None))
    assert codes(both) == ["power.circuit_over", "power.plate_unknown", "power.together"]


def test_power_within_the_generator_is_fine_and_says_the_sum():
    """2500 W of 5000 W, and a start of 5500 W of 6000 W."""
    result = run(BLANKET, COMPRESSOR, generator=GENERATOR)
    assert (result.watts, result.start_watts) == (2_500, 5_500)
    assert run(BLANKET).start_watts == 1_000
    assert codes(result) == ["power.together"]
    assert result.verdict.level is Level.FINE


def test_power_above_the_generator_stops_and_near_it_is_worth_a_look():
    """Exactly its watts are near, a watt more stops; exactly 80 % are neither."""
    wide = [Circuit("line 1", plate(230), plate(100))]
    assert codes(heaters(4_000, circuits=wide, generator=GENERATOR)) == ["power.together"]
    near = heaters(4_001, circuits=wide, generator=GENERATOR)
    assert codes(near) == ["power.generator_near", "power.together"]
    assert near.verdict.level is Level.LOOK
    assert "4001 W run together, above 80 % of the 5000.0 W" in texts(near)
    assert codes(heaters(5_000, circuits=wide, generator=GENERATOR))[0] == "power.generator_near"
    over = heaters(5_001, circuits=wide, generator=GENERATOR)
    assert codes(over)[0] == "power.generator_over"
    assert over.verdict.level is Level.STOP


def test_power_of_a_start_above_the_generator_stops():
    """One motor's start on top of all that runs: 5500 W are within 5500 W, and above 5499 W."""
    assert codes(run(BLANKET, COMPRESSOR, generator=replace(GENERATOR, start_watts=plate(5_500)))) == [
        "power.together"
    ]
    over = run(BLANKET, COMPRESSOR, generator=replace(GENERATOR, start_watts=plate(5_499)))
    assert codes(over) == ["power.start_over", "power.together"]
    assert over.verdict.level is Level.STOP
    assert "A start would take 5500 W, above the 5499.0 W" in texts(over)


def test_power_adds_only_the_largest_start():
    """Two motors do not start at one moment; the larger surge counts, and only while it runs."""
    small = Draw("vacuum", "line 1", plate(1_000), motor=True, start_watts=plate(1_200))
    assert run(COMPRESSOR, small).start_watts == 2_500 + 3_000
    early = replace(COMPRESSOR, when=Window(0, 30))
    late = replace(BLANKET, watts=plate(2_900), when=Window(30, 60))
    result = run(early, late)
    assert (result.watts, result.at_min, result.start_watts) == (2_900, 30, 4_500)


def test_power_with_an_unread_generator_cannot_say():
    """Hours and start are two figures; either unknown cannot be said, a motor's start too."""
    hours = run(BLANKET, generator=Generator(None, plate(6_000)))
    assert codes(hours) == ["power.generator_unknown", "power.together"]
    start = run(BLANKET, generator=Generator(plate(5_000), None))
    assert codes(start) == ["power.generator_start_unknown", "power.together"]
    motor = run(replace(COMPRESSOR, start_watts=None), generator=GENERATOR)
    assert codes(motor) == ["power.start_unknown", "power.together"]
    for result in (hours, start, motor):
        assert result.verdict.level is Level.UNKNOWN
    assert codes(run(replace(COMPRESSOR, start_watts=None))) == ["power.together"]
    assert codes(run(replace(BLANKET, start_watts=None), generator=GENERATOR)) == ["power.together"]


def test_power_unfolds_every_plate():
    """Plates, starts, lines, generator and the share are lines with their basis."""
    lines = {
        line.name: (line.value, line.unit)
        for line in run(BLANKET, COMPRESSOR, generator=GENERATOR).how.inputs
    }
    assert lines == {
        "blanket": (1_000, "W"),
        "compressor": (1_500, "W"),
        "compressor, start": (4_500, "W"),
        "blanket, power factor": (1.0, ""),
        "compressor, power factor": (0.8, ""),
        "line 1, voltage": (230, "V"),
        "line 1, rating": (16, "A"),
        "generator": (5_000, "W"),
        "generator, start": (6_000, "W"),
        "share for long runs": (0.8, ""),
    }
    bases = {line.name: line.basis for line in run(BLANKET).how.inputs}
    assert bases["share for long runs"] is bases["blanket, power factor"] is Basis.ASSUMED
    assert bases["blanket"] is bases["line 1, rating"] is Basis.DATA_SHEET
    bare = run(Draw("x", "line 1", None), generator=Generator(None, None)).how.inputs
    assert [line.name for line in bare] == [
        "x, power factor",
        "line 1, voltage",
        "line 1, rating",
        "share for long runs",
    ]


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("power.draws", {"draws": []}),
        ("power.draws", {"draws": [BLANKET, BLANKET]}),
        ("power.draws", {"draws": [replace(BLANKET, name=str(index)) for index in range(501)]}),
        ("power.circuits", {"circuits": []}),
        ("power.circuits", {"circuits": [LINE, LINE]}),
        ("power.circuit", {"draws": [replace(BLANKET, circuit="line 9")]}),
        ("power.watts", {"draws": [replace(BLANKET, watts=plate(-1))]}),
        ("power.watts", {"draws": [replace(BLANKET, watts=Given(math.nan))]}),
        ("power.watts", {"draws": [replace(BLANKET, watts=plate(1_000_001))]}),
        ("power.start", {"draws": [replace(BLANKET, start_watts=plate(999))]}),
        ("power.start", {"draws": [replace(BLANKET, start_watts=Given(math.inf))]}),
        ("power.start", {"draws": [replace(BLANKET, start_watts=plate(10_000_001))]}),
        ("power.start", {"draws": [replace(BLANKET, watts=None, start_watts=plate(-1))]}),
        ("power.factor", {"draws": [replace(BLANKET, power_factor=plate(0.095))]}),
        ("power.factor", {"draws": [replace(BLANKET, power_factor=plate(1.01))]}),
        ("power.factor", {"draws": [replace(BLANKET, power_factor=Given(math.nan))]}),
        ("power.volts", {"circuits": [replace(LINE, volts=plate(9.9))]}),
        ("power.volts", {"circuits": [replace(LINE, volts=plate(1_001))]}),
        ("power.amps", {"circuits": [replace(LINE, amps=plate(0))]}),
        ("power.amps", {"circuits": [replace(LINE, amps=plate(1_001))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(-1))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(math.nan))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(1_000_001))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(60, 60))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(60, 30))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(0, math.inf))]}),
        ("power.minutes", {"draws": [replace(BLANKET, when=Window(0, 1_000_001))]}),
        ("power.share", {"long_share": Given(0.0)}),
        ("power.share", {"long_share": Given(1.1)}),
        ("power.share", {"long_share": Given(math.nan)}),
        ("power.generator", {"generator": Generator(plate(0), plate(6_000))}),
        ("power.generator", {"generator": Generator(plate(5_000), Given(math.nan))}),
        ("power.generator", {"generator": Generator(plate(1_000_001), plate(6_000))}),
        ("power.generator", {"generator": Generator(plate(5_000), plate(1_000_001))}),
    ],
)
def test_power_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers."""
    good = {"draws": [BLANKET], "circuits": [LINE]}
    assert power(**good).verdict.ok
    assert refused(code, power, **(good | facts))


def test_power_refusals_say_what_was_given():
    """Names and counts stand in the sentence."""
    good = {"draws": [BLANKET], "circuits": [LINE]}
    assert "1 names" in refused("power.draws", power, **(good | {"draws": [BLANKET, BLANKET]}))
    assert "Blanket is on line 9" in refused(
        "power.circuit", power, **(good | {"draws": [replace(BLANKET, circuit="line 9")]})
    )
    assert "line 1, line 1" in refused("power.circuits", power, **(good | {"circuits": [LINE, LINE]}))
    late = [replace(BLANKET, when=Window(60, 30))]
    assert "ends at minute 30, not after its start at minute 60" in refused(
        "power.minutes", power, **(good | {"draws": late})
    )


def test_power_at_the_bounds_is_summed():
    """500 draws, the largest plate, start, minute and the smallest factor are possible."""
    many = [replace(BLANKET, name=str(index), watts=plate(0)) for index in range(500)]
    assert power(draws=many, circuits=[LINE]).watts == 0
    huge = Draw("x", "line 1", plate(1_000_000), start_watts=plate(10_000_000), power_factor=plate(0.1))
    huge = replace(huge, when=Window(999_999, 1_000_000))
    result = run(huge, circuits=[Circuit("line 1", plate(10), plate(1_000))], long_share=Given(1.0))
    assert result.start_watts == 10_000_000
    assert run(replace(BLANKET, when=Window(1_000_000))).at_min == 1_000_000
    wide = Circuit("line 1", plate(1_000), plate(1_000))
    gives = Generator(plate(1_000_000), plate(1_000_000))
    assert codes(run(BLANKET, circuits=[wide], generator=gives)) == ["power.together"]
    tiny = Draw("x", "line 1", plate(0.1))
    assert run(
        tiny, circuits=[replace(LINE, amps=plate(0.5))], generator=Generator(plate(0.5), plate(0.5))
    ).verdict.ok
    assert run(Draw("x", "line 1", None, start_watts=plate(0.5))).watts == 0


draws = st.lists(
    st.tuples(st.integers(0, 3_000), st.integers(0, 300), st.integers(1, 200), st.integers(0, 3_000)),
    min_size=1,
    max_size=8,
)


@given(known=draws)
def test_power_is_the_worst_of_every_minute(known):
    """No minute of the day carries more than the answer, and one carries exactly that; a start likewise."""
    things = [
        Draw(
            str(index),
            "line 1",
            plate(watts),
            start_watts=plate(watts + more),
            when=Window(start, start + length),
        )
        for index, (watts, start, length, more) in enumerate(known)
    ]
    result = run(*things)
    sums, starts = [], []
    for minute in range(520):
        on = [(w, m) for w, s, n, m in known if s <= minute < s + n]
        sums.append(sum(w for w, _ in on))
        starts.append(sum(w for w, _ in on) + max((m for _, m in on), default=0))
    assert result.watts == max(sums)
    assert result.start_watts == max(starts)
    assert sums[int(result.at_min)] == max(sums)
    assert result.circuits[0].amps == pytest.approx(max(sums) / 230)


@given(known=draws, more=st.integers(1, 3_000))
def test_power_with_one_more_load_is_never_lighter(known, more):
    """Another load never lowers watts, start or the verdict."""
    things = [
        Draw(str(index), "line 1", plate(watts), when=Window(start, start + length))
        for index, (watts, start, length, _) in enumerate(known)
    ]
    before = run(*things, generator=GENERATOR)
    after = run(*things, Draw("more", "line 1", plate(more)), generator=GENERATOR)
    assert after.watts >= before.watts
    assert after.start_watts >= before.start_watts
    assert after.verdict.level >= before.verdict.level
