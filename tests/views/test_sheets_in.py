"""Sheets in: each kind's rows and fates, all or nothing, the same file twice, and what is not taken."""

import io
import os
import zipfile
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from openpyxl import Workbook

from inventory.actions import books, people
from inventory.models import Event, Guest, Lot, Material, Offer, Order, OrderLine, Package, Revision, Seat
from inventory.queries.books import differences
from inventory.queries.sheets_in import Does, What
from tests import make
from tests.season_shop import plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(db, settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    shop = make.Shop(at=timezone.now() - timedelta(hours=5))
    return plan(shop, timezone.localdate(), seats=6)


@pytest.fixture
def crew(planned, client):
    people.give_way_in(person=planned.shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def look(client, what, data, **more):
    """The dry run's answer."""
    content = data if isinstance(data, bytes) else data.encode()
    form = {"what": what, "file": SimpleUploadedFile("sheet.csv", content), **more}
    return client.post(reverse("sheets"), form)


def take(client, answer):
    """Press the button of a dry run."""
    context = answer.context
    data = {key: context[key] for key in ("digest", "what", "days", "mark")}
    data["on"] = context["on"] or ""
    return client.post(reverse("sheets-take"), data)


def test_a_sheet_of_headings_alone_says_that_it_has_no_row(crew):
    """A template as it is; with one row it has a fate."""
    headings = crew.get(reverse("sheets-template", args=["materials"]), {"file": "csv"}).content
    assert "It has headings and no row." in look(crew, "materials", headings).content.decode()
    one = look(crew, "materials", headings + b"Tip wedge,pieces,,,,").content.decode()
    assert "1 new. Nothing is written yet." in " ".join(one.split())


def fates(answer):
    return [(fate.row, fate.does, fate.column) for fate in answer.context["dry"].fates]


def does(answer):
    return [fate.does for fate in answer.context["dry"].fates]


def test_materials_are_made_changed_or_left_and_the_history_says_so(crew, planned):
    """One new, one changed, one as it is; in a second round all are here."""
    sheet = (
        "Name,Kept by,Used as,Lowest stock\n"
        "Wax,weight,wax,2 kg\nGlue,weight,glue,500 g\nBlank,pieces,blank,\n"
    )
    answer = look(crew, "materials", sheet)
    assert does(answer) == [Does.NEW, Does.CHANGES, Does.SAME]
    assert Material.objects.count() == 2
    assert take(crew, answer).status_code == 302
    assert Material.objects.get(name="Wax").lowest_stock == 2_000_000
    assert Material.objects.get(key="glue").lowest_stock == 500_000
    assert Revision.objects.filter(card="material").count() == 4
    again = look(crew, "materials", sheet + " ")
    assert set(does(again)) == {Does.SAME}
    assert not again.context["dry"].ready


def test_offers_gather_price_breaks_and_are_changed_by_a_newer_list(crew, planned):
    """Two rows are one offer with two prices; the next list changes one of them."""
    sheet = (
        "Supplier,Material,One pack,Price,Currency,From packs,Days they need\n"
        "Ulvsnipa Harpiks,Glue,20 g,89.50,,1,7\nUlvsnipa Harpiks,Glue,20 g,80,,5,\n"
    )
    assert take(crew, look(crew, "offers", sheet)).status_code == 302
    offer = Offer.objects.get(pack=20_000)
    assert (offer.prices, offer.lead_days) == ([[1, 8_950], [5, 8_000]], 7)
    dearer = sheet.replace("80,,5", "82,,5")
    answer = look(crew, "offers", dearer)
    assert does(answer) == [Does.SAME, Does.CHANGES]
    take(crew, answer)
    offer.refresh_from_db()
    assert offer.prices == [[1, 8_950], [5, 8_200]]


def test_last_years_prices_are_left_out_and_said(crew, planned):
    """The card was changed after them; today's are taken."""
    head = "Supplier,Material,One pack,Price,Prices of\n"
    old = look(crew, "offers", head + "Ulvsnipa Harpiks,Glue,50 g,150,2025-01-15\n")
    assert does(old) == [Does.SAME]
    assert "after these prices" in str(old.context["dry"].fates[0].sentence)
    today = timezone.localdate().isoformat()
    assert does(look(crew, "offers", f"{head}Ulvsnipa Harpiks,Glue,50 g,150,{today}\n")) == [Does.CHANGES]


def test_stock_comes_in_lot_by_lot_and_a_known_lot_stays(crew, planned):
    """Packages are born with amounts and dates; the books are right; the same lot again is left."""
    sheet = (
        "Material,Lot,Packages,One package,Made on,Usable to,Supplier\n"
        "Glue,G-7,3,50 g,2026-01-05,2027-01-05,Ulvsnipa Harpiks\nBlank,,2,10,,,\n"
    )
    take(crew, look(crew, "stock", sheet))
    assert Lot.objects.get(number="G-7").packages.count() == 3
    assert Package.objects.count() == 5
    assert list(differences()) == []
    more = sheet.replace("Blank,,2", "Blank,K-2,2")
    assert does(look(crew, "stock", more)) == [Does.SAME, Does.NEW]


def test_guests_and_seats_come_in_once(crew, planned):
    """A new guest, one who is here, one who has the seat already; the histories hold no name."""
    taken = Guest.objects.order_by("name").first().name
    sheet = f"Workshop,Guest,Age,Seat\nHut 1,Åsa,18 to 64,\nHut 1,{taken},,\nHut 2,Åsa,,wait list\n"
    answer = look(crew, "seats", sheet)
    assert does(answer) == [Does.NEW, Does.SAME, Does.NEW]
    take(crew, answer)
    guest = Guest.objects.get(name="Åsa")
    assert {seat.state for seat in Seat.objects.filter(guest=guest)} == {"booked", "wait list"}
    assert not Revision.objects.filter(after__icontains="Åsa").exists()
    assert set(does(look(crew, "seats", sheet + "\n"))) == {Does.SAME}


def test_a_file_with_names_stays_until_it_is_taken_a_day_at_most_or_somebody_is_erased(
    crew, planned, settings
):
    """One was taken, one is a day old, one waits; erasing a guest takes all that wait."""
    folder = settings.DATA_FOLDER / "sheets"
    taken = look(crew, "seats", "Workshop,Guest\nHut 1,Åsa\n")
    old = look(crew, "seats", "Workshop,Guest\nHut 1,Bo\n")
    waits = look(crew, "seats", "Workshop,Guest\nHut 1,Cia\n").context["digest"]
    take(crew, taken)
    assert {path.name for path in folder.iterdir()} == {old.context["digest"], waits}
    assert "taken before" in take_again(crew, taken)
    long_ago = (timezone.now() - timedelta(days=1, minutes=1)).timestamp()
    os.utime(folder / old.context["digest"], (long_ago, long_ago))
    look(crew, "materials", "Name,Kept by\nWax,weight\n")
    assert old.context["digest"] not in {path.name for path in folder.iterdir()}
    assert take(crew, old).status_code == 409
    people.give_way_in(person=planned.shop.owner, username="owner", password="a-long-one-for-tests")
    crew.force_login(User.objects.get(username="owner"), "django.contrib.auth.backends.ModelBackend")
    page = reverse("people-erase", args=[Guest.objects.get(name="Åsa").id])
    assert crew.post(page, {"told": ""}).status_code == 422
    assert (folder / waits).exists()
    assert crew.post(page, {"told": "on"}).status_code == 302
    assert list(folder.iterdir()) == []


def take_again(client, answer):
    """What the page says after the button is pressed a second time."""
    return client.get(take(client, answer).url).content.decode()


def test_seats_above_the_workshops_are_wrong(crew, planned):
    """Six seats, two taken: four more fit, the fifth does not, and none is written."""
    rows = [f"Hut 1,Guest X{number}," for number in range(5)]
    answer = look(crew, "seats", "Workshop,Guest,Age\n" + "\n".join(rows))
    assert fates(answer)[-1] == (6, Does.WRONG, "Seat")
    before = Seat.objects.count()
    take(crew, answer)
    assert Seat.objects.count() == before
    assert does(look(crew, "seats", "Workshop,Guest,Age\n" + "\n".join(rows[:4]))) == [Does.NEW] * 4


def test_orders_come_in_by_supplier_and_day(crew, planned):
    """Two lines of one day are one order; it is here already the next time."""
    sheet = (
        "Supplier,Material,One pack,Packs,Price,Sent on,Promised for\n"
        "Ulvsnipa Harpiks,Glue,50 g,2,189,2026-01-05,2026-01-20\n"
        "Ulvsnipa Harpiks,Blank,10,1,500,2026-01-05,2026-01-20\n"
    )
    take(crew, look(crew, "orders", sheet))
    assert (Order.objects.count(), OrderLine.objects.count()) == (1, 2)
    assert set(does(look(crew, "orders", sheet + "\n"))) == {Does.SAME}


def test_the_same_file_twice_changes_nothing(crew, planned):
    """Also one whose rows have no number to know them by."""
    sheet = "Material,One package\nGlue,50 g\n"
    answer = look(crew, "stock", sheet)
    take(crew, answer)
    assert look(crew, "stock", sheet).context["before"]
    events = Event.objects.count()
    assert take(crew, answer).status_code == 302
    assert (Event.objects.count(), Package.objects.count()) == (events, 1)


def test_a_file_whose_taking_was_undone_is_taken_again_once(crew, planned):
    """Lots come in anew with the same numbers; undone only in part, it was still taken before."""
    sheet = "Material,Lot,Packages,One package\nGlue,G-7,2,50 g\nBlank,K-2,1,10\n"
    there = Package.objects.filter(thing__state__isnull=False)

    def taken():
        answer = look(crew, "stock", sheet)
        again = not answer.context["before"]
        take(crew, answer)
        return again, there.count()

    assert taken() == (True, 3)
    assert taken() == (False, 3)
    for times in (1, 2):
        act = Event.objects.filter(step="received").latest("sort").act
        planned.shop.at = timezone.now()
        planned.shop.do(books.undo, token=act, reason="the wrong year's book")
        assert there.count() == 0
        assert taken() == (True, 3), times
        assert taken() == (False, 3), times
    assert list(differences()) == []


@pytest.mark.parametrize(
    ("what", "sheet", "column"),
    [
        ("materials", "Name,Kept by\nWax,litres\n", "Kept by"),
        ("materials", "Name,Kept by\nWax,weight\nWAX,weight\n", "Name"),
        ("materials", "Name,Kept by\nGlue,length\n", "Kept by"),
        ("offers", "Supplier,Material,One pack\nNobody,Glue,5 g\n", "Supplier"),
        ("offers", "Supplier,Material,One pack\nUlvsnipa Harpiks,Gold,5 g\n", "Material"),
        ("offers", "Supplier,Material,One pack\nUlvsnipa Harpiks,Glue,0 g\n", "One pack"),
        ("offers", "Supplier,Material,One pack\nUlvsnipa Harpiks,Glue,5 m\n", "One pack"),
        ("stock", "Material,One package,Usable to\nGlue,5 g,9999-12-31\n", "Usable to"),
        (
            "offers",
            "Supplier,Material,One pack,Price,Currency\nUlvsnipa Harpiks,Glue,5 g,1,XTS\n",
            "Currency",
        ),
        ("offers", "Supplier,Material,One pack,Price\nUlvsnipa Harpiks,Glue,5 g,1.555\n", "Price"),
        ("stock", "Material,One package,Usable to\nGlue,5 g,3/4/2026\n", "Usable to"),
        (
            "stock",
            "Material,One package,Made on,Usable to\nGlue,5 g,2026-05-01,2026-04-01\n",
            "Usable to",
        ),
        ("stock", "Material,One package,Place\nGlue,5 g,BA123456\n", "Place"),
        ("seats", "Workshop,Guest\nNowhere,Ida\n", "Workshop"),
        ("seats", "Workshop,Guest,Age\nHut 1,Ida,7\n", "Age"),
        ("orders", "Supplier,Material,One pack,Packs\nUlvsnipa Harpiks,Glue,5 g,0\n", "Packs"),
    ],
)
def test_a_wrong_cell_names_its_row_and_column_and_nothing_is_taken(crew, planned, what, sheet, column):
    """A right row stands beside it and is not taken either."""
    answer = look(crew, what, sheet)
    wrong = [fate for fate in answer.context["dry"].fates if fate.does is Does.WRONG]
    assert [fate.column for fate in wrong] == [column]
    assert str(wrong[0].sentence)
    assert not answer.context["dry"].ready
    revisions = Revision.objects.count()
    assert take(crew, answer).status_code == 409
    assert Revision.objects.count() == revisions


def test_dates_in_three_orders_and_decimal_commas_are_read_as_said(crew, planned):
    """The same day in each order; 12,5 as said; unsaid it is asked back."""
    for order, text in (
        ("day, month, year", "3/4/2027"),
        ("month, day, year", "4/3/2027"),
        ("year, month, day", "2027-04-03"),
    ):
        sheet = f"Material;Lot;One package;Usable to\nGlue;G-{text[0]}{order[0]};5 g;{text}\n"
        answer = look(crew, "stock", sheet, days=order)
        assert answer.context["dry"].jobs[0].expires_on.isoformat() == "2027-04-03"
    head = "Supplier;Material;One pack;Price\n"
    comma = look(crew, "offers", head + "Ulvsnipa Harpiks;Glue;20 g;89,50\n", mark=",")
    assert comma.context["dry"].jobs[0].fields["prices"] == [[1, 8_950]]
    assert does(look(crew, "offers", head + "Ulvsnipa Harpiks;Glue;20 g;1,234\n")) == [Does.WRONG]


def workbook(*rows, merge="", formula=""):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    if merge:
        book.active.merge_cells(merge)
    if formula:
        book.active[formula] = "=1+1"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_formulas_merged_cells_macros_and_bombs_are_not_taken(crew, planned):
    """A plain workbook beside them is."""
    head = ("Name", "Kept by", "Lowest stock")
    plain = workbook(head, ("Wax", "weight", "1 kg"))
    assert does(look(crew, "materials", plain)) == [Does.NEW]
    assert Does.WRONG in does(look(crew, "materials", workbook(head, ("Wax", "weight", ""), formula="C2")))
    merged = workbook(head, ("Wax", "weight", "1 kg"), ("", "weight", ""), merge="A2:A3")
    assert Does.WRONG in does(look(crew, "materials", merged))
    out = io.BytesIO(plain)
    with zipfile.ZipFile(out, "a") as file:
        file.writestr("xl/vbaProject.bin", b"x")
    assert look(crew, "materials", out.getvalue()).status_code == 409
    bomb = io.BytesIO(plain)
    with zipfile.ZipFile(bomb, "a", zipfile.ZIP_DEFLATED) as file:
        file.writestr("xl/worksheets/sheet9.xml", b"\0" * 30_000_000)
    assert look(crew, "materials", bomb.getvalue()).status_code == 409


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_a_text_that_begins_like_a_formula_stays_a_text_and_leaves_harmlessly(crew, planned, start):
    """In by CSV, out by CSV: shielded, so that no spreadsheet runs it."""
    name = f"{start}cmd|calc"
    take(crew, look(crew, "materials", f"Name,Kept by\n{name},weight\n"))
    assert Material.objects.filter(name=name).exists()
    file = crew.get(reverse("materials"), {"file": "csv"})
    if file["Content-Type"].startswith("text/csv"):
        assert f",{start}" not in file.content.decode()


def test_five_thousand_rows_with_forty_wrong_name_all_forty_and_take_none(crew, planned):
    """Row and column of each; the statements do not grow with the rows."""
    wrong = set(range(100, 5_000, 125))
    rows = [f"Material {at},{'litres' if at in wrong else 'weight'},1 kg" for at in range(5_000)]
    with CaptureQueriesContext(connection) as caught:
        answer = look(crew, "materials", "Name,Kept by,Lowest stock\n" + "\n".join(rows))
    found = [fate for fate in answer.context["dry"].fates if fate.does is Does.WRONG]
    assert (len(found), {fate.column for fate in found}) == (40, {"Kept by"})
    assert [fate.row for fate in found] == [at + 2 for at in sorted(wrong)]
    assert len(caught) < 40
    assert Material.objects.count() == 2


@pytest.mark.parametrize("kind", list(What))
def test_templates_are_read_back_as_empty_sheets_of_their_kind(crew, planned, kind):
    """CSV and XLSX; the headings are those that are looked for."""
    for file in ("csv", "xlsx"):
        made = crew.get(reverse("sheets-template", args=[kind]), {"file": file}).content
        answer = look(crew, kind, made)
        assert answer.status_code == 200, file
        assert (answer.context["dry"].fates, answer.context["dry"].ignored) == ((), ())
    assert crew.get(reverse("sheets-template", args=["no-such"])).status_code == 404


def test_a_file_that_is_gone_is_refused(crew, planned):
    """A digest nobody kept, and one that leads elsewhere."""
    for digest in ("0" * 64, "../../secret"):
        data = {"digest": digest, "what": "stock", "days": "", "mark": ""}
        assert crew.post(reverse("sheets-take"), data).status_code == 409
    assert crew.post(reverse("sheets-take"), {"what": "gold"}).status_code == 404


def test_an_old_paper_book_comes_in_late_with_unknowns_unknown(crew, planned):
    """A lot without number and dates, received a year ago: a late event of that day; the books are right."""
    day = planned.day(-1)
    planned.shop.package("glue", number="G-0", amount=make.grams(1))
    sheet = "Material,One package\nGlue,50 g\n"
    take(crew, look(crew, "stock", sheet, on=day.isoformat()))
    event = Event.objects.filter(step="received").latest("number")
    assert (event.late, timezone.localtime(event.at).date()) == (True, day)
    lot = Lot.objects.get(number="")
    assert (lot.made_on, lot.expires_on, lot.supplier_id) == (None, None, None)
    assert list(differences()) == []


def test_an_old_book_of_a_day_to_come_is_refused(crew, planned):
    """Nothing is taken."""
    answer = look(crew, "stock", "Material,One package\nGlue,50 g\n", on=planned.day(2).isoformat())
    assert take(crew, answer).status_code == 409
    assert Package.objects.count() == 0


@pytest.mark.parametrize("file", ["csv", "xlsx"])
def test_what_leaves_as_a_sheet_reads_back_and_says_nothing_new(crew, planned, file):
    """Materials, offers with a price break, orders: out, in again, and every row is here already."""
    from inventory.actions import orders
    from inventory.actions.orders import Packs

    planned.offer("glue", 20_500, prices=[[1, 8_950], [5, 8_000]], lead_days=7)
    line = Packs(planned.shop.names["glue"], 50_000, 2, 18_900)
    order = planned.shop.do(orders.write_order, supplier=planned.supplier, lines=[line]).thing
    planned.shop.do(orders.send_order, order=order)
    for kind, rows in (("materials", 2), ("offers", 4), ("orders", 1)):
        made = crew.get(reverse("sheets-out", args=[kind]), {"file": file}).content
        answer = look(crew, kind, made)
        assert does(answer) == [Does.SAME] * rows, kind
    assert crew.get(reverse("sheets-out", args=["seats"]), {"file": file}).status_code == 404
    assert crew.get(reverse("sheets-out", args=["offers"])).status_code == 404
