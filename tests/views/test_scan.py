"""The scan line, photos, frames, and scans that lead to nothing.

Outside: the pictures are drawn by the library qrcode and damaged by numpy (tests/formats/snaps.py).
"""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import people, places, scans, stock
from inventory.compute.codes import Kind
from inventory.compute.codes import make as make_code
from inventory.compute.codes import read as read_code
from inventory.errors import Refused, say
from inventory.models import Event, ScanFailed, Tag
from inventory.queries.dossier import thing_of
from tests.formats.snaps import code as drawn
from tests.formats.snaps import noisy, on_page, saved
from tests.make import grams, refused, token
from tests.reading import Client

pytestmark = pytest.mark.django_db

HOST = "HTTPS://QFB.EXAMPLE/OBJ/"


@pytest.fixture
def desk(shop, client) -> Client:
    """The owner, signed in."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    return client


def code_of(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


def snap(*texts: str) -> bytes:
    """A photo of tags side by side."""
    codes = [drawn(text) for text in texts]
    return saved(on_page(codes, (420 * max(1, len(codes)), 900)))


def send(desk, picture: bytes, name: str = "photo.jpg", follow: bool = False):
    return desk.post("/scan/photo/", {"photo": SimpleUploadedFile(name, picture)}, follow=follow)


def test_photo_of_one_tag_leads_to_its_thing_and_is_not_kept(desk, shop, settings):
    """The page of the jug; no file is left in the data folder, no event is written."""
    jug = code_of(shop.package())
    events, files = Event.objects.count(), sorted(settings.DATA_FOLDER.rglob("*.jp*g"))
    answer = send(desk, snap(HOST + jug))
    assert answer.status_code == 302
    assert answer["Location"] == f"/thing/{jug}/"
    assert Event.objects.count() == events
    assert sorted(settings.DATA_FOLDER.rglob("*.jp*g")) == files


def test_photo_of_a_noisy_tag_is_read_all_the_same(desk, shop):
    """A camera in the dark."""
    jug = code_of(shop.package())
    picture = saved(noisy(on_page([drawn(HOST + jug)], (500, 700)), 25, seed=3))
    assert send(desk, picture)["Location"] == f"/thing/{jug}/"


def test_photo_of_several_tags_asks_which(desk, shop):
    """Both things are named, and what is none is said; the same thing twice is no choice."""
    jug, bin_ = code_of(shop.package()), code_of(shop.place(Kind.BIN, "bin 7"))
    answer = send(desk, snap(HOST + jug, HOST + bin_, "HELLO THERE, NO CODE OF THIS SHOP"))
    text = answer.content.decode()
    assert answer.status_code == 200
    assert f"/thing/{jug[:4]}" in text
    assert "bin 7" in text
    assert "HELLO THERE, NO CODE OF THIS SHOP" in text
    assert send(desk, snap(HOST + jug, jug)).status_code == 302


def test_photo_without_a_code_says_what_to_do(desk, shop):
    """An even grey picture: a sentence, status 409, and nothing kept, since nothing was read."""
    answer = send(desk, saved(on_page([], (400, 400))))
    assert answer.status_code == 409
    assert "No code can be read in the photo." in answer.content.decode()
    assert not ScanFailed.objects.exists()


@pytest.mark.parametrize(
    ("picture", "mention"),
    [
        (b"", "photo.empty"),
        (b"%PDF-1.7 and so on", "photo.pdf"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "photo.drawing"),
        (b"\x00\x00\x00\x18ftypheic" + b"\x00" * 40, "photo.heic"),
        (b"GIF89a" + b"\x00" * 40, "photo.kind"),
        (b"\xff\xd8\xff\xe0" + b"\x00" * 20_000_000, "photo.too_heavy"),
        (snap(HOST + "SA8KJ2MT")[:900], "photo.broken"),
        (snap(HOST + "SA8KJ2MT") + b"<html><script>", "photo.two_files"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_bad_pictures_each_get_their_sentence(desk, shop, picture, mention):
    """By photo and by frame: refused by name, never a broken page."""
    answer = send(desk, picture)
    assert answer.status_code == 409
    assert f"#{mention}" in answer.content.decode()
    if len(picture) < 12_000_000:  # a heavier body is cut off before any page: a frame is never that large
        frame = desk.post("/scan/frame/", picture, content_type="image/jpeg")
        assert frame.status_code == 409
        assert frame.json()["wrong"]


def test_photo_that_was_not_sent_is_said(desk, shop):
    """The form without a file, and a file under another name."""
    for values in ({}, {"picture": SimpleUploadedFile("x.jpg", b"x")}):
        answer = desk.post("/scan/photo/", values)
        assert answer.status_code == 409
        assert "No photo was sent." in answer.content.decode()


def test_frame_gives_the_codes_in_it(desk, shop):
    """What the live camera's script goes on with; an empty list where nothing is in view."""
    answer = desk.post("/scan/frame/", snap(HOST + "SA8KJ2MT"), content_type="image/jpeg")
    assert answer.json() == {"codes": [HOST + "SA8KJ2MT"]}
    answer = desk.post("/scan/frame/", saved(on_page([], (400, 400))), content_type="image/jpeg")
    assert answer.json() == {"codes": []}


