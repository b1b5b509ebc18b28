"""A logger's file through the pages: looked at, kept, drawn."""

import re
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.actions import loggers as actions
from inventory.actions import people
from inventory.compute.codes import Kind
from inventory.management import serving
from inventory.models import Event, Shop, Tag
from inventory.views import loggers as views
from tests.actions.test_loggers import file_of

pytestmark = pytest.mark.django_db
START = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def desk(shop, client, settings, tmp_path):
    """Sunniva, a helper, at the trailer, on 20 June."""
    settings.DATA_FOLDER = tmp_path
    shop.at = START - timedelta(days=1)
    client.trailer = Tag.objects.get(thing_id=shop.place(Kind.TRAILER, "Ptarmigan")).code
    client.store = Tag.objects.get(thing_id=shop.place(Kind.STORE, "the Loft")).code
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    with time_machine.travel(START + timedelta(days=19), tick=False):
        client.force_login(
            User.objects.get(username="sunniva"), backend="django.contrib.auth.backends.ModelBackend"
        )
        yield client


def look(desk, content, place="", **more):
    file = SimpleUploadedFile("log.csv", content, content_type="text/csv")
    data = {"file": file, "zone": "UTC"} | more
    return desk.post(f"/loggers/{place or desk.trailer}/attach/", data)


def fields(answer):
    """What the page would send on."""
    return fields_of(answer.content.decode())


def fields_of(text):
    """The same, of its text."""
    form = text[text.index("/keep/") :]
    found = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return found | {"zone": "UTC"}


