"""The catalogue of texts: what is collected, and a made-up language in which every label of a page changes.

Outside checks: the framework's own reader of templates; Babel, a general library, writes the catalogue, and
Python's own gettext reads it.
"""

import ast
import errno
import gettext
import os
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.urls import resolve

from inventory.actions import people
from inventory.management import strings
from inventory.management.base import language
from inventory.management.strings import ROOM, Text, of_code, of_template
from inventory.models.cards import CARDS
from inventory.queries import zones
from tests import crawl
from tests.make import Shop, refused
from tests.management.running import run

HOLE = re.compile(r"(\{[^}]*\}|%\(\w+\)[sd]|<[^>]+>)")
MADE_UP = "eo"  # its letters are free here: no page is written in it
SAID = ("say", "gettext", "gettext_lazy", "_")


def changed(text: str) -> str:
    """The text in the made-up language: every letter outside of its holes is another."""
    return "".join(
        part if HOLE.fullmatch(part) else re.sub(r"[A-Za-z]", "ж", part) for part in HOLE.split(text)
    )


def test_collected_holds_sentences_labels_plurals_and_words_of_the_trade() -> None:
    """From code, from templates, from enumerations; what another file only names is not in it."""
    found = {text.one: text for text in strings.collected()}
    assert "Nothing needs you today." in found  # a template's
    assert "{count} codes were scanned this week and led to nothing." in found  # said
    assert "resin batch" in found  # a kind of thing
    assert any(text.many for text in found.values())
    assert "trips-plan" not in found


def test_texts_are_read_as_the_framework_reads_them() -> None:
    """One, several, in a sense of its own, over two lines."""
    page = (
        '{% load i18n %}{% translate "A ‘b’" %}{% translate "of" context "a pair" %}'
        "{% blocktranslate count n=n %}One {{ n }}{% plural %}{{ n }} more{% endblocktranslate %}"
    )
    assert set(of_template(page)) == {
        Text("A ‘b’"),
        Text("of", context="a pair"),
        Text("One %(n)s", "%(n)s more"),
    }
    code = 'say("One {a}." " Two.", a=1); _("Three"); ngettext("x", "xs", 2); pgettext("a", "y"); f("no")'
    wanted = {Text("One {a}. Two."), Text("Three"), Text("x", "xs"), Text("y", context="a")}
    assert set(of_code(code)) == wanted


def test_sentences_are_literals_so_that_each_can_be_translated() -> None:
    """A template that is put together while it runs could not be found."""
    found = []
    for file in ROOM.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            said = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAID
            if said and node.args and isinstance(node.args[0], ast.JoinedStr | ast.BinOp):
                found.append(f"{file.name}: {ast.unparse(node)[:80]}")
    assert found == []


def test_words_written_twice_keep_what_was_translated(tmp_path: Path) -> None:
    """A second run adds and drops, and leaves a translation alone; Python can read what is compiled.

    Letters that name no language are refused; Brazilian Portuguese is one.
    """
    with refused("words.language", "xx_nothing"):
        strings.write("xx_nothing", tmp_path)
    file, texts, done = strings.write("pt_BR", tmp_path)
    assert file.parts[-3] == "pt_BR"
    assert (texts > 1000, done) == (True, 0)
    text = file.read_text("utf-8")
    file.write_text(
        text.replace('msgid "Day sheet"\nmsgstr ""', 'msgid "Day sheet"\nmsgstr "Dagsark"'), "utf-8"
    )
    assert strings.write("pt_BR", tmp_path)[2] == 1
    assert file.read_text("utf-8").count("Dagsark") == 1
    with file.with_suffix(".mo").open("rb") as compiled:
        assert gettext.GNUTranslations(compiled).gettext("Day sheet") == "Dagsark"


@pytest.fixture(scope="module")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the catalogue of the made-up language."""
    folder = tmp_path_factory.mktemp("locale")
    file, _, _ = strings.write(MADE_UP, folder)
    _translate(file)
    return folder


class Visible(HTMLParser):
    """The texts of a page that a person reads, but what is the shop's own: names, codes, units, numbers."""

    OWN = {"code", "small", "script", "style", "title", "cite", "textarea"}
    VOID = {"input", "img", "br", "hr", "meta", "link", "path", "circle", "rect", "line"}

    def __init__(self) -> None:
        super().__init__()
        self.open: list[bool] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        label = given.get("aria-label") or given.get("placeholder")
        if label and not (self.open and self.open[-1]):
            self.texts.append(label)
        if tag not in self.VOID:
            own = tag in self.OWN or given.get("dir") == "auto" or "chip" in (given.get("class") or "")
            self.open.append(own or bool(self.open and self.open[-1]))

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID and self.open:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if not (self.open and self.open[-1]):
            self.texts.append(data)


WRITTEN = ("/help/",)  # pages of prose, translated as a whole: what stands round them is on every page
DATA = (
    *("CSV", "XLSX", "QFB", "EUR", "HTTPS", "English", "US", "TAG.EXAMPLE", "ragna"),
    *(
        "http://testserver/",
        "PDF",
        "Letter",
        "kPa",
        "bar",
        "psi",
        "l/min",
        "min",
        "CMYK",
        "RGB",
        "UTC",
        "III",
        "Europe/Oslo",
    ),
)
NAMED = ("material", "place", "person", "shop", "guest", "workshop", "trip", "equipment", "supplier", "layup")
OWN = (*((card, "name") for card in NAMED), ("lot", "number"), ("inspection", "what"), ("inspection", "who"))
CODES = re.compile(r"\b[A-Z0-9]{4}-?[A-Z0-9]{4}\b")
FIELDS = re.compile(r' name="((?!csrf|token)[^"]+)"')
ZONES = frozenset(zones.choices())
MONTH = "(Jan|Feb|Mar|Apr|Ma[yj]|Jun|Jul|A[uŭ]g|Sep|O[ck]t|Nov|Dec)"
MONTHS = re.compile(rf"\d+ {MONTH}[a-z]* \d{{4}}|^\s*{MONTH}\s*$", re.IGNORECASE)


