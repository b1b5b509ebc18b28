"""What the tests of a curve's progress share: a worked log, a run along it, the exact sum."""

from scipy.integrate import quad

from inventory.compute.cure import Log, progress
from inventory.compute.reasons import Basis, Given
from tests.compute.press_logs import (
    MINUTE,
    SCHEDULE,
)

# A worked log: minutes and °C, straight lines between.
TABLE_MIN = [0, 10, 20, 30, 40, 100, 110, 120]
TABLE_C = [23.0, 30.0, 45.0, 60.0, 70.0, 70.0, 50.0, 35.0]
TWENTY_MINUTES = Given(1200.0, Basis.DATA_SHEET)


def table_log(*, interval=TWENTY_MINUTES):
    return Log([minute * MINUTE for minute in TABLE_MIN], {"base side": TABLE_C}, interval_s=interval)


def run(log, *, closed_min=0.0, until_min=None, schedule=SCHEDULE):
    until_s = log.at_s[-1] if until_min is None else until_min * MINUTE
    return progress(schedule=schedule, log=log, closed_at_s=closed_min * MINUTE, until_s=until_s)


def codes(result):
    return [note.code for note in result.notes]


def integral(minutes, celsius):
    """The exact sum along straight lines, by scipy."""
    total = 0.0
    for i in range(len(minutes) - 1):
        span, rise = minutes[i + 1] - minutes[i], celsius[i + 1] - celsius[i]

        def rate(m, i=i, span=span, rise=rise):
            here = celsius[i] + rise * (m - minutes[i]) / span
            return 1 / (SCHEDULE.hours_at((here,))[here] * 60)

        total += quad(rate, minutes[i], minutes[i + 1], limit=200)[0]
    return total
