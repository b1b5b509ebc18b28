"""What a thing's page offers to do with it now."""

import pytest
from django.contrib.auth.models import User

from inventory.actions import people, stock
from inventory.models import Tag
from tests import bench_world
from tests.make import grams
from tests.press_runs import closed, laid_up, machine

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop, client):
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(
        User.objects.get(username="ragna"), backend="django.contrib.auth.backends.ModelBackend"
    )
    return client


def test_package_on_hold_offers_to_move_and_count_it_and_not_to_use_it(desk, shop):
    """What would be refused is not offered; the same jug, not held, offers it."""
    jug = shop.package(amount=grams(640))
    code = Tag.objects.get(thing_id=jug).code
    draw = f"/stock/{code}/draw/"
    assert draw in desk.get(f"/thing/{code}/").content.decode()
    shop.do(stock.hold, things=[jug], reason="cloudy")
    text = desk.get(f"/thing/{code}/").content.decode()
    assert draw not in text
    assert f"/stock/{code}/count/" in text


def test_take_out_says_what_is_left(desk, shop):
    """The amount by the books stands above the field."""
    jug = shop.package(amount=grams(640))
    code = Tag.objects.get(thing_id=jug).code
    assert "640 g" in desk.get(f"/stock/{code}/draw/").content.decode().replace("\xa0", " ")


def test_ski_offers_to_be_laid_up_until_it_was_in_a_press_and_to_be_inspected_from_then_on(desk, shop):
    """One act beside the other: the same ski before and after its press cycle."""
    world = bench_world.world(shop)
    skis = laid_up(world)
    code = Tag.objects.get(thing_id=skis[0]).code
    layers, inspect = f"/laying/{code}/layers/", f"/press/inspect/?ski={code}"
    text = desk.get(f"/thing/{code}/").content.decode()
    assert (layers in text, inspect in text) == (True, False)
    closed(world, machine(world), skis)
    text = desk.get(f"/thing/{code}/").content.decode()
    assert (layers in text, inspect in text) == (False, True)
