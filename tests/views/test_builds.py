"""Pages of workshops, seats, specs, lay-ups, artwork and the build card, as each role sees them."""

import io
import re
from uuid import UUID

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from inventory.actions import artwork, build_steps, builds, layups, people, press
from inventory.compute.build_steps import JOBS, AgeBand
from inventory.compute.codes import Kind
from inventory.models import Event, Guest, Pair, Seat, Workshop
from inventory.queries import things
from tests.make import Shop, day, pieces
from tests.reading import Client

NASTY = '<script>alert("x")</script>'
WIDTHS = {"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0}


@pytest.fixture
def sign_in(shop: Shop):
    """`sign_in("crew")`: a client with that person signed in."""

    def as_(role: str) -> Client:
        people.give_way_in(person=getattr(shop, role), username=role, password="a-long-one-for-tests")
        client = Client()
        client.force_login(User.objects.get(username=role), "django.contrib.auth.backends.ModelBackend")
        return client

    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    return as_


def plan(shop: Shop, capacity: int | None = 3, year: int = 2027) -> UUID:
    days = {"starts_on": day(f"{year}-02-05"), "ends_on": day(f"{year}-02-06")}
    return shop.do(builds.plan_workshop, name="Kvitskard", capacity=capacity, **days).thing


def guest_with_pair(shop: Shop, at: UUID, name: str = "Ida", band: str = "") -> tuple[UUID, UUID, str]:
    guest = shop.do(builds.book_seat, workshop=at, name=name, age_band=band, contact="+00 555 0100").things[1]
    pair = shop.do(builds.book_pair, workshop=at, of=guest, length_mm=1840).thing
    return pair, guest, things.codes_of([pair])[0]


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def queries(client: Client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


def test_press_pages_when_guests_are_at_work_offer_their_hands_and_refuse_a_youths(
    shop: Shop, sign_in
) -> None:
    """Each page that may be another's work offers the guests by workshop; a youth's lay-up is refused."""
    at, client = plan(shop), sign_in("crew")
    pair, guest, _ = guest_with_pair(shop, at, "Ida", AgeBand.YOUTH)
    adult = shop.do(
        builds.book_seat, workshop=at, name="Ola", age_band=AgeBand.ADULT, contact="+00 555 0101"
    ).things[1]
    for page in ("lay-up", "cycle", "hand-over"):
        seen = client.get(f"/press/{page}/").content.decode()
        assert "Kvitskard" in seen
        assert f'value="{guest}"' in seen
        assert f'value="{adult}"' in seen
    left = Pair.objects.get(thing_id=pair).skis.get(side="left").thing_id
    blanks = shop.package("blank", pieces(9))
    codes = dict(zip(("ski", "thing_1"), things.codes_of([left, blanks]), strict=True))
    answer = client.post("/press/lay-up/", codes | {"amount_1": "1", "doer": str(guest)})
    assert answer.status_code == 409
    assert "nobody under 18" in text(answer)
    assert client.post("/press/lay-up/", codes | {"amount_1": "1", "doer": str(adult)}).status_code == 302
    assert Event.objects.get(step="laid up").facts["doer"] == str(adult)


def test_lay_up_page_when_another_guests_top_sheet_is_scanned_says_so(shop: Shop, sign_in) -> None:
    """The code in the artwork is scanned as any layer; the ski's own passes, with no amount."""
    at, client = plan(shop), sign_in("crew")
    skis = [
        Pair.objects.get(thing_id=guest_with_pair(shop, at, name)[0]).skis.get(side="left").thing_id
        for name in ("Ida", "Ola")
    ]
    left, other, glass = things.codes_of([*skis, shop.package("glass", pieces(9))])
    sent = {"ski": left, "thing_1": glass, "amount_1": ""}
    answer = client.post("/press/lay-up/", sent | {"thing_2": other})
    assert answer.status_code == 409
    assert "The top sheet is printed for ski" in text(answer)
    assert not Event.objects.filter(step="laid up").exists()
    assert client.post("/press/lay-up/", sent | {"thing_2": left}).status_code == 302
    assert Event.objects.filter(step="laid up").count() == 1


def test_bench_and_workshop_when_a_pair_waits_say_it_in_the_same_words(shop: Shop, sign_in) -> None:
    """One wording of the wait; a pair that was handed over waits for nothing and is not on the bench."""
    at, client = plan(shop), sign_in("crew")
    pair, *_ = guest_with_pair(shop, at)
    shop.do(build_steps.record_step, things=[pair], step="base-cut", doer=shop.crew)
    for page in ("/bench/", f"/builds/{at}/workshop/"):
        seen = text(client.get(page))
        assert "Waits for: Edges fitted." in seen
        assert "Last: Base cut" in seen
    skis = [ski.thing_id for ski in Pair.objects.get(thing_id=pair).skis.all()]
    on = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    blanks = shop.package("blank", pieces(9))
    for ski in skis:
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    run = {"mould": None, "set_kpa": 300.0, "set_c": 80.0, "minutes": 60.0}
    shop.do(
        press.judge,
        cycle=shop.do(press.record_cycle, press=on, skis=skis, **run).thing,
        passed=True,
        why="as it should",
    )
    assert "Hand over needs, passed on both skis: inspection." in text(client.get("/bench/"))
    for ski in skis:
        shop.do(press.inspect, ski=ski, passed=True, why="as it should")
    shop.do(press.hand_over, pair=pair)
    assert "No pair is in work." in text(client.get("/bench/"))
    assert "Handed over." in text(client.get(f"/builds/{at}/workshop/"))


def test_workshop_when_it_has_one_pair_or_ten_asks_as_often(shop: Shop, sign_in) -> None:
    """The bench page of a workshop, and the bench with all of them."""
    at, client = plan(shop, None, 2021), sign_in("crew")  # long past on any clock

    def add(number: int) -> None:
        pair, *_ = guest_with_pair(shop, at, f"Guest {number}", AgeBand.ADULT)
        shop.do(build_steps.record_step, things=[pair], step="base-cut", doer=shop.crew)
        shop.do(artwork.plan_artwork, pair=pair, printer_days=100, bleed_mm=5)
        shop.do(layups.make_layup, name=f"Lay-up {number}")

    pages = (f"/builds/{at}/workshop/", "/bench/", "/layups/", "/builds/book/")
    add(0)
    one = [queries(client, page) for page in pages]
    for number in range(1, 10):
        add(number)
    assert [queries(client, page) for page in pages] == one
    seen = text(client.get(pages[0]))
    assert seen.count("Waits for: Edges fitted.") == 10
    assert seen.count("Artwork: artwork here from the guest . Was due 17 Oct 2020.") == 10


def test_workshop_when_a_helper_looks_shows_no_contact(shop: Shop, sign_in) -> None:
    """Crew see it; a helper sees who sits where and how old, and no more."""
    at = plan(shop)
    guest_with_pair(shop, at, "Ida", AgeBand.YOUTH)
    page = f"/builds/{at}/workshop/"
    assert "555 0100" in text(sign_in("crew").get(page))
    helper = sign_in("helper")
    seen = text(helper.get(page))
    assert "555 0100" not in seen
    assert "Ida , 12 to 17" in seen
    assert helper.get(f"/seats/{Guest.objects.get().id}/guest/").status_code == 403


def test_workshop_when_seats_are_booked_says_how_many_are_open(shop: Shop, sign_in) -> None:
    """Booked through the page; the fourth is refused, waits, and is let in once one is given back."""
    at, client = plan(shop), sign_in("crew")
    book = f"/seats/{at}/book/"
    for name in ("Ida", "Jonas", "مريم"):
        assert client.post(book, {"name": name, "consent": "unknown"}).status_code == 302
    assert "No seat is open." in text(client.get(f"/builds/{at}/workshop/"))
    full = client.post(book, {"name": "Tuva", "consent": "true"})
    assert full.status_code == 409
    assert "Tuva" in full.content.decode()
    assert client.post(book, {"name": "Tuva", "consent": "true", "waiting": "on"}).status_code == 302
    seats = {seat.guest.name: seat.id for seat in Seat.objects.select_related("guest")}
    assert client.post(f"/seats/{seats['Tuva']}/change/", {"state": "booked"}).status_code == 409
    assert client.post(f"/seats/{seats['Ida']}/change/", {"state": "given back"}).status_code == 302
    assert client.post(f"/seats/{seats['Tuva']}/change/", {"state": "booked"}).status_code == 302
    assert Guest.objects.get(name="Tuva").consent is True


def test_workshop_when_planned_and_changed_through_pages_keeps_what_was_typed(shop: Shop, sign_in) -> None:
    """Only what was changed is changed; a refusal keeps what was entered."""
    client = sign_in("crew")
    values = {
        "name": "Lynghaug",
        "venue": "The old sawmill",
        "starts_on": "2027-03-01",
        "ends_on": "2027-03-02",
    }
    assert client.post("/builds/plan/", values | {"capacity": ""}).status_code == 302
    row = Workshop.objects.get()
    change = f"/builds/{row.id}/change/"
    hidden = {f"initial-{name}": value for name, value in values.items()} | {"initial-capacity": ""}
    wrong = client.post(change, values | hidden | {"capacity": "", "ends_on": "2027-02-01"})
    assert wrong.status_code == 409
    assert "2027-02-01" in wrong.content.decode()
    assert client.post(change, values | hidden | {"capacity": "6"}).status_code == 302
    row.refresh_from_db()
    assert (row.capacity, row.venue) == (6, "The old sawmill")


def test_spec_when_designed_through_the_page_is_drawn_with_radius_and_needs(shop: Shop, sign_in) -> None:
    """Widths that make no ski are refused with everything still typed; a good spec is drawn."""
    at, client = plan(shop), sign_in("crew")
    pair, _, code = guest_with_pair(shop, at, NASTY)
    page, design = f"/builds/{code}/spec/", f"/builds/{code}/design/"
    assert "The widths are not known" in text(client.get(page))
    typed = {
        "length_mm": "1840",
        "tip_mm": "130",
        "waist_mm": "9,8 cm",
        "tail_mm": "120 mm",
        "mount_mm": "-40",
    }
    typed |= {"tail_shape": "blunt", "layup_id": "", "chose": NASTY, "camber_mm": "4"}
    wrong = client.post(design, typed | {"waist_mm": "126 mm"})
    assert wrong.status_code == 409
    assert "126 mm" in wrong.content.decode()
    assert client.post(design, typed).status_code == 302
    row = Pair.objects.get(thing_id=pair)
    assert (row.waist_mm, row.mount_mm, row.camber_mm) == (98.0, -40.0, 4.0)
    shown = client.get(page)
    assert "polygon" in shown.content.decode()
    assert "FIS measuring rule" in text(shown)
    assert NASTY not in shown.content.decode()
    assert "style=" not in shown.content.decode()


def test_card_when_opened_by_the_pair_or_one_of_its_skis_is_the_same(shop: Shop, sign_in) -> None:
    """Every step in order, who may do it; the next one leads to its page."""
    at, client = plan(shop), sign_in("helper")
    pair, _, code = guest_with_pair(shop, at)
    left = things.codes_of([ski.thing_id for ski in Pair.objects.get(thing_id=pair).skis.all()])[0]
    for address in (f"/builds/{code}/card/", f"/builds/{left}/card/"):
        seen = text(client.get(address))
        places = [seen.index(f" {number}. ") for number in range(1, len(JOBS) + 1)]
        assert places == sorted(places)
        assert seen.count("18 and over only") == sum(job.adults_only for job in JOBS)
        assert "Next: Core blank glued" in seen
    assert client.get(f"/builds/{things.codes_of([shop.package()])[0]}/card/").status_code == 404


def test_step_when_a_child_is_chosen_at_the_router_is_refused_on_the_page(shop: Shop, sign_in) -> None:
    """The same by the crew is recorded, and the card says so."""
    at, client = plan(shop), sign_in("helper")
    _, guest, code = guest_with_pair(shop, at, "Jonas", AgeBand.CHILD)
    page = f"/builds/{code}/step/base-cut/"
    assert "Nobody under 18 does this." in text(client.get(page))
    wrong = client.post(page, {"skis": "both", "doer": str(guest), "note": ""})
    assert wrong.status_code == 409
    assert "nobody under 18 does it" in text(wrong)
    assert not Event.objects.filter(step="step done").exists()
    assert client.post(page, {"skis": "left", "doer": str(shop.crew), "note": ""}).status_code == 302
    assert "Left: " in text(client.get(f"/builds/{code}/card/"))
    assert client.post(f"/builds/{code}/step/wax/", {"skis": "both", "doer": str(guest)}).status_code == 302
    assert client.get(f"/builds/{code}/step/polish/").status_code == 404
    moisture = client.post(f"/builds/{code}/step/moisture-read/", {"skis": "both", "doer": str(shop.crew)})
    assert moisture.status_code == 422


def test_workshop_when_a_pair_is_pressed_says_what_hand_over_needs(shop: Shop, sign_in) -> None:
    """Verdict and inspection of both skis, until they pass; a failed one is asked for again."""
    at, client = plan(shop), sign_in("crew")
    pair, _, code = guest_with_pair(shop, at)
    skis = list(Pair.objects.get(thing_id=pair).skis.values_list("thing_id", flat=True))
    blanks, machine = (
        shop.package("blank", pieces(2)),
        shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1"),
    )
    pages = (f"/builds/{at}/workshop/", f"/builds/{code}/card/")
    for ski in skis:
        assert not any("Hand over needs" in text(client.get(page)) for page in pages)
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    cycle = shop.do(
        press.record_cycle, press=machine.thing, skis=skis, mould=None, set_kpa=345, set_c=70, minutes=70
    ).thing
    for page in pages:
        assert "needs, passed on both skis: press verdict, inspection." in text(client.get(page))
    shop.do(press.judge, cycle=cycle, passed=False, why="cold corner")
    assert "press verdict, inspection." in text(client.get(pages[0]))
    shop.do(press.judge, cycle=cycle, passed=True, why="the probe was loose")
    shop.do(press.inspect, ski=skis[0], passed=True, why="straight")
    for page in pages:
        assert "needs, passed on both skis: inspection." in text(client.get(page))
    shop.do(press.inspect, ski=skis[1], passed=True, why="straight")
    assert not any("Hand over needs" in text(client.get(page)) for page in pages)
    shop.do(press.hand_over, pair=pair)
    assert "Handed over." in text(client.get(pages[0]))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_card_when_printed_has_tag_boxes_and_cautions(shop: Shop, sign_in, paper: str) -> None:
    """One box a ski for each open step; the tag comes from an address of its own."""
    at, client = plan(shop), sign_in("crew")
    pair, _, code = guest_with_pair(shop, at)
    shop.do(build_steps.record_step, things=[pair], step="base-cut", doer=shop.crew)
    shown = client.get(f"/builds/{code}/card/", {"paper": paper}).content.decode()
    assert f"paper-{paper}" in shown
    assert shown.count('class="tickbox"') == 2 * (len(JOBS) - 1)
    assert f'src="/builds/{code}/tag/"' in shown
    assert "Mounting and setting of bindings" in shown
    tag = client.get(f"/builds/{code}/tag/")
    assert tag["Content-Type"] == "image/svg+xml"
    assert b"<svg" in tag.content
    assert "Ida" not in tag.content.decode()


def test_artwork_when_kept_through_the_page_is_said_to_fit_or_not(
    shop: Shop, sign_in, settings, tmp_path
) -> None:
    """A wrong file is refused; a small one is kept and said to be coarse; it is given out to save only."""
    settings.DATA_FOLDER = tmp_path
    at, client = plan(shop), sign_in("crew")
    pair, _, code = guest_with_pair(shop, at)
    shop.do(builds.specify, pair=pair, changes=WIDTHS)
    shop.do(artwork.plan_artwork, pair=pair, printer_days=14, bleed_mm=5)
    attach, page = f"/artwork/{code}/attach/", f"/artwork/{code}/path/"
    wrong = client.post(attach, {"file": io.BytesIO(b"GIF89a and more")})
    assert wrong.status_code == 409
    out = io.BytesIO()
    Image.new("RGB", (1850, 140)).save(out, "PNG", dpi=(25, 25))
    assert client.post(attach, {"file": io.BytesIO(out.getvalue())}).status_code == 302
    assert "it will look coarse" in text(client.get(page))
    saved = client.get(f"/artwork/{code}/file/")
    assert saved.content == out.getvalue()
    assert saved["Content-Disposition"].startswith("attachment")
    out = io.BytesIO()
    Image.new("CMYK", (3700, 280)).save(out, "JPEG", dpi=(50, 50))
    assert client.post(attach, {"file": io.BytesIO(out.getvalue())}).status_code == 302
    seen = client.get(page).content.decode()
    assert "Every file that was kept" in seen
    older = re.findall(r"/file/\?version=([0-9a-f]{64})", seen)[1]
    assert client.get(f"/artwork/{code}/file/?version={older}").content == saved.content
    assert client.get(f"/artwork/{code}/file/?version={'0' * 64}").status_code == 404
    asked = {"printer_days": "14", "bleed_mm": "5", "wanted_colours": "RGB"}
    assert client.post(f"/artwork/{code}/plan/", asked).status_code == 302
    assert "The printer wants RGB; the file is CMYK." in text(client.get(page))
    mark = f"/artwork/{code}/mark/"
    done = {"stage": "proof sent", "on": "2020-01-05"}
    assert client.post(mark, done).status_code == 302
    late = {"stage": "proof sent", "on": "2199-01-01"}
    assert client.post(mark, late).status_code == 409
    assert "due 19 jan 2027." in text(client.get(page)).lower()


def test_guest_who_was_here_is_booked_again_from_the_card_that_the_name_leads_to(shop: Shop, sign_in) -> None:
    """One card and two seats; twice at one workshop is refused, as is a workshop that is over."""
    first, second, over = plan(shop), plan(shop, year=2028), plan(shop, year=2025)
    _, guest, _ = guest_with_pair(shop, first)
    client = sign_in("crew")
    card = reverse("seats-guest", args=[guest])
    assert card in client.get(reverse("scan"), {"code": "Ida"}).content.decode()
    again = reverse("seats-again", args=[guest])
    assert again in client.get(card).content.decode()
    assert client.post(again, {"workshop": str(over)}).status_code == 422
    assert client.post(again, {"workshop": str(first)}).status_code == 409
    assert client.post(again, {"workshop": str(second)}).status_code == 302
    assert {seat.workshop_id for seat in Seat.objects.filter(guest=guest)} == {first, second}
    assert Guest.objects.count() == 1


def test_book_when_both_or_neither_guest_is_given_asks_again(shop: Shop, sign_in) -> None:
    """One of the two books a pair."""
    at, client = plan(shop), sign_in("crew")
    seat = shop.do(builds.book_seat, workshop=at, name="Ida").things[0]
    pair = {"length_mm": "1840", "seat": "", "workshop": "", "guest": ""}
    assert client.post("/builds/book/", pair).status_code == 422
    assert client.post("/builds/book/", pair | {"seat": str(seat), "guest": "Jonas"}).status_code == 422
    assert client.post("/builds/book/", pair | {"seat": str(seat)}).status_code == 302
    assert client.post("/builds/book/", pair | {"guest": "Jonas", "workshop": str(at)}).status_code == 302
    assert Pair.objects.count() == 2


def test_book_offers_the_guests_of_that_workshop_first_and_none_of_a_past_one(shop: Shop, sign_in) -> None:
    """Grouped by workshop; a past one is offered only when its own page asked."""
    past, later, soon = plan(shop, year=2020), plan(shop, year=2099), plan(shop, year=2098)
    for at, name in ((past, "Aud"), (later, "Bue"), (soon, "Cis")):
        shop.do(builds.book_seat, workshop=at, name=name)
    client = sign_in("crew")

    def offered(query: str) -> list[str]:
        page = client.get(f"/builds/book/{query}").content.decode().split("Or a new guest")[0]
        return re.findall(r">(Aud|Bue|Cis)<", page)

    assert offered("") == ["Cis", "Bue"]
    assert offered(f"?workshop={later}") == ["Bue", "Cis"]
    assert offered(f"?workshop={past}") == ["Aud", "Cis", "Bue"]
    assert "Kvitskard, 5 Feb 2098</option>" in client.get("/builds/book/").content.decode()
    assert offered(f"?seat={Seat.objects.get(guest__name='Aud').id}") == ["Aud", "Cis", "Bue"]
    for garbled in ("?workshop=x", "?seat=x", f"?seat={past}"):
        assert offered(garbled) == ["Cis", "Bue"]
