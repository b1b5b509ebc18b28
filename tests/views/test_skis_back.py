"""Pages of skis back and recalls: what they show to whom, what they do with wrong input."""

import io
import re
from datetime import timedelta
from itertools import count

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from inventory.actions import erasing, people, places, recalls
from inventory.actions.shop import change_shop
from inventory.actions.skis_back import answer_return
from inventory.compute.codes import Code, Kind
from inventory.models import Guest, Hold, MockRecall, Paper, Recall, Tag, Told
from inventory.queries import recalls_mock, skis_back
from inventory.queries.stock import package
from tests import make
from tests.make import refused
from tests.returns import TIP, Bench

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
JUG = "TH-2466"


def code(thing) -> str:
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


def code_shown(thing) -> str:
    return Code(code(thing)).shown


@pytest.fixture
def shop(db):
    now = timezone.localtime()
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    return make.Shop(at=max(now - timedelta(hours=5), midnight))  # what comes back today came today


@pytest.fixture
def bench(shop):
    return Bench(shop)


@pytest.fixture
def sign_in(shop, client):
    def as_(who: str):
        people.give_way_in(person=getattr(shop, who), username=who, password="a-long-one-for-tests")
        client.force_login(User.objects.get(username=who), backend=BACKEND)
        return client

    return as_


def photo() -> SimpleUploadedFile:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "green").save(file, "JPEG")
    return SimpleUploadedFile("tip.jpg", file.getvalue(), "image/jpeg")


def entered(**more) -> dict[str, object]:
    today = timezone.localdate()
    values = {"failure": TIP, "zone": "tip", "observed": "a gap", "came_on": today.isoformat()}
    return values | more


def test_log_of_a_pair_with_a_photo_is_one_return_and_the_photo_is_cleaned(bench, sign_in):
    """A helper logs it; the pair's code stands for its two skis."""
    built = bench.pair()
    client = sign_in("helper")
    answer = client.post("/skis-back/log/", entered(skis=code(built.pair), photo=photo()), follow=True)
    (row,) = skis_back.backs()
    assert answer.status_code == 200
    assert [ski.id for ski in row.skis] == [built.left, built.right]
    paper = Paper.objects.get()
    assert (paper.about, paper.what, paper.media_type) == (built.left, "photo", "image/jpeg")
    assert "a gap" in answer.content.decode()


def test_log_of_a_ski_that_is_back_already_leads_to_its_page_where_the_return_goes_on(bench, sign_in):
    """Its partner, which is still out, is logged."""
    built = bench.pair()
    bench.back(built.left, came_on=timezone.localdate())
    client = sign_in("helper")
    page = client.post("/skis-back/log/", entered(skis=code(built.left))).content.decode()
    way = re.search(r'Open <a class="chip" href="([^"]+)">[^<]+</a>, and go on with its return', page)
    assert way is not None
    assert "Go on with its return" in client.get(way[1], follow=True).content.decode()
    client.post("/skis-back/log/", entered(skis=code(built.right)))
    assert len(skis_back.backs()) == 2


@pytest.mark.parametrize(("who", "told"), [("crew", 73_412), ("helper", None)])
def test_what_an_answer_costs_is_for_those_who_see_prices(bench, shop, sign_in, who, told):
    """On the return's page and in the ski's data; the answer itself both read."""
    shop.do(change_shop, currency="EUR")
    built = bench.pair()
    back = bench.back(built.left, came_on=timezone.localdate()).thing
    values = {"answer": "repair", "reason": "the seam opened", "cost": 73_412}
    shop.do(answer_return, back=back, **values)
    client = sign_in(who)
    data = client.get(f"/thing/{code(built.left)}/data/").json()
    (facts,) = [event["facts"] for event in data["events"] if event["step"] == "return answered"]
    assert (facts["answer"], facts.get("cost")) == ("repair", told)
    page = client.get(f"/skis-back/{back}/case/").content.decode()
    assert "the seam opened" in page
    assert ("734.12" in page) is (told is not None)


@pytest.mark.parametrize(
    ("wrong", "status"),
    [
        ({"skis": "SA00-0000"}, 422),
        ({"skis": ""}, 422),
        ({"failure": "gremlins"}, 422),
        ({"zone": "nose"}, 422),
        ({"days_used": "-4"}, 422),
        ({"came_on": "soon"}, 422),
        ({"came_on": "2001-01-01"}, 409),
        ({"photo": SimpleUploadedFile("x.jpg", b"no picture", "image/jpeg")}, 422),
    ],
)
def test_log_with_wrong_input_keeps_what_was_entered_and_writes_nothing(bench, sign_in, wrong, status):
    """What was entered stays in the form."""
    built = bench.pair()
    client = sign_in("crew")
    answer = client.post("/skis-back/log/", entered(skis=code(built.left)) | wrong)
    assert answer.status_code == status
    assert "a gap" in answer.content.decode()
    assert skis_back.backs() == []


