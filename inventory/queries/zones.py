"""READ the time zone that days are counted in: the environment's, else the shop's, else the program's own."""

import functools
import zoneinfo
from datetime import tzinfo
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from inventory.models import Shop

_ETC = Path("/etc")
# Where a name of the tz database is an area and a place in it (its theory.html, Names of timezones).
_AREAS = (
    *("Africa", "America", "Antarctica", "Arctic", "Asia"),
    *("Atlantic", "Australia", "Europe", "Indian", "Pacific"),
)


def zone(card: Shop | None) -> tzinfo:
    """The zone of this laptop's days; the program's own where it does not know the one that is named."""
    return _known(name(card)) or timezone.get_default_timezone()


def name(card: Shop | None) -> str:
    """What that zone is called: SHOP_TIME_ZONE when it is set, else as the shop's card says."""
    return settings.SHOP_TIME_ZONE or (card.time_zone if card else "") or settings.TIME_ZONE


@functools.cache
def choices() -> tuple[str, ...]:
    """The zones of the tz database that are named by a city, and UTC."""
    found = (each for each in zoneinfo.available_timezones() if each.partition("/")[0] in _AREAS)
    return (*sorted(each for each in found if "/" in each), "UTC")


def of_computer(asked: str | None = None, etc: Path = _ETC) -> str:
    """The zone this computer goes by; empty where it does not say, or names one that is no choice.

    Source: TZ as POSIX.1-2017, section 8.3, leaves it to the system (tzset(3): a colon may stand before the
    name); else where /etc/localtime points to (localtime(5)); else the name in /etc/timezone (Debian).
    """
    asked = settings.COMPUTER_TIME_ZONE if asked is None else asked
    found = (asked.removeprefix(":"), _pointed_to(etc / "localtime"), _written(etc / "timezone"))
    names = (each.rpartition("zoneinfo/")[2] for each in found)
    return next((each for each in names if each in choices()), "")


def _pointed_to(path: Path) -> str:
    try:
        return path.resolve(strict=True).as_posix()
    except OSError:
        return ""


def _written(path: Path) -> str:
    try:
        return path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def _known(name: str) -> tzinfo | None:
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return None
