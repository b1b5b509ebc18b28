"""The demo's pages are light: each with its styles, scripts and pictures, before any is packed for the way.

150 KB a page is what was asked for, on a weak line at a venue.
"""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.contrib.staticfiles import finders
from django.urls import resolve, reverse

from inventory.models import Trip
from tests import crawl
from tests.reading import Client
from tests.seasons import books, made

pytestmark = pytest.mark.own_books
WEIGHT = 150_000  # bytes
_LOADED = re.compile(r'<(?:script|img|link)\b[^>]*?\b(?:src|href)="(/[^"]+)"')


@pytest.fixture
def ragna(
    tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, django_db_blocker: object, settings: object
) -> Iterator[Client]:
    """The owner, who sees most, before a copy of the season: signing in writes."""
    season = tmp_path / "copy"
    shutil.copytree(made(tmp_path_factory), season, ignore=shutil.ignore_patterns("serving.*"))
    settings.DATA_FOLDER = season
    with books(season, django_db_blocker):
        client = Client()
        client.force_login(User.objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend")
        yield client


def loaded(client: Client, address: str) -> int:
    """What a file that a page names weighs."""
    if address.startswith("/static/"):
        found = finders.find(address.removeprefix("/static/"))
        assert found, address
        return Path(found).stat().st_size
    return len(b"".join(client.get(address)))


def test_every_page_of_the_demo_is_under_150_kb_with_all_it_loads(ragna: Client) -> None:
    """One page of each sort, as the owner's links lead to them, and the trip that has most to say."""
    files: dict[str, int] = {}

    def weight(markup: str) -> int:
        named = set(_LOADED.findall(markup))
        assert any(address.endswith(".css") for address in named)
        for address in named - files.keys():
            files[address] = loaded(ragna, address)
        return len(markup.encode()) + sum(files[address] for address in named)

    def get(address: str) -> tuple[str, object]:
        answer = ragna.get(address, follow=True)
        return crawl.markup_of(answer), answer

    last = Trip.objects.order_by("leaves_on").last()  # for which least is ready
    more = tuple(reverse(name, args=[last.id]) for name in ("trips-trip", "trips-checked"))
    found = {address: weight(markup) for address, markup, _ in crawl.pages(get, each=1, more=more)}
    heavy = {address: size for address, size in found.items() if size > WEIGHT}
    assert heavy == {}
    seen = {resolve(address.split("?")[0]).url_name for address in found}
    assert {"trips-checked", "skis-back-chance", "places-count", "season-list"} <= seen
    assert len(seen) > 140
