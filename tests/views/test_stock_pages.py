"""Pages of stock: what they show, what they let whom do, flat statements, sheets that leave, bad input."""

import io
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from openpyxl import load_workbook
from PIL import Image

from inventory.actions import equipment, materials, orders, people, places, stock, suppliers
from inventory.compute.codes import Code, Kind
from inventory.compute.units import Base
from inventory.models import Event, Lot, Material, Paper, Revision, Tag
from tests import make
from tests.make import grams
from tests.views.markup import read, sent

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


@pytest.fixture
def shop(db):
    """A shop some hours ago by this computer's clock, which the pages read."""
    return make.Shop(at=timezone.now() - timedelta(hours=5))


def signed_in(client, shop, who):
    people.give_way_in(person=getattr(shop, who), username=who, password="a-long-one-for-tests")
    client.force_login(User.objects.get(username=who), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    return signed_in(client, shop, "crew")


@pytest.mark.parametrize(
    ("next_", "leads"),
    [
        ("/places/?here=1", "/places/?here=1"),
        ("", "/"),
        ("//elsewhere.example/", "/"),
        ("https://elsewhere.example/", "/"),
        ("javascript:alert(1)", "/"),
    ],
)
def test_undo_when_the_form_says_where_the_person_was_leads_back_there_and_nowhere_else(
    shop, client, next_, leads
):
    """A page of this house only; anything else leads to the day sheet."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    done = shop.do(places.make_place, kind=Kind.BIN, name="Bin 7")
    answer = client.post(f"/books/undo/{done.token}/", {"next": next_})
    assert (answer.status_code, answer.url) == (302, leads)
    again = client.post(f"/books/undo/{done.token}/", {"next": next_})
    assert again.status_code == 409
    assert ('href="/places/?here=1"' in again.content.decode()) is (leads != "/")


def test_said_when_an_act_can_be_taken_back_names_the_page_it_is_said_on(shop, client):
    """The button sends the page's own address along."""
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="ragna"))
    answer = client.post("/places/make/", {"kind": "bin", "name": "Bin 7"}, follow=True)
    page = answer.request["PATH_INFO"]
    assert f'name="next" value="{page}"' in answer.content.decode()


def test_material_card_sent_untouched_changes_nothing_and_one_field_changes_one(crew, shop):
    """The page as it came: no revision. One field typed: one revision of that field, told in the history."""
    facts = {"density_kg_m3": 1103.7, "stored_to_c": 27.0, "opened_life_days": 182, "regulated": True}
    shop.do(materials.make_material, key="r", name="Resin Ås", base=Base.MG, purpose="resin", facts=facts)
    page = crew.get("/materials/r/edit/")
    values = sent(page)
    assert crew.post("/materials/r/edit/", values).status_code == 302
    assert Revision.objects.filter(card="material").count() == 1
    crew.post("/materials/r/edit/", sent(page) | {"density_kg_m3": "1.1 g/cm3", "token": ""})
    (_made, edit) = Revision.objects.filter(card="material").order_by("number")
    assert (edit.before, edit.after) == ({"density_kg_m3": 1103.7}, {"density_kg_m3": 1100.0})
    words = read(crew.get("/materials/r/card/").content.decode()).words
    for told in ("1100 kg/m³", "1103.7 kg/m³", "Odd Fether", "laptop A", "182 days", "27 °C"):
        assert told in words, told


def test_two_people_who_edit_different_fields_take_nothing_from_each_other(crew, shop):
    """Both opened the page before either sent it: both changes stay."""
    shop.do(materials.make_material, key="r", name="Resin", base=Base.MG)
    first = second = sent(crew.get("/materials/r/edit/"))
    crew.post("/materials/r/edit/", first | {"density_kg_m3": "1100", "token": ""})
    crew.post("/materials/r/edit/", second | {"stored_to_c": "27", "token": ""})
    card = Material.objects.get(key="r")
    assert (card.density_kg_m3, card.stored_to_c) == (1100.0, 27.0)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("density_kg_m3", "heavy"),
        ("density_kg_m3", "1.1 m"),
        ("stored_to_c", "2700"),
        ("cure_points", "60 C for 4"),
        ("opened_life_days", "soon"),
        ("un_number", "12"),
        ("largest_cup_mg", "1.234 kg"),
        ("hardener_per_hundred", "-3"),
    ],
)
def test_material_card_with_a_field_that_cannot_be_read_says_so_and_keeps_nothing(crew, shop, field, text):
    """Not a number, another unit, beyond what can be, ambiguous: the page comes back with what was typed."""
    shop.do(materials.make_material, key="r", name="Resin", base=Base.MG, purpose="hardener")
    answer = crew.post("/materials/r/edit/", sent(crew.get("/materials/r/edit/")) | {field: text})
    assert answer.status_code in (409, 422)
    assert text in answer.content.decode()
    assert Revision.objects.filter(card="material").count() == 1


