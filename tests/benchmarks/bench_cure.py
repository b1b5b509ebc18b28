"""Judging a press log of 5,000 rows: two probes and a pressure, with ramps, gaps, reasons.

Run: python -m tests.benchmarks.bench_cure
The floor is one plain loop over the same rows that does nothing but the two sums: no checks, gaps, ramps or
reasons. A judgement may take RATIO times that. Exit 1 when it takes more.
"""

import math
import sys
import time

from inventory.compute.cure import Limits, Log, Outcome, PressureLog, SchedulePoint, judge, schedule_through
from inventory.compute.reasons import Basis, Given

ROWS, EVERY_S, ROUNDS = 5_000, 10.0, 40
ASKED_MS = 5.0
RATIO = 8.0


def best_ms(*jobs):
    """The quickest run of each job in time of this process, taken in turns: least disturbed by others."""
    times = [[] for _ in jobs]
    for _ in range(ROUNDS):
        for job, taken in zip(jobs, times, strict=True):
            start = time.process_time()
            job()
            taken.append(time.process_time() - start)
    return [min(taken) * 1_000 for taken in times]


def celsius(row, warmer, digits):
    """Up to 78 °C in 83 minutes, held, down again, a little noise; in so many digits."""
    up, down = min(1.0, row / 500), min(1.0, max(0.0, (row - 4_000) / 600))
    return round(21 + warmer + 57 * (up - down) + (row * 7_919 % 5_000) / 50_000, digits)


def floor(at_s, one, other):
    """Both sums by one straight line in 1/T, and nothing else."""
    cautious = plain = before = 0.0
    for row in range(len(at_s)):
        coldest = one[row] if one[row] < other[row] else other[row]
        rate = math.exp(13.7 - 5_000 / (coldest + 273.15)) / 3600
        if row:
            seconds = at_s[row] - at_s[row - 1]
            cautious += seconds * (rate if rate < before else before)
            plain += seconds * (rate + before) / 2
        before = rate
    return cautious, plain


def main():
    at_s = [row * EVERY_S for row in range(ROWS)]
    pressure = PressureLog(at_s, [345.0 + row % 3 for row in range(ROWS)])
    points = (SchedulePoint(23.0, 16.0), SchedulePoint(50.0, 4.0), SchedulePoint(80.0, 1.0))
    schedule = schedule_through(points=Given(points, Basis.DATA_SHEET))
    limits = Limits(Given(300.0), heating_k_per_min=Given(5.0), cooling_k_per_min=Given(5.0))
    tenths, alike = (
        {
            name: [celsius(row, warmer, digits) for row in range(ROWS)]
            for name, warmer in (("p1", 0), ("p2", 0.5))
        }
        for digits in (1, 9)
    )

    def judged(columns):
        log = Log(at_s, columns)
        ends = {"closed_at_s": 0.0, "opened_at_s": at_s[-1]}
        return judge(schedule=schedule, log=log, pressure=pressure, limits=limits, **ends).outcome

    if judged(tenths) is not Outcome.PASSES:
        sys.exit("the curve of the benchmark does not pass")
    floor_ms, one_ms, two_ms, worst_ms = best_ms(
        lambda: floor(at_s, tenths["p1"], tenths["p2"]),
        lambda: judged({"p1": tenths["p1"]}),
        lambda: judged(tenths),
        lambda: judged(alike),
    )
    for name, taken in (
        ("the floor: two sums in a loop", floor_ms),
        ("judged, one probe", one_ms),
        ("judged, two probes", two_ms),
        ("judged, two probes, no two rows alike", worst_ms),
    ):
        sys.stdout.write(f"{name:40} {taken:6.2f} ms {taken / floor_ms:5.2f} x\n")
    sys.stdout.write(f"asked for {ASKED_MS} ms; may take {RATIO} times the floor\n")
    return int(two_ms > RATIO * floor_ms)


if __name__ == "__main__":
    sys.exit(main())
