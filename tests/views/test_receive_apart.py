"""The page of a delivery: packages read back, and some of them put straight into another place."""

import html
import re

import pytest

from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import Lot, Material, Package
from tests import make
from tests.views.test_stock_pages import delivery, delivery_of, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    """An empty shop."""
    return make.Shop()


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    return signed_in(client, shop, "crew")


def test_receive_page_opens_another_place_for_some_and_puts_them_there(crew, shop):
    """The button opens a field, writes nothing and keeps what was typed; then 2 lie here and 3 there."""
    loft, wren = shop.place(Kind.STORE, "Loft"), shop.place(Kind.TRAILER, "Wren")
    shop.place(Kind.ZONE, "zone 1", inside=wren)
    shop.material("resin", Base.MG)
    asked = delivery(packages="5 x 5 kg", place="Loft", apart="1")
    page = crew.post("/stock/receive/", asked).content.decode()
    assert 'name="some1"' in page
    assert 'name="some2"' not in page
    assert sent_value(page, "packages") == "5 x 5 kg"
    assert "Resin: 5 packages of 5 kg each, 5 tags." in page
    assert not Lot.objects.exists()
    split = delivery(packages="5 x 5 kg", place="Loft", opened="1", some1="3", there1="Wren")
    answer = crew.post("/stock/receive/", split, follow=True).content.decode()
    assert Package.objects.filter(thing__state__place_id=loft).count() == 2
    assert Package.objects.filter(thing__state__place_id=wren).count() == 3
    assert "Resin: 5 packages of 5 kg each, 5 tags. 2 in Loft. 3 in Wren." in answer
    assert "3 things are in Wren, in no zone." in answer
    form = re.search(r'<form method="post" action="/places/move/">.*?</form>', answer, re.DOTALL)[0]
    put = dict(re.findall(r'name="(things|next|to)" value="([^"]*)"', form))
    right = crew.post("/places/move/", put, follow=True)
    assert right.request["PATH_INFO"] == "/tags/choose/"
    assert "in no zone" not in right.content.decode()
    assert Package.objects.filter(thing__state__place_id=wren).count() == 0


def sent_value(page, name):
    return re.search(rf'<textarea name="{name}"[^>]*>\s*(.*?)</textarea>', page, re.DOTALL)[1]


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"some1": "3", "there1": ""}, "how many, and where they go"),
        ({"some1": "", "there1": "Loft"}, "how many, and where they go"),
        ({"some1": "0", "there1": "Loft"}, "from 1 on"),
        ({"some1": "three", "there1": "Loft"}, "three"),
        ({"some1": "3", "there1": "no such loft"}, "no such loft"),
        ({"some1": "6", "there1": "Loft"}, "that came: 5. Put into other places: 6."),
        ({"packages": "4 x 5 kg\n1 kg"}, "several sizes"),
        ({"some1": "2 x 1 kg"}, "that came: 0."),
    ],
)
def test_receive_page_with_packages_apart_that_do_not_add_up_says_so_and_writes_nothing(
    crew, shop, wrong, told
):
    """Half a line, nothing, a word, no such place, more than came, not said of which size; then 3 of 5."""
    shop.place(Kind.STORE, "Loft")
    shop.material("resin", Base.MG)
    right = delivery(packages="5 x 5 kg", opened="1", some1="3", there1="Loft")
    answer = crew.post("/stock/receive/", right | wrong)
    assert answer.status_code in {409, 422}
    assert told in html.unescape(answer.content.decode())
    assert not Lot.objects.exists()
    assert crew.post("/stock/receive/", right).status_code == 302


@pytest.mark.parametrize(
    ("typed", "told", "packages"),
    [
        ("12", "Cups: 1 package of 12 pieces, 1 tag.", 1),
        ("12 x 1", "Cups: 12 packages of 1 piece each, 12 tags.", 12),
        ("2 x 6\n3", "Cups: 2 packages of 6 pieces each, 2 tags. Cups: 1 package of 3 pieces, 1 tag.", 3),
    ],
)
def test_receive_page_reads_back_whether_pieces_are_one_package_or_many(crew, shop, typed, told, packages):
    """Said before, when a row is added, and at the end."""
    shop.material("cups", Base.PIECE)
    card = str(Material.objects.get(key="cups").id)
    assert "12 x 1 are twelve" in crew.get("/stock/receive/").content.decode()
    given = delivery_of(card, packages=typed)
    again = html.unescape(crew.post("/stock/receive/", given | {"more": "1"}).content.decode())
    assert all(sentence in again for sentence in told.split(" Cups"))
    page = html.unescape(crew.post("/stock/receive/", given, follow=True).content.decode())
    assert told in page
    assert Package.objects.count() == packages


def test_receive_page_asked_for_ever_more_places_stops_at_five(crew, shop):
    """No address opens a thousand fields."""
    shop.material("resin", Base.MG)
    for opened in ("5", "99", "-1", "x", "9" * 5000):
        page = crew.post("/stock/receive/", delivery(opened=opened, apart="1")).content.decode()
        assert page.count('name="some') <= 5