def delivery(**more):
    return delivery_of(str(Material.objects.get(key="resin").id)) | more


def delivery_of(material, **more):
    values = {"rows": "1", "material": material, "number": "N-1", "packages": "2 x 5 kg", "supplier": ""}
    return values | {"made_on": "", "expires_on": "", "place": ""} | more


def picture(kind="PNG"):
    out = io.BytesIO()
    Image.new("RGB", (80, 60), "white").save(out, kind)
    out.seek(0)
    out.name = "paper.png"
    return out


def test_receive_page_takes_two_lots_and_a_photo_of_their_paper(crew, shop, settings, tmp_path):
    """Two rows, one paper: both lots, their packages, the paper with each; then on to the tags."""
    settings.DATA_FOLDER = tmp_path
    shop.material("resin", Base.MG), shop.material("edge", Base.MM)
    edge = str(Material.objects.get(key="edge").id)
    second = {"rows": "2", "material_2": edge, "number_2": "E-1", "packages_2": "50 m\n22 m"}
    answer = crew.post("/stock/receive/", delivery(**second, paper=picture()))
    assert answer.status_code == 302
    assert answer["Location"].startswith("/tags/choose/?codes=P")
    assert answer["Location"].count(",") == 3
    assert Lot.objects.count() == Paper.objects.count() == 2
    lot = code(Lot.objects.get(number="N-1").thing_id)
    shown = crew.get(f"/papers/{Paper.objects.first().id}/show/")
    assert shown["Content-Disposition"].startswith("attachment")
    assert shown.content[:3] == b"\xff\xd8\xff"
    assert "delivery paper" in crew.get(f"/lots/{lot}/card/").content.decode()


def test_receive_page_of_an_order_never_sent_takes_it_and_says_that_it_counts_as_sent(crew, shop):
    """Of one that was sent, nothing of it is said."""
    resin = shop.material("resin", Base.MG)
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks").thing
    for number, sent_first in (("N-1", True), ("N-2", False)):
        order, line = shop.do(
            orders.write_order, supplier=supplier, lines=[orders.Packs(resin, 5_000_000, 3)]
        ).things
        if sent_first:
            shop.do(orders.send_order, order=order)
        filled = crew.get(f"/stock/receive/?order={order}").content.decode()
        assert f'value="{line}" selected' in filled
        answer = crew.post("/stock/receive/", delivery(number=number, order_line=str(line)), follow=True)
        assert ("was not marked as sent" in answer.content.decode()) is not sent_first
        page = crew.get(f"/orders/{order}/order/").content.decode()
        assert ("nobody said when it was sent" in page) is not sent_first
        assert (f"/orders/{order}/send/" in page) is not sent_first


def test_receive_page_asked_for_one_more_lot_keeps_what_was_typed_and_writes_nothing(crew, shop):
    """The button adds a row; nothing is received yet."""
    shop.material("resin", Base.MG)
    page = crew.post("/stock/receive/", delivery(more="1")).content.decode()
    assert 'name="packages_2"' in page
    assert "2 x 5 kg" in page
    assert "N-1" in page
    assert not Lot.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"material": ""},
        {"packages": "5 m"},
        {"packages": "five"},
        {"packages": "500 x 1 g"},
        {"packages": ""},
        {"expires_on": "2027-13-01"},
        {"made_on": "2027-06-01", "expires_on": "2026-06-01"},
        {"rows": "2", "number_2": "only a number"},
        {"place": "PA00-0000"},
    ],
)
def test_receive_page_with_bad_input_says_so_and_writes_nothing(crew, shop, wrong):
    """Another unit, no number, too many, no such day, dates swapped, half a row, no such bin."""
    shop.material("resin", Base.MG)
    answer = crew.post("/stock/receive/", delivery(**wrong))
    assert answer.status_code in (409, 422)
    assert not Event.objects.filter(step="received").exists()
    assert crew.post("/stock/receive/", delivery()).status_code == 302


def test_receive_page_with_a_file_that_is_no_paper_writes_nothing(crew, shop, settings, tmp_path):
    """A web page that calls itself a picture is refused beside its field."""
    settings.DATA_FOLDER = tmp_path
    shop.material("resin", Base.MG)
    fake = io.BytesIO(b"<html><script>alert(1)</script></html>")
    fake.name = "paper.png"
    answer = crew.post("/stock/receive/", delivery(paper=fake))
    assert answer.status_code == 422
    assert not Lot.objects.exists()
    assert not list(tmp_path.rglob("*"))


