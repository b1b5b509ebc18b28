"""What somebody who got the program today stumbles over: refusals out of sight, names, steps that vanish."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.actions import materials
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.errors import say
from inventory.models import Package, Tag
from inventory.queries.notes import Cure
from inventory.queries.stock import usable
from tests import make
from tests.make import token
from tests.reading import Client
from tests.views.test_stock_pages import delivery, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    """An empty shop."""
    return make.Shop()


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    return signed_in(client, shop, "crew")


def test_refusal_far_down_a_long_form_is_said_above_it_with_a_way_there(crew, shop):
    """The page opens at its top; with the place's right name nothing is refused."""
    shop.place(Kind.STORE, "Loft")
    shop.material("resin", Base.MG)
    wrong = crew.post("/stock/receive/", delivery(place="Lofd"))
    above, form = wrong.content.decode().split('<form method="post" enctype', 1)
    assert wrong.status_code == 422
    assert "Nothing is kept yet." in above
    assert '<a href="#id_place" dir="auto">Put in (scan, or its name)</a>' in above
    assert 'id="id_place"' in form
    assert not Package.objects.exists()
    right = crew.post("/stock/receive/", delivery(place="Loft"), follow=True)
    assert "Nothing is kept yet." not in right.content.decode()
    assert Package.objects.count() == 2


def test_refusal_in_a_short_form_is_in_sight_and_said_once(crew):
    """Two fields fit on a phone's screen: nothing stands above them."""
    page = crew.post(reverse("places-move"), {"things": "", "to": ""}).content.decode()
    assert "This is needed: fill it in." in page
    assert "Nothing is kept yet." not in page


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("Lofd", "“Lofd” is neither a code nor a name here. Scan the tag, or enter the whole name."),
        ("SA8KJ2MS", "SA8KJ2MS is misread"),
        ("x" * 400, "At most 300 letters fit here; these are 400."),
    ],
)
def test_place_that_is_neither_code_nor_name_is_told_as_that(crew, shop, typed, told):
    """A misspelt name is not measured as a code; eight characters may well be one that was misread."""
    shop.place(Kind.STORE, "Loft")
    shop.material("resin", Base.MG)
    assert told in crew.post("/stock/receive/", delivery(place=typed)).content.decode()


def test_delivery_sent_again_by_the_way_back_says_that_the_same_came_already(crew, shop):
    """Another lot number is another delivery; one that was taken back is none."""
    shop.material("resin", Base.MG)
    told = "The same came in already at"

    def receive(number):
        sent = delivery(number=number, token=str(token()))
        return sent["token"], told in crew.post("/stock/receive/", sent, follow=True).content.decode()

    first, said = receive("N-1")
    assert not said
    assert not receive("N-2")[1]
    second, said = receive("N-1")
    assert said
    for act in (second, first):
        crew.post(reverse("books-undo", args=[act]))
    assert not receive("N-1")[1]


def test_delivery_before_any_supplier_leads_to_making_one_and_back(crew, shop):
    """Once there is one it is chosen in the form."""
    shop.material("resin", Base.MG)
    way = '<a href="/suppliers/make/?next=/stock/receive/">'
    assert way in crew.get("/stock/receive/").content.decode()
    made = crew.post("/suppliers/make/?next=/stock/receive/", {"name": "Wren Works", "token": str(token())})
    assert made.headers["Location"] == "/stock/receive/"
    page = crew.get("/stock/receive/").content.decode()
    assert way not in page
    assert "Wren Works" in page


def test_page_for_phones_is_found_under_people_when_the_first_steps_are_done(shop):
    """The day sheet leads there only in the beginning."""
    page = signed_in(Client(), shop, "owner").get("/people/").content.decode()
    assert '<a class="act" href="/shop/phones/">Let phones in</a>' in page


def test_host_name_that_is_too_long_says_what_to_do(shop):
    """One that fits is kept."""
    owner = signed_in(Client(), shop, "owner")
    wrong = owner.post("/shop/host/", {"host": "northridgeskis.example", "token": str(token())})
    assert "14 characters fit on a tag; these are 22. Take a shorter name" in wrong.content.decode()


def test_find_that_led_nowhere_keeps_what_was_typed_to_be_put_right(crew, shop):
    """The scan line itself stays empty: a hand scanner types into it."""
    shop.place(Kind.STORE, "Loft")
    page = crew.get("/scan/?code=PA88-AJS6").content.decode()
    assert re.search(r'<input id="typed" name="code" value="PA88-AJS6"', page)
    assert not re.search(r'<input id="scan-line"[^>]* value=', page)
    assert 'id="typed"' not in crew.get("/scan/?code=Loft").content.decode()


def test_can_that_was_open_before_keeps_the_end_of_its_opened_life_when_it_is_opened_here(crew, shop):
    """As the page asks for it; a closed one of the same material lives its full opened life from today."""
    resin = shop.material("resin", Base.MG)
    shop.do(materials.edit_material, material=resin, changes={"opened_life_days": 365})
    assert "Of what is open already enter as usable to" in crew.get("/stock/receive/").content.decode()
    ends, long = timezone.localdate() + timedelta(days=20), timezone.localdate() + timedelta(days=900)
    for last, through in ((ends, ends), (long, timezone.localdate() + timedelta(days=365))):
        crew.post("/stock/receive/", delivery(packages="1 x 5 kg", number=str(last), expires_on=last))
        can = Package.objects.get(lot__number=str(last)).thing_id
        crew.post(f"/stock/{code(can)}/open/", {"token": str(token())})
        assert usable([can])[can].through == through


def test_materials_list_says_how_many_packages_are_past_their_date(crew, shop):
    """Through today is in its date; all of them is a stop. Ten rows ask the database as often as one."""
    shop.material("resin", Base.MG)

    def come(days, packages):
        last = timezone.localdate() + timedelta(days)
        crew.post("/stock/receive/", delivery(packages=packages, number=str(days), expires_on=last))
        with CaptureQueriesContext(connection) as asked:
            page = crew.get("/materials/").content.decode()
        mark = r'is-(\w+)"><svg.*?</svg> <span class="word">([^<]* past [^<]*)</span>'
        return len(asked), re.search(mark, page)

    asked, found = come(-1, "1 x 5 kg")
    assert found.groups() == ("stop", "1 past its date")
    assert come(0, "1 x 5 kg")[1].groups() == ("look", "1 past its date")
    again, found = come(-2, "8 x 5 kg")
    assert found.groups() == ("look", "9 past their date")
    assert again == asked


@pytest.mark.parametrize(
    ("page", "told"),
    [("trips-list", "Open the loading list"), ("books-disagreements", "Open the page where it is done")],
)
def test_cure_that_opens_a_page_is_called_after_it(page, told):
    """A page that few cures open has no words of its own; a button's words go before both."""
    assert str(Cure(say("Say where."), page=page).link) == told
    assert str(Cure(say("Say where."), page=page, button=say("Do it")).link) == "Do it"


def code(thing):
    return Tag.objects.get(thing_id=thing).code
