"""The mix page: asked, planned, weighed, recorded; the cup's clock on the pages of the bench; bad input."""

import re
from urllib.parse import urlencode

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions import people
from inventory.compute.build_steps import AgeBand
from inventory.models import Event, Guest
from inventory.queries import things
from tests import bench_world
from tests.reading import Client

pytestmark = pytest.mark.django_db
ASKED = {
    "air_c": "20",
    "humidity_pct": "45",
    "surface_c": "18",
    "heater": "no",
    "step": "0.1 g",
    "first": "yes",
}


@pytest.fixture
def world(shop):
    shop.at = timezone.now()  # cups run by the clock on the wall
    return bench_world.world(shop)


@pytest.fixture
def client(world) -> Client:
    people.give_way_in(person=world.shop.helper, username="sunniva", password="a-long-one-for-tests")
    found = Client()
    found.force_login(User.objects.get(username="sunniva"), "django.contrib.auth.backends.ModelBackend")
    return found


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def code(*wanted) -> str:
    return " ".join(things.codes_of(wanted))


def address(*skis, **more) -> str:
    return f"/press/mix/?{urlencode(ASKED | {'skis': code(*skis)} | more)}"


def weighed(world, resin="130.0 g", hardener="39.0 g", **more):
    jugs = {name: code(world.packages[name]) for name in ("resin", "hardener")}
    return jugs | {"resin_weight": resin, "hardener_weight": hardener} | more


def test_mix_page_says_what_to_pour_and_keeps_what_a_scale_typed(world, client):
    """A scale that types like a keyboard sends "154.0 g"; the pair's code stands for both skis."""
    pair, left, right = world.pair()
    seen = text(client.get(address(pair)))
    assert "May be poured" in seen
    assert re.search(r"The next of \d+ cups", seen)
    answer = client.post(address(pair), weighed(world))
    assert answer.status_code == 302
    facts = Event.objects.get(step="mixed").facts
    assert facts["for"] == sorted([str(left), str(right)], key=facts["for"].index)
    assert set(facts["for"]) == {str(left), str(right)}
    assert facts["air"] == {"air_c": 20.0, "humidity_pct": 45.0, "surface_c": 18.0, "fuel_heater": False}
    assert facts["scale_step_mg"] == 100
    assert re.search(r"Mixed already 169 g", text(client.get(address(pair))))


def test_mix_page_without_skis_shows_who_waits_and_posting_to_it_changes_nothing(world, client):
    """Nothing is poured before the page has said that it may be."""
    world.pair("Ida")
    assert "What to pour" in text(client.get("/press/mix/"))
    assert client.post("/press/mix/", weighed(world)).status_code == 422
    assert client.get("/press/mix/?air_c=warm").status_code == 422
    assert not Event.objects.filter(step="mixed").exists()


def test_mix_page_in_wet_air_offers_no_weighing_and_refuses_what_is_sent_to_it(world, client):
    """A 7 °C edge in a 20 °C, 50 % bay is wet; at 15 °C it is not (corrections to the trade's notes)."""
    _, left, _ = world.pair()
    wet = address(left, humidity_pct="50", surface_c="7")
    seen = client.get(wet)
    assert "Do not pour" in text(seen)
    assert 'name="resin_weight"' not in seen.content.decode()
    assert client.post(wet, weighed(world)).status_code == 409
    assert not Event.objects.filter(step="mixed").exists()
    assert client.post(address(left, humidity_pct="50", surface_c="15"), weighed(world)).status_code == 302


@pytest.mark.parametrize(
    ("sent", "status", "words"),
    [
        ({"hardener": "39.0 g"}, 302, ""),
        ({"hardener": "1.38 oz", "resin": "4.59 oz"}, 302, ""),  # the same weights in ounces
        ({"hardener": "1.38", "resin": "4.59"}, 409, "in ounces"),
        ({"hardener": "49 g"}, 409, "do not spread it"),
        ({"hardener": "a lot"}, 422, ""),
        ({"hardener": "-39 g"}, 422, ""),
        ({"hardener": "39 m"}, 422, ""),
    ],
)
def test_mix_page_when_weights_are_wrong_says_why_and_keeps_nothing(world, client, sent, status, words):
    """Ounces typed as grams, off the ratio, no number, below nothing, a length."""
    _, left, _ = world.pair()
    weights = weighed(world, **sent)
    answer = client.post(address(left, total="169 g"), weights)
    assert answer.status_code == status, text(answer)
    assert words in text(answer)
    assert Event.objects.filter(step="mixed").exists() == (status == 302)


