"""Name, path, view and template of a page agree, so that one gives the other three."""

import ast
import importlib
import re
from pathlib import Path

import pytest

from tests.architecture.addresses import Address, addresses

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = ROOT / "inventory" / "templates"

# The exceptions, each with its reason.
OTHER_PATH = {
    "day": "",  # the first page
    "help-page": "help/<path:page>/",  # the pages themselves are the verb
    "public-tag": "<obj:obj>/<str:code>",  # printed on every tag, as short as can be
}
OTHER_TEMPLATE = {"day": "inventory/day.html"}  # a topic of one page
NO_PAGE = {
    "people-sign-out",  # leads on to signing in
    "people-end",  # a button; leads back
    "people-device-out",  # a button; leads back
    "books-undo",  # a button; leads back
    "stock-open",  # a button; leads back
    "papers-withdraw",  # a button; leads back
    "recalls-authority",  # a button; leads back
    "recalls-add",  # a button; leads back
    "tags-sheet",  # a PDF
    "builds-tag",  # a picture
    "artwork-file",  # a file to save
    "layups-drop",  # a button; leads back
    "pressing-judge",  # a button; leads back
    "thing-data",  # JSON
    "loggers-stop",  # a button; leads on
    "sheets-take",  # a button; leads back
    "sheets-template",  # a file to save
    "sheets-out",  # a file to save
    "season-accept",  # a button; leads back
    "season-calendar",  # a file to save
    "trips-calendar",  # a file to save
    "orders-paper",  # a PDF
    "orders-end",  # a button; leads back
    "orders-give-up",  # a button; leads back
    "scan-frame",  # answers a script
    "scan-send",  # answers a script
    "usage-accept",  # a button; leads back
    "usage-drop",  # a button; leads back
    "shop-clock",  # a button; leads back
    "road-arrive",  # a button; leads back
    "road-come-home",  # a button; leads back
    "road-not-here",  # a button; leads back
    "tags-stick",  # leads on to replacing
}


def place(name: str) -> tuple[str, str]:
    """The topic and the verb of a name; a name of one word is a topic's own page."""
    topics = sorted(
        (file.stem for file in (ROOT / "inventory/views").glob("[!_]*.py")), key=len, reverse=True
    )
    plain = name.replace("-", "_")
    for topic in topics:
        if plain == topic:
            return topic, topic
        if plain.startswith(topic + "_"):
            return topic, plain.removeprefix(topic + "_")
    return plain, ""


def template(name: str) -> str:
    """The template of a name."""
    topic, verb = place(name)
    return OTHER_TEMPLATE.get(name, f"inventory/{topic}/{verb.replace('_', '-')}.html")


def named_in_code() -> set[str]:
    """Template names in the faces, also as `f"inventory/parts/{part}.html"`, and in the templates."""
    found = set()
    for folder in ("views", "templatetags", "tables"):
        for file in (ROOT / "inventory" / folder).rglob("*.py"):
            nodes = list(ast.walk(ast.parse(file.read_text("utf-8"))))
            texts = {
                node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)
            }
            frames = [node for node in nodes if isinstance(node, ast.JoinedStr) and len(node.values) == 3]
            for frame in frames:
                before, _, after = frame.values
                if isinstance(before, ast.Constant) and isinstance(after, ast.Constant):
                    texts |= {f"{before.value}{text}{after.value}" for text in tuple(texts)}
            found |= texts
    for file in TEMPLATES.rglob("*.html"):
        found |= set(re.findall(r'{% (?:extends|include) "([^"]+)"', file.read_text("utf-8")))
    return found


named = pytest.mark.parametrize("address", addresses(), ids=lambda address: address.name or address.route)


@named
def test_address_has_the_path_of_its_name(address: Address) -> None:
    """`stock-split` is /stock/.../split/, whatever values stand between."""
    assert address.name, f"/{address.route} has no name"
    if address.name in OTHER_PATH:
        assert address.route == OTHER_PATH[address.name]
    else:
        assert "-".join(address.words) == address.name
        assert address.route.endswith("/")


@named
def test_address_calls_the_view_of_its_name(address: Address) -> None:
    """`stock-split` calls `views.stock.split`."""
    topic, verb = place(address.name or "")
    module = importlib.import_module(f"inventory.views.{topic}")
    assert getattr(module, verb, None) is address.view


@named
def test_address_shows_the_template_of_its_name(address: Address) -> None:
    """`stock-split` shows `inventory/stock/split.html`, and its view's module names it."""
    if address.name in NO_PAGE:
        return
    topic, _ = place(address.name or "")
    expected = template(address.name or "")
    assert (TEMPLATES / expected).is_file()
    source = (ROOT / "inventory/views" / f"{topic}.py").read_text("utf-8")
    assert f'"{expected}"' in source


def test_names_are_given_once() -> None:
    """No two addresses share a name or a path."""
    for what in ([a.name for a in addresses()], [a.route for a in addresses()]):
        assert sorted(what) == sorted(set(what))


def test_exceptions_are_still_needed() -> None:
    """A name in a list of exceptions exists, and is one."""
    by_name = {address.name: address for address in addresses()}
    assert {*OTHER_PATH, *OTHER_TEMPLATE, *NO_PAGE} <= set(by_name)
    for name in OTHER_PATH:
        assert "-".join(by_name[name].words) != name
    for name in NO_PAGE:
        assert not (TEMPLATES / template(name)).exists()


def test_templates_are_all_used() -> None:
    """Every template is a page of an address, or named by a view, a part or another template."""
    pages = {template(address.name or "") for address in addresses()}
    there = {file.relative_to(TEMPLATES).as_posix() for file in TEMPLATES.rglob("*.html")}
    found_by_name = {
        "404.html",
        "500.html",
        "403.html",
        "400.html",
        "403_csrf.html",
    }  # the framework's own names
    assert there - pages - named_in_code() - found_by_name == set()