def test_scan_through_another_keyboard_layout_leads_to_the_thing(desk, shop):
    """A scanner set to a US layout on a German one: `HTTPSÖ--...-OBJ-`; the last eight characters count."""
    jug = code_of(shop.package())
    answer = desk.get("/scan/", {"code": f"HTTPSÖ--QFB.EXAMPLE-OBJ-{jug}"})
    assert answer["Location"] == f"/thing/{jug}/"


def test_scan_that_fails_is_kept_as_it_was_read(desk, shop):
    """Text, moment, who and what was wrong; one that leads somewhere is not kept."""
    jug = code_of(shop.package())
    desk.get("/scan/", {"code": jug})
    assert not ScanFailed.objects.exists()
    desk.get("/scan/", {"code": "SA8KJ2MX"})
    kept = ScanFailed.objects.get()
    assert (kept.text, kept.who, kept.wrong) == ("SA8KJ2MX", shop.owner, "code.check")
    text = desk.get("/scan/failed/").content.decode()
    assert "SA8KJ2MX" in text
    assert "Ragna Quill" in text
    assert "misread" in text


@pytest.mark.parametrize("name", ["Ida Ås", "Ida", "Jean-Luc d'Arc", "مريم بنت", ""])
def test_scan_of_a_name_that_is_not_there_is_not_kept(desk, shop, name):
    """A guest's name is no failed scan; eight letters may be a code."""
    assert desk.get("/scan/", {"code": name}).status_code == 404
    assert not ScanFailed.objects.exists()
    desk.get("/scan/", {"code": "ABCDEFGH"})
    assert ScanFailed.objects.count() == 1


def test_day_sheet_says_how_many_codes_led_nowhere_until_they_do(desk, shop):
    """A tag scanned before it was tied: on the sheet, and off it once the thing is recorded."""
    foreign = make_code(letter=Kind.BIN.letter, machine="B", seed=b"printed ahead elsewhere")
    sentence = "scanned this week and led to nothing."
    assert sentence not in desk.get("/").content.decode()
    for _ in range(2):
        desk.get("/scan/", {"code": foreign.text})
    page = desk.get("/").content.decode()
    assert sentence in page
    assert 'href="/scan/failed/"' in page
    shop.do(places.make_place, kind=Kind.BIN, name="bin 9", code=foreign)
    assert sentence not in desk.get("/").content.decode()
    assert foreign.shown in desk.get("/scan/failed/").content.decode()


def test_failed_scans_can_be_thrown_away_by_crew_not_by_a_helper(desk, shop):
    """A helper's tap changes nothing; the owner's empties the list."""
    desk.get("/scan/", {"code": "SA8KJ2MX"})
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    helper = Client()
    helper.force_login(User.objects.get(username="sunniva"))
    helper.post("/scan/failed/")
    assert ScanFailed.objects.count() == 1
    desk.post("/scan/failed/")
    assert not ScanFailed.objects.exists()


def test_failed_scans_take_the_same_queries_with_1_row_and_with_10(desk, shop):
    """The list does not ask once a row."""

    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            desk.get("/scan/failed/")
        return len(caught)

    desk.get("/scan/", {"code": "SA8KJ2MX"})
    one = asked()
    for number in range(9):
        desk.get("/scan/", {"code": f"SA8KJ2M{number}"})
    assert ScanFailed.objects.count() >= 9
    assert asked() == one


def test_failed_scans_keep_the_newest_thousand(shop, monkeypatch):
    """The oldest goes when one more comes."""
    monkeypatch.setattr(scans, "MOST_KEPT", 3)
    wrong = Refused("code.check", say("wrong"), say("again"))
    for number in range(5):
        scans.keep_failed(shop.by(), id=token(), text=f"x{number}", refused=wrong)
    assert sorted(ScanFailed.objects.values_list("text", flat=True)) == ["x2", "x3", "x4"]


