"""Every page that links lead to: valid HTML, light, its references whole. Two of each sort, for each role."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.contrib.auth import get_user_model
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import resolve
from tinyhtml5.parser import HTMLParser

from inventory.actions import people
from inventory.actions import shop as shop_actions
from tests import crawl
from tests.make import Shop
from tests.views.us_units import metric_left

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


def seen_by(
    client: Client, shop: Shop, person: UUID, more: tuple[str, ...]
) -> Iterator[tuple[str, str, Any]]:
    """Every page that this person's links lead to."""
    people.give_way_in(person=person, username="someone", password="feather and quill")
    client.force_login(get_user_model().objects.get(username="someone"))

    def get(address: str) -> tuple[str, Any]:
        answer = client.get(address)
        return crawl.markup_of(answer), answer

    return crawl.pages(get, more=more)


def wrong(address: str, markup: str, answer: Any) -> list[str]:
    """What is wrong with a page."""
    expected = {404} if address.startswith(crawl.NOTHING_BEHIND) else {200, 302}
    found = [f"answers {answer.status_code}"] if answer.status_code not in expected else []
    found += errors(markup) + [f"id {id}" for id in loose(markup)]
    if weight(markup) > HEAVIEST:
        found.append(f"weighs {weight(markup)} bytes")
    return [f"{address}: {each}" for each in found]


@pytest.mark.parametrize("who", ["owner", "helper"])
def test_every_page_is_valid_light_whole_and_in_its_readers_units(
    who, client: Client, db, settings, tmp_path
):
    """No page that a link leads to fails, refuses the one it was offered to, or nests wrongly.

    The owner reads US units, the helper metric ones; and the owner's walk, with what somebody outside may
    open, sees every page there is.
    """
    settings.DATA_FOLDER = tmp_path
    shop = Shop(at=crawl.begun())
    states, found, forms = crawl.fill(shop), [], {}
    person, more = (shop.owner, (*crawl.PRICED, *states)) if who == "owner" else (shop.helper, ())
    if who == "owner":
        shop.do(shop_actions.choose_units, units="us")
    walked = list(seen_by(client, shop, person, more))
    for address, markup, answer in walked:
        if OWN_FORM.search(markup):
            forms.setdefault(resolve(address.split("?")[0]).url_name, address)
        found += wrong(address, markup, answer)
        found += metric_left(address, markup) if who == "owner" else []
    refused = 0
    for (
        address
    ) in forms.values():  # sent empty, at the end: some are no more than a tap, and do what they say
        answer = client.post(address, {"sent": "1"})
        if answer.status_code == 422:
            refused += 1
            markup = answer.content.decode()
            found += [f"{address}, refused: {each}" for each in (*errors(markup), *loose(markup))]
    if who == "owner":
        client.logout()
        outside = crawl.outside()
        for address in outside:
            answer = client.get(address)
            found += wrong(address, answer.content.decode(), answer)
        found += crawl.unseen([address for address, _, _ in walked] + [*outside])
    assert found == [], "\n".join(found)
    assert (len(walked) > 30, refused > 10) == (True, True)


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
