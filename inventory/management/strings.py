"""Every text that a face shows, collected for translation, and a language's catalogue of them.

Texts are what code hands to `say` and to Django's own functions, what templates mark, and the words of the
trade that stand in enumerations. Literals only: what is glued at run time cannot be found, and is forbidden.
"""

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path
from typing import NamedTuple

from babel.core import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

import inventory
from inventory import compute
from inventory.compute.steps import STEPS
from inventory.errors import Refused, say
from inventory.formats.qr_sheet import LABEL_SHEETS
from inventory.models.skis_back import Recall, Told
from inventory.queries import catalogue
from inventory.queries.skis_back import exposures

ROOM = Path(__file__).resolve().parents[1]
LOCALE = ROOM / "locale"
DOMAIN = "django"

_ONE = frozenset({"say", "Term", "_", "gettext", "gettext_lazy", "gettext_noop"})
_MANY = frozenset({"ngettext", "ngettext_lazy"})
_IN_CONTEXT = frozenset({"pgettext", "pgettext_lazy"})
_STRING = r"""u?('(?:\\.|[^'\\])*'|"(?:\\.|[^"\\])*")"""
_MARKED = re.compile(rf"(?<!\w)(_|n?p?gettext)\(\s*{_STRING}(?:,\s*{_STRING})?(?:,\s*{_STRING})?")


class Text(NamedTuple):
    """One text: what it is, its plural, and in which sense it is meant where one word has several."""

    one: str
    many: str = ""
    context: str = ""


def collected() -> list[Text]:
    """Every text, each once, in order."""
    found: set[Text] = set()
    for file in sorted(ROOM.rglob("*.py")):
        if "migrations" not in file.parts:
            found.update(of_code(file.read_text("utf-8")))
    for file in sorted((ROOM / "templates").rglob("*.html")):
        found.update(of_template(file.read_text("utf-8")))
    found.update(Text(word) for word in _words())
    return sorted(found)


def of_code(source: str) -> Iterator[Text]:
    """The texts of a module."""
    nodes = list(ast.walk(ast.parse(source)))
    named = _named(nodes)
    for node in nodes:
        if isinstance(node, ast.Call):
            yield from (Text(text) for text in _by_name(node, named) if text.strip())
            values = [value.value for value in node.args[:2] if isinstance(value, ast.Constant)]
            texts = [value for value in values if isinstance(value, str)]
            yield from _text(_called(node), texts)


def _called(call: ast.Call) -> str:
    """The name of what is called, without what it is an attribute of; empty for what has none."""
    function = call.func
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _named(nodes: list[ast.AST]) -> dict[str, set[str]]:
    """The texts that are given a name in a module: rules and sources often are."""
    found: dict[str, set[str]] = {}
    for node in nodes:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            found.setdefault(node.targets[0].id, set()).update(_texts(node.value, {}))
    return found


def _texts(node: ast.expr, named: dict[str, set[str]]) -> set[str]:
    """The texts an expression may be: itself, by its name, either of two."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return {node.value}
    if isinstance(node, ast.Name):
        return named.get(node.id, set())
    if isinstance(node, ast.IfExp):
        return _texts(node.body, named) | _texts(node.orelse, named)
    return set()


def _by_name(call: ast.Call, named: dict[str, set[str]]) -> Iterator[str]:
    """What is said by its name, and what a sum says of itself: names of what went in, and the rule.

    Its sources are cited, not translated.
    """
    function = _called(call)
    if function in {"Input", "How", "_job"} | _ONE:
        given = call.args[1:2] if function == "_job" else call.args[:1]
        for node in given + [each.value for each in call.keywords if each.arg in {"rule", "name"}]:
            yield from _texts(node, named)


def of_template(source: str) -> Iterator[Text]:
    """The texts of a template, as the framework itself reads them."""
    for name, *strings in _MARKED.findall(templatize(source)):
        yield from _text(
            "gettext" if name == "_" else name, [ast.literal_eval(each) for each in strings if each]
        )


def _text(function: str, texts: list[str]) -> Iterator[Text]:
    if function in _ONE and texts and texts[0]:
        yield Text(texts[0])
    elif function in _MANY and len(texts) == 2:
        yield Text(texts[0], texts[1])
    elif function in _IN_CONTEXT and len(texts) == 2:
        yield Text(texts[1], context=texts[0])


def _words() -> Iterator[str]:
    """The words of the trade: values of enumerations that have a letter beside a unit's."""
    for found in pkgutil.walk_packages(compute.__path__, f"{compute.__name__}."):
        importlib.import_module(found.name)
    for kind in StrEnum.__subclasses__():
        if kind.__module__.startswith(inventory.__name__):
            yield from (each.value for each in kind if len(each.value) > 2)
    yield from STEPS
    yield from exposures.WORDS
    yield from LABEL_SHEETS
    yield from (*Told.STATES, *Recall.AUTHORITY)
    yield from _starter()


def _starter() -> Iterator[str]:
    """What the starter list calls things, what a shop reads itself, and what is looked at."""
    entries, pieces = catalogue.starter()
    for entry in entries:
        yield from filter(None, (entry.name, entry.read_yourself))
    for piece in pieces:
        yield from (piece.name, *(what for what, _ in piece.inspections))


def write(language: str, folder: Path = LOCALE) -> tuple[Path, int, int]:
    """Write a language's catalogue: all texts, with what was translated before; and compile it.

    Returns the file to translate in, how many texts there are, and how many of them are translated.
    Refuses: words.language
    """
    try:
        Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError) as error:
        raise Refused(
            "words.language",
            say("{language} is no language.", language=language[:40]),
            say("Name it by its letters, such as nb, de or pt_BR."),
        ) from error
    file = folder / language.replace("-", "_") / "LC_MESSAGES" / f"{DOMAIN}.po"
    known = Catalog(locale=language.replace("-", "_"), domain=DOMAIN, project="Tip to Tail")
    if file.exists():
        with file.open("rb") as kept:
            known = read_po(kept, locale=language.replace("-", "_"), domain=DOMAIN)
    known.update(_template(), no_fuzzy_matching=True)
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("wb") as out:
        write_po(out, known, sort_output=True, omit_header=False, ignore_obsolete=True, width=0)
    with file.with_suffix(".mo").open("wb") as out:
        write_mo(out, known)
    texts = [message for message in known if message.id]
    return file, len(texts), sum(_done(message.string) for message in texts)


def _done(translated: object) -> bool:
    return all(translated) if isinstance(translated, tuple) else bool(translated)


def _template() -> Catalog:
    catalog = Catalog(domain=DOMAIN, project="Tip to Tail")
    for one, many, context in collected():
        catalog.add((one, many) if many else one, context=context or None)
    return catalog
