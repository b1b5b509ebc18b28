"""Somebody is erased on one laptop: they are gone on every one that merges, whatever was written there."""

import io
from datetime import date

import pytest
from django.contrib.auth.models import User
from PIL import Image

from inventory.actions import artwork, builds, erasing, papers, people, press, stock
from inventory.actions import shop as shop_actions
from inventory.management import erased as again
from inventory.models import Artwork, Guest, Note, Paper, Person, SignIn
from inventory.queries import crew, erased
from inventory.queries import dossier as dossiers
from inventory.queries import papers as paper_files
from inventory.roles import Role
from tests.laptops import meet, right
from tests.make import pieces, refused

NAME, CONTACT = "Wendeltraud Ås", "w@guest.example"


@pytest.fixture
def apart(laptops):
    """Two laptops that know a guest's pair, with a note and a paper on each written apart."""
    found, shop = laptops("AB")
    one, other = found["A"], found["B"]
    with one.in_hand():
        pair, left, _ = shop.pair(NAME)
        guest = Guest.objects.get(name=NAME).id
        shop.do(builds.change_guest, guest=guest, changes={"contact": CONTACT})
        blank = shop.package("blank", pieces(2))
        shop.do(press.lay_up, ski=left, inputs=[(blank, pieces(1))])
        shop.do(press.inspect, ski=left, passed=True, why=f"{NAME} likes it")
    meet(one, other, shop)
    return one, other, shop, guest, pair, left


def picture(size: int = 40) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (size, size), "tan").save(out, "PNG")
    return out.getvalue()


def left_of(laptop) -> str:
    """All that is written of people on a laptop."""
    with laptop.in_hand():
        cards = [
            *Guest.objects.values_list("name", "contact"),
            *Person.objects.values_list("name", "licence"),
        ]
        notes = Note.objects.values_list("text", flat=True)
        return " ".join([*(word for card in cards for word in card), *notes])


def test_guest_erased_here_is_erased_there_with_what_was_written_there_meanwhile(apart, settings, tmp_path):
    """Card, notes and papers of both laptops; a note of later, and the pair's trace, stay."""
    one, other, shop, guest, pair, left = apart
    settings.DATA_FOLDER = tmp_path / "other"
    with other.in_hand():
        shop.do(press.inspect, ski=left, passed=True, why=f"{NAME} looked at it again")
        shop.do(builds.change_guest, guest=guest, changes={"contact": f"new {CONTACT}"})
        kept = papers.keep(picture(), what="photo", title=NAME)
        shop.do(papers.attach, about=pair, file=kept)
    one.do(erasing.erase_guest, shop.by(), guest=guest)
    assert NAME not in left_of(one)
    assert NAME in left_of(other)
    meet(one, other, shop)
    with other.in_hand():
        shop.do(press.inspect, ski=left, passed=True, why="came back, a scratch")
        files = erased.files_of(guest)
        assert files == [kept.sha256]
        erasing.note_down_merged()
        assert not paper_files.path(kept.sha256).exists()
        assert guest in {row.who for row in erased.read(erased.path())}
        assert not Paper.objects.filter(withdrawn=False).exists()
    meet(one, other, shop)
    for laptop in (one, other):
        text = left_of(laptop)
        assert NAME not in text
        assert CONTACT not in text
        assert "came back, a scratch" in text
        with laptop.in_hand():
            assert len(dossiers.dossier(left).made_of) == 2  # the package and its lot
    right(one, other)


def test_guest_edited_elsewhere_after_the_erasing_stays_erased_on_both(apart):
    """The later edit of a laptop that did not know yet does not bring the card back."""
    one, other, shop, guest, *_ = apart
    one.do(erasing.erase_guest, shop.by(), guest=guest)
    other.do(builds.change_guest, shop.by(), guest=guest, changes={"name": "Wendeltraud Å."})
    for laptops_ in ((one, other), (other, one)):
        meet(*laptops_, shop)
        assert not any("Wendeltraud" in left_of(laptop) for laptop in laptops_)


def test_artwork_that_came_after_the_erasing_stays_and_the_card_takes_nothing_any_more(
    apart, settings, tmp_path
):
    """The pair is still in work: a sheet of the shop stays, whoever meets."""
    settings.DATA_FOLDER = tmp_path / "one"
    one, other, shop, guest, pair, _ = apart
    with one.in_hand():
        shop.do(builds.change_guest, guest=guest, changes={"contact": "w2@guest.example"})
        old, new = (artwork.keep(picture(size)) for size in (40, 50))
        shop.do(artwork.attach_artwork, pair=pair, file=old)
        shop.do(erasing.erase_guest, guest=guest)
        with refused("guest.erased"):
            shop.do(builds.change_guest, guest=guest, changes={"name": "Someone new"})
        shop.do(artwork.attach_artwork, pair=pair, file=new)
    meet(one, other, shop)
    meet(one, other, shop)
    for laptop in (one, other):
        with laptop.in_hand():
            assert Artwork.objects.get(pair_id=pair).sha256 == new.sha256
    with one.in_hand():
        erasing.note_down_merged()
    assert not paper_files.path(old.sha256).exists()
    assert paper_files.path(new.sha256).exists()


def test_someone_of_the_crew_erased_here_cannot_sign_in_there_and_is_no_longer_here(apart):
    """Name, licence and way in go on both; what they recorded stays, by someone no longer here."""
    one, other, shop, *_, left = apart
    with other.in_hand():
        people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
        jug = shop.package()
        shop.do(stock.hold, things=[jug], reason="Odd Fether says it smells", by=shop.by(as_=shop.crew))
        shop.do(press.inspect, ski=left, passed=True, why="straight", by=shop.by(as_=shop.crew))
    one.do(erasing.erase_person, shop.by(), person=shop.crew)
    meet(one, other, shop)
    meet(one, other, shop)
    for laptop in (one, other):
        assert "Fether" not in left_of(laptop)
        with laptop.in_hand():
            assert "straight" in left_of(laptop)
            found = dossiers.dossier(left)
            assert "someone no longer here" in {event.who for event in found.events}
            assert shop.crew not in {row.id for row in crew.workers()}
            assert Person.objects.get(id=shop.crew).role == "helper"
            assert not SignIn.objects.exists()
            assert not User.objects.exists()
    right(one, other)


def test_the_only_owner_is_not_erased_and_one_of_two_is(shop):
    """The shop keeps an owner; who is not there cannot be erased."""
    with refused("people.last_owner", "Ragna Quill"):
        shop.do(erasing.erase_person, person=shop.owner)
    with refused("erased.unknown"):
        shop.do(erasing.erase_person, person=shop.machine)
    shop.do(shop_actions.change_person, person=shop.crew, name="Odd Fether", role=Role.OWNER)
    owner = shop.owner
    shop.do(erasing.erase_person, person=owner, by=shop.by(as_=shop.crew))
    assert Person.objects.get(id=owner).name == ""


def test_person_on_the_list_is_erased_again_after_a_restore(shop):
    """As a guest is; the second time nobody is there to erase."""
    listed = [erased.Erased(shop.crew, date(2026, 12, 1))]
    assert again.again(listed, lambda now: shop.by(), shop.at) == 1
    assert again.again(listed, lambda now: shop.by(), shop.at) == 0
    assert Person.objects.get(id=shop.crew).name == ""
