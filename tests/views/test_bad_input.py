"""What people type in forms: names in every script, markup, nothing, far too much; amounts of every kind."""

import re

import pytest
from django.contrib.auth.models import User
from django.template.loader import render_to_string

from inventory.actions import people
from inventory.compute.codes import Kind
from inventory.models import Event, Guest, Material, Place, Tag
from tests import make
from tests.make import grams
from tests.reading import Client

pytestmark = pytest.mark.django_db

MARKUP = "<script>alert(1)</script><b>&amp;"
NAMES = [MARKUP, "مريم بنت يوسف", "Žaneta Ørsted-Łoś", "李小龙", "{length} {} %s %(x)d", "a' OR 1=1 --"]


@pytest.fixture
def desk(shop, client) -> Client:
    """The owner, signed in."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    return client


def code_of(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


@pytest.mark.parametrize("name", NAMES)
def test_names_are_kept_as_typed_and_shown_as_text(desk, shop, name):
    """Markup, right-to-left text, braces and quotes: stored to the letter, never acted on."""
    desk.post("/builds/book/", {"guest": name, "length_mm": "1840"})
    desk.post("/materials/make/", {"name": name, "base": "mg"})
    desk.post("/places/make/", {"kind": "store", "name": name})
    assert Guest.objects.get().name == name
    assert Material.objects.get().name == name
    assert Place.objects.get().name == name
    for page in ("/bench/", "/materials/", "/places/", f"/thing/{code_of(Place.objects.get().thing_id)}/"):
        text = desk.get(page).content.decode()
        assert "<script>alert" not in text
        assert "<b>&amp;" not in text


@pytest.mark.parametrize(
    ("page", "values"),
    [
        ("/builds/book/", {"guest": "x" * 10_000, "length_mm": "1840"}),
        ("/builds/book/", {"guest": "", "length_mm": "1840"}),
        ("/builds/book/", {"guest": "Ida", "length_mm": "nan"}),
        ("/builds/book/", {"guest": "Ida", "length_mm": "-5"}),
        ("/materials/make/", {"name": "x" * 10_000, "base": "mg"}),
        ("/materials/make/", {"name": " ", "base": "mg"}),
        ("/materials/make/", {"name": "Resin", "base": "stone"}),
        ("/places/make/", {"kind": "castle", "name": "x"}),
        ("/places/move/", {"things": "SA8KJ2MX", "to": ""}),
        ("/builds/plan/", {"name": "x", "starts_on": "2026-02-30", "ends_on": "tomorrow"}),
    ],
)
def test_forms_that_make_no_sense_say_so_and_write_nothing(desk, shop, page, values):
    """Too long, empty, not a number, not a date, not a choice: the form comes back with what is wrong."""
    before = Event.objects.count()
    answer = desk.post(page, values)
    assert answer.status_code == 422
    assert b'class="wrong"' in answer.content or b'role="alert"' in answer.content
    assert Event.objects.count() == before


@pytest.mark.parametrize(
    ("text", "left"),
    [("1,5 kg", 3_500_000), ("1.5 kg", 3_500_000), ("1500 g", 3_500_000), ("1500000 mg", 3_500_000)],
)
def test_one_and_a_half_reads_the_same_however_it_is_typed(desk, shop, text, left):
    """Comma and point are both decimal marks; any unit of weight will do."""
    jug = shop.package(amount=grams(5000))
    answer = desk.post(f"/stock/{code_of(jug)}/draw/", {"amount": text})
    assert answer.status_code == 302
    assert shop.amount(jug) == left


@pytest.mark.parametrize(
    "text",
    ["", "0 g", "-3 g", "3 m", "3", "many", "1e400 g", "NaN g", "9999999999 kg", "1.500,5 g", "1,000 g x"],
)
def test_amounts_that_make_no_sense_are_refused_in_the_form(desk, shop, text):
    """Nothing, less than nothing, another kind of unit, no unit, no number, the absurd: nothing is drawn."""
    jug = shop.package(amount=grams(5000))
    answer = desk.post(f"/stock/{code_of(jug)}/draw/", {"amount": text})
    assert answer.status_code == 422
    assert shop.amount(jug) == 5_000_000


def test_a_refusal_shows_its_sentence_and_keeps_what_was_typed(desk, shop):
    """More than is left: status 409, what is left, what to do, and the amount still in its field."""
    jug = shop.package(amount=grams(640))
    answer = desk.post(f"/stock/{code_of(jug)}/draw/", {"amount": "641 g"})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "640" in text
    assert 'value="641 g"' in text
    assert "#stock.short" in text


def test_the_same_page_sent_twice_draws_once(desk, shop):
    """The token of the page makes the second sending the same act."""
    jug = shop.package(amount=grams(100))
    page = f"/stock/{code_of(jug)}/draw/"
    token = str(make.token())
    for _ in range(2):
        desk.post(page, {"amount": "10 g", "token": token})
    assert shop.amount(jug) == 90_000
    answer = desk.post(page, {"amount": "11 g", "token": token})
    assert answer.status_code == 409
    assert shop.amount(jug) == 90_000


def test_a_code_of_another_kind_is_named_as_such(desk, shop):
    """A jug scanned where a ski is asked for: the field says what it is."""
    jug = shop.package()
    answer = desk.post("/press/inspect/", {"ski": code_of(jug), "passed": "yes", "why": "x"})
    assert answer.status_code == 422
    assert "is a package; here a ski is needed" in answer.content.decode()


@pytest.mark.parametrize(
    ("scanned", "mention"),
    [
        ("SA8KJ2MX", "one character is wrong or two are swapped"),
        ("hello", "5 characters"),
        ("U" * 8, "letter U"),
        ("x" * 10_000, "a code has 8"),
        (MARKUP, "a code has 8"),
    ],
)
def test_a_scan_of_no_code_says_what_is_wrong(desk, shop, scanned, mention):
    """Misread, too short, impossible, absurd: a sentence, never a broken page."""
    answer = desk.get("/scan/", {"code": scanned})
    assert answer.status_code == 404
    assert mention in answer.content.decode()
    assert "<script>alert" not in answer.content.decode()


def test_a_code_of_a_laptop_never_met_says_so(desk, shop):
    """Issued by B, and B was never merged here."""
    from inventory.compute.codes import make as make_code

    foreign = make_code(letter=Kind.SKI.letter, machine="B", seed=b"far away")
    answer = desk.get("/scan/", {"code": foreign.text})
    assert answer.status_code == 404
    assert "never met" in answer.content.decode()


def test_a_page_that_is_not_there_or_not_yours_answers_plainly(desk, shop, client):
    """An unknown code in an address is a refusal, a garbled one no page."""
    assert desk.get("/thing/SA8KJ2MT/").status_code == 409
    assert desk.get("/thing/!!!!!!!!/").status_code == 404


def test_a_page_that_is_not_there_is_in_the_shop_s_own_look_and_leads_back(desk):
    """Whoever is signed in has the scan line and the doors there; a stranger a way to sign in."""
    for client, may_scan in ((desk, True), (Client(), False)):
        answer = client.get("/no/such/page/")
        found = answer.content.decode()
        assert answer.status_code == 404
        assert "No such page" in found
        assert 'href="/"' in found
        assert ('id="scan-line"' in found) is may_scan


def test_a_form_sent_without_its_cookie_says_that_nothing_was_written(desk):
    """The shield against forged forms speaks in the shop's words; with the cookie it goes on."""
    shielded = Client(enforce_csrf_checks=True)
    answer = shielded.post("/people/sign-in/", {"username": "ragna"})
    assert answer.status_code == 403
    assert "Nothing was written" in answer.content.decode()
    page = shielded.get("/people/sign-in/").content.decode()
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)[1]
    sent = shielded.post("/people/sign-in/", {"username": "ragna", "csrfmiddlewaretoken": token})
    assert sent.status_code == 200


def test_the_address_of_a_button_opened_as_a_page_says_so_and_writes_nothing(desk, shop):
    """As after signing in anew: the button was a form's. Pressed again it does its work.

    A 405 names what is allowed (RFC 9110, section 15.5.6).
    """
    jug = code_of(shop.package())
    answer = desk.get(f"/stock/{jug}/open/")
    assert answer.status_code == 405
    assert answer["Allow"] == "POST"
    assert "address of a button" in answer.content.decode()
    assert not Event.objects.filter(step="opened").exists()
    desk.post(f"/stock/{jug}/open/")
    assert Event.objects.filter(step="opened").exists()


def test_the_page_of_what_broke_needs_neither_request_nor_books(django_db_blocker):
    """It is drawn when everything else fails."""
    with django_db_blocker.block():
        found = render_to_string("500.html")
    assert "Something broke" in found
    assert "scan-line" not in found
