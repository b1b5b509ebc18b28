"""Every page that links lead to: on a phone no barrier and nothing cut off at its side; on a desk lines of a
length to read, and figures under the head of their column.

Outside check: axe-core, at WCAG 2.0 to 2.2, levels A and AA; in the dark theme its contrast rule, the one
that can differ. Contrast is measured as WCAG has it (1.4.3).
"""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests import crawl
from tests.browser.conftest import PHONE
from tests.make import Shop

pytestmark = pytest.mark.browser
LEVELS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
IN_THE_DARK = {"runOnly": ["color-contrast"]}
NARROW = {"width": 360, "height": 800}
DESK = {"width": 1440, "height": 900}
# What may be wider than the page, and is moved sideways within itself: long drawings, and code to be copied.
CUT_OFF = """() => [...document.querySelectorAll('main *')]
  .filter((e) => e.checkVisibility() && !e.closest('.flow, pre, svg, .unseen, article table'))
  .filter((e) => e.getBoundingClientRect().right > innerWidth + 1)
  .map((e) => e.outerHTML.slice(0, 100))"""

# Text of several lines that are longer than the measure of the stylesheet.
TOO_LONG = """() => [...document.querySelectorAll('main :is(p, li, dd, figcaption)')]
  .filter((e) => e.checkVisibility() && !e.closest('table, svg') && e.clientHeight > 40)
  .filter((e) => [...e.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
  .filter((e) => e.clientWidth > 44.5 * parseFloat(getComputedStyle(document.documentElement).fontSize))
  .map((e) => e.outerHTML.slice(0, 100))"""
# Cells whose side is not that of the head of their column.
ASKEW = """() => [...document.querySelectorAll('main table')].flatMap((table) => {
  const heads = [...(table.tHead?.rows[0]?.cells ?? [])].map((e) => getComputedStyle(e).textAlign);
  return [...table.tBodies].flatMap((body) => [...body.rows]).flatMap((row) => [...row.cells].filter(
    (cell, at) => row.cells.length === heads.length && getComputedStyle(cell).textAlign !== heads[at]));
}).map((e) => e.outerHTML.slice(0, 100))"""


def barriers(page: Page, options: dict[str, list[str]]) -> list[str]:
    """What axe finds, a line each."""
    found = Axe().run(page, options=options).response["violations"]
    return [f"{bad['id']}: {bad['nodes'][0]['html'][:160]}" for bad in found]


@pytest.mark.parametrize("half", [0, 1], ids=["one half", "the other"])
def test_every_page_on_phone_and_desk_has_no_barrier_in_light_and_dark(
    phone: Callable[..., Page], open_shop: Shop, half: int
) -> None:
    """The owner walks to one page of every sort; pages are found by reading, and only then opened."""
    open_shop.at = crawl.begun()
    page = phone("ragna")
    crawl.fill(open_shop)
    found: list[str] = []

    def get(address: str) -> tuple[str, object]:
        answer = page.request.get(address)
        html = answer.headers.get("content-type", "").startswith("text/html")
        return (answer.text() if html else ""), answer

    addresses = [address for address, _, _ in crawl.pages(get, each=1)]
    mine = sorted(addresses, key=lambda address: address.split("/")[1])[half::2]
    for address in mine:
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        for theme, options in (("light", LEVELS), ("dark", IN_THE_DARK)):
            page.emulate_media(color_scheme=theme)
            found += [f"{address} {theme} {bad}" for bad in barriers(page, options)]
        page.set_viewport_size(NARROW)
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > NARROW["width"]:
            found.append(f"{address} is {wide} px wide")
        found += [f"{address} cuts off {part}" for part in page.evaluate(CUT_OFF)[:1]]
        page.set_viewport_size(DESK)
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > DESK["width"]:
            found.append(f"{address} is {wide} px wide on a desk")
        found += [f"{address} has lines too long: {part}" for part in page.evaluate(TOO_LONG)[:1]]
        found += [f"{address} has a figure askew: {part}" for part in page.evaluate(ASKEW)[:1]]
        page.set_viewport_size(PHONE)
    assert found == [], "\n".join(found)
    assert len(mine) > 50
