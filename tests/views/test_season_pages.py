"""Pages of season and orders: what they show, flat statements, files, what is refused and kept, bad input."""

import csv
import io
import json
import re
from datetime import timedelta

import pandas
import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from inventory.actions import orders, people, season
from inventory.actions.orders import Packs
from inventory.models import Offer, Order, OrderLine, Ruling, Season
from tests import make
from tests.make import grams
from tests.season_shop import plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(db):
    shop = make.Shop(at=timezone.now() - timedelta(hours=5))
    return plan(shop, timezone.localdate())


@pytest.fixture
def crew(planned, client):
    people.give_way_in(person=planned.shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def page(client, name, *args, **search):
    answer = client.get(reverse(name, args=args), search)
    assert answer.status_code == 200, answer
    return answer.content.decode()


def test_season_without_any_says_what_to_do_next(db, client):
    """The empty page leads to making one; made, it shows its workshops and seats."""
    shop = make.Shop(at=timezone.now() - timedelta(hours=5))
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    assert reverse("season-make") in page(client, "season")
    today = timezone.localdate()
    data = {"name": "Winter", "starts_on": today, "ends_on": today + timedelta(90), "fill_percent": "75"}
    answer = client.post(reverse("season-make"), data)
    row = Season.objects.get()
    assert answer["Location"] == reverse("season-list", args=[row.id])
    assert (row.fill_percent, row.cover) == (75, "usual")
    assert "No workshop starts between these days" in page(client, "season")


def test_season_whose_end_comes_first_is_shown_again_with_all_that_was_typed(crew, planned):
    """409, and the name is still there; put right it is made."""
    data = {"name": "Spring", "starts_on": planned.today, "ends_on": planned.day(-1)}
    answer = crew.post(reverse("season-make"), data)
    assert (answer.status_code, b"Spring" in answer.content) == (409, True)
    assert crew.post(reverse("season-make"), {**data, "ends_on": planned.day(5)}).status_code == 302


def test_list_shows_supplier_day_packs_total_and_the_two_simple_ways(crew, planned):
    """What the query says stands on the page; each what-if has its own address."""
    text = page(crew, "season-list", planned.season)
    for words in ("Ulvsnipa Harpiks", "378.00", "For each workshop", "All at once", "Send it by"):
        assert words in text, words
    assert "What if everything fills" in text
    for what_if in ("full", "booked", "nonsense"):
        page(crew, "season-list", planned.season, **{"if": what_if})


def test_season_says_the_answer_of_its_list_to_who_may_see_prices(crew, planned, client):
    """The same frame on both pages; a helper, who sees no order, is told none of it."""
    frame = re.compile(r'<div class="verdict.*?</div>', re.DOTALL)
    (said,) = frame.findall(page(crew, "season"))
    assert [said] == frame.findall(page(crew, "season-list", planned.season))
    assert re.search("order.* to be sent by", said)
    people.give_way_in(person=planned.shop.helper, username="helper", password="a-long-one-for-tests")
    user = User.objects.get(username="helper")
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    assert frame.findall(page(client, "season")) == []


def test_material_shows_its_picture_its_reasons_and_its_offers(crew, planned):
    """A drawing with a label, the needs by workshop adding up, who sells it and how long it took."""
    text = page(crew, "season-material", planned.season, "glue")
    for words in ("<svg", "Needed for Hut 1", "Hut 3", "no order of our own came yet", "Decide by hand"):
        assert words in text, words
    assert crew.get(reverse("season-material", args=[planned.season, "no-such"])).status_code == 404


def test_list_leaves_as_csv_xlsx_and_json_and_they_say_the_same(crew, planned):
    """Read back by csv, openpyxl and pandas: lines, packs and money alike."""
    address = reverse("season-list", args=[planned.season])
    data = crew.get(address, {"file": "csv"}).content
    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))
    sheet = load_workbook(io.BytesIO(crew.get(address, {"file": "xlsx"}).content)).active
    cells = list(sheet.iter_rows(values_only=True))
    frame = pandas.read_excel(io.BytesIO(crew.get(address, {"file": "xlsx"}).content))
    fact = json.loads(crew.get(address, {"file": "json"}).content)
    lines = [line for order in fact["orders"] for line in order["lines"]]
    assert len(rows) == len(cells) - 1 == len(frame) == len(lines) == 2
    assert [int(row["Packs"]) for row in rows] == list(frame["Packs"]) == [line["packs"] for line in lines]
    assert [float(row["Cost"]) for row in rows] == list(frame["Cost"])
    assert [round(cost * 100) for cost in frame["Cost"]] == [line["cost"] for line in lines]


