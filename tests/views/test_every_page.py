"""Every page that links lead to: valid HTML, light, its references whole. Two of each sort, for each role."""

import re
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.contrib.staticfiles import finders
from django.test import Client
from tinyhtml5.parser import HTMLParser

from inventory.actions import people
from tests import crawl
from tests.make import Shop

HEAVIEST = 150_000  # bytes a page with everything it asks for, unpacked; the house's own bound
FILES = re.compile(r'(?:src|href)="/static/([^"?]+)')
OWN_FORM = re.compile(r'<main.*<form method="post"(?![^>]*action).*</main>', re.DOTALL)
IDS = re.compile(r'\sid="([^"]+)"')
POINTS = re.compile(r'\s(?:for|aria-describedby|aria-labelledby|aria-controls)="([^"]+)"')


def errors(markup: str) -> list[str]:
    """What a parser of the HTML standard's own algorithm complains of.

    Outside check: tinyhtml5, which follows the parsing rules of the WHATWG HTML standard (section 13.2).
    """
    parser = HTMLParser()
    parser.parse(markup)
    return [f"line {place[0]}: {name} {more}" for place, name, more in parser.errors]


def weight(markup: str) -> int:
    """Bytes of the page and of every file it asks for."""
    files = {finders.find(name) for name in FILES.findall(markup)}
    return len(markup.encode()) + sum(Path(str(file)).stat().st_size for file in files)


def loose(markup: str) -> list[str]:
    """Ids given twice, and references to ids that are not there."""
    ids = IDS.findall(markup)
    twice = [id for id in ids if ids.count(id) > 1]
    return twice + [id for many in POINTS.findall(markup) for id in many.split() if id not in ids]


@pytest.mark.parametrize("who", ["owner", "helper"])
def test_every_page_is_valid_light_and_whole(who, client: Client, db):
    """No page that a link leads to fails, refuses the one it was offered to, or nests wrongly."""
    shop = Shop(at=crawl.begun())
    crawl.fill(shop)
    people.give_way_in(person=getattr(shop, who), username="someone", password="feather and quill")
    client.force_login(get_user_model().objects.get(username="someone"))
    found: list[str] = []
    count = 0

    def get(address: str) -> tuple[str, object]:
        answer = client.get(address)
        html = answer.get("Content-Type", "").startswith("text/html")
        return (answer.content.decode() if html else ""), answer

    forms: list[str] = []
    for address, markup, answer in crawl.pages(get, more=crawl.PRICED if who == "owner" else ()):
        count += 1
        forms += [address] * bool(OWN_FORM.search(markup))
        if answer.status_code not in {200, 302}:
            found.append(f"{address} answers {answer.status_code}")
        found += [f"{address}: {error}" for error in errors(markup)]
        found += [f"{address}: id {id}" for id in loose(markup)]
        if weight(markup) > HEAVIEST:
            found.append(f"{address} weighs {weight(markup)} bytes")
    refused = 0
    for address in forms:  # sent empty, at the end: some are no more than a tap, and do what they say
        answer = client.post(address, {"sent": "1"})
        if answer.status_code == 422:
            refused += 1
            markup = answer.content.decode()
            found += [f"{address}, refused: {wrong}" for wrong in (*errors(markup), *loose(markup))]
    assert found == [], "\n".join(found)
    assert (count > 30, refused > 10) == (True, True)


@pytest.mark.parametrize("address", ["/", *(first for first in crawl.FIRST if first != "/")])
def test_first_pages_of_an_empty_shop_are_valid(address, client: Client, shop: Shop):
    """Nothing is in the books but the owner: each says so, in markup that nests."""
    people.give_way_in(person=shop.owner, username="someone", password="feather and quill")
    client.force_login(get_user_model().objects.get(username="someone"))
    markup = client.get(address).content.decode()
    assert errors(markup) + loose(markup) == []


@pytest.mark.parametrize(
    ("body", "wrong"),
    [
        ("<p>one</p>", False),
        ("<p><div>one</div></p>", True),
        ('<p class="a" class="b">one</p>', True),
        ("<table><p>one</p></table>", True),
        ("<a href='/'><a href='/'>one</a></a>", True),
    ],
)
def test_errors_are_found_where_markup_is_wrong(body, wrong):
    """The check itself fails on what is wrong."""
    assert (
        bool(errors(f"<!doctype html><html><head><title>x</title></head><body>{body}</body></html>")) is wrong
    )


def test_loose_ends_are_found():
    """An id twice, a label for nothing."""
    assert loose('<p id="a"></p><p id="a"></p>') == ["a", "a"]
    assert loose('<label for="b"></label>') == ["b"]
    assert loose('<label for="b"></label><input id="b">') == []
