"""The demo's guests: how they are reached, and the one whose ski was rejected."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from inventory.models import Event, Guest, Package, Season, Ski
from inventory.queries import day, recalls
from inventory.queries.season.plan import season_list
from shop.folder import read_mark
from tests.seasons import books, made

pytestmark = pytest.mark.own_books
# RFC 2606, section 2: .example; Ofcom, telephone numbers for drama: 01632 960000 to 960999 (both from memory)
NOBODYS = re.compile(r"[a-z.-]+\.\d+@guest\.example|\+44 1632 960\d{3}")


@pytest.fixture
def opened(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: object) -> Iterator[Path]:
    season = made(tmp_path_factory)
    with books(season, django_db_blocker):
        yield season


def test_guests_are_reached_where_nobody_is_and_a_recall_finds_whom_to_tell(opened):
    """Eight of nine left word; of the five with the suspect jug in their skis four can be told."""
    contacts = list(Guest.objects.values_list("contact", flat=True))
    assert len(set(contacts) - {""}) == len(contacts) - len(contacts) // 9
    assert all(NOBODYS.fullmatch(text) for text in contacts if text)
    jug = Package.objects.filter(lot__number="TH-2466").order_by("thing_id").first()
    ahead = recalls.ahead([jug.thing_id], date.fromisoformat(read_mark(opened).made))
    assert (len(ahead.can_be_told), len(ahead.no_contact), len(ahead.nobody)) == (4, 1, 0)


def test_another_ski_waits_to_be_laid_up_in_the_place_of_a_rejected_one(opened):
    """The first page says so, and the season's list asks for what it takes."""
    (out,) = Ski.objects.filter(was_of__isnull=False)
    assert out.was_of.skis.count() == 2
    assert not Event.objects.filter(step="handed over", lines__thing_id=out.was_of_id).exists()
    today = date.fromisoformat(read_mark(opened).made)
    assert "1 pair waits to be laid up." in [str(note.sentence) for note in day.notes(today)]
    answer = season_list(Season.objects.get(), today)
    assert any("1 ski of a workshop that is over" in str(note.sentence) for note in answer.notes)