def test_unknown_ski_needs_a_photo_and_is_tied_on_its_page(bench, sign_in):
    """Kept with a photo, then known."""
    built = bench.pair()
    client = sign_in("crew")
    assert client.post("/skis-back/unknown/", entered()).status_code == 422
    client.post("/skis-back/unknown/", entered(photo=photo()))
    (row,) = skis_back.backs()
    assert row.unknown
    stray = client.get(f"/thing/{row.skis[0].code}/")
    assert stray.status_code == 200
    client.post(f"/skis-back/{row.id}/tie/", {"ski": code(built.right)})
    (row,) = skis_back.backs()
    assert [ski.id for ski in row.skis] == [built.right]


def test_return_is_looked_over_answered_serviced_repaired_and_given_back(bench, shop, sign_in):
    """Each step from its page; the cost stands there for crew only."""
    built = bench.pair()
    back = bench.back(built.left, came_on=timezone.localdate()).thing
    client = sign_in("crew")
    glue = shop.package("glue", make.grams(50), "G-1")
    for page, values in (
        ("look", {"check_tap": "not", "cause": "material suspect", "suspected": "old jug"}),
        ("answer", {"answer": "repair", "reason": "ours", "cost": "123.50"}),
        ("repair", {"ski": code(built.left), "done": "re-bonded", "thing_1": code(glue), "amount_1": "5 g"}),
        ("service", {"done": ["wax"]}),
    ):
        answer = client.post(f"/skis-back/{back}/{page}/", values)
        assert answer.status_code == 302, (page, answer.content.decode()[:3000])
    told = client.get(f"/skis-back/{back}/case/").content.decode()
    for words in ("old jug", "123.50", "re-bonded", "waxed"):
        assert words in told
    assert client.post(f"/skis-back/{back}/send/", {"token": str(make.token())}).status_code == 302
    assert skis_back.back(back).gone_on
    told = sign_in("helper").get(f"/skis-back/{back}/case/").content.decode()
    assert "123.50" not in told
    assert client.get(f"/skis-back/{shop.owner}/case/").status_code == 404


def test_forward_page_tells_crew_whose_they_are_and_a_helper_only_which(bench, shop, sign_in):
    """Contacts are for crew."""
    bench.pair(JUG, guest="Torbjørg Ås")
    Guest.objects.update(contact="t@guest.example")
    page = f"/skis-back/{code(bench.jug(JUG))}/forward/?siblings=1"
    told = sign_in("crew").get(page).content.decode()
    assert "Torbjørg" in told
    assert "t@guest.example" in told
    told = sign_in("helper").get(page).content.decode()
    assert "Torbjørg" not in told
    assert "t@guest.example" not in told
    assert "1 pair was handed over" in told


def test_recall_from_page_to_paper(bench, shop, sign_in):
    """Opened, told, letters, list, authority, closed; each page as it stands."""
    built, two = bench.pair(JUG, guest="Torbjørg Ås"), bench.pair(JUG, guest="Ola")
    client = sign_in("owner")
    values = {
        "roots": code(bench.jug(JUG)),
        "name": "Jug",
        "failure": TIP,
        "reason": "tips",
        "may_hurt": "on",
    }
    assert client.post("/recalls/open/", values | {"roots": code(shop.package("glue"))}).status_code == 409
    assert client.post("/recalls/open/", values).status_code == 302
    recall = Recall.objects.get().id
    listed = client.get(f"/recalls/{recall}/recall/").content.decode()
    assert "Torbjørg Ås" in listed
    assert "To tell: 2" in listed
    letters = client.get(f"/recalls/{recall}/letters/").content.decode()
    assert "Dear" not in letters
    assert letters.count("Stop using them.") == 4  # a letter and a text for each
    tell = f"/recalls/{recall}/tell/{code(built.pair)}/"
    assert client.post(tell, {"state": "told", "means": ""}).status_code == 409
    assert client.post(tell, {"state": "told", "means": "call", "passed_on": "on"}).status_code == 302
    assert Told.objects.get().passed_on
    assert "Torbjørg" not in client.get(f"/recalls/{recall}/letters/").content.decode()
    paper = client.get(f"/recalls/{recall}/paper/").content.decode()
    assert "Torbjørg Ås" in paper
    assert client.post(f"/recalls/{recall}/close/", {"learned": "cap it"}).status_code == 409
    client.post(f"/recalls/{recall}/tell/{code(two.pair)}/", {"state": "cannot reach"})
    client.post(f"/recalls/{recall}/authority/", {"authority": "told"})
    assert client.post(f"/recalls/{recall}/close/", {"learned": "cap it"}).status_code == 302
    assert client.get("/recalls/?page=9").status_code == 200
    assert client.get(f"/recalls/{shop.owner}/recall/").status_code == 404


