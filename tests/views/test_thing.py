"""A thing's page: its lists, drawing, moments and data."""

import json
import re
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import build_steps, builds, people, press, stock
from inventory.models import Guest, Ski, Tag
from tests import make
from tests.make import grams, pieces
from tests.management.running import run

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


@pytest.fixture
def shop(db):
    """A shop some hours ago by this computer's clock, which the pages read."""
    return make.Shop(at=timezone.now() - timedelta(hours=5))


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="odd"), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def ski(shop):
    """A ski laid up from a blank and a cup."""
    blanks = shop.package("blank", amount=pieces(2), number="K-3")
    _, left, _ = shop.pair()
    cup = shop.mix(shop.package("resin", number="R-1"), shop.package("hardener", number="H-9"))
    shop.do(press.lay_up, ski=left, inputs=[(blanks, pieces(1)), (cup, grams(150))])
    return left


def test_thing_page_of_a_ski_draws_both_directions_in_words_a_reader_can_hear(crew, ski):
    """The drawing has a title and a description, and no style of its own."""
    page = crew.get(f"/thing/{code(ski)}/").content.decode()
    drawn = re.search(r"<svg class=\"draw wide\".*?</svg>", page, re.DOTALL)[0]
    assert "<title id=" in drawn
    assert "<desc id=" in drawn
    assert "style=" not in page
    for number in ("K-3", "R-1", "H-9"):
        assert number in drawn
    assert page.index("resin batch") < page.index("R-1", page.index("<h2>Made of"))


def test_thing_page_as_of_a_moment_says_so_and_offers_nothing_to_do(crew, shop):
    """The amount of then; no button writes."""
    jug = shop.package(amount=grams(500))
    then = timezone.localtime(shop.at + timedelta(seconds=1)).strftime("%Y-%m-%dT%H:%M:%S")
    shop.at += timedelta(seconds=5)
    shop.do(stock.draw, package=jug, amount=grams(120))
    address = f"/thing/{code(jug)}/"
    now, was = crew.get(address), crew.get(address, {"at": then, "sense": "was"})
    assert "380" in now.content.decode()
    page = was.content.decode()
    assert "As it was on" in page
    assert "500" in page
    assert "stock-draw" not in page
    assert f"/stock/{code(jug)}/draw/" in now.content.decode()
    assert f"/stock/{code(jug)}/draw/" not in page


@pytest.mark.parametrize(
    "query",
    [
        {"at": "2199-01-01T00:00", "sense": "was"},
        {"at": "yesterday", "sense": "was"},
        {"at": "2026-01-30T09:00", "sense": "perhaps"},
        {"at": "", "sense": "was"},
    ],
)
@pytest.mark.parametrize("where", ["", "data/"])
def test_thing_page_of_a_moment_that_is_none_is_refused_beside_its_field(crew, shop, query, where):
    """The page, and the data, say what is wrong with 422."""
    address = f"/thing/{code(shop.package())}/{where}"
    assert crew.get(address, {"at": "2026-01-30T09:00", "sense": "was"}).status_code == 200
    assert crew.get(address, query).status_code == 422


def test_thing_data_is_what_trace_gives(crew, ski):
    """The same fields as `manage.py trace CODE --json`."""
    told = json.loads(run("trace", code(ski), "--json").out)
    assert crew.get(f"/thing/{code(ski)}/data/").json() == told


def test_history_of_a_ski_says_step_and_hands_in_the_words_of_the_bench(crew, shop, ski):
    """No word of the ledger's own; the guest's hands are named, and who wrote it down beside them."""
    guest = Guest.objects.get()
    shop.do(builds.change_guest, guest=guest.id, changes={"age_band": "18 to 64"})
    shop.do(build_steps.record_step, things=[ski], step="core-shaped", doer=guest.id)
    shop.do(build_steps.change_step, step="wax", changes={"label": "Wax, by hand"})
    shop.do(build_steps.record_step, things=[ski], step="wax")
    page = crew.get(f"/thing/{code(ski)}/").content.decode()
    history = re.sub(
        r"\s+", " ", re.sub(r"<[^>]+>", " ", page.split('class="happened"')[1].split("</ol>")[0])
    )
    assert re.search(r"Core shaped [^·]*· Ida , recorded by Ragna Quill", history)
    assert "Wax, by hand" in history
    assert "used package" in history
    for word in ("observed", "input", "output", "gains", "from needs", "step done"):
        assert word not in history, word


def test_thing_page_of_a_ski_and_of_its_pair_draws_its_layers_once_the_spec_is_known(crew, shop, ski):
    """Nothing is drawn of a ski whose widths nobody entered."""
    page = f"/thing/{code(ski)}/"
    assert "The ski from above" not in crew.get(page).content.decode()
    pair = ski_pair(ski)
    shop.do(builds.specify, pair=pair, changes={"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0})
    for address in (page, f"/thing/{code(pair)}/"):
        assert "The ski from above" in crew.get(address).content.decode()


def test_thing_page_of_a_ski_and_of_its_pair_says_whose_it_is_and_from_which_workshop(crew, shop):
    """Who scans a pair that came back wants that first; a pair of no workshop is still somebody's."""
    workshop = shop.do(
        builds.plan_workshop, name="Kvitskard", starts_on=shop.at.date(), ends_on=shop.at.date()
    ).thing
    pair, left, _ = shop.pair("Ida", workshop=workshop)
    stray, *_ = shop.pair("Ida")
    for thing in (pair, left):
        top = crew.get(f"/thing/{code(thing)}/").content.decode().partition("<h2")[0]
        assert "Ida" in top
        assert f"/builds/{workshop}/workshop/" in top
    top = crew.get(f"/thing/{code(stray)}/").content.decode().partition("<h2")[0]
    assert "Ida" in top
    assert "/workshop/" not in top


def ski_pair(ski):
    return Ski.objects.get(thing_id=ski).pair_id


def test_history_folds_the_many_that_took_part_in_one_way(crew, shop):
    """Of a delivery of five, a package's page says its own line; the four others are there, folded."""
    done = shop.do(
        stock.receive_lot,
        material=shop.material("resin", grams(1).base),
        number="N-5",
        packages=[grams(500)] * 5,
    )
    page = crew.get(f"/thing/{code(done.things[-1])}/").content.decode()
    history = page.split('class="happened"')[1].split("</ol>")[0]
    assert "4 more things took part" in history
    shown = history.split("<details>")[0]
    amount = re.compile(r"\b500\b")  # not inside a code
    assert len(amount.findall(shown)) == 1
    assert len(amount.findall(history)) == 5