def test_decide_by_hand_is_kept_and_the_page_says_what_it_costs(crew, planned):
    """Three packs of glue cost one more; a number that is none is shown again."""
    address = reverse("season-rule", args=[planned.season, "glue"])
    assert crew.post(address, {"packs": "-1"}).status_code == 422
    assert crew.post(address, {"packs": "3"}).status_code == 302
    assert Ruling.objects.get().packs == 3
    assert "Decided by hand" in page(crew, "season-material", planned.season, "glue")
    assert "by hand" in page(crew, "season-list", planned.season)
    assert 'value="3"' in page(crew, "season-rule", planned.season, "glue")


def write(crew, planned, **packs):
    address = f"{reverse('orders-write', args=[planned.supplier])}?season={planned.season}"
    data = {"token": ""} | {f"packs_{planned.offers[name].hex}": count for name, count in packs.items()}
    return crew.post(address, data)


def test_write_an_order_from_the_list_fills_in_what_it_asks_for(crew, planned):
    """The list's packs stand in the fields; written, the list asks for them no more."""
    address = f"{reverse('orders-write', args=[planned.supplier])}?season={planned.season}"
    text = crew.get(address).content.decode()
    assert text.count('value="2"') == 2
    assert write(crew, planned, glue=2, blank=2).status_code == 302
    order = Order.objects.get()
    assert (order.season_id, order.freight, order.order_by is not None) == (planned.season, 20_000, True)
    text = page(crew, "season-list", planned.season)
    assert "Written and on the way" in text
    assert "Write this order" not in text


def test_write_an_order_of_nothing_is_refused_on_its_page(crew, planned):
    """409; half a pack is no number; nothing was written."""
    assert write(crew, planned).status_code == 409
    assert write(crew, planned, glue="0.5").status_code == 422
    assert crew.get(reverse("orders-write", args=[planned.season])).status_code == 404
    assert Order.objects.count() == 0


def test_order_page_leads_from_written_to_given_up(crew, planned):
    """Send it, change its day, end a line, give it up: each by its own page."""
    write(crew, planned, glue=2, blank=1)
    order = Order.objects.get()
    for by, told in ((planned.today, "Send it by"), (planned.day(-1), "It was to be sent by")):
        Order.objects.update(order_by=by)
        assert told in page(crew, "orders-order", order.id)
        assert told in page(crew, "orders")
        assert told in page(crew, "orders-sheet", order.id)
        assert told in page(crew, "season-list", planned.season)
    line = OrderLine.objects.get(material__key="glue")
    assert (
        crew.post(reverse("orders-line", args=[line.id]), {"packs": "3", "price": "180"}).status_code == 302
    )
    sent = {"sent_on": planned.today, "promised_on": planned.day(9)}
    assert crew.post(reverse("orders-send", args=[order.id]), sent).status_code == 302
    assert crew.post(reverse("orders-line", args=[line.id]), {"packs": "4", "price": "1"}).status_code == 409
    edit = {"promised_on": planned.day(12), "freight": "150,50"}
    assert crew.post(reverse("orders-edit", args=[order.id]), edit).status_code == 302
    order.refresh_from_db()
    assert (order.freight, order.promised_on) == (15_050, planned.day(12))
    text = page(crew, "orders-order", order.id)
    assert "Receive what came" in text
    assert crew.post(reverse("orders-end", args=[line.id])).status_code == 302
    assert "of it never came" in page(crew, "orders-order", order.id)
    assert crew.post(reverse("orders-give-up", args=[order.id])).status_code == 302
    assert "given up" in page(crew, "orders")


def test_line_is_added_to_an_order_that_is_being_written_and_to_no_other(crew, planned):
    """At the price for so many packs; of what this supplier sells; once it is sent nothing is added."""
    write(crew, planned, glue=2)
    order = Order.objects.get()
    address = reverse("orders-add", args=[order.id])
    assert address in page(crew, "orders-order", order.id)
    asked = {"offer": str(planned.offers["blank"]), "packs": "3"}
    for wrong in ({"packs": "0"}, {"packs": "2.5"}, {"offer": str(planned.season)}):
        assert crew.post(address, asked | wrong).status_code == 422
    assert crew.post(address, asked).status_code == 302
    line = OrderLine.objects.get(material__key="blank")
    offer = Offer.objects.get(id=planned.offers["blank"])
    assert (line.order_id, line.packs, line.price) == (order.id, 3, offer.prices[0][1])
    assert crew.post(reverse("orders-send", args=[order.id]), {"sent_on": planned.today}).status_code == 302
    assert address not in page(crew, "orders-order", order.id)
    assert crew.post(address, asked).status_code == 409
    assert OrderLine.objects.count() == 2


