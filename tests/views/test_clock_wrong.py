"""A laptop whose clock jumps while it serves: acts are refused, pages go on, scans stay on their phones."""

import html
import re
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.urls import reverse

from inventory.actions import people, places, stock
from inventory.actions.by import By
from inventory.actions.watch import Watch
from inventory.compute.codes import Kind
from inventory.models import Event, Machine, Tag
from inventory.queries import machine
from tests.make import grams, token

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)
WRONG = {"back": -2 * H, "to 1970": datetime(1970, 1, 1, 0, 5, tzinfo=UTC)}


@pytest.fixture
def desk(shop, client):
    """A helper at a server that was started with the shop's clock; a jug in no place."""
    client.shop, client.jug = shop, shop.package("resin")
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    with time_machine.travel(shop.at, tick=False):
        sign_in(client)
    client.watch = {"watched_clock": Watch(shop.at)}
    return client


def sign_in(client):
    user = User.objects.get(username="sunniva")
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")


def at(desk, wrong):
    moment = desk.shop.at + wrong if isinstance(wrong, timedelta) else wrong
    return time_machine.travel(moment, tick=False)


def code(desk):
    return Tag.objects.get(thing_id=desk.jug).code


def plain(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_act_is_refused_while_the_clock_is_wrong_and_done_once_it_is_right(desk, wrong):
    """The form keeps what was entered; the same form with the clock set is recorded."""
    address, data = f"/stock/{code(desk)}/draw/", {"amount": "100 g", "token": str(token())}
    with at(desk, wrong):
        answer = desk.post(address, data, **desk.watch)
    assert answer.status_code == 409
    assert "The clock of this laptop stands at" in plain(answer)
    assert 'value="100 g"' in answer.content.decode()
    assert not Event.objects.filter(step="drawn").exists()
    with at(desk, H):
        assert desk.post(address, data, **desk.watch).status_code == 302
    assert Event.objects.filter(step="drawn").count() == 1


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_pages_go_on_and_say_that_nothing_is_recorded(desk, wrong):
    """The day sheet, a list, a thing; with the right clock none of them says it."""
    for address in ("/", "/stock/", "/trips/", f"/thing/{code(desk)}/"):
        with at(desk, wrong):
            answer = desk.get(address, **desk.watch)
        assert answer.status_code == 200, address
        assert "The clock of this laptop stands at" in plain(answer)
        with at(desk, H):
            assert "The clock of this laptop" not in plain(desk.get(address, **desk.watch))


def test_scan_sent_while_the_clock_is_wrong_is_answered_as_not_now(desk):
    """Not for good: its phone keeps it; sent again under a right clock it is done."""
    data = {"token": str(token()), "do": "open", "code": code(desk)}
    with at(desk, -2 * H):
        answer = desk.post(reverse("scan-send"), data, **desk.watch)
    assert answer.status_code == 503
    assert "stood at" in answer.json()["wrong"]
    with at(desk, H):
        assert desk.post(reverse("scan-send"), data, **desk.watch).status_code == 200
    assert Event.objects.filter(step="opened").count() == 1


def test_records_of_another_laptop_ahead_of_this_clock_refuse_nothing(desk):
    """Its clock may be wrong; this one is not."""
    Machine.objects.filter(here=False).update(clock=2**60)
    Machine.objects.create(id=token(), letter="Z", name="far ahead", here=False, clock=2**60)
    with at(desk, H):
        answer = desk.post(f"/stock/{code(desk)}/draw/", {"amount": "100 g"}, **desk.watch)
    assert answer.status_code == 302


def test_laptop_started_years_ahead_asks_once_and_then_records(desk):
    """Page and form say both moments; the answer leads back to where it was given, and is not asked again."""
    last = machine.last_recorded()
    assert last == desk.shop.at
    address, data = f"/stock/{code(desk)}/draw/", {"amount": "100 g", "token": str(token())}
    with at(desk, timedelta(days=1600)):
        watch = {"watched_clock": Watch(desk.shop.at + timedelta(days=1600), last)}
        sign_in(desk)
        page = desk.get(address, **watch).content.decode()
        assert 'action="/shop/clock/"' in page
        assert f'name="next" value="{address}"' in page
        assert desk.post(address, data, **watch).status_code == 409
        assert desk.post("/shop/clock/", {"next": address}, **watch).url == address
        assert "/shop/clock/" not in desk.get(address, **watch).content.decode()
        assert desk.post(address, data, **watch).status_code == 302
    assert Event.objects.filter(step="drawn").count() == 1
    assert machine.last_recorded() == desk.shop.at + timedelta(days=1600)


def carried(markup):
    """What the form that answers for the clock sends, and where to."""
    (form,) = re.findall(
        r'<form class="acts" method="post" action="(/shop/clock/[^"]*)">(.*?)</form>', markup, re.S
    )
    return html.unescape(form[0]), dict(re.findall(r'name="([^"]*)" value="([^"]*)"', form[1]))


def test_form_sent_while_the_clock_is_asked_about_comes_back_filled_in_and_is_recorded_by_the_next_tap(desk):
    """By pages alone, no script; nothing is written before; only a page here is sent on to."""
    address, data = f"/stock/{code(desk)}/draw/", {"amount": "123 g", "token": str(token())}
    with at(desk, timedelta(days=1600)):
        watch = {"watched_clock": Watch(desk.shop.at + timedelta(days=1600), desk.shop.at)}
        sign_in(desk)
        refused = desk.post(f"{address}?next=/stock/", data | {"password": "a-long-one"}, **watch)
        to, sent = carried(refused.content.decode())
        assert sent["amount"] == "123 g"
        assert "password" not in sent
        back = desk.post(to, sent, follow=True, **watch)
        assert back.redirect_chain == [(f"{address}?next=/stock/", 307)]
        assert 'value="123 g"' in back.content.decode()
        assert "Below is what you entered" in plain(back)
        assert not Event.objects.filter(step="drawn").exists()
        assert desk.post(address, data, **watch).status_code == 302
        assert desk.post("/shop/clock/?to=https://else.where/", sent, **watch).url == "/"
    assert Event.objects.filter(step="drawn").count() == 1


def test_button_sent_while_the_clock_is_asked_about_is_done_with_the_answer(desk):
    """It has nothing to look over: opening a jug is on record at once, and once."""
    with at(desk, timedelta(days=1600)):
        watch = {"watched_clock": Watch(desk.shop.at + timedelta(days=1600), desk.shop.at)}
        sign_in(desk)
        refused = desk.post(f"/stock/{code(desk)}/open/", {"token": str(token())}, **watch)
        assert refused.status_code == 409
        to, sent = carried(refused.content.decode())
        for _ in range(2):
            desk.post(to, sent, follow=True, **watch)
    assert Event.objects.filter(step="opened").count() == 1


def test_last_recorded_is_what_a_person_did_here_by_the_clock_then(desk):
    """No command's own act, nothing typed in later, no other laptop; and a card is a record too."""
    shop, first = desk.shop, machine.last_recorded()
    bare = By(token=token(), now=shop.at + H)
    stock.open_package(bare, package=desk.jug)
    assert machine.last_recorded() == first
    shop.at += 2 * H
    shop.do(stock.draw, by=shop.by(at=shop.at - H), package=desk.jug, amount=grams(5))
    assert machine.last_recorded() == first
    shop.do(places.make_place, kind=Kind.YARD, name="yard")
    assert machine.last_recorded() == shop.at
    Machine.objects.update(here=False)
    assert machine.last_recorded() is None
