"""Which columns of a logger's file hold temperatures and pressures, under which names, in which units.

What neither a heading nor a cell says is asked for, never guessed. Knows no times.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

from inventory.errors import Refused, say
from inventory.formats.logger_shape import Hints, Probe
from inventory.formats.logger_units import PATTERNS, Unit, unit_in, without_unit
from inventory.formats.sheets_cells import shortened

VALUES_MOST = 32
MISSING = frozenset(
    {"", "-", "--", "---", "----", "nan", "n/a", "na", "null", "none", "err", "error", "ol", "open"}
)

_VALUE = re.compile(r"([-+−]?[0-9]+(?:([.,])[0-9]+)?)\s*(°\s?[CcFf]|[CcFf]|m?bar|[kKM]?Pa|psi)?")
_SERIAL = re.compile(
    r"\b(?:serial|s/n|sn|(?:logger|device|instrument)\s*id)\b[^0-9A-Za-z]*(?:(?:number|no|nr|num)\b)?"
    r"[^0-9A-Za-z]*([A-Za-z0-9][A-Za-z0-9-]{2,39})",
    re.IGNORECASE,
)
_OTHER = re.compile(r"humid|\brh\b|r\.h\.|%|batt|volt|\bmv\b|\bv\b|dew|lux|light|signal|alarm", re.IGNORECASE)
_WANTED = re.compile(
    r"temp|probe|sensor|thermo|\btc? ?[0-9]|\bch(annel)?\b ?[0-9]|press|druck", re.IGNORECASE
)
_PRESSURE = re.compile(r"press|druck", re.IGNORECASE)

Rows = Sequence[Sequence[str]]


def headings_of(before: Rows, width: int) -> list[str]:
    """The headings: the last row before the readings that is about as wide and holds words; else empty ones.

    Refuses: logger.columns where rows have more cells than headings.
    """
    for row in reversed(before):
        filled = [cell for cell in row if cell]
        if len(filled) < 2 or any(map(_VALUE.fullmatch, filled)) or len(row) < width - 1:
            continue
        heads = list(row)
        while not heads[-1]:
            heads.pop()
        if len(heads) < width:
            raise _columns(len(heads), width)
        return heads[:width]
    return [""] * width


def probes_of(
    body: Rows, before: Rows, times: Sequence[int], separator: str, hints: Hints
) -> tuple[tuple[Probe, ...], tuple[str, ...]]:
    """The columns of values, and the headings of those left out.

    Refuses: logger.columns, logger.no_values, logger.temperature_unit, logger.pressure_unit.
    """
    width = max(at + 1 for row in body for at, cell in enumerate(row) if cell)
    headings = headings_of(before, width)
    columns = [at for at in range(width) if at not in times]
    values = _valued(body, headings, [at for at in columns if _is_numeric(body, at)], min(times))
    if separator == "," and len(values) > 1 and not any(headings) and _is_whole(body, values):
        raise _columns(1, 2)
    if not 1 <= len(values) <= VALUES_MOST:
        raise Refused(
            "logger.no_values",
            say(
                "The file has {count} columns of values; 1 to {most} are read.",
                count=len(values),
                most=VALUES_MOST,
            ),
            say("Export it again with temperatures beside the times."),
        )
    said = " ".join(" ".join(row) for row in before)
    names: Counter[str] = Counter()
    probes = []
    for number, at in enumerate(values, start=1):
        name = shortened(without_unit(headings[at])) or f"probe {number}"
        names[name] += 1
        name += f" ({names[name]})" if names[name] > 1 else ""
        probes.append(Probe(at, name, _unit(headings[at], _suffix(body, at), said, hints)))
    left_out = tuple(shortened(headings[at]) for at in columns if at not in values and headings[at])
    return tuple(probes), left_out


def decimal_mark_of(body: Rows, probes: Sequence[Probe]) -> str:
    """The one mark before decimals; the dot where there are none. Refuses: logger.decimal_mark."""
    cells = (_VALUE.fullmatch(row[probe.at]) for row in body for probe in probes if probe.at < len(row))
    marks = {match[2] for match in cells if match and match[2]}
    if len(marks) > 1:
        raise Refused(
            "logger.decimal_mark",
            say("Some numbers of the file have a comma before decimals, some a dot."),
            say("Export it again with one of them."),
        )
    return marks.pop() if marks else "."


def serial_in(rows: Iterable[Sequence[str]]) -> str | None:
    """The serial number that the lines before the readings name."""
    for row in rows:
        found = _SERIAL.search(" ".join(row))
        if found and any(letter.isdigit() for letter in found[1]):
            return found[1]
    return None


def number_in(text: str, decimal_mark: str, unit: Unit) -> float | None:
    """The number of a cell with this unit behind it, or with an odd minus; `None` for what is none."""
    match = _VALUE.fullmatch(text.strip())
    if not match or match[2] not in (None, decimal_mark) or (match[3] and unit_in(match[3]) is not unit):
        return None
    return float(match[1].replace("−", "-").replace(",", "."))


def _valued(body: Rows, headings: Sequence[str], numeric: list[int], time_at: int) -> list[int]:
    """The columns that say what they are; where none does, all that are not known to be something else."""
    numeric = [at for at in numeric if not _OTHER.search(headings[at])]
    certain = [
        at
        for at in numeric
        if unit_in(headings[at]) or unit_in(_suffix(body, at)) or _WANTED.search(headings[at])
    ]
    return certain or [at for at in numeric if at > time_at or not _counts(body, at)]


def _cells(body: Rows, at: int) -> list[str]:
    return [row[at] if at < len(row) else "" for row in body]


def _is_numeric(body: Rows, at: int) -> bool:
    """Whether a column holds numbers or nothing in each row, and some number."""
    cells = [cell for cell in _cells(body, at) if cell.lower() not in MISSING]
    return bool(cells) and all(map(_VALUE.fullmatch, cells))


def _counts(body: Rows, at: int) -> bool:
    """Whether a column counts its rows."""
    cells = _cells(body, at)
    if len(cells) < 2 or not all(cell.isascii() and cell.isdigit() for cell in cells):
        return False
    return all(int(after) == int(before) + 1 for before, after in pairwise(cells))


def _is_whole(body: Rows, columns: Sequence[int]) -> bool:
    """Whether no number has decimals: then a comma between cells may be one before decimals."""
    return len(columns) % 2 == 0 and not any(
        "." in row[at] for row in body for at in columns if at < len(row)
    )


def _suffix(body: Rows, at: int) -> str:
    """The unit behind the numbers of a column."""
    matches = (_VALUE.fullmatch(cell) for cell in _cells(body, at))
    return next((match[3] for match in matches if match and match[3]), "")


def _unit(heading: str, suffix: str, said: str, hints: Hints) -> Unit:
    """The unit of a column: of its heading, its cells, the lines before, or what a person says."""
    own = unit_in(heading) or unit_in(suffix)
    if own:
        return own
    pressure = bool(_PRESSURE.search(heading))
    general = {unit for unit in Unit if unit.is_pressure == pressure and PATTERNS[unit].search(said)}
    told = hints.pressure if pressure else hints.temperature
    if len(general) == 1:
        return general.pop()
    if told is not None and told.is_pressure == pressure:
        return told
    if pressure:
        raise Refused(
            "logger.pressure_unit",
            say("The file does not say in which unit its pressures are."),
            say("Say whether they are bar, kPa or psi; it is remembered."),
        )
    raise Refused(
        "logger.temperature_unit",
        say("The file does not say whether its temperatures are Celsius or Fahrenheit."),
        say("Say which; it is remembered."),
    )


def _columns(headings: int, cells: int) -> Refused:
    return Refused(
        "logger.columns",
        say(
            "Rows have {cells} cells for {headings} headings: a decimal comma may look like one more cell.",
            cells=cells,
            headings=headings,
        ),
        say("Export the file again with semicolons between cells, or with a dot before decimals."),
    )
