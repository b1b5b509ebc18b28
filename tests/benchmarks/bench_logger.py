"""A logger's file of a million rows, read and thinned to the hours that are kept.

Two probes, decimal commas, a zone whose clocks change.

Run by `python -m tests.benchmarks.bench_logger`. Gates on the ratio to `csv.reader` alone over the same lines
in the same run, on memory, and on 20 s of processor time; other seconds are printed only.
"""

import csv
import json
import resource
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import process_time
from zoneinfo import ZoneInfo

from inventory.compute.hours import Thinner, packed
from inventory.formats.logger import Log, as_text, find_shape

ROWS = 1_000_000
LARGEST_RATIO, MOST_SECONDS, MOST_MB = 25.0, 20.0, 200
ZONE = ZoneInfo("Europe/Oslo")


def write(path: Path) -> None:
    """Invented readings, a minute apart, as a logger writes whose clock follows the zone."""
    start = datetime(2025, 1, 1, tzinfo=UTC)
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write("Serial number;TT-0042\r\nTime;Bay (°C);Core (°C)\r\n")
        for row in range(ROWS):
            at = (start + timedelta(minutes=row)).astimezone(ZONE)
            file.write(f"{at:%d.%m.%Y %H:%M:%S};{20 + row % 97 // 10},{row % 10};{30 + row % 7},5\r\n")


def peak_mb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1_000


def main() -> int:
    """Print what was measured; 1 where a gate is broken."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write(path)
        start = process_time()
        with path.open(encoding="utf-8", newline="") as file:
            plain = sum(1 for _ in csv.reader(file, delimiter=";"))
        floor, before, start = process_time() - start, peak_mb(), process_time()
        with path.open("rb") as raw, as_text(raw) as file:
            look = find_shape(file)
            file.seek(0)
            readings, thinner = 0, Thinner()
            for reading in Log(file, look.shape, zone=ZONE):
                readings += 1
                thinner.take(reading.at, reading.values[0])
            kept = json.dumps(packed(thinner.kept().hours), separators=(",", ":"))
        seconds, more = process_time() - start, peak_mb() - before
    ratio = seconds / floor
    sys.stdout.write(
        f"logger, {plain} rows by csv.reader {floor:.2f} s; {readings} readings {seconds:.2f} s, "
        f"ratio {ratio:.1f}, {more} MB more, "
        f"{len(kept) // 1000} kB kept\n"
    )
    held = readings == ROWS and ratio <= LARGEST_RATIO and seconds <= MOST_SECONDS and more <= MOST_MB
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