def test_count_page_of_a_bin_takes_amounts_ticks_and_what_was_found(crew, shop):
    """One counted, one as in the books, one not here, one found: as it was said, and taken back in one."""
    bin_ = shop.place(Kind.BIN)
    less, same, gone = (shop.package(amount=grams(1000), number=f"N-{n}", place=bin_) for n in range(3))
    found = shop.package(amount=grams(50), number="X")
    answers = {
        f"amount_{less}": "860 g",
        f"as_booked_{same}": "on",
        f"missing_{gone}": "on",
        "found": code(found),
    }
    page = f"/places/{code(bin_)}/count/"
    assert crew.post(page, answers).status_code == 302
    assert [shop.amount(thing) for thing in (less, same, gone, found)] == [
        860_000,
        1_000_000,
        1_000_000,
        50_000,
    ]
    assert Event.objects.filter(step="not found", lines__thing_id=gone).exists()
    both = crew.post(page, {f"amount_{less}": "1 g", f"missing_{less}": "on"})
    assert both.status_code == 422
    assert crew.post(page, {f"amount_{less}": "1 m"}).status_code == 422
    assert shop.amount(less) == 860_000


def test_count_page_confirms_what_it_showed_though_somebody_drew_since(crew, shop):
    """As in the books means as the page said when it was opened."""
    bin_ = shop.place(Kind.BIN)
    jug = shop.package(amount=grams(1000), place=bin_)
    page = f"/places/{code(bin_)}/count/"
    values = sent(crew.get(page))
    shop.do(stock.draw, package=jug, amount=grams(100))
    crew.post(page, values | {f"as_booked_{jug}": "on"})
    assert shop.amount(jug) == 1_000_000


def test_put_away_page_offers_what_lies_nowhere_and_moves_what_was_ticked(crew, shop):
    """Two came without a place: one is ticked and put away, the other still waits."""
    one, other = shop.package(number="N-1"), shop.package(number="N-2")
    bin_ = shop.place(Kind.BIN)
    page = crew.get("/places/put-away/").content.decode()
    assert Code(code(one)).shown in page
    assert crew.post("/places/put-away/", {"things": [str(one)], "to": code(bin_)}).status_code == 302
    page = crew.get("/places/put-away/").content.decode()
    assert Code(code(one)).shown not in page
    assert Code(code(other)).shown in page
    for wrong in ({"to": code(bin_)}, {"things": [str(other)], "to": code(one)}):
        assert crew.post("/places/put-away/", wrong).status_code == 422
    third = shop.package(number="N-3")
    assert crew.post("/places/put-away/", {"everything": "on", "to": code(bin_)}).status_code == 302
    page = crew.get("/places/put-away/").content.decode()
    assert [thing for thing in (other, third) if Code(code(thing)).shown in page] == []


def test_list_leaves_as_csv_and_xlsx_with_what_is_filtered(crew, shop):
    """Both sheets have the rows that were asked for, typed amounts, and dates as dates."""
    shop.package("resin", grams(1250), "N-1", expires_on=make.day("2037-06-01"))
    shop.package("glue", grams(50), "C-1")
    text = crew.get("/stock/?q=resin&file=csv").content.decode("utf-8-sig")
    assert text.splitlines()[0].startswith("Package,Material,")
    assert "Resin,N-1,1250,g,,2037-06-01,closed" in text
    assert "Glue" not in text
    book = load_workbook(io.BytesIO(crew.get("/stock/?file=xlsx").content))
    rows = list(book.active.iter_rows(values_only=True))
    assert len(rows) == 3
    assert rows[1][3] == 1250
    assert rows[1][6].date() == make.day("2037-06-01")


@pytest.mark.parametrize(
    "query",
    [
        "?page=99",
        "?page=x",
        "?sort=nonsense",
        "?state=wrong",
        "?place=1",
        "?until=soon",
        "?q=%00'%25",
        "?file=exe",
    ],
)
def test_list_with_a_query_nobody_offers_is_still_a_list(crew, shop, query):
    """Addresses get garbled: the list opens all the same."""
    shop.package()
    assert crew.get(f"/stock/{query}").status_code == 200


