"""The bench, a workshop and a build card: each thing is said once, and the nearest first."""

import pytest
from django.contrib.auth.models import User

from inventory.actions import build_steps, builds, people
from inventory.models import Pair
from inventory.queries import things
from tests.make import Shop
from tests.reading import Client
from tests.views.test_builds import guest_with_pair, plan, text


@pytest.fixture
def crew(shop: Shop) -> Client:
    """The crew, signed in."""
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="crew"), "django.contrib.auth.backends.ModelBackend")
    return client


def test_card_of_a_pair_tells_one_act_on_both_skis_once(shop: Shop, crew: Client) -> None:
    """Done on both at once: one line; done on each by itself: a line a side."""
    at, client = plan(shop), crew
    pair, *_ = guest_with_pair(shop, at)
    left = Pair.objects.get(thing_id=pair).skis.get(side="left").thing_id
    card = f"/builds/{things.codes_of([pair])[0]}/card/"
    shop.do(build_steps.record_step, things=[pair], step="base-cut", doer=shop.crew)
    seen = text(client.get(card))
    assert "Both skis:" in seen
    assert "Left:" not in seen
    shop.do(build_steps.record_step, things=[left], step="edges-fitted", doer=shop.crew)
    assert "Left:" in text(client.get(card))


def test_bench_folds_the_pairs_of_a_workshop_ahead_until_one_is_begun(shop: Shop, crew: Client) -> None:
    """Whose ski is at which step comes first; what is only booked stands folded, and is there."""
    at, client = plan(shop), crew
    pair, *_ = guest_with_pair(shop, at)
    assert "1 pair, not begun" in text(client.get("/bench/"))
    assert "Not begun" in text(client.get("/bench/"))
    shop.do(build_steps.record_step, things=[pair], step="base-cut", doer=shop.crew)
    seen = text(client.get("/bench/"))
    assert "not begun" not in seen
    assert "In work" in seen


def test_workshop_offers_to_book_a_pair_to_a_guest_without_one_only(shop: Shop, crew: Client) -> None:
    """A seat whose guest has a pair needs no second one."""
    at, client = plan(shop), crew
    guest_with_pair(shop, at)
    page = f"/builds/{at}/workshop/"
    assert client.get(page).content.decode().count("/builds/book/?seat=") == 0
    shop.do(builds.book_seat, workshop=at, name="Ola")
    assert client.get(page).content.decode().count("/builds/book/?seat=") == 1
