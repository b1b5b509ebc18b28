"""Two laptops attach loggers' files while apart: each hour counts once, on both, and nothing disagrees."""

from datetime import UTC, datetime, timedelta

from inventory.actions import loggers
from inventory.compute.codes import Kind
from inventory.formats.logger import remembered
from inventory.models import Disagreement, Logger
from inventory.queries import logged
from inventory.queries import loggers as read
from inventory.queries.books import differences
from tests.actions.test_loggers import file_of

START = datetime(2026, 6, 1, tzinfo=UTC)
H = timedelta(hours=1)


def meet(found, shop):
    for one, other in ("AB", "BA"):
        found[other].merge(found[one].export(), shop.by())


def attach(found, shop, letter, place, content):
    with found[letter].in_hand():
        sha256 = loggers.put_aside([content], now=shop.at)
        asked = read.Asked(place=place, sha256=sha256, zone="UTC")
        looked = read.look(asked, shop.at)
        shop.do(loggers.keep_log, log=loggers.written(asked, looked, remembered(looked.shape)))


def test_files_attached_apart_count_each_hour_once_on_both_laptops(laptops, settings, tmp_path):
    """The same file on both, and on one a longer one: after the meeting both know the longer one's hours."""
    settings.DATA_FOLDER = tmp_path
    found, shop = laptops("AB")
    with found["A"].in_hand():
        trailer = shop.place(Kind.TRAILER, "Ptarmigan")
    meet(found, shop)
    shop.at = max(shop.at, START + 90 * H)
    celsius = [20 + row % 18 for row in range(3 * 72 + 1)]
    attach(found, shop, "A", trailer, file_of(celsius[: 2 * 72 + 1]))
    attach(found, shop, "B", trailer, file_of(celsius[: 2 * 72 + 1]))
    attach(found, shop, "B", trailer, file_of(celsius))
    meet(found, shop)
    told = {}
    for letter in "AB":
        with found[letter].in_hand():
            told[letter] = logged.hours_of([trailer])[trailer]
            assert not Disagreement.objects.exists()
            assert list(differences()) == []
            assert Logger.objects.get().serial == "TT-0042"
    assert told["A"] == told["B"]
    assert sum(hour.seconds for hour in told["A"]) == 72 * 3600
    assert found["A"].hash() == found["B"].hash()
