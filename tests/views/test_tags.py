"""Tags on pages: sizes by use, sheets and rolls, single pictures, printed ahead, replaced, the host name.

Outside: what is drawn is read back by zxing-cpp.
"""

import io
import re

import pytest
import zxingcpp
from django.contrib.auth.models import User
from django.test import Client
from PIL import Image

from inventory.actions import people, tags
from inventory.compute.codes import Code, Kind
from inventory.compute.codes import read as read_code
from inventory.formats.qr_sheet import LABEL_SHEETS, label_sheet
from inventory.models import Place, Shop, Tag
from inventory.queries.tags import blank

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop, client) -> Client:
    """The owner, signed in."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    return client


def code_of(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


def test_place_when_made_with_a_tag_printed_ahead_answers_to_it_and_is_not_sent_to_print(desk, shop):
    """The tag that is on it already is its code; a tag that is on something else is refused."""
    shop.do(tags.print_ahead, kind=Kind.BIN, count=1)
    (ahead,) = Tag.objects.filter(thing=None)
    sent = {"kind": "bin", "name": "Bin 7", "code": ahead.code}
    made = desk.post("/places/make/", sent)
    assert (made.status_code, made.url) == (302, f"/places/{ahead.code}/inside/")
    ahead.refresh_from_db()
    assert Place.objects.get(thing_id=ahead.thing_id).name == "Bin 7"
    again = desk.post("/places/make/", sent | {"name": "Bin 8"})
    assert again.status_code == 409
    assert not Place.objects.filter(name="Bin 8").exists()
    drawn = desk.post("/places/make/", sent | {"name": "Bin 8", "code": ""})
    assert drawn.url == f"/places/{Tag.objects.get(thing__place_card__name='Bin 8').code}/inside/"


def test_place_that_is_new_leads_on_to_what_is_usually_in_it_and_to_its_tag(desk):
    """A store's next is a zone in it, already filled in; a bin holds no place."""
    page = desk.post("/places/make/", {"kind": "store", "name": "Loft"}, follow=True).content.decode()
    (store,) = Tag.objects.filter(thing__place_card__name="Loft")
    assert f"/tags/choose/?codes={store.code}" in page.replace("-", "")
    (lead,) = re.findall(r'href="(/places/make/[^"]+)"', page)
    form = desk.get(lead.replace("&amp;", "&")).content.decode()
    assert '<option value="zone" selected' in form
    assert read_code(store.code).shown in form
    page = desk.post("/places/make/", {"kind": "bin", "name": "Bin 7"}, follow=True).content.decode()
    assert "/places/make/" not in page


@pytest.mark.parametrize(
    ("kind", "use"), [(Kind.BIN, "bin or mould"), (Kind.TRAILER, "trailer door"), (None, "package")]
)
def test_choose_takes_the_size_from_the_kind_of_thing(desk, shop, kind, use):
    """A bin's squares are larger than a jug's, a trailer's larger still."""
    thing = shop.place(kind) if kind else shop.package()
    answer = desk.get("/tags/choose/", {"codes": code_of(thing)})
    assert answer.context["form"]["use"].value() == use


def test_choose_of_several_sizes_offers_each_by_itself(desk, shop):
    """Two jugs and a bin: two links; of two jugs none."""
    jugs = [code_of(shop.package(number=f"N-{n}")) for n in range(2)]
    bin_ = code_of(shop.place(Kind.BIN))
    mixed = desk.get("/tags/choose/", {"codes": ",".join([*jugs, bin_])}).content.decode()
    assert f"?codes={jugs[0]},{jugs[1]}&amp;use=package" in mixed
    assert f"?codes={bin_}&amp;use=bin" in mixed
    assert "different sizes" not in desk.get("/tags/choose/", {"codes": ",".join(jugs)}).content.decode()


@pytest.mark.parametrize("paper", ["A4", "US Letter", "roll", *LABEL_SHEETS])
def test_sheet_comes_on_every_paper_on_offer(desk, shop, paper):
    """A PDF, also from a later first label; past the end of the sheet it is refused."""
    values = {"codes": code_of(shop.package()), "use": "package", "paper": paper, "start": "1"}
    answer = desk.get("/tags/sheet/", values)
    assert answer.content.startswith(b"%PDF")
    last = 1 if paper == "roll" else 10
    assert desk.get("/tags/sheet/", values | {"start": str(last)}).content.startswith(b"%PDF")
    assert desk.get("/tags/sheet/", values | {"start": "99"}).status_code == 409


@pytest.mark.parametrize("name", LABEL_SHEETS)
def test_label_sheets_fit_their_paper_with_equal_margins(name):
    """Left and right differ by no more than a millimetre, and so do top and bottom."""
    sheet = label_sheet(name)
    left, top = sheet.corner(sheet.positions - 1)
    assert abs(sheet.left - (sheet.paper_width - left - sheet.label_width)) <= 1
    assert abs(sheet.top - (sheet.paper_height - top - sheet.label_height)) <= 1


def test_single_png_is_read_back_and_svg_is_as_large_as_it_says(desk, shop):
    """The address of the jug, from the picture; the SVG has its size in mm and is kept under its code."""
    code = code_of(shop.package())
    answer = desk.get(f"/tags/{code}/single/", {"as": "png"})
    found = zxingcpp.read_barcodes(Image.open(io.BytesIO(answer.content)))
    assert [each.text for each in found] == [f"HTTPS://QFB.EXAMPLE/OBJ/{code}"]
    answer = desk.get(f"/tags/{code}/single/", {"as": "svg", "use": "bin or mould", "keep": "1"})
    assert b'height="37mm"' in answer.content  # 29 + 8 squares of 1 mm: ISO/IEC 18004, version 3
    assert answer["Content-Type"] == "image/svg+xml"
    assert f"{code[:4]}-{code[4:]}.svg" in answer["Content-Disposition"]


