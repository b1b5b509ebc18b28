"""The shop's own card and its machine: each refusal beside the success that differs by one fact."""

import pytest

from inventory.actions import shop as actions
from inventory.compute.finished import Tolerances
from inventory.compute.moisture import Limits
from inventory.models import Machine, Shop
from inventory.queries import shop as queries
from tests import make
from tests.make import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def laptop():
    """A laptop with a letter, and no shop yet."""
    return make.Shop(letter="B")


def test_open_without_a_host_leaves_it_to_choose(laptop):
    """The name first, the host of tags another day."""
    laptop.do(actions.open_shop, name="  Quillfeather Ski Bench ", currency="nok", units="us")
    card = Shop.objects.get()
    assert (card.name, card.host, card.currency, card.units) == ("Quillfeather Ski Bench", "", "NOK", "us")
    laptop.do(actions.change_shop, host="qfb.example")
    assert Shop.objects.get().host == "QFB.EXAMPLE"


def test_open_twice_is_refused(laptop):
    """One shop, one card."""
    laptop.do(actions.open_shop, name="One")
    with refused("shop.open_already"):
        laptop.do(actions.open_shop, name="Two")


@pytest.mark.parametrize("name", ["", "   "])
def test_open_without_a_name_is_refused(laptop, name):
    """Nothing, or blanks; one letter is a name."""
    with refused("shop.no_name"):
        laptop.do(actions.open_shop, name=name)
    laptop.do(actions.open_shop, name="Q")


@pytest.mark.parametrize(
    "host", ["Q", "QF", "QUILLFEATHER.EX", "QF B.EXAMPLE", "-QF.EXAMPLE", "QF..EXAMPLE", "QF/X"]
)
def test_open_with_what_is_no_host_is_refused_and_14_characters_are_not(laptop, host):
    """Too short, too long by one, or with what an address cannot have (RFC 952, RFC 1123 section 2.1)."""
    with refused("shop.host"):
        laptop.do(actions.open_shop, name="Q", host=host)
    laptop.do(actions.open_shop, name="Q", host="QUILLF.EXAMPLE")


@pytest.mark.parametrize("currency", ["", "kr", "EURO", "€€€", "12A"])
def test_open_with_what_is_no_currency_is_refused(laptop, currency):
    """Three letters, as ISO 4217 has them."""
    with refused("shop.currency"):
        laptop.do(actions.open_shop, name="Q", currency=currency)
    laptop.do(actions.open_shop, name="Q", currency="Sek")


@pytest.mark.parametrize("zone", ["Mars/Olympus", "../etc/passwd", "Europe/Oslo\0", "x" * 300])
def test_open_and_change_with_what_is_no_time_zone_are_refused(laptop, zone):
    """A name of the tz database (RFC 6557 says what it is), or none."""
    with refused("shop.time_zone"):
        laptop.do(actions.open_shop, name="Q", time_zone=zone)
    laptop.do(actions.open_shop, name="Q", time_zone="America/Denver")
    with refused("shop.time_zone"):
        laptop.do(actions.change_shop, time_zone=zone)
    laptop.do(actions.change_shop, time_zone="Asia/Kathmandu")
    assert Shop.objects.get().time_zone == "Asia/Kathmandu"


def test_change_of_the_host_once_a_thing_has_a_code_is_refused_and_before_it_is_not(laptop):
    """It stands on things that are out already; the name may change all the same."""
    laptop.do(actions.open_shop, name="Q", host="ONE.EXAMPLE")
    laptop.do(actions.change_shop, host="TWO.EXAMPLE")
    laptop.package()
    with refused("shop.host_in_use", "TWO.EXAMPLE"):
        laptop.do(actions.change_shop, host="SIX.EXAMPLE")
    laptop.do(actions.change_shop, name="Quill", host="two.example")
    assert (Shop.objects.get().name, Shop.objects.get().host) == ("Quill", "TWO.EXAMPLE")


def test_change_when_there_is_no_shop_is_refused(laptop):
    """Set up first, then changed."""
    with refused("shop.none"):
        laptop.do(actions.change_shop, name="Q")


@pytest.mark.parametrize("letter", ["", "AB", "I", "L", "O", "U", "Å", "*"])
def test_found_with_what_no_code_can_begin_with_is_refused(letter):
    """Letters that are misread, and what is no single sign; lower case is read as upper."""
    with refused("machine.letter"):
        actions.found_machine(id=make.token(), letter=letter)
    actions.found_machine(id=make.token(), letter="k")
    assert Machine.objects.get().letter == "K"


def test_found_with_a_letter_another_laptop_has_is_refused(laptop):
    """Two laptops, two letters."""
    Machine.objects.update(here=False)
    with refused("machine.letter_taken", "B"):
        actions.found_machine(id=make.token(), letter="b")
    actions.found_machine(id=make.token(), letter="C")


def test_limits_are_kept_by_an_owners_word_and_taken_back_when_left_empty(laptop):
    """Without a shop there is nowhere to keep them; what cannot be is refused, and the rest stays."""
    with refused("shop.none"):
        laptop.do(actions.set_limits, limits={"width": 2.0})
    laptop.do(actions.open_shop, name="One")
    laptop.do(actions.set_limits, limits={"width": 2.0, "flat": None})
    assert (queries.tolerances(), queries.moisture_limits()) == (Tolerances(width=2.0), Limits())
    with refused("limits.dry_wet"):
        laptop.do(actions.set_limits, limits={"dry_pct": 11.0})
    assert Shop.objects.get().limits == {"width": 2.0}
    laptop.do(actions.set_limits, limits={"width": None})
    assert queries.tolerances() == Tolerances()
