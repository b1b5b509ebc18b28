"""The times of a logger's file: how days and clocks are written, and which moment in the world each one is.

A zone is passed in. Where its clocks are set back, an hour comes twice and is told apart by the order of the
readings; an hour that its clocks skip shows that the logger's clock is not set, and is refused.
"""

import re
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta, tzinfo

from inventory.errors import Refused, say
from inventory.formats.sheets_cells import DayOrder

DAY = r"(?:[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}|[0-9]{1,2}[ -][A-Za-z]{3}[ -](?:[0-9]{4}|[0-9]{2}))"
CLOCK = (
    r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]{1,6})?)?"
    r"(?: ?[AaPp]\.?[Mm]\.?)?(?: ?(?:Z|[+-][0-9]{2}:?[0-9]{2}))?"
)
_DAY = re.compile(r"([0-9]{1,4})([-/.])([0-9]{1,2})\2([0-9]{1,4})")
_NAMED = re.compile(r"([0-9]{1,2})[ -]([A-Za-z]{3})[ -]([0-9]{2,4})")
_CLOCK = re.compile(
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]{1,6}))?)?"
    r"(?: ?([AaPp])\.?[Mm]\.?)?(?: ?(Z|([+-])([0-9]{2}):?([0-9]{2})))?"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_KEPT_MOST = 100_000
_DECIDES = 0.75  # share of lines
_FIRST_YEAR, _LAST_YEAR = 1990, 2099

Stamp = tuple[timedelta, timedelta | None]  # since midnight, and the offset that the text itself says


def split_stamp(text: str) -> tuple[str, str]:
    """Day and clock of a text that holds both."""
    colon = text.find(":")
    cut = max(text.rfind(" ", 0, colon), text.rfind("T", 0, colon))
    return text[:cut].rstrip(" ,"), text[cut + 1 :]


def day_of(text: str, order: DayOrder) -> date | None:
    """A day in one order; `None` for what is none."""
    named = _NAMED.fullmatch(text)
    if named:
        name = named[2].lower()
        month = _MONTHS.index(name) + 1 if name in _MONTHS else 0
        return _date(int(named[3]), month, int(named[1]))
    match = _DAY.fullmatch(text)
    if not match:
        return None
    first, second, third = int(match[1]), int(match[3]), int(match[4])
    if order is DayOrder.YMD:
        return _date(first, second, third)
    return _date(third, second, first) if order is DayOrder.DMY else _date(third, first, second)


def orders_of(texts: Sequence[str]) -> tuple[DayOrder, ...]:
    """The orders in which most of these texts are days; lines that are none do not decide."""
    named = bool(texts) and all(map(_NAMED.fullmatch, texts))
    counted = Counter(texts)
    found = {
        order: sum(count for text, count in counted.items() if day_of(text, order))
        for order in ((DayOrder.DMY,) if named else DayOrder)
    }
    most = max(found.values())
    return tuple(order for order, count in found.items() if count == most and count > _DECIDES * len(texts))


def clock_of(text: str) -> Stamp | None:
    """A time of day, with the offset it says; `None` for what is none."""
    match = _CLOCK.fullmatch(text)
    if not match:
        return None
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[5]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[5] in "Pp" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    parts = int((match[4] or "0").ljust(6, "0"))
    since = timedelta(hours=hour, minutes=minute, seconds=second, microseconds=parts)
    if not match[6]:
        return since, None
    offset = timedelta(hours=int(match[8] or 0), minutes=int(match[9] or 0))
    return since, -offset if match[7] == "-" else offset


class Clock:
    """Texts of days and clocks, one after the other, to moments in UTC."""

    def __init__(self, order: DayOrder, zone: tzinfo) -> None:
        self._order, self._zone = order, zone
        self._days: dict[str, tuple[datetime, timedelta | None] | None] = {}
        self._clocks: dict[str, Stamp | None] = {}
        self._last: datetime | None = None
        self._step: timedelta | None = None  # the shortest so far

    def moment(self, day_text: str, clock_text: str) -> datetime | None:
        """The moment in UTC; `None` where the texts are no time. Refuses: logger.zone."""
        try:
            day, stamp = self._days[day_text], self._clocks[clock_text]
        except KeyError:
            day, stamp = self._day(day_text), self._clock(clock_text)
        if day is None or stamp is None:
            return None
        midnight, offset = day
        since, said = stamp
        if said is not None:
            moment = midnight + since - said
        elif offset is not None:
            moment = midnight + since - offset
        else:
            moment = self._on_a_day_of_change(midnight + since)
        if self._last is not None and moment > self._last:
            step = moment - self._last
            self._step = step if self._step is None else min(self._step, step)
        self._last = moment
        return moment

    def _day(self, text: str) -> tuple[datetime, timedelta | None] | None:
        """Midnight as if it were UTC, and the zone's offset where it is one all day."""
        if text in self._days:
            return self._days[text]
        if len(self._days) > _KEPT_MOST:
            self._days.clear()
        day = day_of(text, self._order)
        kept = None
        if day is not None:
            midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
            hours = [midnight + timedelta(hours=hour) for hour in range(25)]
            offsets = {self._offset(hour, fold) for hour in hours for fold in (0, 1)}
            kept = midnight, offsets.pop() if len(offsets) == 1 else None
        self._days[text] = kept
        return kept

    def _clock(self, text: str) -> Stamp | None:
        if text not in self._clocks:
            if len(self._clocks) > _KEPT_MOST:
                self._clocks.clear()
            self._clocks[text] = clock_of(text)
        return self._clocks[text]

    def _offset(self, local: datetime, fold: int) -> timedelta:
        offset = local.replace(tzinfo=self._zone, fold=fold).utcoffset()
        return offset or timedelta(0)

    def _on_a_day_of_change(self, local: datetime) -> datetime:
        """The moment of a local time; of two, the one that comes when the next reading is due."""
        earlier, later = (local - self._offset(local, fold) for fold in (0, 1))
        if later < earlier:
            raise Refused(
                "logger.zone",
                say(
                    "The file has {clock} on {day}, an hour that the clocks of {zone} skip.",
                    clock=f"{local:%H:%M}",
                    day=local.date(),
                    zone=self._zone,
                ),
                say("The logger keeps one time all year: choose its fixed offset, such as UTC+1."),
            )
        last = self._last
        if last is None:
            return earlier
        expected = last + (self._step or timedelta(0))
        ways = [moment for moment in (earlier, later) if moment >= last]
        return min(ways, key=lambda moment: abs(moment - expected), default=later)


def _date(year: int, month: int, day: int) -> date | None:
    """A day of a year that a logger can have; two digits are of this century."""
    year += 2000 if year < 100 else 0
    try:
        return date(year, month, day) if _FIRST_YEAR <= year <= _LAST_YEAR else None
    except ValueError:
        return None
