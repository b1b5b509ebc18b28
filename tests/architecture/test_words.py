"""One word for one thing: near words that mean the same as a word of the glossary stand in no sentence.

The words are those of inventory/docs/words.md. Judged are all texts that are collected for translation, in
code and templates, and what stands in templates outside of them.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SAYS = {"_", "gettext", "gettext_lazy", "ngettext", "say"}
BLOCK = re.compile(r"{%-? *blocktrans(?:late)?\b.*?%}(.*?){%-? *endblocktrans(?:late)? *%}", re.DOTALL)
SHORT = re.compile(r"""{%-? *trans(?:late)? +"([^"]*)\"""")
MARKUP = re.compile(r"<(script|style)\b.*?</\1>|<[^>]*>|{%.*?%}|{{.*?}}|{#.*?#}|&\w+;", re.DOTALL)

# A near word, and the word of the glossary that is used for it here.
NEAR = {
    r"skus?": "material",
    r"stock ?items?": "package",
    r"consumables?": "material",
    r"raw materials?": "material",
    r"inventory": "stock",
    r"stuff": "material",
    r"vendors?": "supplier",
    r"manufacturers?": "maker",
    r"purchase orders?": "order list",
    r"(?:batch|charge) (?:no|numbers?|codes?)": "lot number",
    r"supplier batch(?:es)?": "lot",
    r"lot codes?": "lot number",
    r"serials?(?: numbers?)?": "code, tag",
    r"barcodes?": "code",
    r"labels? numbers?": "code",
    r"assets?": "equipment",
    r"tooling": "equipment",
    r"fixtures?": "equipment",
    r"kits?": "what a pair needs",
    r"recipes?": "lay-up card",
    r"bills? of materials?": "lay-up card",
    r"boms?": "lay-up card",
    r"job cards?": "build card",
    r"work ?orders?": "build card",
    r"travell?ers?": "build card",
    r"(?:order|job) (?:no|numbers?)": "pair, its code",
    r"locations?": "place",
    r"warehouses?": "store",
    r"depots?": "store",
    r"storerooms?": "store",
    r"shel(?:f|ving) units?": "bin",
    r"totes?": "bin",
    r"caravans?": "trailer",
    r"vans?": "trailer",
    r"events? log": "what happened",
    r"transactions?": "event",
    r"audit(?: trails?| logs?)?": "history",
    r"adjustments?": "count",
    r"stock ?takes?(?:ing)?": "count",
    r"stocktaking": "count",
    r"quarantined?": "hold",
    r"blocked": "on hold",
    r"on-hold": "on hold",
    r"(?:un|re)?released?": "lift the hold, opened, passed",
    r"(?<!first )expired": "past its date",
    r"out of date": "past its date",
    r"use[- ]by": "its date",
    r"conflicts?": "disagreement",
    r"customers?": "guest",
    r"clients?": "guest",
    r"students?": "guest",
    r"participants?": "guest",
    r"attendees?": "guest",
    r"courses?": "workshop",
    r"classes": "workshop",
    r"bookings?": "seat",
    r"press(?:ing)? runs?": "press cycle",
    r"press cycles? run": "press cycle",
    r"mix(?:ing)? lots?": "resin batch",
    r"blanks? lots?": "core blank",
    r"tours? of duty": "trip",
    r"shipments?": "trip, delivery",
    r"manifests?": "load sheet",
    r"pick(?:ing)? lists?": "loading list",
    r"packing lists?": "loading list",
    r"hitch weights?": "nose weight",
    r"claims?": "warranty return",
    r"rmas?": "warranty return",
    r"dashboards?": "day sheet",
    r"home ?pages?": "day sheet",
    r"search (?:bars?|boxes|box)": "scan line",
    r"records? pages?": "dossier",
    r"go(?: |-|/)no[- ]go": "ready, not ready",
    r"log ?in": "sign in",
    r"log ?out": "sign out",
    r"users?": "person",
    r"certified": "nothing here is",
    r"% ?cured": "nothing here is",
}
FORBIDDEN = re.compile(r"\b(?:" + "|".join(NEAR) + r")\b", re.IGNORECASE)
# North America's word may stand beside the one that is used.
BESIDE = {"tongue weight": "nose weight"}

# Sentences in which the word means something else.
OTHER_SENSE = (
    "Address, number, customer number.",  # under which a supplier knows the shop
    "Give this user the right to write there, or name another folder with SHOP_DATA.",  # of the computer
    "This user may not write in the data folder {folder}.",
    "Choose another file or folder, or give this user the right to it.",
)


def words_in_code(source: str) -> Iterator[str]:
    """Every text that the code hands to a function that says something."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and ast.unparse(node.func).rpartition(".")[2] in SAYS:
            for value in node.args[:2]:
                if isinstance(value, ast.Constant) and isinstance(value.value, str):
                    yield value.value