def test_order_leaves_on_paper_as_text_and_as_a_sheet(crew, planned):
    """The text names packs and material and no price; the sheet's lines are the order's."""
    write(crew, planned, glue=2)
    order = Order.objects.get()
    text = page(crew, "orders-sheet", order.id)
    pre = text.partition("<pre")[2].partition("</pre>")[0]
    assert "2 x 50 g Glue" in pre
    assert "189" not in pre
    rows = list(
        csv.DictReader(
            io.StringIO(
                crew.get(reverse("orders-order", args=[order.id]), {"file": "csv"}).content.decode(
                    "utf-8-sig"
                )
            )
        )
    )
    assert [(row["Material"], row["Packs"], row["Cost"]) for row in rows] == [("Glue", "2", "378.00")]


@pytest.mark.parametrize("name", ["season", "orders"])
def test_lists_ask_as_many_statements_with_ten_as_with_one(crew, planned, name):
    """Seasons, workshops and orders may grow."""

    def count():
        with CaptureQueriesContext(connection) as caught:
            page(crew, name)
        return len(caught)

    line = Packs(planned.shop.names["glue"], 50_000, 1, 18_900)
    planned.shop.do(orders.write_order, supplier=planned.supplier, lines=[line])
    page(crew, name)
    one = count()
    for _ in range(9):
        planned.shop.do(orders.write_order, supplier=planned.supplier, lines=[line, line])
    assert count() == one


def test_helper_sees_seats_and_no_money(planned, client):
    """The door is open; the list is not."""
    people.give_way_in(person=planned.shop.helper, username="helper", password="a-long-one-for-tests")
    client.force_login(
        User.objects.get(username="helper"), backend="django.contrib.auth.backends.ModelBackend"
    )
    text = page(client, "season")
    assert "Hut 1" in text
    assert reverse("season-list", args=[planned.season]) not in text
    assert client.get(reverse("season-list", args=[planned.season])).status_code == 403


def test_stock_that_passes_its_date_is_on_the_picture_and_in_its_words(crew, planned):
    """A package that passes in 40 days: its mark, its day, its amount."""
    planned.shop.package("glue", grams(100), number="G-1", expires_on=planned.day(40))
    text = page(crew, "season-material", planned.season, "glue")
    assert "passes its date:" in text
    assert 'class="lo"' in text


def sent_order(crew, planned):
    write(crew, planned, glue=2, blank=1)
    order = Order.objects.get()
    crew.post(reverse("orders-send", args=[order.id]), {"sent_on": planned.today})
    return order


def fields_of(answer):
    """What the page's form holds, as a browser would send it again."""
    form = answer.context["form"]
    found = {field.html_name: field.value() for field in form}
    return {name: value for name, value in found.items() if value not in (None, False)} | {
        "rows": str(form.count),
        "token": "",
    }


def test_receive_what_came_of_an_order_fills_in_a_row_a_line(crew, planned):
    """Both lines stand there; the glue came short and damaged, the blanks did not come: their row is left
    without packages. The order knows, and what is damaged is on hold."""
    from inventory.models import Hold, Package
    from inventory.queries import orders as read_orders

    order = sent_order(crew, planned)
    answer = crew.get(reverse("stock-receive"), {"order": str(order.id)})
    data = fields_of(answer)
    assert (data["packages"], data["packages_2"]) == ("1 x 10 pieces", "2 x 50 g")
    data |= {"packages": "", "packages_2": "50 g", "number_2": "G-9", "damaged_2": "on"}
    assert crew.post(reverse("stock-receive"), data).status_code == 302
    row = read_orders.order(order.id)
    assert [(line.line.material.key, line.left.value) for line in row.lines] == [
        ("blank", 10),
        ("glue", 50_000),
    ]
    assert Hold.objects.filter(thing=Package.objects.get().thing).exists()
    text = page(crew, "orders-order", order.id)
    assert "It came damaged, and is on hold." in text
    assert "Part here" in text