def test_a_code_of_a_laptop_met_before_says_when(laptops):
    """B was merged on the first; what it printed later is of B, last met then. A letter never met is not."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    b.do(stock.draw, shop.by(), package=jug, amount=grams(1))
    a.merge(b.export(), shop.by())
    met = shop.at.date()
    shop.at += timedelta(days=3)
    with b.in_hand():
        later = shop.package(number="N-2", amount=grams(100))
        code = code_of(later)
    with a.in_hand():
        with refused("tag.not_met_since", "laptop B", str(met)):
            thing_of(code)
        with refused("tag.other_laptop"):
            thing_of(make_code(letter="P", machine="C", seed=b"far").text)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert thing_of(code) == later


def test_send_does_a_scan_once_however_often_it_comes(desk, shop):
    """The same token again is the same act, and answers as the first time; another token is another act."""
    jug, bin_ = shop.package(), shop.place(Kind.BIN, "bin 1")
    scan = {"token": str(token()), "do": "move", "code": code_of(jug), "to": code_of(bin_)}
    for _ in range(3):
        answer = desk.post("/scan/send/", scan)
        assert answer.status_code == 200
        assert answer.json()["said"] == "Moved to bin 1."
    assert Event.objects.filter(step="moved").count() == 1
    desk.post("/scan/send/", scan | {"token": str(token())})
    assert Event.objects.filter(step="moved").count() == 2


def test_send_of_a_scan_that_waited_is_recorded_as_of_its_scanning(desk, shop):
    """Ten minutes without signal: the event says when it was scanned; a fresh scan says now."""
    jug, bin_ = shop.package(), shop.place(Kind.BIN, "bin 1")
    scan = {"do": "move", "code": code_of(jug), "to": code_of(bin_)}
    desk.post("/scan/send/", scan | {"token": str(token()), "ago": "600"})
    desk.post("/scan/send/", scan | {"token": str(token()), "ago": "2"})
    late, fresh = Event.objects.filter(step="moved").order_by("number")
    assert late.late
    assert not fresh.late
    assert timedelta(minutes=9) < fresh.at - late.at < timedelta(minutes=11)


def test_send_refuses_a_bin_into_a_package_and_nothing_else(desk, shop):
    """A place that ranks no higher: its sentence, status 409; into a bin it goes."""
    jug, can, bin_ = shop.package(), shop.package(number="N-2"), shop.place(Kind.BIN, "bin 1")
    scan = {"do": "move", "code": code_of(jug)}
    answer = desk.post("/scan/send/", scan | {"token": str(token()), "to": code_of(can)})
    assert (answer.status_code, answer.json()["code"]) == (409, "place.rank")
    answer = desk.post("/scan/send/", scan | {"token": str(token()), "to": code_of(bin_)})
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"token": "no uuid", "do": "open", "code": "x"},
        {"token": "01890a5d-ac96-774b-bcce-b302099a8057", "do": "sell", "code": "x"},
        {"token": "01890a5d-ac96-774b-bcce-b302099a8057", "do": "open", "code": "x" * 999},
        {"token": "01890a5d-ac96-774b-bcce-b302099a8057", "do": "open", "code": "x", "ago": "-5"},
    ],
)
def test_send_of_what_is_no_scan_says_so(desk, shop, values):
    """Without a token, an act that is none, far too long, scanned in the future: status 422."""
    before = Event.objects.count()
    assert desk.post("/scan/send/", values).status_code == 422
    assert Event.objects.count() == before


def test_send_moves_what_is_on_hold_and_refuses_to_open_it(desk, shop):
    """A hold is for using, not for carrying; a bin is carried too, and never opened."""
    jug, bin_ = shop.package(), shop.place(Kind.BIN, "bin 1")
    shop.do(stock.hold, things=[jug], reason="thick")
    scan = {"code": code_of(jug), "to": code_of(bin_)}
    assert desk.post("/scan/send/", scan | {"token": str(token()), "do": "move"}).status_code == 200
    answer = desk.post("/scan/send/", scan | {"token": str(token()), "do": "open"})
    assert (answer.status_code, answer.json()["code"]) == (409, "stock.on_hold")
    answer = desk.post("/scan/send/", {"token": str(token()), "do": "open", "code": code_of(bin_)})
    assert (answer.status_code, answer.json()["code"]) == (409, "stock.not_a_package")


def test_send_keeps_a_failed_scan_once(desk, shop):
    """A misread code sent three times is one line of the list."""
    scan = {"token": str(token()), "do": "open", "code": "SA8KJ2MX"}
    for _ in range(3):
        assert desk.post("/scan/send/", scan).status_code == 409
    assert ScanFailed.objects.count() == 1


def test_scan_of_a_suppliers_label_leads_to_the_delivery_it_is_read_into(desk, shop):
    """The label's text is in its field there; an ordinary misread code is offered no such way."""
    shop.package()
    label = "(01)12312312312333(10)N-7741"
    page = desk.get("/scan/", {"code": label})
    assert "It is a supplier" in page.content.decode()
    assert desk.get("/stock/receive/", {"label": label}).context["form"]["label"].value() == label
    assert "supplier" not in desk.get("/scan/", {"code": "SA8KJ2MX"}).content.decode()


def test_scan_line_leads_to_places_of_a_name_and_a_form_takes_it_where_it_is_one(desk, shop):
    """Two bins of one name are both offered, and neither is guessed; a name alone moves a jug."""
    store = shop.place(Kind.STORE, "Loft")
    bins = [shop.place(Kind.BIN, "Hardener bin", shop.place(Kind.ZONE, zone, store)) for zone in "ab"]
    seen = desk.get("/scan/", {"code": "hardener"})
    assert seen.status_code == 200
    for thing in bins:
        assert f"/thing/{read_code(code_of(thing)).shown}/" in seen.content.decode()
    assert "Loft, a" in seen.content.decode()
    assert not ScanFailed.objects.exists()
    jug = shop.package()
    move = {"things": code_of(jug), "to": "hardener BIN"}
    answer = desk.post("/places/move/", move)
    assert answer.status_code == 422
    assert "2 are called so" in answer.content.decode()
    assert desk.post("/places/move/", move | {"to": "loft"}).status_code == 302
    assert desk.post("/places/move/", move | {"to": "no such loft"}).status_code == 422
