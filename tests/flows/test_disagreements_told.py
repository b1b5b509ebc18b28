"""What two laptops say differently is told with both sides and what settles it. Story: working-apart.md."""

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions import books, materials, people, stock
from inventory.compute.fold import Trouble
from inventory.models import Disagreement, Material
from inventory.queries import disagreements
from tests.make import grams
from tests.reading import Client

_BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def apart(laptops):
    """Two laptops that know one jug of 100 g; both merged once."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
        people.give_way_in(person=shop.helper, username="helper", password="a-long-one-for-tests")
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    return a, b, shop, jug


def _page(name, role="crew"):
    client = Client()
    client.force_login(User.objects.get(username=role), backend=_BACKEND)
    return client.get(name).content.decode()


def test_a_jug_drawn_beyond_its_amount_shows_both_draws_and_asks_for_a_count(apart):
    """Both laptops' letters and amounts, what is missing, and the way to count; no settling by word."""
    a, b, shop, jug = apart
    a.do(stock.draw, shop.by(), package=jug, amount=grams(80))
    b.do(stock.draw, shop.by(), package=jug, amount=grams(80))
    a.merge(b.export(), shop.by())
    with a.in_hand():
        (row,) = disagreements.open_ones()
        assert [side.laptop for side in row.sides] == ["A", "B"]
        page = _page(reverse("books-disagreements"))
        assert "is missing" in page
        assert page.count("Laptop ") == 2
        assert page.count("<strong>drawn</strong>") == 2
        assert reverse("stock-count", args=[row.code]) in page
        assert reverse("books-settle", args=[row.id]) not in page
        shop.do(stock.count, thing=jug, amount=grams(5))
        assert disagreements.open_ones() == []
        assert "Nothing disagrees" in _page(reverse("books-disagreements"))


def test_a_card_edited_twice_shows_both_values_to_crew_and_none_to_a_helper(apart):
    """A helper may read that there is a disagreement, never what a card's field was set to."""
    a, b, shop, _ = apart
    with a.in_hand():
        material = Material.objects.get(key="resin").id
    for laptop, months in ((a, 341), (b, 342)):
        laptop.do(
            materials.edit_material, shop.by(), material=material, changes={"shelf_life_months": months}
        )
    a.merge(b.export(), shop.by())
    with a.in_hand():
        row = Disagreement.objects.get()
        for address in (reverse("books-disagreements"), reverse("books-settle", args=[row.id])):
            page = _page(address)
            assert ">341<" in page
            assert ">342<" in page
        assert ">341<" not in _page(reverse("books-disagreements"), "helper")
        shop.do(books.settle, disagreement=row.id, how="the sheet says 342")
        assert disagreements.open_ones() == []


def test_list_of_disagreements_asks_the_same_number_of_questions_for_one_and_for_ten(
    apart,
):
    """Flat in its rows."""
    a, b, shop, jug = apart
    with a.in_hand():
        jugs = [jug, *(shop.package(amount=grams(100)) for _ in range(9))]
    b.merge(a.export(), shop.by())
    counts = []
    for some in (jugs[:1], jugs[1:]):
        for laptop in (a, b):
            for each in some:
                laptop.do(stock.draw, shop.by(), package=each, amount=grams(80))
        a.merge(b.export(), shop.by())
        b.merge(a.export(), shop.by())
        with a.in_hand():
            with CaptureQueriesContext(connection) as asked:
                disagreements.open_ones()
            counts.append(len(asked))
    assert counts[0] == counts[1]


def test_every_trouble_has_its_sentence():
    """A new kind of disagreement is told before it can be met."""
    assert set(disagreements.words("jug", 0)) == {*Trouble}
