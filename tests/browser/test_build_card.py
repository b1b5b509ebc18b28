"""A guest is booked, a ski is designed, its card is printed on one side, and its first steps are recorded."""

import subprocess
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from inventory.actions import layups
from inventory.compute.units import Base
from inventory.models import Tag
from tests.make import Shop

pytestmark = pytest.mark.django_db(transaction=True)


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def one_side(page: Page, file: Path) -> bool:
    """True when the page prints on one side of the paper its own style asks for; counted by poppler."""
    page.pdf(path=file, prefer_css_page_size=True)
    told = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    return int(told.split("Pages:")[1].split()[0]) == 1


def test_a_child_is_booked_and_the_card_says_what_others_do(
    phone: Any, open_shop: Shop, tmp_path: Path
) -> None:
    """By thumb alone, from the empty bench to the card."""
    for key, base in (("base", Base.MM2), ("glass", Base.MM2), ("blank", Base.PIECE)):
        open_shop.material(key, base)
    rows = [
        {"material": key, "kind": kind, "plies": 1, "extent": "whole ski"}
        for key, kind in (("base", "sheet"), ("glass", "sheet"), ("blank", "piece"), ("glass", "sheet"))
    ]
    open_shop.do(layups.make_layup, name="Two plies", layers=rows)
    page = phone("ragna")
    page.goto("/builds/plan/")
    page.locator("[name=name]").fill("Kvitskard")
    page.get_by_label("First day").fill("2027-02-05")
    page.get_by_label("Last day").fill("2027-02-06")
    page.get_by_label("Seats").fill("4")
    press(page, "Plan it")
    page.get_by_role("link", name="Book a seat").click()
    page.locator("[name=name]").fill("Jonas")
    page.locator("[name=age_band]").select_option("under 12")
    press(page, "Book it")
    expect(page.get_by_text("3 seats are open.")).to_be_visible()
    workshop = page.url

    page.locator(".notes").get_by_role("link", name="Book a pair").click()
    page.get_by_label("Length, mm").fill("1400")
    press(page, "Book")
    code = Tag.objects.get(thing__kind="pair").code
    page.goto(f"/builds/{code}/design/")
    for label, width in (("Tip width", "112"), ("Waist width", "78"), ("Tail width", "98")):
        page.get_by_label(label).fill(width)
    page.get_by_label("Lay-up card").select_option(label="Two plies")
    press(page, "Keep")
    expect(page.get_by_role("img", name="The ski from above, and its layers from the side")).to_be_visible()
    expect(page.get_by_text("Radius by the measuring rule")).to_be_visible()
    page.get_by_text("How we got this").first.click()
    expect(page.get_by_text("FIS measuring rule for the sidecut radius").first).to_be_visible()

    for paper in ("A4", "Letter"):
        page.goto(f"/builds/{code}/card/")
        page.get_by_role("link", name=f"Print on {paper}").click()
        expect(page.get_by_role("img", name="Tag of")).to_be_visible()
        expect(page.get_by_role("img", name="Tag of")).not_to_have_js_property("naturalWidth", 0)
        assert one_side(page, tmp_path / f"{paper}.pdf")

    page.goto(f"/builds/{code}/step/base-cut/")
    page.get_by_label("Whose hands").select_option(label="the guest, Jonas")
    press(page, "It is done")
    expect(page.get_by_role("alert")).to_contain_text("nobody under 18 does it")
    page.get_by_label("Whose hands").select_option(label="Odd Fether")
    press(page, "It is done")
    expect(page.get_by_role("link", name="Next: Edges fitted")).to_be_visible()
    page.goto(workshop)
    expect(page.get_by_text("Waits for: Edges fitted.")).to_be_visible()
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= 390
