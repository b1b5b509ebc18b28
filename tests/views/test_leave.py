"""Lists of pairs, seats, lay-ups and people leave as sheets: what the role may see, and harmless there."""

import csv
import io

import pytest
from openpyxl import load_workbook

from inventory.actions import builds, layups
from inventory.models import Guest
from tests.make import Shop, day
from tests.views import whole_shop

pytestmark = pytest.mark.django_db

RUNS = '=HYPERLINK("http://away.example","Ida")'


def rows(answer) -> list[dict[str, str]]:
    assert answer["Content-Disposition"].startswith("attachment")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.fixture
def whole(shop: Shop) -> whole_shop.Whole:
    found = whole_shop.fill(shop)
    days = {"starts_on": day("2027-02-05"), "ends_on": day("2027-02-06")}
    workshop = shop.do(builds.plan_workshop, name="Kvitskard", capacity=3, **days).thing
    guest = shop.do(
        builds.book_seat, workshop=workshop, name=RUNS, age_band="18 to 64", contact="ida@guests.example"
    ).things[1]
    shop.do(builds.book_pair, workshop=workshop, of=guest, length_mm=1840)
    shop.do(layups.make_layup, name="Two plies", layers=[])
    found.values["workshop"] = [str(workshop)]
    return found


def test_lists_of_the_bench_leave_as_csv_and_xlsx_with_the_same_rows(whole, client):
    """The same pairs on both sheets as openpyxl and the csv module read them; lengths are numbers."""
    whole.sign_in(client, "helper")
    for address in ("/bench/?", f"/builds/{whole.values['workshop'][0]}/workshop/?list=pairs&"):
        page = client.get(address.rstrip("?&"))
        assert "file=xlsx" in page.content.decode()
        plain = rows(client.get(f"{address}file=csv"))
        sheet = load_workbook(io.BytesIO(client.get(f"{address}file=xlsx").content)).active
        head, *cells = sheet.iter_rows(values_only=True)
        assert list(head) == list(plain[0])
        assert len(cells) == len(plain) > 0
        own = next(row for row in cells if row[head.index("Guest")] == RUNS)
        assert own[head.index("Length, mm")] == 1840
        assert own[head.index("First day")].date() == day("2027-02-05")
        assert own[head.index("Waits for")] == "Core blank glued"


def test_a_guests_name_that_a_spreadsheet_would_run_leaves_harmless(whole, client):
    """OWASP, "CSV Injection": no cell begins with =, +, - or @; in the workbook it is text, no formula."""
    whole.sign_in(client, "crew")
    seats = f"/builds/{whole.values['workshop'][0]}/workshop/?list=seats&file="
    (row,) = rows(client.get(f"{seats}csv"))
    assert row["Guest"] == f"'{RUNS}"
    cell = load_workbook(io.BytesIO(client.get(f"{seats}xlsx").content)).active["A2"]
    assert (cell.value, cell.data_type) == (RUNS, "s")


def test_seats_leave_with_contacts_for_crew_and_without_for_a_helper(whole, client):
    """A column that a role may not see is not on the sheet at all."""
    address = f"/builds/{whole.values['workshop'][0]}/workshop/?list=seats&file=csv"
    whole.sign_in(client, "crew")
    assert rows(client.get(address))[0]["Contact"] == "ida@guests.example"
    whole.sign_in(client, "helper")
    answer = client.get(address)
    assert list(rows(answer)[0]) == ["Guest", "Age band", "State"]
    assert b"ida@guests.example" not in answer.content


def test_people_and_lay_ups_leave_and_only_to_whom_their_pages_open(whole, client):
    """The sheet is the page in another form: the same door."""
    whole.sign_in(client, "crew")
    assert client.get("/people/?file=csv").status_code == 403
    assert [row["Lay-up card"] for row in rows(client.get("/layups/?file=csv"))] == ["Two plies"]
    whole.sign_in(client, "owner")
    names = [row["Name"] for row in rows(client.get("/people/?file=csv"))]
    assert names == ["Odd Fether", "Ragna Quill", "Sunniva Lid"]


def test_a_list_nobody_offers_is_the_page_itself(whole, client):
    """A garbled address opens the page; no file comes of it."""
    whole.sign_in(client, "owner")
    address = f"/builds/{whole.values['workshop'][0]}/workshop/"
    for query in ("?file=csv", "?file=exe&list=seats", "?file=csv&list=guests"):
        assert client.get(address + query)["Content-Type"].startswith("text/html")
    assert Guest.objects.count() == 2
