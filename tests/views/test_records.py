"""A pair's build record: printed with its code, read behind it, passed on; who guesses is shut out."""

import re
from html import unescape

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.actions import people, press, stock
from inventory.actions import records as actions
from inventory.compute import owner_code
from inventory.models import OwnerCode, Revision, Tag
from tests.make import grams, pieces, refused

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


@pytest.fixture
def crew(shop, client):
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="odd"), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def pair(shop):
    """A pair, laid up; its guest has a name found nowhere else."""
    blanks = shop.package("blank", amount=pieces(2), number="K-3")
    pair, *skis = shop.pair(guest="Wendeltraud")
    cup = shop.mix(shop.package("resin", number="R-1"), shop.package("hardener", number="H-9"))
    for ski in skis:
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1)), (cup, grams(100))])
    return pair


def print_it(crew, pair) -> str:
    """The code on a paper printed now."""
    page = crew.post(f"/records/{code(pair)}/paper/", {"paper": "a4"}).content.decode()
    return re.search(r"<strong>([0-9A-Z]{5}-[0-9A-Z]{5})</strong>", page)[1]


def test_record_opens_with_the_code_on_its_paper_however_it_is_typed(crew, pair):
    """In plain words, with the makers' numbers; from either ski's tag or the pair's."""
    secret = print_it(crew, pair)
    answer = Client().post(f"/public/{code(pair)}/record/", {"secret": secret})
    assert '</span> <span class="why">· maker\'s lot' in unescape(answer.content.decode())  # not touching
    for typed in (
        secret,
        secret.lower(),
        secret.replace("-", " "),
        secret.replace("0", "O").replace("1", "l"),
    ):
        answer = Client().post(f"/public/{code(pair)}/record/", {"secret": typed})
        page = answer.content.decode()
        assert answer.status_code == 200
        for told in ("wooden core", "K-3", "R-1", "H-9"):
            assert told in page
        assert "Wendeltraud" not in page
    for ski in Tag.objects.filter(thing__kind="ski"):
        assert Client().post(f"/public/{ski.code}/record/", {"secret": secret}).status_code == 200


def test_record_without_the_code_shows_nothing_of_the_pair(crew, pair):
    """Before, and with a wrong code."""
    print_it(crew, pair)
    for answer in (
        Client().get(f"/public/{code(pair)}/record/"),
        Client().post(f"/public/{code(pair)}/record/", {"secret": "00000-00000"}),
        Client().post(f"/public/{code(pair)}/record/", {"secret": ""}),
    ):
        assert not re.search(r"\bK-3\b", answer.content.decode())  # not inside a code


def test_record_guessed_twenty_times_shuts_for_this_phone_and_not_for_another(crew, pair):
    """Five tries are heard; then the right one is not either. Another address still reads."""
    secret = print_it(crew, pair)
    phone = Client()
    address = f"/public/{code(pair)}/record/"
    answers = [phone.post(address, {"secret": f"WRONG-{n:05}"}).status_code for n in range(20)]
    assert answers == [403] * 5 + [429] * 15
    assert phone.post(address, {"secret": secret}).status_code == 429
    assert phone.post(f"/public/{code(pair)}/pass-on/", {"secret": secret}).status_code == 429
    other = Client(REMOTE_ADDR="192.0.2.7")
    assert other.post(address, {"secret": secret}).status_code == 200


def test_record_passed_on_ends_the_old_code_and_shows_a_new_one_once(crew, pair):
    """The next owner reads; the one before no longer does."""
    old = print_it(crew, pair)
    page = Client().post(f"/public/{code(pair)}/pass-on/", {"secret": old}).content.decode()
    new = re.search(r"<strong>([0-9A-Z]{5}-[0-9A-Z]{5})</strong>", page)[1]
    address = f"/public/{code(pair)}/record/"
    assert Client().post(address, {"secret": old}).status_code == 403
    assert Client().post(address, {"secret": new}).status_code == 200


def test_record_printed_again_ends_the_code_before(crew, pair):
    """A lost paper opens nothing."""
    old, new = print_it(crew, pair), print_it(crew, pair)
    address = f"/public/{code(pair)}/record/"
    assert Client().post(address, {"secret": old}).status_code == 403
    assert Client().post(address, {"secret": new}).status_code == 200


def test_code_stands_in_no_row(crew, pair):
    """Kept hashed, in the card and in its revisions."""
    secret = owner_code.read(print_it(crew, pair))
    assert secret not in OwnerCode.objects.get().hashed
    assert all(secret not in str(row.after) for row in Revision.objects.all())


def test_record_of_a_pair_made_of_something_on_hold_says_stop(crew, shop, pair):
    """Without the reason, which may name people; without the hold it does not."""
    secret = print_it(crew, pair)
    address = f"/public/{code(pair)}/record/"
    assert "Stop using this pair" not in Client().post(address, {"secret": secret}).content.decode()
    lot = Tag.objects.filter(thing__kind="lot").first().thing_id
    shop.do(stock.hold, things=[lot], reason="Wendeltraud says it smells")
    page = Client().post(address, {"secret": secret}).content.decode()
    assert "Stop using this pair" in page
    assert "smells" not in page


def test_record_of_what_is_no_pair_is_none(crew, shop, pair):
    """A jug has no record; the action refuses it; a pair's code is issued."""
    jug = shop.package()
    assert crew.get(f"/records/{code(jug)}/paper/").status_code == 404
    assert Client().get(f"/public/{code(jug)}/record/").status_code == 404
    with refused("record.not_a_pair"):
        shop.do(actions.issue_owner_code, pair=jug, hashed="x")
    shop.do(actions.issue_owner_code, pair=pair, hashed="x")
    assert OwnerCode.objects.filter(pair_id=pair).exists()


def test_owner_code_is_ten_symbols_each_as_likely():
    """Every byte is a symbol; 256 is eight times 32."""
    from collections import Counter

    made = [owner_code.make(random=bytes([byte]) * 10) for byte in range(256)]
    assert set(Counter(text[0] for text in made).values()) == {8}
    assert {len(text) for text in made} == {10}
    with pytest.raises(ValueError, match="10"):
        owner_code.make(random=b"short")
