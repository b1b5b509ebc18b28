"""Pages with nothing in them, and forms that were refused: no barrier by axe-core, light and dark.

What is looked for, and how, stands in `test_every_page`.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests import crawl
from tests.browser.test_every_page import IN_THE_DARK, LEVELS, barriers

pytestmark = pytest.mark.browser
DOORS = (
    "/stock/",
    "/bench/",
    "/skis-back/",
    "/season/",
    "/materials/",
    "/places/",
    "/equipment/",
    "/people/",
)
FORMS = (
    "/materials/make/",
    "/places/make/",
    "/trips/plan/",
    "/builds/plan/",
    "/season/make/",
    "/skis-back/log/",
)
SEND = "form => { form.noValidate = true; form.requestSubmit(); }"


def both_themes(page: Page) -> list[str]:
    """What axe finds on the page as it stands."""
    found = []
    for theme, options in (("light", LEVELS), ("dark", IN_THE_DARK)):
        page.emulate_media(color_scheme=theme)
        found += [f"{page.url} {theme} {bad}" for bad in barriers(page, options)]
    return found


def test_pages_of_an_empty_shop_have_no_barrier(phone: Callable[..., Page]) -> None:
    """Nothing in the books but the people."""
    page, found = phone("ragna"), []
    for address in (*crawl.FIRST, *crawl.PRICED, *DOORS):
        page.goto(address)
        found += both_themes(page)
    assert found == [], "\n".join(found)


def test_forms_that_were_refused_have_no_barrier(phone: Callable[..., Page]) -> None:
    """Sent empty: the page stays, and what it complains of can be read by everybody."""
    page, found = phone("ragna"), []
    for address in FORMS:
        page.goto(address)
        with page.expect_navigation():
            page.locator("main form[method=post]").first.evaluate(SEND)
        assert page.locator(".has-wrong, .refusal").count() > 0, address
        found += both_themes(page)
    assert found == [], "\n".join(found)
