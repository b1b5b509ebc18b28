"""Pages with nothing in them, and forms that were refused: no barrier by axe-core, light and dark.

What is looked for, and how, stands in `test_every_page`.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from inventory.actions import papers
from inventory.compute.units import Base
from inventory.models import Paper
from inventory.queries import papers as queries
from tests import crawl
from tests.browser.test_every_page import both_themes
from tests.crawl_states import picture
from tests.make import Shop

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


def test_pages_of_an_empty_shop_have_no_barrier(phone: Callable[..., Page]) -> None:
    """Nothing in the books but the people."""
    page, found = phone("ragna"), []
    for address in (*crawl.FIRST, *crawl.PRICED, *DOORS):
        page.goto(address)
        found += both_themes(page)
    assert found == [], "\n".join(found)


def test_paper_whose_file_is_gone_says_so_without_a_barrier(
    phone: Callable[..., Page], open_shop: Shop, settings: Any, tmp_path: Path
) -> None:
    """A file to save is no page; where it is gone, one says that."""
    settings.DATA_FOLDER = tmp_path
    file = papers.keep(picture("JPEG"), what="certificate")
    open_shop.do(papers.attach, about=open_shop.material("resin", Base.MG), file=file)
    page = phone("ragna")
    address = f"/papers/{Paper.objects.get().id}/show/"
    assert page.request.get(address).headers["content-type"] == "image/jpeg"
    queries.path(file.sha256).unlink()
    assert page.goto(address).status == 404
    assert both_themes(page) == []


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
