"""Which time zone a shop's days are counted in, and which one this computer goes by."""

import os
import subprocess
import sys
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings as django_settings
from django.core.management import call_command
from django.utils import timezone

from inventory.actions import builds, trips
from inventory.actions.shop import change_shop
from inventory.compute.codes import Kind
from inventory.models import Shop
from inventory.queries import zones
from tests.views.test_stock_pages import signed_in

pytestmark = pytest.mark.django_db


def localtime(tmp_path, zone):
    """A folder as /etc, whose localtime points into a tz database."""
    (tmp_path / "zoneinfo" / zone).parent.mkdir(parents=True)
    (tmp_path / "zoneinfo" / zone).touch()
    (tmp_path / "localtime").symlink_to(tmp_path / "zoneinfo" / zone)
    return tmp_path


def test_computers_zone_is_what_tz_says_else_where_localtime_points_else_the_written_name(tmp_path):
    """Source: POSIX.1-2017 8.3 and tzset(3) for TZ; localtime(5) of systemd; Debian's /etc/timezone."""
    etc = localtime(tmp_path, "America/Argentina/Ushuaia")
    (etc / "timezone").write_text("Asia/Tokyo\n")
    assert zones.of_computer("Europe/Berlin", etc) == "Europe/Berlin"
    assert zones.of_computer(":Europe/Berlin", etc) == "Europe/Berlin"
    assert zones.of_computer("/usr/share/zoneinfo/Europe/Berlin", etc) == "Europe/Berlin"
    assert zones.of_computer("", etc) == "America/Argentina/Ushuaia"
    assert zones.of_computer("CET-1CEST", etc) == "America/Argentina/Ushuaia"
    (etc / "localtime").unlink()
    assert zones.of_computer("", etc) == "Asia/Tokyo"
    (etc / "timezone").write_bytes(b"\xff\xfe")
    assert zones.of_computer("", etc) == ""


def test_choices_are_zones_that_the_standard_library_knows_and_oslo_is_one():
    """Outside check: each can be opened by zoneinfo (PEP 615)."""
    assert {"Europe/Oslo", "America/Denver", "UTC"} <= set(zones.choices())
    assert all(ZoneInfo(each) for each in zones.choices())


def test_zone_of_the_environment_outranks_the_card_and_the_card_the_programs_own(shop, settings):
    """Nothing said: the program's; then the card's; then SHOP_TIME_ZONE."""
    assert str(zones.zone(Shop.objects.get())) == django_settings.TIME_ZONE
    shop.do(change_shop, time_zone="Asia/Kathmandu")
    assert str(zones.zone(Shop.objects.get())) == "Asia/Kathmandu"
    settings.SHOP_TIME_ZONE = "Pacific/Apia"
    assert str(zones.zone(Shop.objects.get())) == "Pacific/Apia"


def test_zone_that_this_laptop_does_not_know_is_the_programs_own(shop):
    """Its card may come from a laptop with newer data; no page fails for that."""
    Shop.objects.update(time_zone="Mars/Olympus")
    assert str(zones.zone(Shop.objects.get())) == django_settings.TIME_ZONE


def test_day_of_a_page_and_of_what_it_writes_is_the_shops_day(shop, client):
    """UTC+14 and UTC-11 never have the same date: the same page says two days, and no zone stays behind.

    Outside check: the dates are the standard library's.
    """
    signed_in(client, shop, "owner")
    said = set()
    for name in ("Pacific/Kiritimati", "Pacific/Pago_Pago"):
        shop.do(change_shop, time_zone=name)
        local = datetime.now(UTC).astimezone(ZoneInfo(name))
        page = client.get("/").content.decode()
        assert f"{local.day} {local:%b %Y}" in page
        said.add(local.date())
        assert str(timezone.get_current_timezone()) == django_settings.TIME_ZONE
    assert len(said) == 2


def test_command_counts_days_in_the_shops_zone_and_leaves_none_behind(shop, capsys):
    """A trip that leaves on the shop's today is found by `ready`; afterwards the program's zone is back."""
    shop.do(change_shop, time_zone="Pacific/Kiritimati")
    stoat = shop.place(Kind.TRAILER, "Stoat")
    today = datetime.now(UTC).astimezone(ZoneInfo("Pacific/Kiritimati")).date()
    at = shop.do(builds.plan_workshop, name="Kvitskard", starts_on=today, ends_on=today).thing
    shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=today,
        back_on=today,
        trailers=[stoat],
        workshops=[at],
    )
    with pytest.raises(SystemExit):
        call_command("ready", "Kvitskard")
    assert f"{today.day} {today:%b %Y}" in capsys.readouterr().out
    assert str(timezone.get_current_timezone()) == django_settings.TIME_ZONE


def test_settings_read_tz_before_the_framework_sets_it(tmp_path):
    """A process of its own, as a shell starts it: what TZ said is still known once settings are in use."""
    code = (
        "import django; from django.conf import settings; django.setup();"
        "print(settings.COMPUTER_TIME_ZONE, settings.TIME_ZONE)"
    )
    environment = {**os.environ, "TZ": "America/Denver", "SHOP_DATA": str(tmp_path), "SHOP_TIME_ZONE": ""}
    environment["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    ran = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True
    )
    assert ran.stdout.split() == ["America/Denver", "Europe/Oslo"]