def test_public_page_and_record_of_a_recalled_ski_say_stop_and_name_nobody(bench, shop, client):
    """A milder line where it cannot hurt; none on a pair that is not in it."""
    built, other = bench.pair(JUG, guest="Torbjørg"), bench.pair("TH-1")
    values = {"name": "Torbjørgs jug", "failure": TIP, "reason": "tips part"}
    shop.do(recalls.open_recall, roots=[bench.jug(JUG)], **values)
    people.give_way_in(person=shop.owner, username="owner", password="a-long-one-for-tests")
    told = client.get(f"/OBJ/{code(built.left)}").content.decode()
    assert "Stop using them." in told
    assert "Torbjørg" not in told
    assert "Stop using them." not in client.get(f"/OBJ/{code(other.left)}").content.decode()
    Recall.objects.update(may_hurt=False)
    assert "wants to look at them" in client.get(f"/OBJ/{code(built.pair)}").content.decode()


def test_hold_of_a_set_from_its_page(bench, shop, sign_in):
    """One post; the page says how many."""
    bench.pair(JUG, over=False)
    client = sign_in("crew")
    page = f"/recalls/{code(bench.jug(JUG))}/hold/"
    assert "5 things are put on hold" in client.get(page).content.decode()
    assert client.post(page, {"reason": ""}).status_code == 422
    assert client.post(page, {"reason": "tips part"}).status_code == 302
    assert Hold.objects.count() == 5  # jug, two cups with a rest, two skis


def test_mock_recall_from_its_page_is_kept_and_its_sheet_adds_up(bench, sign_in):
    """Nothing is held."""
    bench.pair(JUG)
    client = sign_in("crew")
    answer = client.post("/mock-recalls/", {"token": str(make.token())})
    sheet = client.get(answer["Location"]).content.decode()
    assert "BRCGS" in sheet
    assert "Every part of it is accounted for" in sheet
    assert "both ways" in client.get("/mock-recalls/").content.decode()
    assert (MockRecall.objects.count(), Hold.objects.count()) == (1, 0)


def test_guest_in_a_recall_that_may_hurt_is_erased_only_after_a_review(bench, shop, sign_in):
    """The page says so, and asks for one tick more; without a recall it does not."""
    built = bench.pair(JUG, guest="Torbjørg")
    bench.pair("TH-1", guest="Ola")
    shop.do(recalls.open_recall, roots=[built.cups[0]], name="A cup", failure=TIP, reason="tips part")
    guest, other = Guest.objects.get(name="Torbjørg"), Guest.objects.get(name="Ola")
    with refused("erased.in_recall", "A cup"):
        shop.do(erasing.erase_guest, guest=guest.id)
    client = sign_in("owner")
    page = f"/people/{guest.id}/erase/"
    assert "A cup" in client.get(page).content.decode()
    assert client.post(page, {"told": "on"}).status_code == 422
    assert client.post(page, {"told": "on", "reviewed": "on"}).status_code == 302
    assert client.post(f"/people/{other.id}/erase/", {"told": "on"}).status_code == 302
    listed = client.get(f"/recalls/{Recall.objects.get().id}/recall/").content.decode()
    assert "nobody to tell" in listed


def test_suspects_shares_and_beside_answer_wrong_input(bench, sign_in):
    """Nothing chosen, nothing known, one ski only."""
    built = bench.pair()
    client = sign_in("helper")
    assert "No ski came back" in client.get("/skis-back/suspects/").content.decode()
    assert client.get("/skis-back/suspects/?failure=gremlins").status_code == 200
    bench.back(built.left, came_on=timezone.localdate())
    assert "not enough returns" in client.get("/skis-back/suspects/").content.decode()
    assert client.get("/skis-back/shares/?things=SA00-0000").status_code == 422
    one = client.get(f"/skis-back/shares/?things={code(built.left)}").content.decode()
    assert "Scan at least one more" in one
    assert client.get(f"/skis-back/{code(bench.resin)}/beside/").status_code == 404
    assert client.get(f"/skis-back/{code(built.left)}/beside/").status_code == 200


