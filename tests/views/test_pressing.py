"""The pages of a press: closing with proposed set points, readings, a logger's file, the curve, opening."""

import io
import re
from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions import people, press, pressing
from inventory.models import Event, Hold
from inventory.queries import cycles, things
from inventory.views.curve_drawing import picture, thinned
from tests import bench_world, press_runs
from tests.press_runs import closed, laid_up, long_log, machine
from tests.reading import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    shop.at = timezone.now() - timedelta(hours=9)
    return bench_world.world(shop)


@pytest.fixture
def sign_in(world):
    def as_(role: str) -> Client:
        people.give_way_in(person=getattr(world.shop, role), username=role, password="a-long-one-for-tests")
        found = Client()
        found.force_login(User.objects.get(username=role), "django.contrib.auth.backends.ModelBackend")
        return found

    return as_


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def code(*wanted) -> str:
    return " ".join(things.codes_of(wanted))


def ticks(count: int) -> dict[str, str]:
    return {f"check_{at}": "on" for at in range(count)}


def test_close_page_proposes_set_points_and_keeps_the_cycle_once_everything_is_ticked(world, sign_in):
    """What the press holds, 2 h as listed there, and the usual 275 kPa below 0.9 of the relief valve."""
    client, skis, on = sign_in("helper"), laid_up(world), machine(world)
    assert "Set points" in text(client.get("/pressing/close/"))
    asked = {"press": code(on), "mould": "", "skis": code(*skis), "heated": "yes", "bay_c": ""}
    address = f"/pressing/close/?{urlencode(asked)}"
    seen = client.get(address).content.decode()
    for name, value in (("set_c", "70.0"), ("set_kpa", "275.0"), ("minutes", "120")):
        assert re.search(rf'name="{name}" value="{value}"', seen), name
    sent = {"set_c": "70", "set_kpa": "275", "minutes": "120", "watcher": str(world.shop.crew)}
    answer = client.post(address, sent | ticks(3))
    assert answer.status_code == 409
    assert "Nobody checked" in text(answer)
    assert client.post(address, sent | ticks(4) | {"set_kpa": "420"}).status_code == 409
    answer = client.post(address, sent | ticks(4))
    assert answer.status_code == 302
    (row,) = cycles.closed(timezone.now())
    assert row.watcher == "Odd Fether"
    assert "It runs" in text(client.get(answer["Location"]))


def test_close_page_with_nothing_in_it_or_no_press_says_so(world, sign_in):
    """A code of no press, no skis, a bay that is no number."""
    client, on = sign_in("helper"), machine(world)
    asked = {"press": code(on), "skis": "", "heated": "yes", "bay_c": ""}
    assert client.get(f"/pressing/close/?{urlencode(asked)}").status_code == 422
    pair, *_ = world.pair()
    wrong = asked | {"press": code(pair), "skis": code(pair)}
    assert "here a press is needed" in text(client.get(f"/pressing/close/?{urlencode(wrong)}"))
    assert client.post("/pressing/close/", {}).status_code == 422


@pytest.mark.parametrize("shape", ["reached-late", "with-a-gap", "too-cold"])
def test_log_page_reads_each_shape_of_file_and_keeps_the_hours_of_the_cycle(world, sign_in, shape):
    """Commas and ISO dates in °C and kPa; semicolons, decimal commas and bar; tabs, °F and psi."""
    client = sign_in("helper")
    world.shop.at = timezone.now().replace(
        year=2026, month=1, day=17, hour=10, minute=0, second=0, microsecond=0
    )
    skis, on = laid_up(world), machine(world)
    world.shop.at = timezone.make_aware(world.shop.at.replace(tzinfo=None, hour=9, minute=59, second=59))
    cycle = closed(world, on, skis)
    page = f"/pressing/{code(cycle)}/log/"
    with (press_runs.FOLDER / f"{shape}.csv").open("rb") as file:
        assert client.post(page, {"file": file}).status_code == 302
    log = Event.objects.get(step="press read").facts["log"]
    hottest = max(value for column in log["probes_c"].values() for value in column)
    assert 70 < hottest < 80
    assert 270 < max(log["kpa"]) < 280
    seen = text(client.get(f"/pressing/{code(cycle)}/cycle/"))
    assert "Broken lines: what was set." in seen


@pytest.mark.parametrize(
    ("content", "status", "words"),
    [
        (b"", 422, "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0", 422, "is no text"),
        (b"Time,Tip\n2026-01-17 10:00,20\n2026-01-17 10:05,21\n", 422, "°C"),
        (b"no dates at all\n1,2,3\n", 422, "no date with a time"),
        (b"Time,Tip (\xc2\xb0C)\n2019-01-17 10:00,20\n2019-01-17 10:05,21\n", 409, "min after closing"),
    ],
)
def test_log_page_of_a_file_that_is_none_says_why_and_keeps_nothing(world, sign_in, content, status, words):
    """Empty, a picture, no unit, no dates, another year's."""
    client = sign_in("helper")
    cycle = closed(world, machine(world), laid_up(world))
    answer = client.post(f"/pressing/{code(cycle)}/log/", {"file": io.BytesIO(content)})
    assert answer.status_code == status, text(answer)[-1500:]
    assert words in text(answer)
    assert not Event.objects.filter(step="press read").exists()