PAGES = {
    "/stock/": lambda shop, n: shop.package(number=f"N-{n}", place=shop.names["bin"]),
    "/materials/": lambda shop, n: shop.do(materials.make_material, key=f"k{n}", name=f"m{n}", base=Base.MG),
    "/suppliers/": lambda shop, n: shop.do(materials.make_supplier, name=f"s{n}"),
    "/equipment/": lambda shop, n: _hose(shop, n),
    "/places/": lambda shop, n: shop.package(number=f"N-{n}", place=shop.place(Kind.BIN, f"b{n}")),
    "/places/{bin}/inside/": lambda shop, n: shop.package(number=f"N-{n}", place=shop.names["bin"]),
    "/places/{bin}/count/": lambda shop, n: shop.package(number=f"N-{n}", place=shop.names["bin"]),
    "/places/put-away/": lambda shop, n: shop.package(number=f"N-{n}"),
    "/lots/{lot}/card/": lambda shop, n: shop.package(number="LOT", place=shop.names["bin"]),
    "/materials/kk/card/": lambda shop, n: shop.do(
        materials.edit_material, material=shop.names["kk"], changes={"name": f"n{n}"}
    ),
    "/suppliers/{supplier}/card/": lambda shop, n: shop.do(
        suppliers.make_offer, supplier=shop.names["supplier"], material=shop.names["kk"], pack=n + 1
    ),
}


def _hose(shop, n):
    thing = shop.do(equipment.make_equipment, kind=Kind.EQUIPMENT, name=f"hose {n}").thing
    shop.do(equipment.plan_inspection, equipment=thing, what="wear", every_months=3)


@pytest.mark.parametrize("address", list(PAGES))
def test_page_takes_as_many_statements_for_ten_rows_as_for_one(crew, shop, address):
    """Every list of stock is flat."""
    shop.names["bin"] = shop.place(Kind.BIN, "bin")
    shop.names["supplier"] = shop.do(materials.make_supplier, name="s").thing
    shop.names["kk"] = shop.do(materials.make_material, key="kk", name="kk", base=Base.MG).thing
    lot = Lot.objects.get(packages__thing_id=shop.package(number="LOT")).thing_id
    filled = address.format(bin=code(shop.names["bin"]), lot=code(lot), supplier=shop.names["supplier"])

    def statements():
        with CaptureQueriesContext(connection) as caught:
            assert crew.get(filled).status_code == 200
        return len(caught)

    add = PAGES[address]
    add(shop, 0)
    statements()  # whatever is kept after the first time
    few = statements()
    for number in range(1, 10):
        add(shop, number)
    assert statements() == few


def test_prices_are_shown_to_those_who_may_see_them_and_to_no_helper(shop, client):
    """A helper has no page of suppliers and no link to one; crew has."""
    supplier = shop.do(materials.make_supplier, name="Lomtjern Resin").thing
    resin = shop.material("resin", Base.MG)
    prices = {"prices": [[1, 18950], [5, 17500]]}
    shop.do(suppliers.make_offer, supplier=supplier, material=resin, pack=5_000_000, facts=prices)
    helper = signed_in(client, shop, "helper")
    assert helper.get("/suppliers/").status_code == 403
    assert helper.get(f"/suppliers/{supplier}/card/").status_code == 403
    page = helper.get("/materials/resin/card/").content.decode()
    assert "Lomtjern Resin" in page
    assert "189.50" not in page
    assert f"/suppliers/{supplier}/" not in page
    crew = signed_in(client, shop, "crew")
    assert "189.50 EUR; 175.00 EUR from 5 on" in crew.get(f"/suppliers/{supplier}/card/").content.decode()


def test_age_page_tells_an_estimate_and_where_it_stood(crew, shop):
    """What the label says, what warmth says, and that it is an estimate."""
    jug = shop.package(place=shop.place(Kind.BIN, "bin 7"), expires_on=make.day("2030-06-01"))
    words = read(crew.get(f"/care/{code(jug)}/age/").content.decode()).words
    for told in ("Usable to 1 Jun 2030, by the date on its label", "estimate", "bin 7", "assumed"):
        assert told in words


def test_paper_page_leads_only_back_into_the_shop(crew, shop, settings, tmp_path):
    """A `back` that leads to another host is not followed."""
    settings.DATA_FOLDER = tmp_path
    jug = shop.package()
    values = {"what": "photo", "title": "", "file": picture(), "back": "https://elsewhere.example/"}
    answer = crew.post(f"/papers/{jug}/attach/", values)
    assert answer["Location"] == "/stock/"
    paper = Paper.objects.get()
    assert crew.get(f"/papers/{paper.id}/show/").status_code == 200
    next((tmp_path / "papers").rglob(paper.sha256)).unlink()
    missing = crew.get(f"/papers/{paper.id}/show/")
    assert missing.status_code == 404
    assert "another laptop" in missing.content.decode()