def test_tried_recall_tells_no_time_for_a_way_that_nobody_went(sign_in, shop, bench):
    """Glue is in no ski: no way back, no time for it. A jug that is in one has both."""
    client = sign_in("crew")
    bench.pair(JUG)
    for thing, there in ((shop.package("glue", number="G-1"), False), (bench.jug(JUG), True)):
        lot = package(thing).lot_id
        result = recalls_mock.try_out(lot=lot, stopwatch=count().__next__)
        done = shop.do(recalls.keep_mock_recall, lot=lot, tried_at=shop.at, result=result)
        page = client.get(reverse("mock-recalls-sheet", args=[done.things[-1]])).content.decode()
        assert "forwards: to skis" in page
        assert ("backwards: from a ski" in page, "No ski has any of it" in page) == (there, not there)


def test_recall_is_looked_at_before_it_is_opened_and_the_look_writes_nothing(bench, shop, sign_in):
    """What it takes in, holds and reaches; of what no ski has, nothing is offered to be opened."""
    bench.pair(JUG, guest="Torbjørg Ås")
    bench.pair(JUG, guest="Ola", over=False)
    Guest.objects.filter(name="Ola").update(contact="o@guest.example")
    client = sign_in("owner")
    assert "Look what it would take in" in client.get("/recalls/open/").content.decode()
    assert client.get("/recalls/open/?roots=nothing").status_code == 422
    page = f"/recalls/open/?roots={code(bench.jug(JUG))}"
    answer = client.get(page)
    told = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))
    assert answer.status_code == 200
    for words in (
        "4 skis have it in them",
        "handed over 2 in work 2",
        "7 things in all",
        "no contact on the card 1",
        "Torbjørg Ås",
        "No place on record (7)",
    ):
        assert words in told, words
    assert (Recall.objects.count(), Hold.objects.count()) == (0, 0)
    loose = client.get(f"/recalls/open/?roots={code(shop.package('glue'))}").content.decode()
    assert "No ski has any of it" in loose
    assert "Open the recall" not in loose
    values = {"roots": code(bench.jug(JUG)), "name": "Jug", "failure": TIP, "reason": "tips"}
    missing = client.post(page, values | {"reason": ""})
    assert (missing.status_code, b"Not opened" in missing.content) == (422, True)
    values["token"] = str(make.token())
    for _ in range(2):  # sent again, it answers as the first time
        assert client.post(page, values).status_code == 302
    assert Recall.objects.count() == 1
    again = client.get(page).content.decode()
    assert "An open recall starts from the same" in again


def test_list_for_the_shelf_is_by_place_and_names_owners_only_to_who_may_know(bench, shop, sign_in):
    """What is here to be fetched; whose the rest is, and how to reach them, for crew."""
    built = bench.pair(JUG, guest="Torbjørg Ås")
    bench.pair(JUG, guest="Ola")
    Guest.objects.filter(name="Torbjørg Ås").update(contact="t@guest.example")
    work = bench.pair(JUG, over=False, guest="Liv")
    shop.do(places.move, things=[bench.jug(JUG)], to=shop.place(Kind.STORE, "the Loft"))
    page = f"/skis-back/{code(bench.jug(JUG))}/shelf/"
    told = sign_in("crew").get(page).content.decode()
    below = told[told.index("the Loft") :]
    assert below.index(code_shown(bench.jug(JUG))) < below.index(code_shown(work.left))
    assert code_shown(built.left) in told
    for words in ("Torbjørg Ås", "t@guest.example", "no contact on the card", "2 pairs were handed over"):
        assert words in told, words
    told = sign_in("helper").get(page + "?paper=letter").content.decode()
    assert code_shown(built.pair) in told
    for words in ("Torbjørg", "t@guest.example", "no contact"):
        assert words not in told, words


def test_list_for_the_shelf_takes_the_same_statements_for_one_pair_and_for_ten(bench, shop, sign_in):
    """A jug each."""
    bench.pair("TH-1")
    for number in range(10):
        bench.pair(JUG, guest=f"Guest{number}", over=number % 2 == 0)
    client = sign_in("crew")
    counted = []
    for number in ("TH-1", JUG):
        client.get(f"/skis-back/{code(bench.jug(number))}/shelf/")
        with CaptureQueriesContext(connection) as asked:
            client.get(f"/skis-back/{code(bench.jug(number))}/shelf/")
        counted.append(len(asked))
    assert counted[0] == counted[1]