@pytest.mark.django_db
def test_every_label_of_every_page_changes_in_a_made_up_language(
    shop: Shop, settings, tmp_path: Path, made_up: Path
) -> None:
    """What stays English on them was not handed to translation."""
    settings.LOCALE_PATHS = [str(made_up)]
    settings.LANGUAGES = [("en", "English"), (MADE_UP, "made up")]
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    shop.at = crawl.begun()
    settings.DATA_FOLDER = tmp_path
    states = crawl.fill(shop)
    client = Client(headers={"accept-language": MADE_UP})
    client.force_login(User.objects.get(username="ragna"))
    left, asked, count, refused_ = [], {}, 0, 0

    def get(address: str) -> tuple[str, HttpResponse]:
        answer = client.get(address)
        return crawl.markup_of(answer), answer

    for address, markup, answer in crawl.pages(get, each=1, more=(*crawl.PRICED, *states)):
        if answer.status_code == 200 and not address.startswith(WRITTEN):
            count += 1
            left += [f"{address}: {text}" for text in _english(markup)]
            for form in _own_form(markup):
                asked.setdefault(resolve(address.split("?")[0]).url_name, (address, FIELDS.findall(form)))
    for address, names in asked.values():  # one of a sort: the same form in another state says the same
        for sent in ("", "x" * 400, "-1"):
            answer = client.post(address, dict.fromkeys(names, sent))
            refused_ += answer.status_code == 422
            left += [f"{address}: {text}" for text in _complaints(answer.content.decode())]
    assert left == [], "\n".join(left)
    assert (count > 100, refused_ > 100) == (True, True)


def _own_form(markup: str) -> list[str]:
    """The form of a page that is sent to the page itself."""
    main = markup.partition("<main")[2].partition("</main>")[0]
    return re.findall(r'<form method="post"(?![^>]*action)[^>]*>.*?</form>', main, re.DOTALL)[:1]


def _complaints(markup: str) -> list[str]:
    """What a form says of its fields in no made-up word."""
    found = re.findall(r'class="wrong"[^>]*>(.*?)</ul>', markup, re.DOTALL)
    return _left([re.sub("<[^>]+>", " ", text).replace("x" * 20, "") for text in found])


def _english(markup: str) -> list[str]:
    page = Visible()
    page.feed(markup)
    assert "ж" in "".join(page.texts)
    return _left(page.texts)


def _left(texts: list[str]) -> list[str]:
    """What of these is neither made up nor the shop's own."""
    own = [name for card, field in OWN for name in CARDS[card].objects.values_list(field, flat=True) if name]
    texts = [CODES.sub("", text) for text in texts if text.strip() not in ZONES]  # a code may hold US or EUR
    for known in sorted([*DATA, *own], key=len, reverse=True):
        texts = [text.replace(known, "") for text in texts]
    texts = [MONTHS.sub("", text) for text in texts]
    return [text.strip() for text in texts if re.search(r"[A-Za-z]{3}", text)]


def _translate(file: Path) -> None:
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    with file.open("rb") as kept:
        catalog = read_po(kept, locale=MADE_UP)
    for message in catalog:
        if message.id:
            many = isinstance(message.id, tuple)
            message.string = tuple(changed(each) for each in message.id) if many else changed(message.id)
    with file.with_suffix(".mo").open("wb") as out:
        write_mo(out, catalog)


def test_terminal_speaks_the_language_it_asks_for_where_there_is_one(
    shop: Shop, settings, tmp_path: Path, made_up: Path, monkeypatch
) -> None:
    """Refused and done, on both streams; a language that nobody translated into is answered in English."""
    settings.LOCALE_PATHS = [str(made_up)]
    settings.LANGUAGES = [("en", "English"), (MADE_UP, "made up")]
    settings.DATA_FOLDER = tmp_path
    commands = (("check_ledger",), ("restore", tmp_path / "none"), ("trace", "SA8K-J2MT"))
    for asked, changes in (("eo_XX.UTF-8", True), ("xx", False), ("", False)):
        monkeypatch.setenv("LC_ALL", asked)
        monkeypatch.delenv("LANG", raising=False)
        for command in commands:
            ran = run(*command)
            said = ran.out + ran.err
            for given in (f"{tmp_path}/none", str(tmp_path), "SA8K-J2MT", os.strerror(errno.ENOENT)):
                said = said.replace(given, "")
            assert said.strip()
            assert ("ж" in said) is changes, (command, said)
            assert not (changes and re.search("[A-Za-z]{4}", said)), (command, said)


@pytest.mark.parametrize(
    ("environment", "wanted"),
    [
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LC_ALL": "C", "LANG": "de_DE"}, "en"),
        ({"LC_MESSAGES": "pt_BR", "LANG": "de"}, "pt-br"),
        ({"LC_ALL": "de_AT@euro"}, "de"),
        ({}, "en"),
    ],
)
def test_terminals_language_is_read_in_the_published_order(environment, wanted, settings) -> None:
    """POSIX.1-2017, section 8.2: LC_ALL outranks LC_MESSAGES, and that LANG (from memory)."""
    settings.LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("pt-br", "Português")]
    assert language(environment) == wanted
