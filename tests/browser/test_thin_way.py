"""A lot comes in, a pair goes out, a tag answers: walked on a phone, from sign-in to the trace of the ski."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from inventory.models import Event, Package, Tag
from inventory.queries.books import differences
from tests.make import Shop

pytestmark = pytest.mark.browser

MATERIALS = (
    ("Slow resin", "resin", "weight (g, kg, oz, lb)", "N-7741-B", "2 x 5 kg"),
    ("Slow hardener", "hardener", "weight (g, kg, oz, lb)", "2606", "1,5 kg"),
    ("Ash and poplar blank", "core blank", "pieces", "K-33", "12"),
    ("Steel edge", "edge", "length (m, ft)", "E-9", "50 m"),
    ("Glass 750", "glass", "area (m², ft²)", "TX750 / 0318", "40 m2"),
    ("Base sheet", "base sheet", "length (m, ft)", "B-2", "50 m"),
)


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def scan(page: Page, text: str) -> None:
    """A hand scanner types, then sends Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def code_of(purpose: str) -> str:
    package = Package.objects.filter(lot__material__purpose=purpose).order_by("thing_id").first()
    return Tag.objects.get(thing=package.thing).code


def born(step: str, kind: str) -> str:
    event = Event.objects.filter(step=step).latest("clock")
    return Tag.objects.get(thing__lines__event=event, thing__kind=kind, thing__lines__role="output").code


def receive_everything(page: Page) -> None:
    for name, used_as, kept_by, number, packages in MATERIALS:
        page.goto("/materials/make/")
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_label("Kept by").select_option(kept_by)
        page.get_by_label("Used as").select_option(used_as)
        press(page, "Make the card")
        page.goto("/stock/receive/")
        page.get_by_label("Material").select_option(name)
        page.get_by_label("Lot number, as printed").fill(number)
        page.get_by_label("Packages").fill(packages)
        press(page, "Receive")
        expect(page.get_by_role("status")).to_contain_text("Print the tags")


def tags_are_a_sheet(page: Page) -> None:
    codes = page.get_by_label("Codes").input_value().split()
    answer = page.request.get(
        "/tags/sheet/", params={"codes": " ".join(codes), "use": "package", "paper": "A4"}
    )
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF")


def lay_up(page: Page, ski: str, batch: str, amount: str) -> None:
    page.goto("/press/lay-up/")
    page.get_by_label("Scan the ski").focus()
    scan(page, ski)
    rows = [("blank", ""), (batch, amount), ("edge", "3,7 m"), ("glass", "0.43 m2"), ("base", "1.9 m")]
    for number, (what, how_much) in enumerate(rows, 1):
        code = what if len(what) == 8 else code_of(what)
        page.locator(f"[name=thing_{number}]").fill(code)
        page.locator(f"[name=amount_{number}]").fill(how_much)
    press(page, "Laid up")
    expect(page.get_by_role("status")).to_contain_text("Laid up.")


