"""Drawing templates without a page of the shop, and reading markup the strict way. Knows no part by name."""

import re
from html.parser import HTMLParser
from types import SimpleNamespace

from django.http import HttpResponse
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.urls import path


def _nothing(request, **kwargs):
    return HttpResponse("")


NAMES = (
    "day",
    "scan",
    "scan-photo",
    "scan-many",
    "help",
    "help-refusals",
    "people-sign-in",
    "people-sign-out",
    "people-units",
    "stock",
    "trips",
    "bench",
    "skis-back",
    "season",
)
URLS = tuple(path(f"{name}/", _nothing, name=name) for name in NAMES)
FRAME = {
    "shop_name": "Quillfeather Ski Bench",
    "doors": [("stock", "Stock"), ("trips", "Trips"), ("bench", "Bench"), ("skis-back", "Skis back")],
    "here": "trips",
    "person": SimpleNamespace(id="019ab697", name="Ragna"),
    "role": "crew",
    "is_demo": True,
}


def drawn(source: str, **context: object) -> str:
    """A piece of template, rendered."""
    return engines["django"].from_string(source).render(context)


def page(name: str, **context: object) -> str:
    """A whole template, rendered inside the frame."""
    return render_to_string(f"inventory/{name}", FRAME | {"request": RequestFactory().get("/")} | context)


class Balanced(HTMLParser):
    """Reads markup and minds that every element is closed where it was opened."""

    VOID = frozenset({"input", "img", "br", "hr", "meta", "link", "circle", "path", "rect"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.words = ""

    def handle_starttag(self, tag, attrs):
        self.seen.add(tag)
        assert not [name for name, _ in attrs if name.startswith("on") or name == "style"]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.add(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words += data


def read(markup: str) -> Balanced:
    """The markup, read; fails when it does not nest."""
    reader = Balanced()
    reader.feed(markup)
    reader.close()
    assert not reader.open
    return reader


def sent(page: HttpResponse, form: int = 0) -> dict[str, str]:
    """What a browser would send of a page's form, untouched."""
    found = re.findall(r'<form method="post".*?</form>', page.content.decode(), re.DOTALL)[form]
    values = {}
    for tag in re.findall(r"<input[^>]*>", found):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        kind = re.search(r'type="([^"]*)"', tag)[1]
        if name and kind not in ("checkbox", "radio", "file"):
            values[name[1]] = value[1] if value else ""
    for name, body in re.findall(r'<textarea name="([^"]*)"[^>]*>(.*?)</textarea>', found, re.DOTALL):
        values[name] = body.removeprefix("\n")
    for name, body in re.findall(r'<select name="([^"]*)"[^>]*>(.*?)</select>', found, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', body)
        values[name] = chosen[1] if chosen else re.search(r'<option value="([^"]*)"', body)[1]
    return values
