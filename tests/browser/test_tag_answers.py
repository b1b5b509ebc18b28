"""A pair is built and handed over; then its tag answers five people, each with what is theirs."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from inventory.actions import press
from inventory.compute.codes import Kind
from inventory.models import Guest, Tag
from tests.make import Shop, grams, pieces

pytestmark = pytest.mark.browser

GUEST, CONTACT = "Ida Ås", "ida@guests.example"


def code_of(thing: Any) -> str:
    return Tag.objects.get(thing_id=thing).code


@pytest.fixture
def pair(open_shop: Shop) -> dict[str, str]:
    """A pair handed over, with all its steps; the codes of pair and left ski."""
    shop = open_shop
    resin, hardener = shop.package("resin", number="N-7741-B"), shop.package("hardener", number="2606")
    blank = shop.package("blank", pieces(4), "K-33")
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    pair, left, right = shop.pair(guest=GUEST)
    Guest.objects.update(contact=CONTACT)
    cup = shop.mix(resin, hardener, 600, 180)
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(blank, pieces(1)), (cup, grams(380))])
    cycle = shop.do(
        press.record_cycle,
        press=machine,
        skis=[left, right],
        mould=None,
        set_kpa=345.0,
        set_c=70.0,
        minutes=70.0,
    ).thing
    shop.do(press.judge, cycle=cycle, passed=True, why="coldest probe 70 °C for 72 minutes")
    for ski in (left, right):
        shop.do(press.inspect, ski=ski, passed=True, why="straight")
    shop.do(press.finish, skis=[left, right])
    shop.do(press.hand_over, pair=pair)
    return {"pair": code_of(pair), "left": code_of(left)}


def words(page: Page) -> str:
    return page.get_by_role("main").inner_text()


def printed_secret(page: Page, pair: str) -> str:
    """Crew prints the record for the guest; the code on it is shown this once."""
    page.goto(f"/records/{pair}/paper/")
    page.get_by_role("button", name="Print on A4").click()
    return page.locator(".record-code strong").inner_text()


def test_a_tag_answers_five_people_each_with_what_is_theirs(phone: Any, pair: dict[str, str]) -> None:
    """Care to a stranger, the record to its owner, work to a helper and crew, all to an owner of the shop."""
    crew = phone("odd")
    secret = printed_secret(crew, pair["pair"])
    crew.goto(f"/OBJ/{pair['left']}")
    assert "N-7741-B" in words(crew)

    stranger = phone()
    stranger.goto(f"/obj/{pair['left'].lower()}")
    told = words(stranger)
    assert "Stop using them" in told
    for kept in (GUEST, CONTACT, "N-7741-B", "Press 1"):
        assert kept not in stranger.content()

    stranger.get_by_role("link", name="It is mine: open its build record").click()
    stranger.locator("[name=secret]").fill("ABCDEFGH23")
    stranger.get_by_role("main").get_by_role("button", name="Read it").click()
    expect(stranger.get_by_role("alert")).to_contain_text("not the code of this pair")
    stranger.locator("[name=secret]").fill(secret.lower())
    stranger.get_by_role("main").get_by_role("button", name="Read it").click()
    assert "Resin" in words(stranger)
    assert CONTACT not in stranger.content()

    helper = phone("sunniva")
    helper.goto(f"/OBJ/{pair['left']}")
    expect(helper.get_by_role("heading", level=1)).to_contain_text(pair["left"][:4])
    assert CONTACT not in helper.content()
    owner = phone("ragna")
    owner.goto(f"/OBJ/{pair['pair']}")
    expect(owner.get_by_role("heading", level=1)).to_contain_text(pair["pair"][:4])
    assert "N-7741-B" in words(owner)