@pytest.fixture
def equipped(open_shop: Shop) -> dict[str, str]:
    """A press, a mould, a bin in the store."""
    from inventory.actions import press as actions
    from inventory.compute.codes import Kind

    store = open_shop.place(Kind.STORE, "the Loft")
    things = {
        "bin": open_shop.place(Kind.BIN, "bin 1", store),
        "press": open_shop.do(actions.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing,
        "mould": open_shop.do(actions.put_equipment_into_use, kind=Kind.MOULD, name="Mould 184").thing,
    }
    return {name: Tag.objects.get(thing_id=thing).code for name, thing in things.items()}


def test_the_thin_way_on_a_phone(phone: Any, equipped: dict[str, str]) -> None:
    """Six lots in, a pair out; its code gives lots, batch, blank and cycle, and a lot gives its skis."""
    page = phone("ragna")
    receive_everything(page)
    tags_are_a_sheet(page)

    page.goto("/places/move/")
    page.get_by_label("Scan what to move").focus()
    for purpose in ("resin", "hardener"):
        scan(page, code_of(purpose))
    page.get_by_label("Scan where it goes").fill(equipped["bin"])
    press(page, "Move")
    expect(page.get_by_role("status")).to_contain_text("Moved.")

    page.goto("/builds/book/")
    page.get_by_label("New guest's name").fill("Ida <b>Ås</b>")
    page.get_by_label("Length, mm").fill("1840")
    press(page, "Book")
    pair, (left, right) = (
        born("put into use", "pair"),
        sorted(Tag.objects.filter(thing__kind="ski").values_list("code", flat=True)),
    )

    page.goto("/press/mix/")
    page.get_by_label("Scan the resin").focus()
    scan(page, code_of("resin"))
    page.keyboard.type("600 g")
    page.get_by_label("Scan the hardener").focus()
    scan(page, code_of("hardener"))
    page.keyboard.type("216")
    page.get_by_label("Hardener to 100 g of resin, g").fill("30")
    press(page, "Record the cup")
    expect(
        page.get_by_role("alert")
    ).to_be_visible()  # 20 % too much hardener: refused, and all still entered
    page.get_by_label("Hardener, as weighed").fill("181")
    press(page, "Record the cup")
    batch = born("mixed", "resin batch")
    for ski, amount in ((left, "390 g"), (right, "385 g")):
        lay_up(page, ski, batch, amount)

    page.goto("/press/cycle/")
    page.get_by_label("Scan the press").focus()
    scan(page, equipped["press"])
    scan(page, equipped["mould"])
    scan(page, left)
    scan(page, right)
    page.get_by_label("Pressure set, kPa").fill("345")
    page.get_by_label("Temperature set, °C").fill("70")
    page.get_by_label("Time at it, minutes").fill("70")
    press(page, "Record the cycle")
    cycle = Tag.objects.get(thing__kind="press cycle").code

    page.goto(f"/press/hand-over/?pair={pair}")
    press(page, "Hand over")
    expect(page.get_by_role("alert")).to_contain_text("no press verdict")

    page.goto(f"/press/judge/?cycle={cycle}")
    page.get_by_label("passes", exact=True).check()
    page.get_by_label("What was seen").fill("70 °C for 72 minutes at the coldest probe")
    press(page, "Record the verdict")
    for ski in (left, right):
        page.goto(f"/press/inspect/?ski={ski}")
        page.get_by_label("passes", exact=True).check()
        page.get_by_label("What was seen").fill("straight")
        press(page, "Record the inspection")
    page.goto(f"/press/finish/?skis={left}%0A{right}")
    press(page, "Finished")
    page.goto(f"/press/hand-over/?pair={pair}")
    press(page, "Hand over")
    expect(page.get_by_role("status")).to_contain_text("Handed over.")

    page.goto("/")
    scan(page, f"{left[:4]}-{left[4:]}".lower())
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"{left[:4]}-{left[4:]}")
    main = page.get_by_role("main")
    for words in ("N-7741-B", "2606", "K-33", "TX750 / 0318", batch[:4], cycle[:4], "Press 1", "Mould 184"):
        expect(main).to_contain_text(words)
    assert Axe().run(page).violations_count == 0
    lot = Tag.objects.get(thing__lot__number="N-7741-B").code
    page.goto(f"/thing/{lot}/")
    for ski in (left, right):
        expect(page.get_by_role("main")).to_contain_text(f"{ski[:4]}-{ski[4:]}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert list(differences()) == []


def test_a_stranger_scans_a_ski_and_sees_no_name(phone: Any, open_shop: Shop) -> None:
    """The address on the tag, in upper case as printed: what it is and its care; nobody's name, no stock."""
    _, left, _ = open_shop.pair(guest="Ida Ås")
    code = Tag.objects.get(thing_id=left).code
    page = phone()
    page.goto(f"/OBJ/{code}")
    expect(page.get_by_role("main")).to_contain_text("1840")
    assert "Ida" not in page.content()
    assert Axe().run(page).violations_count == 0


def test_a_misread_tag_says_what_is_wrong(phone: Any, open_shop: Shop) -> None:
    """One character wrong: the scan line says so, and keeps what was typed in view."""
    page = phone("sunniva")
    page.get_by_label("Scan or type a code or a name").focus()
    scan(page, "SA8KJ2MX")
    expect(page.get_by_role("alert")).to_contain_text("one character is wrong or two are swapped")


def test_a_helper_gets_no_page_that_is_not_theirs(phone: Any, open_shop: Shop) -> None:
    """Receiving is for crew and owners; the page says so in words."""
    page = phone("sunniva")
    answer = page.goto("/stock/receive/")
    assert answer.status == 403
    expect(page.get_by_role("alert")).to_contain_text("someone else's role")