def test_mix_page_offers_hands_of_the_workshop_and_refuses_a_childs(world, client):
    """A guest under 18 is not recorded at uncured resin; the same guest as an adult is."""
    _, left, _ = world.pair("Ida", AgeBand.CHILD)
    guest = Guest.objects.get(name="Ida")
    assert f'value="{guest.id}"' in client.get(address(left)).content.decode()
    answer = client.post(address(left), weighed(world, doer=str(guest.id)))
    assert answer.status_code == 409
    assert "nobody under 18" in text(answer)
    Guest.objects.update(age_band=AgeBand.ADULT)
    assert client.post(address(left), weighed(world, doer=str(guest.id))).status_code == 302


def test_pages_of_the_bench_show_the_working_times_and_ask_no_more_for_ten_cups_than_for_one(world, client):
    """On the bench, the mix page and the build card; on a page of stock not."""
    pair, left, _ = world.pair()
    cup = code(world.cup(left))
    shown = f"{cup[:4]}-{cup[4:]}"
    pages = ("/bench/", "/press/mix/", f"/builds/{code(pair)}/card/", f"/builds/{world.workshop}/workshop/")

    def asked() -> list[int]:
        found = []
        for page in pages:
            client.get(page)
            with CaptureQueriesContext(connection) as caught:
                seen = client.get(page).content.decode()
            assert shown in seen
            assert "data-left" in seen
            found.append(len(caught))
        return found

    one = asked()
    for _ in range(9):
        world.cup(left)
    assert asked() == one
    assert "data-left" not in client.get("/stock/").content.decode()


def test_correct_page_advises_and_records_and_discard_asks_for_a_reason(world, client):
    """A cup 6 % low in hardener: add 2.3 g (130 x 0.3 - 36.7, by hand); then thrown away."""
    _, left, _ = world.pair()
    poured = weighed(world, hardener="36.7 g")
    assert client.post(address(left), poured).status_code == 409
    assert client.post(address(left), poured | {"apart": "on"}).status_code == 302
    batch = Event.objects.get(step="mixed").lines.get(role="output").thing_id
    page = f"/mixing/{code(batch)}/correct/"
    assert "What to do with it" in text(client.get(page))
    assert "Cannot tell" in text(client.get(f"{page}?step=1+g")) or "Discard" in text(
        client.get(f"{page}?step=1+g")
    )
    sure = f"{page}?step=0.1+g&tare_checked=on&cup_cool=on"
    assert "Add hardener, once" in text(client.get(sure))
    assert "Add 2.3 g of hardener" in text(client.get(sure))
    added = {"package": code(world.packages["hardener"]), "added": "2.3 g"}
    assert client.post(page, added).status_code == 422
    assert client.post(sure, added).status_code == 302
    again = Event.objects.get(step="mix corrected").lines.get(role="output").thing_id
    away = f"/mixing/{code(again)}/discard/"
    assert client.post(away, {"why": ""}).status_code == 422
    assert client.post(away, {"why": "too thick"}).status_code == 302
    assert world.shop.amount(again) == 0
    assert client.get(f"/mixing/{code(left)}/correct/").status_code == 404


def test_page_of_a_cup_set_apart_says_so_and_offers_no_lay_up(world, client):
    """What is off its ratio can be put right or thrown away; a cup that is right goes into a ski."""
    _, left, right = world.pair()
    good = world.cup(left, right)
    off = world.cup(left, right, hardener_g=42, apart=True)
    page, apart = (client.get(f"/thing/{things.codes_of([cup])[0]}/").content.decode() for cup in (good, off))
    assert "/press/lay-up/" in page
    assert "Set apart" not in page
    assert "/press/lay-up/" not in apart
    assert "Set apart" in apart
    assert "Put it right" in apart
