"""How old stock really is: label, opening, warmth, and what is said of it."""

import math
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.ageing import Opened, charge, effective_age
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.storage import Stay
from inventory.errors import Refused

CAME = datetime(2025, 3, 1, tzinfo=UTC)
DAY = timedelta(days=1)
LABEL = Given(23.0, Basis.DATA_SHEET, "label")
HOT = Given(38.0, Basis.ASSUMED, "hot season in the trailer")
COOL = Given(20.0, Basis.ASSUMED, "the store")


def measured(*temperatures, hours=24.0, start=CAME):
    step = timedelta(hours=hours)
    return [
        Stay(start + step * index, start + step * (index + 1), Given(value, Basis.MEASURED))
        for index, value in enumerate(temperatures)
    ]


def aged(**facts):
    known = {
        "received_at": CAME,
        "expires_on": date(2025, 6, 8),
        "label_c": LABEL,
        "stays": measured(*[20.0] * 10),
        "assumed_c": COOL,
        "now": CAME + 10 * DAY,
    }
    return effective_age(**(known | facts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def refused(code, **facts):
    assert aged().used_days == pytest.approx(10)
    with pytest.raises(Refused) as caught:
        aged(**facts)
    assert caught.value.code == code
    return str(caught.value)


@pytest.mark.parametrize(
    ("hot_c", "label_c", "factor", "days"),
    [
        (55, 23, 9.190, 39.72),  # widely printed for ASTM F1980 (second-hand)
        (55, 22, 9.849, 37.06),  # the standard's appendix (from memory)
    ],
)
def test_charge_by_the_mild_rule_is_that_of_the_published_examples(hot_c, label_c, factor, days):
    """A year on the shelf takes so many days hot, by Q10 = 2."""
    mild = charge(celsius=hot_c, label_c=Given(float(label_c))).mild
    assert mild == pytest.approx(factor, abs=0.001)
    assert 365 / mild == pytest.approx(days, abs=0.01)


def test_charge_by_the_cautious_rule():
    """exp(10 000 K (1/296.15 - 1/318.15)) = 10.33 at 45 °C, by hand; constants of USP 1160 (read)."""
    assert charge(celsius=45, label_c=LABEL).charged == pytest.approx(10.33, abs=0.01)
    assert math.log(charge(celsius=45, label_c=LABEL).charged) == pytest.approx(
        10_000 * 22 / (296.15 * 318.15)
    )


def test_charge_gives_no_credit_for_cold():
    """At and below the label temperature a day is a day, by both rules."""
    for celsius in (-30, 0, 22.9, 23):
        cold = charge(celsius=celsius, label_c=LABEL)
        assert (cold.charged, cold.mild) == (1, 1)
    assert charge(celsius=23.1, label_c=LABEL).charged > 1


@given(celsius=st.floats(-30, 80), warmer=st.floats(0, 20), label=st.floats(5, 40))
def test_charge_is_monotone_and_never_below_the_mild_rule_near_a_shelf(celsius, warmer, label):
    """Warmer never counts less; the cautious figure is never below the mild one up to 40 °C."""
    one = charge(celsius=celsius, label_c=Given(label))
    two = charge(celsius=celsius + warmer, label_c=Given(label))
    assert two.charged >= one.charged
    assert two.mild >= one.mild
    if celsius <= 40:
        assert one.charged >= one.mild


def test_charge_of_bad_input_is_refused():
    """Neither temperature may be nothing; both in order give their factors."""
    assert [line.basis for line in charge(celsius=30, label_c=LABEL).how.inputs] == [
        Basis.MEASURED,
        Basis.DATA_SHEET,
    ]
    for facts in (
        {"celsius": math.nan},
        {"label_c": Given(math.inf)},
        {"celsius": -61},
        {"label_c": Given(151.0)},
    ):
        with pytest.raises(Refused) as caught:
            charge(**({"celsius": 30, "label_c": LABEL} | facts))
        assert caught.value.code == "storage.temperature"


def test_effective_age_counts_the_swing_and_not_its_mean():
    """12 h at 5 and 12 h at 45 °C count 5.66 days; 24 h at their mean would count 1.25.

    Computed from the constants of USP 1160 (read); no published example was found.
    """
    swing = aged(stays=measured(5.0, 45.0, hours=12), now=CAME + DAY)
    assert swing.used_days == pytest.approx(5.66, abs=0.005)
    mean = aged(stays=measured(25.0), now=CAME + DAY)
    assert mean.used_days == pytest.approx(1.25, abs=0.005)


def test_effective_age_in_the_cool_is_the_calendar():
    """Ten cool days use ten days; the forecast is the label's own date, which is 90 days ahead."""
    result = aged()
    assert result.used_days == pytest.approx(10)
    assert result.used_mild_days == pytest.approx(10)
    assert result.left_days == pytest.approx(90)
    assert result.good_through == result.forecast == date(2025, 6, 8)
    assert result.mean_kinetic_c == pytest.approx(20)
    assert (result.assumed_days, result.opened_used_days) == (0, None)
    assert codes(result) == ["ageing.lasts"]
    assert result.verdict.level is Level.FINE


def test_effective_age_in_the_heat_forecasts_an_earlier_day():
    """Ten days at 38 °C use 50.96: 49.04 label days are left, cool ones last through 29 April."""
    result = aged(stays=measured(*[38.0] * 10))
    factor = charge(celsius=38, label_c=LABEL).charged
    assert result.used_days == pytest.approx(10 * factor)
    assert result.used_mild_days == pytest.approx(10 * 2**1.5)
    assert result.forecast == (CAME + (10 + 100 - 10 * factor) * DAY).date()
    assert result.forecast == date(2025, 4, 29)
    assert result.good_through == date(2025, 6, 8)
    text = str(result.verdict.reasons[0].sentence)
    assert text == "By its warmth it lasts through 2025-04-29, by its date through 2025-06-08: an estimate."


def test_effective_age_charges_what_is_ahead_at_its_own_temperature():
    """Hot days ahead shorten the forecast; without a temperature ahead the assumed one counts."""
    factor = charge(celsius=38, label_c=LABEL).charged
    ahead = aged(ahead_c=HOT)
    assert ahead.used_days == pytest.approx(10)
    assert ahead.forecast == (CAME + (10 + 90 / factor) * DAY).date()
    assert aged(assumed_c=HOT).forecast == ahead.forecast
    assert aged(assumed_c=HOT, ahead_c=COOL).forecast == date(2025, 6, 8)


def test_effective_age_fills_every_hole_with_what_is_assumed():
    """Before, between and after the stays the assumed temperature is charged, and shown as assumed."""
    stays = [*measured(20.0, start=CAME + 2 * DAY), *measured(20.0, start=CAME + 5 * DAY)]
    result = aged(stays=stays, assumed_c=HOT)
    factor = charge(celsius=38, label_c=LABEL).charged
    assert result.assumed_days == pytest.approx(8)
    assert result.used_days == pytest.approx(2 + 8 * factor)
    assert "ageing.assumed" in codes(result)
    assert "8.0 of its days have no reading" in " ".join(str(r.sentence) for r in result.verdict.reasons)


def test_effective_age_without_any_reading_is_all_assumed():
    """No logger at all: every day is charged at the hot season's temperature."""
    result = aged(stays=[], assumed_c=HOT)
    assert result.assumed_days == pytest.approx(10)
    assert result.used_days == pytest.approx(10 * charge(celsius=38, label_c=LABEL).charged)
    assert result.mean_kinetic_c == pytest.approx(38)


def test_effective_age_on_arrival_is_nothing():
    """At the moment it came nothing is used, and there is no warmth to speak of."""
    result = aged(stays=[], now=CAME)
    assert (result.used_days, result.assumed_days, result.mean_kinetic_c) == (0, 0, None)
    assert result.forecast == date(2025, 6, 8)
    assert codes(result) == ["ageing.lasts"]


def test_effective_age_used_up_by_warmth_warns_and_does_not_stop():
    """An estimate warns: 20 days at 38 °C use up 100 label days before the date on the label."""
    result = aged(stays=measured(*[38.0] * 20), now=CAME + 20 * DAY)
    assert result.left_days < 0
    assert codes(result) == ["ageing.used_up"]
    assert result.verdict.level is Level.LOOK
    assert result.verdict.ok
    factor = charge(celsius=38, label_c=LABEL).charged
    assert result.forecast == (CAME + 100 / factor * DAY).date() == date(2025, 3, 20)


def test_effective_age_used_up_between_two_stays_says_the_day():
    """The day it ran out is found inside the history, not guessed from now."""
    stays = measured(*[38.0] * 15, *[10.0] * 20)
    assert aged(stays=stays, now=CAME + 35 * DAY).forecast == (CAME + (15 + 100 - 15 * 5.09562) * DAY).date()
    later = aged(stays=measured(*[38.0] * 20, *[10.0] * 20), now=CAME + 40 * DAY)
    assert later.forecast == date(2025, 3, 20)


def test_effective_age_past_its_label_stops():
    """The last day of the label is still good; the day after is past."""
    last = aged(stays=[], now=datetime(2025, 6, 8, 23, 59, 59, tzinfo=UTC))
    assert codes(last)[0] == "ageing.lasts"
    past = aged(stays=[], now=datetime(2025, 6, 9, tzinfo=UTC))
    assert codes(past)[0] == "ageing.past"
    assert past.verdict.level is Level.STOP
    assert "good through 2025-06-08; that is past" in str(past.verdict.reasons[0].sentence)


def test_effective_age_received_past_its_label_stops_and_keeps_the_label_date():
    """Stock that came too late is past from the first moment; its date is not moved."""
    result = aged(expires_on=date(2025, 2, 20))
    assert codes(result)[0] == "ageing.past"
    assert result.good_through == result.forecast == date(2025, 2, 20)
    assert result.left_days == pytest.approx(-18)
    on_arrival = aged(expires_on=date(2025, 2, 20), stays=[], now=CAME, ahead_c=HOT)
    assert on_arrival.forecast == date(2025, 2, 20)


def test_effective_age_reads_dates_where_the_question_is_asked():
    """In Oslo the label's last day ends two hours before it does in UTC."""
    oslo = ZoneInfo("Europe/Oslo")
    late = datetime(2025, 6, 8, 22, 30, tzinfo=UTC)
    assert codes(aged(stays=[], now=late))[0] == "ageing.lasts"
    result = aged(stays=[], now=late.astimezone(oslo))
    assert codes(result)[0] == "ageing.past"
    assert result.good_through == date(2025, 6, 8)


def test_effective_age_opened_lasts_the_shorter_of_label_and_opening():
    """Opened on day 4 with 30 days: good through 3 April; with 300 days the label decides."""
    opened = Opened(CAME + 4 * DAY, Given(30.0, Basis.DATA_SHEET))
    result = aged(opened=opened)
    assert result.good_through == result.forecast == date(2025, 4, 3)
    assert result.opened_used_days == pytest.approx(6)
    long = aged(opened=Opened(CAME + 4 * DAY, Given(300.0, Basis.DATA_SHEET)))
    assert long.good_through == long.forecast == date(2025, 6, 8)


def test_effective_age_charges_the_opened_life_the_same_way():
    """Opened on day 4, six hot days use six times the factor of the opened life."""
    factor = charge(celsius=38, label_c=LABEL).charged
    opened = Opened(CAME + 4 * DAY, Given(60.0, Basis.DATA_SHEET))
    result = aged(stays=measured(*[20.0] * 4, *[38.0] * 6), opened=opened)
    assert result.opened_used_days == pytest.approx(6 * factor)
    assert result.good_through == date(2025, 5, 3)
    assert result.forecast == (CAME + (10 + 60 - 6 * factor) * DAY).date()


def test_effective_age_opened_in_the_middle_of_a_stay_charges_only_what_follows():
    """Opened at noon of the first of two days: a day and a half is charged."""
    opened = Opened(CAME + DAY / 2, Given(60.0, Basis.DATA_SHEET))
    result = aged(stays=measured(20.0, 20.0), now=CAME + 2 * DAY, opened=opened)
    assert result.opened_used_days == pytest.approx(1.5)


def test_effective_age_opened_too_long_stops():
    """A jug open for longer than it lasts is past, though its label is not; a day earlier it lasts."""
    opened = Opened(CAME, Given(10.0, Basis.ASSUMED, "common practice, no source"))
    assert codes(aged(opened=opened))[0] == "ageing.past"
    assert codes(aged(opened=Opened(CAME, Given(10.5))))[0] == "ageing.lasts"


def test_effective_age_opened_without_a_life_cannot_say():
    """An open package whose opened life nobody entered is unknown."""
    result = aged(opened=Opened(CAME + DAY, None))
    assert codes(result) == ["ageing.opened_life_unknown", "ageing.lasts"]
    assert not result.verdict.ok
    assert result.good_through == date(2025, 6, 8)
    assert result.opened_used_days == pytest.approx(9)


def test_effective_age_unfolds_what_went_in():
    """Arrival, label, temperatures, opening and what is assumed are lines of the sum."""
    opened = Opened(CAME + DAY, Given(30.0, Basis.DATA_SHEET))
    lines = {line.name: line for line in aged(opened=opened, assumed_c=HOT).how.inputs}
    assert lines["arrived"].value == CAME
    assert lines["expires on"].value == date(2025, 6, 8)
    assert lines["label temperature"].basis is Basis.DATA_SHEET
    assert lines["temperature ahead"].value == 38.0
    assert lines["stays"].value == 10
    assert (lines["days assumed"].value, lines["days assumed"].basis) == (0, Basis.ASSUMED)
    assert lines["opened"].value == CAME + DAY
    assert (lines["life once opened"].value, lines["life once opened"].basis) == (30.0, Basis.DATA_SHEET)
    assert lines["expires on"].basis is Basis.DATA_SHEET


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("ageing.arrival", {"now": CAME - DAY, "stays": []}),
        ("ageing.stays", {"stays": measured(20.0, start=CAME - DAY / 2)}),
        ("ageing.stays", {"stays": measured(*[20.0] * 11)}),
        ("ageing.expiry", {"expires_on": datetime(2025, 6, 8, tzinfo=UTC)}),
        ("ageing.expiry", {"expires_on": "2025-06-08"}),
        ("ageing.expiry", {"expires_on": date(9999, 12, 31)}),
        ("ageing.expiry", {"expires_on": date(1949, 12, 31)}),
        ("ageing.opened", {"opened": Opened(CAME - DAY, Given(30.0))}),
        ("ageing.opened", {"opened": Opened(CAME + 11 * DAY, None)}),
        ("ageing.opened_life", {"opened": Opened(CAME, Given(0.0))}),
        ("ageing.opened_life", {"opened": Opened(CAME, Given(math.nan))}),
        ("ageing.opened_life", {"opened": Opened(CAME, Given(10_000.0))}),
        ("storage.moment", {"received_at": datetime(2025, 3, 1)}),
        ("storage.moment", {"now": datetime(2025, 3, 11)}),
        ("storage.moment", {"opened": Opened(datetime(2025, 3, 2), None)}),
        ("storage.stays", {"stays": list(reversed(measured(20.0, 21.0)))}),
        ("storage.temperature", {"label_c": Given(math.nan)}),
        ("storage.temperature", {"assumed_c": Given(math.inf)}),
        ("storage.temperature", {"ahead_c": Given(-300.0)}),
        ("storage.temperature", {"assumed_c": Given(math.nan), "ahead_c": COOL}),
        ("storage.temperature", {"stays": measured(math.nan)}),
        ("storage.temperature", {"stays": measured(-273.15)}),
    ],
)
def test_effective_age_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers."""
    assert refused(code, **facts)


def test_effective_age_with_stays_beyond_now_says_from_when_to_when():
    """The refusal names the first and the last moment of the stays."""
    text = refused("ageing.stays", stays=measured(*[20.0] * 12))
    assert "from 2025-03-01 00:00:00+00:00 to 2025-03-13 00:00:00+00:00 reach beyond" in text


def test_effective_age_says_even_a_third_of_a_day_without_a_reading():
    """A hole of eight hours is said."""
    result = aged(stays=measured(*[20.0] * 9, 20.0, hours=23.2))
    assert result.assumed_days == pytest.approx(8 / 24)
    assert "0.3 of its days have no reading" in str(result.verdict.reasons[-1].sentence)


def test_effective_age_at_the_edges_of_its_facts_is_taken():
    """Opened on arrival or this moment, and dates of 1950 and 2950, are possible."""
    assert aged(opened=Opened(CAME, Given(30.0))).opened_used_days == pytest.approx(10)
    assert aged(opened=Opened(CAME + 10 * DAY, Given(9_999.0))).opened_used_days == 0
    assert aged(expires_on=date(1950, 1, 1)).good_through == date(1950, 1, 1)
    assert aged(expires_on=date(2950, 12, 31)).good_through == date(2950, 12, 31)


temperatures = st.lists(st.floats(-20, 55), min_size=1, max_size=12)


@given(
    celsius=temperatures,
    warmer=st.floats(0, 15),
    life=st.integers(1, 400),
    opened_life=st.one_of(st.none(), st.floats(1, 400)),
)
def test_effective_age_warmer_is_never_younger(celsius, warmer, life, opened_life):
    """Warmer stock is never younger nor forecast later, and no forecast is later than the date."""
    facts = {
        "expires_on": (CAME + life * DAY).date(),
        "now": CAME + len(celsius) * DAY,
        "opened": None if opened_life is None else Opened(CAME, Given(opened_life)),
    }
    one = aged(stays=measured(*celsius), **facts)
    two = aged(stays=measured(*[value + warmer for value in celsius]), **facts)
    assert two.used_days >= one.used_days >= len(celsius) - 1e-9
    assert two.forecast <= one.forecast <= one.good_through
    assert two.good_through == one.good_through
    assert one.used_days >= one.used_mild_days * (1 - 1e-12) or max(celsius) > 40


@given(celsius=temperatures, cut=st.integers(0, 11))
def test_effective_age_does_not_depend_on_how_time_is_cut(celsius, cut):
    """Cutting a stay in two changes nothing."""
    now = CAME + len(celsius) * DAY
    stays = measured(*celsius)
    index = cut % len(stays)
    whole = stays[index]
    middle = whole.starts + (whole.ends - whole.starts) / 3
    parts = [Stay(whole.starts, middle, whole.celsius), Stay(middle, whole.ends, whole.celsius)]
    one, two = aged(stays=stays, now=now), aged(stays=[*stays[:index], *parts, *stays[index + 1 :]], now=now)
    assert two.used_days == pytest.approx(one.used_days)
    assert abs((two.forecast - one.forecast).days) <= 1
