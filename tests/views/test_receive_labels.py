"""Suppliers' labels scanned into a delivery.

Outside: the first element string is the GS1 Syntax Engine's own example (see tests/formats/test_labels.py);
the month's last day follows GS1 General Specifications 3.4.
"""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from stdnum import ean

from inventory.actions import materials, people, suppliers
from inventory.compute.units import Base
from inventory.models import Lot, Package
from tests.make import refused

pytestmark = pytest.mark.django_db

GS = "\x1d"


@pytest.fixture
def desk(shop, client) -> Client:
    """The owner, signed in, with resin on a card."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    shop.material("resin", Base.MG)
    return client


def read(desk, *labels, **typed):
    """Scan labels one after the other, as the page is sent again each time."""
    values = {"rows": "1", **typed}
    answer = None
    for label in labels:
        answer = desk.post("/stock/receive/", values | {"label": label, "read": "1"})
        if answer.status_code == 200:
            form = answer.context["form"]
            values = {field.html_name: field.value() or "" for field in form} | {"rows": str(form.count)}
    return answer, values


def test_label_fills_lot_dates_and_amount_and_writes_nothing(desk, shop):
    """Lot, made on, usable to and 5 kg are in their fields; the label field is empty for the next."""
    answer, values = read(desk, "(01)12312312312333(10)N-7741(11)260501(17)271130(3103)005000")
    assert answer.status_code == 200
    assert values["number"] == "N-7741"
    assert (values["made_on"], values["expires_on"]) == ("2026-05-01", "2027-11-30")
    assert values["packages"] == "5 kg"
    assert values["label"] == ""
    assert not Lot.objects.exists()


@pytest.mark.parametrize(
    ("label", "field", "value"),
    [
        ("]e0011231231231233310ABC123" + GS + "99TESTING", "number", "ABC123"),
        ("(10)A-1(17)270200", "expires_on", "2027-02-28"),
        ("(10)A-1(15)270630", "expires_on", "2027-06-30"),
        ("(10)A-1(3150)000025", "packages", "25 l"),
        ("(10)A-1(3111)000505", "packages", "50.5 m"),
        ("(10)A-1(30)12", "packages", "12"),
        ("https://id.example/01/09520123456788/10/ABC1?17=271130", "number", "ABC1"),
        ("https://id.example/01/09520123456788/10/ABC1?17=271130", "expires_on", "2027-11-30"),
    ],
)
def test_labels_of_many_shapes_fill_their_field(desk, label, field, value):
    """Scanner's prefix, brackets, Digital Link; a month without a day; every unit."""
    answer, values = read(desk, label)
    assert answer.status_code == 200
    assert values[field] == value


def test_labels_of_one_lot_add_a_package_each_and_another_lot_gets_its_row(desk, shop):
    """Three jugs of one lot and a can of another: two rows, and the delivery is received from them."""
    one, two = "(10)L-1(17)271130(3103)005000", "(10)L-2(17)280131(3103)001500"
    _, values = read(desk, one, one, two, one)
    assert values["packages"].split("\n") == ["5 kg"] * 3
    assert (values["number_2"], values["packages_2"]) == ("L-2", "1.5 kg")
    resin = str(shop.names["resin"])
    answer = desk.post("/stock/receive/", values | {"material": resin, "material_2": resin})
    assert answer.status_code == 302
    assert sorted(Lot.objects.values_list("number", flat=True)) == ["L-1", "L-2"]
    assert Package.objects.count() == 4


@pytest.mark.parametrize(
    ("label", "code"),
    [
        ("(10)A-1(11)280101(17)270101", "labels.dates"),
        ("(17)271332", "labels.date"),
        ("(01)12312312312334", "labels.check_digit"),
        ("hello", "labels.not_gs1"),
        ("SA8KJ2MT", "labels.not_gs1"),
    ],
)
def test_labels_that_make_no_sense_are_refused_and_what_was_typed_stays(desk, label, code):
    """Made after its expiry, no day, a wrong digit, no label at all: the sentence, the text still there."""
    answer, _ = read(desk, label, packages="2 x 5 kg")
    assert answer.status_code == 409
    text = answer.content.decode()
    assert f"#{code}" in text
    assert "2 x 5 kg" in text
    assert label in text


def test_label_that_says_otherwise_than_the_row_is_refused(desk):
    """A date typed from the delivery paper and another on the jug; the same date is no contradiction."""
    label = "(10)A-1(17)271130"
    answer, _ = read(desk, label, expires_on="2027-10-31")
    assert answer.status_code == 409
    assert "#labels.other" in answer.content.decode()
    answer, _ = read(desk, label, expires_on="2027-11-30")
    assert answer.status_code == 200


def test_label_whose_scanner_may_leave_out_separators_is_doubted(desk):
    """A lot that ends like a date: filled in, with a sentence to compare it with the print."""
    answer, _ = read(desk, "]C110A117271130")
    assert answer.status_code == 200
    assert "does the scanner leave out separators" in answer.content.decode()


def test_thirteenth_lot_has_no_row(desk):
    """Twelve lots fit; one more is refused by name."""
    _, values = read(desk, *(f"(10)L-{number}" for number in range(1, 13)))
    assert values["number_12"] == "L-12"
    answer = desk.post("/stock/receive/", values | {"label": "(10)L-13", "read": "1"})
    assert answer.status_code == 409
    assert "#labels.no_row" in answer.content.decode()


def test_label_whose_article_number_an_offer_keeps_chooses_material_and_supplier(desk, shop):
    """12312312312333 is the GS1 Syntax Engine's own example; without the offer nothing is chosen."""
    label = "(01)12312312312333(10)N-7741"
    _, values = read(desk, label)
    assert values["material"] == ""
    supplier = shop.do(materials.make_supplier, name="Fjellharpiks").thing
    facts = {"gtin": "12312312312333"}
    offer = {"supplier": supplier, "material": shop.names["resin"], "pack": 5_000_000}
    shop.do(suppliers.make_offer, **offer, facts=facts)
    _, values = read(desk, label)
    assert (values["material"], values["supplier"]) == (str(shop.names["resin"]), str(supplier))
    other = shop.material("glue", Base.MG)
    answer, _ = read(desk, label, material=str(other))
    assert answer.status_code == 409
    shop.do(suppliers.make_offer, **offer | {"material": other}, facts=facts)  # now it is not clear
    assert read(desk, label)[1]["material"] == ""


def test_offer_with_a_wrong_article_number_is_refused(desk, shop):
    """One digit off; python-stdnum, a general library, says the same of both."""
    supplier = shop.do(materials.make_supplier, name="Fjellharpiks").thing
    offer = {"supplier": supplier, "material": shop.names["resin"], "pack": 5_000_000}
    assert (ean.is_valid("12312312312333"), ean.is_valid("12312312312334")) == (True, False)
    with refused("offer.gtin"):
        shop.do(suppliers.make_offer, **offer, facts={"gtin": "12312312312334"})
    shop.do(suppliers.make_offer, **offer, facts={"gtin": "12312312312333"})