def words_in_template(source: str) -> Iterator[str]:
    """Every text of a template: collected for translation, or plain."""
    for block in BLOCK.findall(source):
        yield " ".join(MARKUP.sub(" ", block).split())
    yield from SHORT.findall(source)
    yield " ".join(MARKUP.sub(" ", BLOCK.sub(" ", source)).split())


def complaints(text: str) -> list[str]:
    """Words of a text that are outside the glossary, each with the one to use."""
    if text in OTHER_SENSE:
        return []
    found = [match[0] for match in FORBIDDEN.finditer(text)]
    low = text.lower()
    return found + [word for word, beside in BESIDE.items() if word in low and beside not in low]


def files() -> list[Path]:
    code = [file for file in (ROOT / "inventory").rglob("*.py") if "migrations" not in file.parts]
    return sorted([*code, *(ROOT / "inventory" / "templates").rglob("*.html")])


def test_labels_and_sentences_use_the_words_of_the_glossary() -> None:
    """No near word that means the same."""
    found = []
    for file in files():
        read = words_in_template if file.suffix == ".html" else words_in_code
        for text in read(file.read_text("utf-8")):
            found += [f"{file.relative_to(ROOT)}: {word!r} in {text[:90]!r}" for word in complaints(text)]
    assert found == []


def test_sentences_with_another_sense_are_still_said() -> None:
    """An exception that nothing needs is none."""
    said = {
        said
        for file in files()
        for said in (words_in_template if file.suffix == ".html" else words_in_code)(file.read_text("utf-8"))
    }
    assert set(OTHER_SENSE) - said == set()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Scan the serial number", ["serial number"]),
        ("Move to another location", ["location"]),
        ("Move to another place", []),
        ("Lot {number} is quarantined", ["quarantined"]),
        ("Tongue weight of the trailer", ["tongue weight"]),
        ("Nose weight (North America: tongue weight)", []),
        ("The courtyard", []),
        ("First expired, first out", []),
        ("It has expired", ["expired"]),
    ],
)
def test_near_words_are_found_as_whole_words(text: str, words: list[str]) -> None:
    """Also in the middle of a sentence; never within another word."""
    assert complaints(text) == words


def test_texts_are_found_in_code_and_templates() -> None:
    """Said, translated, in blocks, with plural, and plain; not names of addresses, not markup."""
    code = 'say("One {a}.", a="no")\nx = _("Two")\nreverse("stock-open")\nRefused("stock.x", say("Three."))'
    assert set(words_in_code(code)) == {"One {a}.", "Two", "Three."}
    page = (
        '{% translate "One" %}{% blocktranslate count n=n %}Two {{ n }}{% plural %}Three'
        '{% endblocktranslate %}<p class="serial">Four</p>'
    )
    assert list(words_in_template(page)) == ["Two Three", "One", "Four"]


def test_glossary_page_names_the_words_that_stand_for_the_near_ones() -> None:
    """The words used here are on the page."""
    page = (ROOT / "inventory/docs/words.md").read_text("utf-8").lower()
    for word in (
        "material",
        "lot",
        "package",
        "place",
        "bin",
        "equipment",
        "supplier",
        "core blank",
        "hold",
        "guest",
        "press cycle",
        "resin batch",
        "disagreement",
        "day sheet",
        "scan line",
        "loading list",
        "load sheet",
        "nose weight",
        "build card",
        "dossier",
    ):
        assert word in page, word
