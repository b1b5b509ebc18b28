"""A workshop closed, and opened again for a correction."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from inventory.actions import books, build_steps, builds, closing, finishing, laying, people, press, pressing
from inventory.models import Event, Note, Workshop
from inventory.queries import bench
from tests import bench_world, press_runs
from tests.make import day, refused, token
from tests.reading import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


def test_closed_workshop_takes_no_record_at_its_skis_until_it_is_opened_again_with_a_reason(world):
    """Mix, layer, step, press, inspection, hand over: each is a correction."""
    shop = world.shop
    skis, on = press_runs.laid_up(world), press_runs.machine(world)
    pair, bare, _ = world.pair("Ola")
    shop.do(closing.close_workshop, workshop=world.workshop)
    jugs = {"resin": world.packages["resin"], "hardener": world.packages["hardener"]}
    cup = {**jugs, "resin_mg": 130_000, "hardener_mg": 39_000}
    tries = [
        (press.record_mix, {**cup, "skis": [bare]}),
        (laying.lay_layer, {"ski": bare, "thing": world.packages["base"]}),
        (build_steps.record_step, {"things": [bare], "step": "base-cut"}),
        (pressing.close_press, press_runs.closing(world, on, skis)),
        (finishing.inspect_ski, {"ski": skis[0], "outcome": "pass", "why": "straight"}),
        (press.hand_over, {"pair": pair}),
    ]
    for action, values in tries:
        with refused("workshop.closed", "Kvitskard"):
            shop.do(action, **values)
    with refused("workshop.closed"):
        shop.do(closing.close_workshop, workshop=world.workshop)
    with refused("workshop.no_why"):
        shop.do(closing.reopen_workshop, workshop=world.workshop, why=" ")
    shop.do(closing.reopen_workshop, workshop=world.workshop, why="a layer was not written down")
    event = Event.objects.get(step="workshop reopened")
    assert event.facts == {}
    assert "not written down" in Note.objects.get(id=event.note).text
    assert event.lines.filter(thing_id=pair).exists()
    for action, values in tries[:4]:
        shop.do(action, **values)
    with refused("workshop.open"):
        shop.do(closing.reopen_workshop, workshop=world.workshop, why="again")


def test_what_was_recorded_there_is_not_undone_while_it_is_closed(world):
    """Undoing a step is a correction too; the closing itself is taken back by opening again."""
    shop = world.shop
    _, bare, _ = world.pair("Ola")
    step = shop.do(build_steps.record_step, things=[bare], step="base-cut")
    closed = shop.do(closing.close_workshop, workshop=world.workshop)
    with refused("workshop.closed", "Kvitskard"):
        shop.do(books.undo, token=step.token, reason="another ski")
    with refused("books.final"):
        shop.do(books.undo, token=closed.token, reason="too early")
    assert Workshop.objects.get(id=world.workshop).closed_on is not None
    opened = shop.do(closing.reopen_workshop, workshop=world.workshop, why="another ski")
    with refused("books.final"):
        shop.do(books.undo, token=opened.token, reason="it was right")
    shop.do(books.undo, token=step.token, reason="another ski")
    assert not bench.has_step(bare, "step done")


def test_verdict_on_a_cycle_waits_until_the_workshop_is_opened_again(world):
    """A person's verdict and the log's."""
    shop = world.shop
    skis, on = press_runs.laid_up(world), press_runs.machine(world)
    cycle = press_runs.closed(world, on, skis)
    shop.at += timedelta(hours=4)
    shop.do(pressing.open_press, cycle=cycle, checked=press_runs.SEEN)
    shop.do(closing.close_workshop, workshop=world.workshop)
    with refused("workshop.closed"):
        shop.do(press.judge, cycle=cycle, passed=False, why="cold probe")
    with refused("workshop.closed"):
        shop.do(pressing.judge_by_log, cycle=cycle)
    shop.do(closing.reopen_workshop, workshop=world.workshop, why="no verdict was written down")
    with refused("press.no_log"):
        shop.do(pressing.judge_by_log, cycle=cycle)
    shop.do(press.judge, cycle=cycle, passed=False, why="cold probe")


def test_workshop_with_a_closed_press_or_before_it_begins_is_not_closed(world):
    """Its skis are taken out first; it begins first; an unknown one is none."""
    shop = world.shop
    skis, on = press_runs.laid_up(world), press_runs.machine(world)
    cycle = press_runs.closed(world, on, skis)
    with refused("workshop.in_press"):
        shop.do(closing.close_workshop, workshop=world.workshop)
    shop.at += timedelta(hours=4)
    shop.do(pressing.open_press, cycle=cycle, checked=press_runs.SEEN)
    shop.do(closing.close_workshop, workshop=world.workshop)
    days = {"starts_on": day("2027-02-05"), "ends_on": day("2027-02-06")}
    later = shop.do(builds.plan_workshop, name="Hestlia", capacity=None, **days).thing
    with refused("workshop.not_over"):
        shop.do(closing.close_workshop, workshop=later)
    with refused("card.unknown"):
        shop.do(closing.close_workshop, workshop=token())


def test_pages_close_and_open_again(world):
    """Ticked and with a reason; without, nothing happens."""
    world.pair()
    people.give_way_in(person=world.shop.crew, username="odd", password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    Workshop.objects.update(starts_on="2020-01-01", ends_on="2020-01-02")  # over by any clock
    page = f"/closing/{world.workshop}"
    assert client.post(f"{page}/close/", {"sure": ""}).status_code == 422
    assert client.post(f"{page}/close/", {"sure": "on"}).status_code == 302
    assert "open it again" in client.get(f"/builds/{world.workshop}/workshop/").content.decode()
    assert client.post(f"{page}/reopen/", {"why": ""}).status_code == 422
    assert client.post(f"{page}/reopen/", {"why": "a name was wrong"}).status_code == 302
    assert Workshop.objects.get(id=world.workshop).closed_on is None
    assert client.get(f"/closing/{token()}/close/").status_code == 404


def test_closed_workshop_takes_no_guest_and_no_pair_until_it_is_opened_again(world):
    """Neither a seat, nor a place on the wait list, nor a pair for a guest who has a seat."""
    shop = world.shop
    seated = shop.do(builds.book_seat, workshop=world.workshop, name="Nils").things[1]
    tries = [
        (builds.book_seat, {"workshop": world.workshop, "name": "Eva"}),
        (builds.book_seat, {"workshop": world.workshop, "name": "Eva", "waiting": True}),
        (builds.book_pair, {"workshop": world.workshop, "length_mm": 1720, "of": seated}),
    ]
    shop.do(closing.close_workshop, workshop=world.workshop)
    for action, values in tries:
        with refused("workshop.closed"):
            shop.do(action, **values)
    shop.do(closing.reopen_workshop, workshop=world.workshop, why="a guest was forgotten")
    for action, values in tries:
        shop.do(action, **values)
