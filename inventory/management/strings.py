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

from inventory import compute, roles
from inventory.compute.steps import STEPS
from inventory.errors import Refused, say

ROOM = Path(__file__).resolve().parents[1]
LOCALE = ROOM / "locale"
DOMAIN = "django"

_ONE = frozenset({"say", "_", "gettext", "gettext_lazy", "gettext_noop"})
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
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            values = [value.value for value in node.args[:2] if isinstance(value, ast.Constant)]
            texts = [value for value in values if isinstance(value, str)]
            yield from _text(ast.unparse(node.func).rpartition(".")[2], texts)


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
        if kind.__module__.startswith((compute.__name__, roles.__name__)):
            yield from (each.value for each in kind if len(each.value) > 2)
    yield from STEPS


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
