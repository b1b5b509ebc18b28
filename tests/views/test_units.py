"""Units as people read them: the shop's, one's own, and what was typed in ounces in ounces again.

Outside check: 1 lb = 453.59237 g exactly and °F = °C x 9 / 5 + 32 (NIST Special Publication 811, appendix B).
"""

import re

import pytest
from django.contrib.auth.models import User
from django.utils.html import strip_tags

from inventory.actions import care, people, stock
from inventory.actions import shop as actions
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.forms import reader
from inventory.models import Package, Person, Tag
from inventory.queries.dossier import thing_of
from tests.make import Shop, grams, refused
from tests.reading import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop: Shop) -> Client:
    """The owner, signed in."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="ragna"))
    return client


def code_of(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


def words(client: Client, address: str) -> str:
    return re.sub(r"(<[^>]*>|\s)+", " ", client.get(address).content.decode())


def test_amounts_follow_the_shops_units_and_then_ones_own(desk, shop):
    """453.593 g are 1 lb to the milligram kept; the same list in grams for whoever chose metric."""
    shop.package("resin", grams(453.593))
    assert "453.59 g" in words(desk, "/stock/")
    shop.do(actions.change_shop, units="us")
    assert re.search(r"\b1 lb", words(desk, "/stock/"))
    shop.do(actions.choose_units, units="metric")
    assert "453.59 g" in words(desk, "/stock/")
    desk.post("/people/units/", {"units": "us"})
    assert Person.objects.get(id=shop.owner).units == "us"
    assert re.search(r"\b1 lb", words(desk, "/stock/"))


def test_what_was_typed_in_ounces_is_shown_in_ounces_again(desk, shop):
    """18 oz stay 18 oz for US readers, also poured over; metric readers see grams."""
    shop.do(actions.change_shop, units="us")
    material = shop.material("resin", grams(1).base)
    given = {"material": str(material), "number": "N-1", "packages": "2 x 18 oz"}
    assert "2 packages of 18 oz each" in desk.post("/stock/receive/", given, follow=True).content.decode()
    assert [row.written_in for row in Package.objects.all()] == ["ONZ", "ONZ"]
    assert words(desk, "/stock/").count("18 oz") == 2
    jug = Package.objects.first().thing_id
    shop.do(stock.split_package, package=jug, amount=grams(28.349523125 * 2))
    assert "16 oz" in words(desk, "/stock/")
    assert "2 oz" in words(desk, "/stock/")
    shop.do(actions.choose_units, units="metric")
    assert "oz" not in words(desk, "/stock/")


def test_a_temperature_is_shown_in_fahrenheit_to_whoever_reads_us_units(desk, shop):
    """20 °C are 68 °F; a ski's millimetres stay."""
    loft = shop.place(Kind.STORE, "Loft")
    shop.do(care.record_reading, place=loft, celsius=20.0)
    page = f"/care/{code_of(loft)}/read/"
    assert re.search(r"\b20 °C", words(desk, page))
    shop.do(actions.choose_units, units="us")
    assert re.search(r"\b68(\.0)? °F", words(desk, page))


def test_refusal_in_us_units_says_what_is_left_in_them(desk, shop):
    """A pound and a half asked of a pound."""
    jug = shop.package("resin", grams(453.593))
    shop.do(actions.change_shop, units="us")
    code = code_of(jug)
    answer = desk.post(f"/stock/{code}/draw/", {"amount": "1.5 lb"})
    assert answer.status_code == 409
    assert "1 lb" in strip_tags(answer.content.decode())
    assert thing_of(code) == jug


def test_choose_units_refuses_what_is_none(shop):
    """Neither metric nor US; both of those, and the shop's own, are."""
    with refused("shop.units", "furlongs"):
        shop.do(actions.choose_units, units="furlongs")
    for units in ("us", "metric", ""):
        shop.do(actions.choose_units, units=units)
        assert Person.objects.get(id=shop.owner).units == units
    by = shop.by()
    with refused("people.nobody"):
        actions.choose_units(type(by)(token=by.token, now=by.now), units="us")


def test_nothing_of_a_material_is_none_of_its_large_unit(desk, shop):
    """0 kg, or 0 lb; nobody keeps resin by the milligram."""
    shop.material("resin", grams(1).base)
    assert " 0 kg " in words(desk, "/materials/")
    shop.do(actions.choose_units, units="us")
    assert " 0 lb " in words(desk, "/materials/")


def test_shop_card_can_be_changed_by_an_owner_at_any_time(desk, shop):
    """Name, currency, units; the host name has its own page."""
    given = {"name": "Quillfeather", "currency": "usd", "units": "us", "language": "en", "reach": ""}
    given |= {"spare_pairs": "2", "reserve_percent": "10", "time_zone": "Asia/Kathmandu"}
    assert desk.post("/shop/card/", given).status_code == 302
    page = desk.get("/shop/card/").content.decode()
    assert 'value="Quillfeather"' in page
    assert 'value="USD"' in page
    assert 'value="Asia/Kathmandu" selected' in page
    assert desk.post("/shop/card/", given | {"currency": "12"}).status_code in {409, 422}


@pytest.mark.parametrize(
    ("mm", "told"), [(1854, "1854 mm"), (2499, "2499 mm"), (2500, "2.5 m"), (6587, "6.59 m")]
)
def test_length_of_a_ski_keeps_its_millimetres_and_that_of_a_roll_does_not(mm, told):
    """6587 mm stand beside 39.52 m in one sentence: they are told in one unit. SI: 1 m = 1000 mm."""
    assert reader.told(Amount(mm, Base.MM)) == told
