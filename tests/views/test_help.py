"""The help pages, as a stranger and a crew without internet meet them."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from inventory.queries import help as queries

pytestmark = pytest.mark.django_db


def every_page() -> list[str]:
    """The addresses of all help pages there are."""
    folders = ("", "decisions", "refusals")
    pages = [
        reverse("help-page", kwargs={"page": entry.path})
        for folder in folders
        for entry in queries.pages(folder)
    ]
    return [reverse("help"), reverse("help-refusals"), reverse("help-rules"), *pages]


def test_help_when_opened_lists_every_page_and_each_link_leads_somewhere(client: Client) -> None:
    """Every page of the docs is found from /help/, and no link on any help page is dead."""
    seen: set[str] = set()
    todo = [reverse("help")]
    ids: dict[str, set[str]] = {}
    links: list[tuple[str, str, str]] = []
    while todo:
        page = todo.pop()
        if page in seen:
            continue
        seen.add(page)
        answer = client.get(page)
        assert answer.status_code == 200, page
        text = answer.content.decode()
        ids[page] = set(re.findall(r' id="([^"]+)"', text))
        for target, part in re.findall(r'href="([^"#]*)(?:#([^"]*))?"', text):
            to = target or page
            if to.startswith(reverse("help")):
                links.append((page, to, part))
                todo.append(to)
    assert set(every_page()) <= seen
    assert [(page, to, part) for page, to, part in links if part and part not in ids[to]] == []


@pytest.mark.parametrize(
    "page", ["nowhere", "../settings", "decisions", "<script>alert(1)</script>", "x" * 5_000]
)
def test_help_page_when_there_is_none_lists_the_pages_and_says_so(client: Client, page: str) -> None:
    """What is not there answers 404 with the list and what was asked, harmless; what is there, 200."""
    assert client.get(reverse("help-page", kwargs={"page": "words"})).status_code == 200
    answer = client.get(reverse("help-page", kwargs={"page": page}))
    assert answer.status_code == 404
    text = answer.content.decode()
    assert "There is no help page" in text
    assert reverse("help-page", kwargs={"page": "words"}) in text
    assert "<script>alert" not in text
    assert len(text) < 20_000


def test_help_pages_when_read_have_one_heading_and_nothing_inline(client: Client) -> None:
    """Markup made from the docs keeps to the strict content policy and to one first heading."""
    for page in every_page():
        text = client.get(page).content.decode()
        assert text.count("<h1") == 1, page
        assert not re.search(r"<style|style=|<script(?![^>]*src=)|\son\w+=|javascript:", text), page


def test_help_refusals_when_read_have_a_place_for_every_code(client: Client) -> None:
    """A refusal can be looked up by its code; a code that is none shows the list of rooms."""
    listed = client.get(reverse("help-refusals")).content.decode()
    groups = queries.refusals(root="/help/")
    assert sum(len(group.refusals) for group in groups) > 500
    for group in groups:
        assert f'href="/help/{group.path}/"' in listed
        text = client.get(reverse("help-refusals"), {"code": group.refusals[-1].code}).content.decode()
        for refusal in group.refusals:
            assert f'id="{refusal.code}"' in text
    assert client.get(reverse("help-refusals"), {"code": "no.such"}).content.decode() == listed


def test_help_rules_when_read_show_formula_and_source(client: Client) -> None:
    """The check character's rule, as its function states it."""
    assert 'href="/help/rules/?room=codes"' in client.get(reverse("help-rules")).content.decode()
    text = client.get(reverse("help-rules"), {"room": "codes"}).content.decode()
    assert 'id="codes.check_character"' in text
    assert "c = (2c + v) mod 37" in text
    assert "ISO/IEC 7064:2003" in text
