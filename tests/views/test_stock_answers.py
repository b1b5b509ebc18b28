"""What the pages of stock say after a count or a pouring, and before the first delivery."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.actions import tags
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import Tag, Tagging
from tests import make
from tests.make import grams
from tests.views.test_stock_pages import code, sent, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    """A shop some hours ago by this computer's clock, which the pages read."""
    return make.Shop(at=timezone.now() - timedelta(hours=5))


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    return signed_in(client, shop, "crew")


def test_receive_page_when_no_material_has_a_card_leads_to_the_catalogue(crew, shop):
    """With a card there is a form instead."""
    assert 'href="/catalogue/"' in crew.get("/stock/receive/").content.decode()
    shop.material("resin", Base.MG)
    page = crew.get("/stock/receive/").content.decode()
    assert 'name="packages"' in page
    assert 'href="/catalogue/"' not in page


def test_count_page_when_the_books_said_otherwise_says_both(crew, shop):
    """The same count once more agrees with the books."""
    page = f"/stock/{code(shop.package(amount=grams(1000)))}/count/"
    first = crew.post(page, sent(crew.get(page)) | {"amount": "750 g"}, follow=True).content.decode()
    assert "Counted: 750 g. The books said 1 kg." in first
    again = crew.post(page, sent(crew.get(page)) | {"amount": "750 g"}, follow=True).content.decode()
    assert "Counted: 750 g, as the books said." in again


def test_split_page_when_the_new_container_has_no_tag_leads_to_printing_it(crew, shop):
    """With a tag scanned onto it there is nothing to print."""
    page = f"/stock/{code(shop.package(amount=grams(1000)))}/split/"
    answer = crew.post(page, sent(crew.get(page)) | {"amount": "250 g"}, follow=True)
    (address, _status) = answer.redirect_chain[-1]
    new = address.removeprefix("/tags/choose/?codes=")
    assert Tag.objects.get(code=new).thing.kind == Kind.PACKAGE.value
    assert "Print its tag and put it on." in answer.content.decode()
    shop.do(tags.print_ahead, kind=Kind.PACKAGE, count=1)
    blank = Tagging.objects.get(thing=None).code
    tagged = crew.post(page, sent(crew.get(page)) | {"amount": "250 g", "into": blank}, follow=True)
    assert tagged.redirect_chain[-1][0].startswith("/thing/")


def test_take_out_asks_why_only_of_what_is_past_its_date(crew, shop):
    """Two jugs, apart by one day on the label: only the one that is over asks for a reason."""
    today = timezone.localdate()
    over, good = (shop.package("resin", number=f"N-{n}", expires_on=today - timedelta(n)) for n in (1, 0))
    asks = [b"past its date" in crew.get(f"/stock/{code(jug)}/draw/").content for jug in (over, good)]
    assert asks == [True, False]


def test_stock_before_the_first_delivery_says_what_to_do_and_offers_nothing_to_search(crew, shop):
    """With one package in it the list is searched; what is not found is another sentence."""
    empty = crew.get("/stock/").content.decode()
    assert "Nothing is in stock yet" in empty
    assert 'role="search"' not in empty.split("<main")[1]
    assert re.search(r"<details[^>]* open>\s*<summary>More", empty), "places and materials come first here"
    shop.package("resin")
    found = crew.get("/stock/").content.decode().split("<main")[1]
    folded = re.search(r"<summary>More.*?</details>", found, re.DOTALL)[0]
    before = found[: found.index("<summary>More")]
    assert before.index('role="search"') < before.index('href="/stock/receive/"')
    assert before.count('class="act') - before.count('class="acts') == 2, "the list is two acts away"
    for page in ("/places/", "/materials/", "/equipment/", "/scan/many/"):
        assert f'href="{page}"' in folded
    assert not re.search(r"<details[^>]* open", found)
    assert "Nothing in stock fits that" in crew.get("/stock/", {"q": "walrus"}).content.decode()