def test_open_page_ticks_everything_and_early_is_an_owners_and_nowhere_offered_to_others(world, sign_in):
    """The page never offers to open: it says what was looked at, or what happened."""
    skis, on = laid_up(world), machine(world)
    cycle = closed(world, on, skis)
    helper, owner = sign_in("helper"), sign_in("owner")
    page = f"/pressing/{code(cycle)}"
    assert "before its time" not in text(helper.get(f"{page}/cycle/"))
    assert helper.get(f"{page}/early/").status_code == 403
    assert helper.post(f"{page}/open/", ticks(5)).status_code == 409
    assert owner.post(f"{page}/early/", {"why": ""}).status_code == 422
    assert owner.post(f"{page}/early/", {"why": "the hose burst"}).status_code == 302
    assert Hold.objects.count() == 2
    assert "It was opened early." in text(helper.get(f"{page}/cycle/"))
    second = closed(world, on, laid_up(world, "Ola"))
    assert helper.post(f"/pressing/{code(second)}/open/", ticks(6)).status_code == 302


def test_read_page_adds_a_point_and_the_page_forecasts(world, sign_in):
    """Two readings are a line; what was left empty was not read."""
    client = sign_in("helper")
    cycle = closed(world, machine(world), laid_up(world))
    world.shop.at += timedelta(minutes=10)
    world.shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 70.0})
    page = f"/pressing/{code(cycle)}"
    assert client.post(f"{page}/read/", {"probe_1": "", "kpa": ""}).status_code == 409
    assert client.post(f"{page}/read/", {"probe_1": "hot"}).status_code == 422
    assert client.post(f"{page}/read/", {"probe_1": "70.5", "kpa": "275"}).status_code == 302
    assert Event.objects.filter(step="press read").count() == 2
    seen = text(client.get(f"{page}/cycle/"))
    assert "Schedule reached about" in seen
    assert "A forecast permits nothing." in seen


@pytest.mark.parametrize(
    ("name", "words", "button"),
    [
        ("reached-late", "Passes by its log", "Record: passes"),
        ("with-a-gap", "Cannot be judged by its log", "A person judges"),
        ("too-cold", "Does not pass by its log", "Record: does not pass"),
    ],
)
def test_cycle_page_of_the_three_logs_says_their_verdicts_with_reasons(world, sign_in, name, words, button):
    """Reached late and passes; a gap that is not judged; too cold."""
    client = sign_in("crew")
    cycle = closed(world, machine(world), laid_up(world))
    press_runs.run(world, cycle, name)
    page = f"/pressing/{code(cycle)}"
    seen = text(client.get(f"{page}/cycle/"))
    assert words in seen
    assert button in seen
    judged = client.post(f"{page}/judge/", {})
    assert judged.status_code == (409 if name == "with-a-gap" else 302)
    assert client.get(f"{page}/judge/").status_code == 405


def test_curve_of_5000_points_is_drawn_with_the_same_extremes_as_its_readings(world):
    """Read back from the points of the drawing: highest and lowest of every line, and few points a pixel."""
    cycle = closed(world, machine(world), laid_up(world))
    long_log(world, cycle)
    row = cycles.one(cycle)
    told = cycles.judged(row, world.shop.at)
    drawn = picture(row, told)

    def back(points: str, scale) -> list[float]:
        ys = [float(point.split(",")[1]) for point in points.split()]
        return [scale.high - (y - scale.top) * (scale.high - scale.low) / scale.height for y in ys]

    lines = {
        line.name: [v for piece in line.pieces for v in back(piece, drawn.scale_degrees)]
        for line in drawn.probes
    }
    for name, column in told.curve.probes_c.items():
        assert max(lines[name]) == pytest.approx(max(column), abs=0.01)
        assert min(lines[name]) == pytest.approx(min(column), abs=0.01)
        assert len(lines[name]) <= 4 * 720
    kpa = [v for piece in drawn.pressure.pieces for v in back(piece, drawn.scale_pressure)]
    assert (max(kpa), min(kpa)) == (pytest.approx(281.75, abs=0.02), pytest.approx(275.0, abs=0.02))
    assert thinned([(1.0, 5.0), (1.2, 9.0), (1.3, 1.0), (1.9, 6.0), (2.0, 7.0)]) == [
        (1.0, 5.0), (1.2, 9.0), (1.3, 1.0), (1.9, 6.0), (2.0, 7.0),
    ]  # fmt: skip


def test_cycle_page_asks_as_often_for_one_reading_as_for_ten(world, sign_in):
    """The curve is read at once."""
    client = sign_in("crew")
    cycle = closed(world, machine(world), laid_up(world))
    page = f"/pressing/{code(cycle)}/cycle/"

    def asked() -> int:
        client.get(page)
        with CaptureQueriesContext(connection) as caught:
            client.get(page)
        return len(caught)

    def read() -> None:
        world.shop.at += timedelta(minutes=5)
        world.shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 70.0})

    read()
    read()
    two = asked()
    for _ in range(9):
        read()
    assert asked() == two


def test_cycle_from_paper_that_ran_beyond_a_rating_says_so_and_one_within_does_not(world, sign_in):
    """380 kPa of the 400 that the press bears, and 410."""
    cycle = {"press": machine(world), "skis": list(laid_up(world)), "mould": None, "set_c": 75, "minutes": 60}
    within = world.shop.do(press.record_cycle, **cycle, set_kpa=380.0).thing
    above = world.shop.do(press.record_cycle, **cycle, set_kpa=410.0, beyond="the valve stuck").thing
    client = sign_in("helper")
    assert "It ran beyond a rating" not in text(client.get(f"/pressing/{code(within)}/cycle/"))
    assert "It ran beyond a rating" in text(client.get(f"/pressing/{code(above)}/cycle/"))