def plain(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\xa0", " ")


def test_file_is_shown_before_it_is_kept_and_drawn_after(desk):
    """Looking writes nothing; kept, the page shows lowest and highest; again, nothing changes."""
    content = file_of([19.5, 38.0, 24.0] * 100)
    answer = look(desk, content)
    assert answer.status_code == 200
    assert "300 readings" in plain(answer)
    assert "19.5 °C to 38 °C" in plain(answer)
    assert not Event.objects.filter(step="temperatures logged").exists()
    kept = desk.post(f"/loggers/{desk.trailer}/keep/", fields(answer), follow=True)
    assert "Kept." in plain(kept)
    assert "Lowest 19.5 °C, highest 38 °C." in plain(kept)
    assert Event.objects.filter(step="temperatures logged").count() == 1
    again = desk.post(f"/loggers/{desk.trailer}/keep/", fields(look(desk, content)), follow=True)
    assert "nothing changed" in plain(again)
    assert Event.objects.filter(step="temperatures logged").count() == 1


def test_mean_kinetic_temperature_on_the_page_is_by_the_published_constants(desk):
    """Five days at 25 °C and five at 35 °C: 31.22 °C, worked by hand from the constants.

    Outside: the constants of USP 1160, 83.144 kJ/mol and 8.3144 J/(mol K) (read).
    """
    answer = look(desk, file_of([25.0] * 360 + [35.0] * 360))
    page = desk.post(f"/loggers/{desk.trailer}/keep/", fields(answer), follow=True)
    found = re.search(r"Jun 2026 .*?35\.0 °C .*? h .*?([\d.]+) °C", plain(page))
    assert float(found[1]) == pytest.approx(31.22, abs=0.02)


def test_other_trailers_file_is_kept_only_when_someone_is_sure(desk):
    """The logger hung in the trailer: its file in the store is asked about, and kept once it is ticked."""
    desk.post(f"/loggers/{desk.trailer}/keep/", fields(look(desk, file_of([20.0] * 50))))
    answer = look(desk, file_of([21.0] * 50), desk.store)
    assert "Stop" in plain(answer)
    refused = desk.post(f"/loggers/{desk.store}/keep/", fields(answer))
    assert refused.status_code == 409
    assert "right file all the same" in plain(refused)
    kept = desk.post(f"/loggers/{desk.store}/keep/", fields(refused) | {"sure": "on"}, follow=True)
    assert "Kept." in plain(kept)


@pytest.mark.parametrize(
    ("content", "mentions"),
    [
        (b"", "empty"),
        (b"%PDF-1.7 not a log", "no text"),
        (b"a,b\n1,2\n3,4\n", "no date with a time"),
        (b"2026-06-01 10:00:00,20\n2026-06-01 11:00:00,21\n", "Celsius or Fahrenheit"),
        (file_of([85.0] * 60), "readings 0 can be believed"),
        (file_of([20.0] * 60, start=START + timedelta(days=60)), "has not come"),
    ],
    ids=["empty", "a PDF", "no times", "no header", "dead sensor", "days to come"],
)
def test_bad_file_is_refused_with_its_sentence_and_nothing_is_kept(desk, content, mentions):
    """Each says what is wrong; a right one is looked at."""
    answer = look(desk, content)
    assert answer.status_code in (409, 422)
    assert mentions in plain(answer)
    assert not Event.objects.filter(step="temperatures logged").exists()
    assert look(desk, file_of([20.0] * 60)).status_code == 200


def test_file_that_is_too_large_says_the_limit_and_what_to_do(desk, monkeypatch, settings):
    """The limit stands beside the field before; one byte less is looked at. The server takes more than it."""
    assert "at most 300 MB" in plain(desk.get(f"/loggers/{desk.trailer}/attach/"))
    content = file_of([20.0] * 60)
    monkeypatch.setattr(actions, "FILE_MOST", len(content) - 1)
    answer = look(desk, content)
    assert answer.status_code == 409
    assert "Split it by date" in plain(answer)
    assert list((settings.DATA_FOLDER / "looked").iterdir()) == []
    monkeypatch.setattr(actions, "FILE_MOST", len(content))
    assert look(desk, content).status_code == 200
    monkeypatch.undo()
    assert actions.FILE_MOST == 300_000_000 < serving.BODY_MOST
    left_out = desk.post(f"/loggers/{desk.trailer}/attach/", HTTP_LEFT_OUT="400000000")
    assert left_out.status_code == 413
    assert "larger than 300 MB" in plain(left_out)
    assert "Split it by date" in plain(left_out)
    assert f'href="/loggers/{desk.trailer}/attach/"' in left_out.content.decode()


def test_file_without_header_is_read_once_someone_says_its_unit(desk):
    """Fahrenheit, said on the page: 68 °F is 20 °C."""
    bare = b"2026-06-01 10:00:00,68\n2026-06-01 11:00:00,68\n2026-06-01 12:00:00,86\n"
    answer = look(desk, bare, temperature="°F")
    assert "20 °C to 30 °C" in plain(answer)


def long_file(celsius=20.0):
    """120,000 lines, a minute apart, over the bound from which it is said how far the reading is."""
    start = START - timedelta(days=70)
    rows = (
        f"{start + timedelta(minutes=n):%Y-%m-%d %H:%M:%S},{celsius + n % 7},{n:020d}" for n in range(120_000)
    )
    return ("Time,Bay (°C),Number\n" + "\n".join(rows)).encode()


def test_long_file_is_read_with_its_progress_said_and_is_kept_after(desk):
    """Some twenty times a share, growing; then what is in it, as of a short one; nothing is kept before."""
    answer = look(desk, long_file())
    assert answer.status_code == 302
    pieces = [piece.decode() for piece in desk.get(answer.url).streaming_content]
    shares = [
        int(found[1]) for piece in pieces if (found := re.search(r'<progress max="100" value="(\d+)"', piece))
    ]
    assert 10 <= len(shares) <= 25
    assert shares == sorted(set(shares))
    assert shares[-2] < shares[-1] == 100
    assert "Stop reading, keep nothing" in pieces[0]
    whole = "".join(pieces)
    assert "120000 readings" in whole or "120,000 readings" in whole
    assert not Event.objects.filter(step="temperatures logged").exists()
    found = fields_of(whole)
    kept = desk.post(f"/loggers/{desk.trailer}/keep/", found | {"zone": "UTC"})
    pieces = []
    for piece in kept.streaming_content:
        pieces.append(piece.decode())
        if "<progress" in piece.decode() and 'value="100"' not in piece.decode():
            assert not Event.objects.filter(step="temperatures logged").exists(), "not before its end"
    assert sum("<progress" in piece for piece in pieces) >= 10
    assert "Stop before, and nothing is kept" in pieces[0]
    assert "Kept." in pieces[-1]
    assert f"/loggers/{desk.trailer}/curve/" in pieces[-1].replace("-", "")
    assert "Take it back" in pieces[-1]
    assert Event.objects.filter(step="temperatures logged").count() == 1
    back = re.search(r'action="(/books/[^"]+)".*?name="next" value="([^"]+)"', pieces[-1], re.DOTALL)
    told = plain(desk.post(back[1], {"next": back[2]}, follow=True))
    assert "Taken back." in told
    assert "How warm it was" in told


def test_keeping_a_long_file_is_stopped_by_leaving_the_page(desk):
    """Left half-way, and left as the last line is read: nothing is kept either time; stayed on, it is."""
    whole = b"".join(desk.get(look(desk, long_file()).url).streaming_content).decode()
    found = fields_of(whole)

    def keep(**more):
        return desk.post(f"/loggers/{desk.trailer}/keep/", found, **more)

    half = iter(keep())
    assert all("Kept" not in next(half).decode() for _ in range(5))
    del half
    list(keep(**{"waitress.client_disconnected": lambda: True}))
    assert not Event.objects.filter(step="temperatures logged").exists()
    list(keep(**{"waitress.client_disconnected": lambda: False}))
    assert Event.objects.filter(step="temperatures logged").count() == 1


@pytest.mark.parametrize("soon", [True, False], ids=["before its end", "after"])
def test_stopping_a_long_file_says_whether_it_was_in_time(desk, soon):
    """Stopped while it is read, it keeps nothing at its end; stopped after, it is said to be too late."""
    whole = b"".join(desk.get(look(desk, long_file()).url).streaming_content).decode()
    pieces = iter(desk.post(f"/loggers/{desk.trailer}/keep/", fields_of(whole)).streaming_content)
    first = next(pieces).decode()
    assert "Stop reading, keep nothing" in first
    reading = {"reading": re.search(r'name="reading" value="([^"]+)"', first)[1]}
    assert desk.post(f"/loggers/{desk.trailer}/stop/", {"reading": "none"}).status_code == 404
    if not soon:
        assert "Kept." in list(pieces)[-1].decode()
    told = plain(desk.post(f"/loggers/{desk.trailer}/stop/", reading, follow=True))
    if soon:
        assert "Stopped. Nothing was kept." in list(pieces)[-1].decode()
    assert ("Stopped. Nothing was kept." in told) is soon
    assert ("Too late: it was read to its end already." in told) is not soon
    assert Event.objects.filter(step="temperatures logged").exists() is not soon


def test_long_file_is_told_in_the_time_zone_a_short_one_is(desk, monkeypatch):
    """Denver is six hours behind UTC in June: the first reading of 1 June is of the evening before."""
    Shop.objects.update(time_zone="America/Denver")
    short = plain(look(desk, file_of([19.5, 38.0, 24.0] * 100)))
    monkeypatch.setattr(views, "LONG", 10)
    long = b"".join(desk.get(look(desk, file_of([19.5, 38.0, 24.0] * 100)).url).streaming_content).decode()
    one, other = (re.search(r"300 readings from [^.]*", each)[0] for each in (short, long))
    assert one == re.sub(r"<[^>]+>", "", other.replace("\xa0", " "))
    assert "31 May 2026" in one


def test_long_file_that_somebody_must_be_sure_of_is_kept_only_then(desk):
    """Another place's logger: the page asks at the end, with what it found; ticked, it is kept."""
    desk.post(f"/loggers/{desk.store}/keep/", fields(look(desk, file_of([20.0] * 50), desk.store)))
    answer = look(desk, b"Serial number,TT-0042\n" + long_file(), again="on")
    whole = b"".join(desk.get(answer.url).streaming_content).decode()
    found = fields_of(whole)
    assert "all the same" in whole
    before = Event.objects.filter(step="temperatures logged").count()
    address = f"/loggers/{desk.trailer}/keep/"
    unsure = b"".join(desk.post(address, found).streaming_content).decode()
    assert "Something stands against this file." in unsure
    assert "all the same" in unsure
    assert Event.objects.filter(step="temperatures logged").count() == before
    sure = b"".join(desk.post(address, found | {"sure": "on"}).streaming_content).decode()
    assert "Kept." in sure


def test_long_file_with_something_wrong_says_it_where_its_content_would_stand(desk):
    """Days to come; a file that is gone; a look at nothing leads to choosing a file."""
    answer = look(desk, long_file().replace(b"2026-", b"2027-"))
    assert "has not come" in b"".join(desk.get(answer.url).streaming_content).decode()
    gone = re.sub("sha256=[0-9a-f]+", f"sha256={'0' * 64}", answer.url)
    page = desk.get(gone)
    assert "not here any more" in b"".join(page.streaming_content).decode()
    assert "Choose a file" in plain(desk.get(f"/loggers/{desk.trailer}/look/"))


def test_keep_without_a_file_says_where_to_begin(desk):
    """The address opened by hand, and a hash of nothing."""
    assert "Choose a file" in plain(desk.get(f"/loggers/{desk.trailer}/keep/"))
    gone = desk.post(f"/loggers/{desk.trailer}/keep/", {"sha256": "0" * 64, "zone": "UTC"})
    assert gone.status_code == 409
    assert "not here any more" in plain(gone)


def test_curve_of_a_place_nobody_measured_says_so(desk):
    """And a span that is no choice is no error page."""
    assert "Nobody has measured here yet" in plain(desk.get(f"/loggers/{desk.store}/curve/"))
    assert desk.get(f"/loggers/{desk.store}/curve/?days=9999").status_code == 422