def test_receive_of_an_order_that_is_not_there_is_no_page(crew, planned):
    """A wrong id, and no id at all."""
    for wrong in (str(planned.season), "x"):
        assert crew.get(reverse("stock-receive"), {"order": wrong}).status_code == 404


def test_receive_with_an_order_and_nothing_that_came_is_refused(crew, planned):
    """Every row without packages: nothing came, 409."""
    order = sent_order(crew, planned)
    data = fields_of(crew.get(reverse("stock-receive"), {"order": str(order.id)}))
    data |= {"packages": "", "packages_2": ""}
    assert crew.post(reverse("stock-receive"), data).status_code == 409


def test_calendar_has_orders_trips_passing_dates_and_artwork_and_no_guest(crew, planned):
    """A file to save; every guest's name of the shop is looked for in it."""
    from inventory.actions import artwork, trips
    from inventory.compute.codes import Kind
    from inventory.models import Guest, Pair

    shop = planned.shop
    shop.package("glue", grams(100), number="G-1", expires_on=planned.day(40))
    shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=planned.day(29),
        back_on=planned.day(32),
        trailers=[shop.place(Kind.TRAILER, "Stoat")],
        workshops=[planned.workshops[0]],
    )
    pair = Pair.objects.filter(workshop=planned.workshops[0]).first()
    shop.do(artwork.plan_artwork, pair=pair.thing_id, printer_days=14, bleed_mm=5.0)
    answer = crew.get(reverse("season-calendar", args=[planned.season]))
    text = answer.content.decode().replace("\r\n ", "")
    assert answer["Content-Type"].startswith("text/calendar")
    for words in (
        "Order from Ulvsnipa Harpiks",
        "Trip to Kvitskard",
        "Last day of 100 g of Glue",
        "Artwork for Hut 1",
    ):
        assert words in text, words
    assert not any(name in text for name in Guest.objects.values_list("name", flat=True))
    first = planned.day(40).strftime("DTSTART;VALUE=DATE:%Y%m%d")
    assert first in text


def test_lowest_stock_is_reckoned_from_use_and_kept_with_one_tap(crew, planned):
    """Ten cups a week for ten weeks, 14 days of lead time (10 open ones): 20 (by hand); glue and blanks stand
    on the lay-up card and are not in the list."""
    from inventory.actions import stock
    from inventory.models import Material

    shop = planned.shop
    cups = shop.package("cups", make.pieces(200), number="C-1")
    planned.offer("cups", 100, prices=[[1, 31_000]], lead_days=10)
    now = shop.at
    shop.at = now - timedelta(weeks=26)
    early = shop.package("cups", make.pieces(400), number="C-0")
    for week in range(25, -1, -1):
        shop.at = now - timedelta(weeks=week, minutes=5)
        shop.do(stock.draw, package=early, amount=make.pieces(10))
    shop.at = now
    assert cups
    text = page(crew, "season-lowest")
    assert "Cups" in text
    assert "Glue" not in text
    assert crew.post(reverse("season-accept", args=["cups"])).status_code == 302
    assert Material.objects.get(key="cups").lowest_stock == 20
    assert "Kept" in page(crew, "season-lowest")
    assert crew.post(reverse("season-accept", args=["glue"])).status_code == 404


def test_order_leaves_as_pdf_on_both_papers(crew, planned):
    """A file to save."""
    write(crew, planned, glue=2)
    order = Order.objects.get()
    for paper in ("a4", "letter"):
        answer = crew.get(reverse("orders-paper", args=[order.id]), {"paper": paper})
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")


def test_list_and_order_say_both_sums_and_the_work_between_them(crew, planned):
    """2 packs at 189.00 and 200.00 freight are 578.00; the list counts 150.00 of work beside: 728.00."""
    write(crew, planned, glue=2)
    order = Order.objects.get()
    assert "for the work of the order" not in page(crew, "orders-order", order.id)
    season.edit_season(planned.shop.by(), season=planned.season, changes={"an_order": 15_000})
    for text in (page(crew, "orders-order", order.id), page(crew, "orders-sheet", order.id)):
        told = re.sub(r"<[^>]+>", "", text)
        assert re.search(r"The order comes to 578\.00.*counts 728\.00.*150\.00.*more, for the work", told)
    orders.give_up_order(planned.shop.by(), order=order.id)
    told = re.sub(r"<[^>]+>", "", page(crew, "season-list", planned.season))
    assert re.search(r"The order itself comes to [\d\u202f]+\.\d\d.*counts .*150\.00.*more", told)
