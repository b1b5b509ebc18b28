"""The door Stock on a phone with a hand scanner: a tag, a place, an amount for all a hand can pick up."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from inventory.compute.codes import Code, Kind
from inventory.compute.units import Base
from inventory.models import Balance, Event, State, Tag
from inventory.queries import ledger
from inventory.queries.books import differences
from tests.make import Shop

pytestmark = pytest.mark.browser

LOTS = (
    ("Resin", "N-7741-B", "2 x 5 kg"),
    ("Hardener", "2606", "1,5 kg"),
    ("Edge", "E-9", "50 m"),
    ("Glass", "TX750 / 0318", "40 m2"),
    ("Blank", "K-33", "12"),
)
BASES = {"Resin": Base.MG, "Hardener": Base.MG, "Edge": Base.MM, "Glass": Base.MM2, "Blank": Base.PIECE}


def scan(page: Page, text: str) -> None:
    """A hand scanner types, then sends Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def codes_of(number: str) -> list[str]:
    """The codes of the packages of one lot, as printed."""
    rows = Tag.objects.filter(thing__package__lot__number=number, thing__state__isnull=False)
    return sorted(rows.values_list("code", flat=True))


def left(code: str) -> int:
    return Balance.objects.get(thing__tags__code=code).amount


def place_of(code: str) -> str:
    state = State.objects.get(thing__tags__code=code)
    return Tag.objects.get(thing_id=state.place_id).code


@pytest.fixture
def rooms(open_shop: Shop) -> dict[str, str]:
    """A store with a bin, and a trailer with a zone; cards of five materials."""
    for name, base in BASES.items():
        open_shop.material(name.lower(), base)
    store = open_shop.place(Kind.STORE, "the Loft")
    trailer = open_shop.place(Kind.TRAILER, "Stoat")
    made = {
        "bin": open_shop.place(Kind.BIN, "bin 7", store),
        "zone": open_shop.place(Kind.ZONE, "zone 2", trailer),
    }
    return {name: Tag.objects.get(thing_id=thing).code for name, thing in made.items()}


def receive(page: Page) -> None:
    page.goto("/stock/receive/")
    for row, (material, number, packages) in enumerate(LOTS, 1):
        if row > 1:
            press(page, "One more lot came")
        end = "" if row == 1 else f"_{row}"
        page.locator(f"[name=material{end}]").select_option(material)
        page.locator(f"[name=number{end}]").fill(number)
        page.locator(f"[name=packages{end}]").fill(packages)
    press(page, "Receive")
    expect(page.get_by_role("status")).to_contain_text("Print the tags")


def test_a_delivery_is_received_tagged_put_away_and_used_by_scan(
    phone: Any, open_shop: Shop, rooms: dict[str, str]
) -> None:
    """Five lots in; a bin into a trailer; a jug opened and split; a count, a hold, a mistake undone."""
    page = phone("ragna")
    receive(page)
    codes = page.get_by_label("Codes").input_value().split()
    assert len(codes) == 6
    sheet = page.request.get(
        "/tags/sheet/", params={"codes": " ".join(codes), "use": "package", "paper": "A4"}
    )
    assert sheet.body().startswith(b"%PDF")

    page.goto("/places/move/")
    page.get_by_label("Scan what to move").focus()
    for code in codes:
        scan(page, code)
    page.get_by_label("Scan where it goes").fill(rooms["bin"])
    press(page, "Move")
    expect(page.get_by_role("status")).to_contain_text("Moved to")
    page.goto("/places/move/")
    page.get_by_label("Scan what to move").focus()
    scan(page, rooms["bin"])
    page.get_by_label("Scan where it goes").fill(rooms["zone"])
    press(page, "Move")
    assert place_of(rooms["bin"]) == rooms["zone"]
    jug, other = codes_of("N-7741-B")
    assert place_of(jug) == rooms["bin"]

    page.goto("/")
    scan(page, f"HTTPS://QFB.EXAMPLE/OBJ/{jug}")
    expect(page.get_by_role("heading", level=1)).to_contain_text(Code(jug).shown)
    press(page, "Open it now")
    page.goto(f"/stock/{jug}/split/")
    page.get_by_label("How much goes into the smaller one").fill("500 g")
    press(page, "Split")
    assert left(jug) == 4_500_000

    page.goto(f"/places/{rooms['bin']}/count/")
    thing = Tag.objects.get(code=other).thing_id
    page.locator(f"[name=amount_{thing}]").fill("4860 g")
    press(page, "That is what is there")
    assert left(other) == 4_860_000

    page.goto(f"/thing/{other}/")
    page.get_by_role("main").get_by_role("link", name="Hold", exact=True).click()
    page.get_by_label("What is wrong").fill("cloudy")
    press(page, "Hold")
    page.goto(f"/stock/{other}/draw/")
    page.get_by_label("How much").fill("10 g")
    press(page, "Take out")
    expect(page.get_by_role("alert")).to_contain_text("on hold")

    page.goto(f"/stock/{jug}/draw/")
    page.get_by_label("How much").fill("100 g")
    press(page, "Take out")
    assert left(jug) == 4_400_000
    page.get_by_role("status").get_by_role("button", name="Take it back").click()
    assert left(jug) == 4_500_000
    assert Event.objects.filter(step="reversed").count() == 1
    assert ledger.open_disagreements().count() == 0
    assert list(differences()) == []