def test_single_of_an_unknown_code_or_size_is_no_broken_page(desk, shop):
    """A code that is not in the books: no page; a size that is none: the size of its kind."""
    code = code_of(shop.package())
    assert desk.get("/tags/SA8KJ2MT/single/").status_code == 404
    assert desk.get(f"/tags/{code}/single/", {"use": "door mat"}).status_code == 200
    assert desk.get(f"/tags/{code}/single/", {"use": "door mat", "as": "svg"}).status_code == 200
    assert desk.get(f"/tags/{code}/single/", {"as": "exe"})["Content-Type"].startswith("text/html")


def test_ahead_draws_codes_and_leads_to_their_sheet(desk, shop):
    """Three for bins; they are printed as bins, and listed until they are on something."""
    answer = desk.post("/tags/ahead/", {"kind": "bin", "count": "3"}, follow=True)
    codes = [code.text for code in blank()]
    assert len(codes) == 3
    assert answer.context["form"]["use"].value() == "bin or mould"
    sheet = desk.get("/tags/sheet/", {"codes": " ".join(codes), "use": "bin or mould", "paper": "A4"})
    assert sheet.content.startswith(b"%PDF")
    assert codes[0][:4] in desk.get("/tags/ahead/").content.decode()
    assert desk.post("/tags/ahead/", {"kind": "castle", "count": "3"}).status_code == 422
    assert desk.post("/tags/ahead/", {"kind": "bin", "count": "999"}).status_code == 422


def test_replace_draws_a_code_or_ties_the_one_scanned(desk, shop):
    """Without a code one is drawn and printed; with one printed ahead the thing's page comes."""
    jug = shop.package()
    old = code_of(jug)
    answer = desk.post(f"/tags/{old}/replace/", {"code": "", "why": "worn"})
    assert answer["Location"].startswith("/tags/choose/?codes=P")
    desk.post("/tags/ahead/", {"kind": "package", "count": "1"})
    spare = blank()[0].text
    answer = desk.post(f"/tags/{old}/replace/", {"code": spare, "why": ""})
    assert answer["Location"] == f"/thing/{spare}/"
    assert Tag.objects.filter(thing_id=jug).count() == 3
    assert desk.post(f"/tags/{old}/replace/", {"code": spare}).status_code == 409


def test_host_is_chosen_before_and_stays_after_the_first_code(desk, shop):
    """A new shop may change it; once a jug has a code the page says why not, and a post is refused."""
    assert desk.post("/shop/host/", {"host": "tag.example"}).status_code == 302
    assert Shop.objects.get().host == "TAG.EXAMPLE"
    assert desk.post("/shop/host/", {"host": "a-name-too-long.example"}).status_code == 422
    shop.package()
    page = desk.get("/shop/host/").content.decode()
    assert "so it stays" in page
    assert 'name="host"' not in page
    assert desk.post("/shop/host/", {"host": "other.example"}).status_code == 409
    assert Shop.objects.get().host == "TAG.EXAMPLE"


def test_host_is_the_owners_alone(shop, client):
    """A helper sees neither the page nor its form."""
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="sunniva"))
    assert client.get("/shop/host/").status_code == 403


def test_a_blank_tag_scanned_leads_to_the_thing_it_is_to_stick_on(desk, shop):
    """Scan the blank tag, then the jug: the form comes with the tag in it, and ties it."""
    jug = code_of(shop.package())
    desk.post("/tags/ahead/", {"kind": "package", "count": "1"})
    new = blank()[0].text
    page = desk.get("/scan/", {"code": new})
    assert page.status_code == 404
    assert f'name="new" value="{new}"' in page.content.decode()
    answer = desk.get("/tags/stick/", {"new": new, "on": jug.lower()}, follow=True)
    assert answer.context["form"]["code"].value() == Code(new).shown
    answer = desk.post(f"/tags/{jug}/replace/", {"code": new, "why": ""})
    assert answer["Location"] == f"/thing/{new}/"
    assert desk.get("/tags/stick/", {"new": new, "on": "SA8KJ2MX"}).status_code == 409


def test_choose_offers_tags_printed_ahead_where_there_are_any(desk, shop):
    """Two jugs just received, no printer: a link for each, once a tag is on nothing."""
    jugs = ",".join(code_of(shop.package(number=f"N-{n}")) for n in range(2))
    assert "/replace/" not in desk.get("/tags/choose/", {"codes": jugs}).content.decode()
    desk.post("/tags/ahead/", {"kind": "package", "count": "1"})
    assert desk.get("/tags/choose/", {"codes": jugs}).content.decode().count("/replace/") == 2


def test_choose_leads_from_a_package_to_putting_it_away(desk, shop):
    """A bin's tag does not: a bin has its place."""
    jug, bin_ = (code_of(thing) for thing in (shop.package(), shop.place(Kind.BIN)))
    assert 'href="/places/put-away/"' in desk.get("/tags/choose/", {"codes": jug}).content.decode()
    assert 'href="/places/put-away/"' not in desk.get("/tags/choose/", {"codes": bin_}).content.decode()
