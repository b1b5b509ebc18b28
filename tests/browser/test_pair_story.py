"""A pair's whole way on a phone: booked, designed, built by its card, handed over, and what its tag answers.

Outside checks: the paper's sides are counted by poppler; barriers by axe-core.
"""

import subprocess
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from inventory.actions import build_steps, layups, materials, press
from inventory.compute.build_steps import JOBS, STEPS_MOST
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.models import Tag
from inventory.queries import build_steps as lists
from inventory.queries.books import differences
from tests.bench_world import rated_press
from tests.browser.conftest import tick_all
from tests.make import Shop, metres, pieces
from tests.press_runs import BLADDERS

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GUEST, CONTACT = "Jonas Ås", "jonas@guests.example"
KEPT = (GUEST, CONTACT, "N-7741-B", "Press 1")  # from a stranger


def press_(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def code_of(thing: Any) -> str:
    return Tag.objects.get(thing_id=thing).code


def one_side(page: Page, file: Path) -> bool:
    """True when the page prints on one side of the paper its own style asks for."""
    page.pdf(path=file, prefer_css_page_size=True)
    told = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    return int(told.split("Pages:")[1].split()[0]) == 1


@pytest.fixture
def bench(open_shop: Shop) -> dict[str, str]:
    """What a pair is built of, and where: codes by name. A lay-up card."""
    shop = open_shop
    things = {
        "resin": shop.package("resin", number="N-7741-B"),
        "hardener": shop.package("hardener", number="2606"),
        "blank": shop.package("blank", pieces(4), "K-33"),
        "edge": shop.package("edge", metres(50), "E-9"),
        "glass": shop.package("glass", Amount(40_000_000, Base.MM2), "TX750 / 0318"),
        "base": shop.package("base", Amount(9_000_000, Base.MM2), "B-2"),
        "press": rated_press(shop, **BLADDERS),
        "mould": shop.do(press.put_equipment_into_use, kind=Kind.MOULD, name="Mould 140").thing,
    }
    ratio = {"hardener_per_hundred": 30.0, "resin_id": shop.names["resin"]}
    shop.do(materials.edit_material, material=shop.names["hardener"], changes=ratio)
    kinds = (("base", "sheet"), ("glass", "sheet"), ("blank", "piece"), ("glass", "sheet"))
    rows = [{"material": key, "kind": kind, "plies": 1, "extent": "whole ski"} for key, kind in kinds]
    wet = {"kind": "taken up by fabric", "plies": 2, "g_m2": 750, "hardener": "hardener"}
    rows.append({"material": "resin", "extent": "whole ski", **wet})
    shop.do(layups.make_layup, name="Two plies", layers=rows)
    return {name: code_of(thing) for name, thing in things.items()}


def book_and_design(page: Page) -> str:
    """A workshop, a child's seat, the pair, its spec. The pair's code."""
    page.goto("/builds/plan/")
    page.locator("[name=name]").fill("Kvitskard")
    page.get_by_label("First day").fill("2027-02-05")
    page.get_by_label("Last day").fill("2027-02-06")
    page.get_by_label("Seats").fill("4")
    press_(page, "Plan it")
    page.get_by_role("link", name="Book a seat").click()
    page.locator("[name=name]").fill(GUEST)
    page.locator("[name=age_band]").select_option("under 12")
    page.locator("[name=contact]").fill(CONTACT)
    press_(page, "Book it")
    expect(page.get_by_text("3 seats are open.")).to_be_visible()
    page.locator(".notes").get_by_role("link", name="Book a pair").click()
    page.get_by_label("Length, mm").fill("1400")
    press_(page, "Book")
    code = Tag.objects.get(thing__kind="pair").code
    page.goto(f"/builds/{code}/design/")
    for label, width in (("Tip width", "112"), ("Waist width", "78"), ("Tail width", "98")):
        page.get_by_label(label).fill(width)
    page.get_by_label("Lay-up card").select_option(label="Two plies")
    press_(page, "Keep")
    expect(page.get_by_role("img", name="The ski from above, and its layers from the side")).to_be_visible()
    return code


def print_the_card(page: Page, code: str, folder: Path, shop: Shop) -> None:
    """With as many steps as a card may have; then the shop leaves out what it does not do."""
    for number in range(STEPS_MOST - len(JOBS)):
        shop.do(build_steps.add_step, label=f"A step of the shop's own, {number}", who="anyone", after="wax")
    for paper in ("A4", "Letter"):
        page.goto(f"/builds/{code}/card/")
        page.get_by_role("link", name=f"Print on {paper}").click()
        expect(page.get_by_role("img", name="Tag of")).not_to_have_js_property("naturalWidth", 0)
        assert one_side(page, folder / f"{paper}.pdf")
    left_out = ("blank-glued", "moisture-read", "profiled", "sidewalls", "dry-fit")
    for step in (*left_out, *(job.key for job in lists.jobs() if job.key.startswith("own-"))):
        shop.do(build_steps.change_step, step=step, changes={"ended": True})
    page.goto(f"/builds/{code}/card/")


def go_on(page: Page, step: str) -> None:
    """The one large button of the card."""
    page.get_by_role("link", name=f"Next: {step}", exact=True).click()


def ticks(page: Page, *steps: str) -> None:
    """Steps recorded on the card's own page, the recorder's hands."""
    for step in steps:
        go_on(page, step)
        press_(page, "It is done")
        expect(page.get_by_role("status")).to_contain_text("Recorded.")


def the_child_is_refused_at_the_router(page: Page) -> None:
    go_on(page, "Base cut")
    page.get_by_label("Whose hands").select_option(label=f"the guest, {GUEST}")
    press_(page, "It is done")
    expect(page.get_by_role("alert")).to_contain_text("nobody under 18 does it")
    page.get_by_label("Whose hands").select_option(label="Odd Fether")
    press_(page, "It is done")


def mix_and_lay_up(page: Page, card: str, bench: dict[str, str], skis: list[str]) -> None:
    """One cup for both, refused while it is far off; each ski by itself."""
    go_on(page, "Mix")
    for label, value in (("air_c", "20"), ("humidity_pct", "45"), ("surface_c", "18"), ("total", "781 g")):
        page.locator(f"[name={label}]").fill(value)
    page.get_by_role("radio", name="no", exact=True).check()
    press_(page, "What to pour")
    page.get_by_label("Scan the resin").fill(bench["resin"])
    page.get_by_label("Resin, as weighed").fill("600 g")
    page.get_by_label("Scan the hardener").fill(bench["hardener"])
    page.get_by_label("Hardener, as weighed").fill("216")
    press_(page, "Record the cup")
    expect(page.get_by_role("alert")).to_be_visible()
    page.get_by_label("Hardener, as weighed").fill("181")
    press_(page, "Record the cup")
    expect(page.get_by_role("status")).to_contain_text("Mixed.")
    cup = Tag.objects.get(thing__kind="resin batch").code
    page.goto(card)
    go_on(page, "Lay-up")
    for ski in skis:
        expect(page.get_by_role("heading", level=1)).to_contain_text(ski[:4])
        for what in ("base", "glass", "blank", "glass", cup):
            page.get_by_label("Scan the next layer").fill(bench.get(what, what))
            press_(page, "Lay it")
    expect(page.get_by_role("status")).to_contain_text("Laid up.")


def press_and_judge(page: Page, card: str, bench: dict[str, str]) -> None:
    page.goto(card)
    go_on(page, "Press")
    page.get_by_label("Scan the press").fill(bench["press"])
    page.get_by_label("Scan the mould").fill(bench["mould"])
    press_(page, "Set points")
    for name, value in (("set_kpa", "275"), ("set_c", "70"), ("minutes", "70")):
        page.locator(f"[name={name}]").fill(value)
    tick_all(page)
    press_(page, "It is closed")
    page.goto(card)
    page.get_by_role("link", name="Hand over", exact=True).click()
    press_(page, "Hand over")
    expect(page.get_by_role("alert")).to_contain_text("no press verdict")
    page.goto(card)
    go_on(page, "Cool")
    tick_all(page)
    press_(page, "All seen: it was opened")
    go_on(page, "Judge the press cycle")
    page.get_by_label("passes", exact=True).check()
    page.get_by_label("What was seen").fill("70 °C for 72 minutes at the coldest probe")
    press_(page, "Record the verdict")
    page.goto(card)


def inspect_and_hand_over(page: Page) -> None:
    go_on(page, "Inspect")
    for _ in range(2):
        page.get_by_label("passes", exact=True).check()
        page.get_by_label("What was seen").fill("straight")
        press_(page, "Record the inspection")
    go_on(page, "Hand over")
    press_(page, "Hand over")
    expect(page.get_by_role("status")).to_contain_text("Handed over.")


def words(page: Page) -> str:
    return page.get_by_role("main").inner_text()


def the_tag_answers_five_people(phone: Any, crew: Page, pair: str, left: str) -> None:
    """Care to a stranger, the record to its owner, work to a helper and crew, all to an owner of the shop."""
    crew.goto(f"/records/{pair}/paper/")
    crew.get_by_role("button", name="Print on A4").click()
    secret = crew.locator(".record-code strong").inner_text()
    crew.goto(f"/OBJ/{left}")
    assert all(word in words(crew) for word in ("N-7741-B", "2606", "K-33", "TX750 / 0318", "Press 1"))
    assert Axe().run(crew).violations_count == 0

    stranger = phone()
    stranger.goto(f"/obj/{left.lower()}")
    assert "1400" in words(stranger)
    assert "Stop using them" in words(stranger)
    assert not any(kept in stranger.content() for kept in KEPT)
    assert Axe().run(stranger).violations_count == 0
    stranger.get_by_role("link", name="It is mine: open its build record").click()
    stranger.locator("[name=secret]").fill("ABCDEFGH23")
    press_(stranger, "Read it")
    expect(stranger.get_by_role("alert")).to_contain_text("not the code of this pair")
    stranger.locator("[name=secret]").fill(secret.lower())
    press_(stranger, "Read it")
    assert "Resin" in words(stranger)
    assert CONTACT not in stranger.content()

    helper = phone("sunniva")
    helper.goto(f"/OBJ/{left}")
    expect(helper.get_by_role("heading", level=1)).to_contain_text(left[:4])
    assert CONTACT not in helper.content()
    owner = phone("ragna")
    owner.goto(f"/OBJ/{pair}")
    expect(owner.get_by_role("heading", level=1)).to_contain_text(pair[:4])
    assert "N-7741-B" in words(owner)


def test_a_pair_from_the_booking_to_the_answers_of_its_tag(
    phone: Any, open_shop: Shop, bench: dict[str, str], tmp_path: Path
) -> None:
    """Crew walks the whole card by its next step; nothing is typed into an address bar but the card's own."""
    page = phone("odd")
    pair = book_and_design(page)
    card = f"/builds/{pair}/card/"
    skis = [
        Tag.objects.get(thing__ski__side=side, thing__ski__pair__thing__tags__code=pair).code
        for side in ("left", "right")
    ]
    print_the_card(page, pair, tmp_path, open_shop)
    the_child_is_refused_at_the_router(page)
    ticks(page, "Edges fitted", "Core shaped", "Surfaces abraded and wiped")
    mix_and_lay_up(page, card, bench, skis)
    press_and_judge(page, card, bench)
    ticks(page, "Trim", "Grind", "Wax, cold, edges covered")
    go_on(page, "Measure")
    for mass in ("1820", "1790 g"):
        page.get_by_label("Mass").fill(mass)
        press_(page, "Measured")
    inspect_and_hand_over(page)
    done = words(page)
    assert "Next:" not in done
    assert done.count("Odd Fether") >= 14
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    the_tag_answers_five_people(phone, page, pair, skis[0])
    lot = Tag.objects.get(thing__lot__number="N-7741-B").code
    page.goto(f"/thing/{lot}/")
    assert all(f"{ski[:4]}-{ski[4:]}" in words(page) for ski in skis)
    assert list(differences()) == []
