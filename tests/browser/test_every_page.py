"""Every page that links lead to: on a phone no barrier and nothing cut off at its side; on a desk lines of a
length to read, and figures under the head of their column.

Outside check: axe-core, at WCAG 2.0 to 2.2, levels A and AA; in the dark theme its contrast rule, the one
that can differ. Contrast is measured as WCAG has it (1.4.3).
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import resolve
from playwright.sync_api import Page

from tests import crawl
from tests.architecture.addresses import addresses
from tests.browser.conftest import PHONE
from tests.make import Shop

pytestmark = pytest.mark.browser
LEVELS = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
IN_THE_DARK = {"runOnly": ["color-contrast"]}
NARROW = {"width": 360, "height": 800}
DESK = {"width": 1440, "height": 900}
# Only what is wrong is gathered and handed over: all that axe knows of a page takes three times as long.
FIND = """options => axe.run(options)
  .then((found) => found.violations.map((bad) => [bad.id, bad.nodes[0].html]))"""
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
    if page.evaluate("typeof axe") == "undefined":
        page.evaluate(Axe().axe_script)
    found = page.evaluate(FIND, {**options, "resultTypes": ["violations"]})
    return [f"{rule}: {markup[:160]}" for rule, markup in found]


def both_themes(page: Page) -> list[str]:
    """What axe finds on the page as it stands, in light and in dark."""
    found = []
    for theme, options in (("light", LEVELS), ("dark", IN_THE_DARK)):
        page.emulate_media(color_scheme=theme)
        found += [f"{page.url} {theme} {bad}" for bad in barriers(page, options)]
    return found


def looked_at(page: Page) -> list[str]:
    """The same with every fold open, what is cut off where it is narrow, and what a desk makes too wide."""
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    found = both_themes(page)
    page.set_viewport_size(NARROW)
    wide = page.evaluate("document.documentElement.scrollWidth")
    if wide > NARROW["width"]:
        found.append(f"{page.url} is {wide} px wide")
    found += [f"{page.url} cuts off {part}" for part in page.evaluate(CUT_OFF)[:1]]
    page.set_viewport_size(DESK)
    wide = page.evaluate("document.documentElement.scrollWidth")
    if wide > DESK["width"]:
        found.append(f"{page.url} is {wide} px wide on a desk")
    found += [f"{page.url} has lines too long: {part}" for part in page.evaluate(TOO_LONG)[:1]]
    found += [f"{page.url} has a figure askew: {part}" for part in page.evaluate(ASKEW)[:1]]
    page.set_viewport_size(PHONE)
    return found


def names_of(half: int) -> set[str]:
    """Every other sort of page by the alphabet: neighbours weigh alike."""
    names = sorted(str(address.name) for address in addresses() if address.name not in crawl.NO_PAGE)
    return {*names[half::2]} - crawl.ELSEWHERE.keys()


@pytest.mark.parametrize("half", [0, 1], ids=["one half", "the other"])
def test_every_page_on_phone_and_desk_has_no_barrier_in_light_and_dark(
    phone: Callable[..., Page], open_shop: Shop, half: int, settings: Any, tmp_path: Path
) -> None:
    """The owner walks to one page of every sort, and of every state there is; of the other half only the
    links are read. Signed out at the end: what somebody outside may open.
    """
    settings.DATA_FOLDER = tmp_path
    open_shop.at = crawl.begun()
    page, mine, found, count = phone("ragna"), names_of(half), [], 0
    states = crawl.fill(open_shop)

    def get(address: str) -> tuple[str, object]:
        nonlocal count
        if resolve(address.split("?")[0]).url_name not in mine:
            answer = page.request.get(address)
            html = answer.headers.get("content-type", "").startswith("text/html")
            return (answer.text() if html else ""), answer
        page.goto(address)
        count += 1
        markup = page.content()
        found.extend(looked_at(page))
        return markup, page

    for _ in crawl.pages(get, each=1, more=(*crawl.PRICED, *states)):
        pass
    page.context.clear_cookies()
    for address in crawl.outside()[half::2]:
        page.goto(address)
        found += looked_at(page)
    assert found == [], "\n".join(found)
    assert count > 90
