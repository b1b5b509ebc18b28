"""The pages of inventory/docs, the refusals named there, and the rules the pure rooms state of themselves.

Reads files of the app and docstrings of `compute`; knows no table, no request, no address but the one given.
Only files that were found beneath inventory/docs are ever opened, so no path leads out of it.
"""

import importlib
import inspect
import pkgutil
import posixpath
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from markdown import Markdown

from inventory import compute

DOCS = Path(__file__).resolve().parent.parent / "docs"
LABELS = ("Formula", "Units", "Shapes", "Refuses", "Source", "Caution")

_SECTION = re.compile(r'<h2 id="([^"]+)">(.+?)</h2>')
_TITLE = re.compile(r"\A# +(.+)$", re.MULTILINE)
_REFUSAL = re.compile(r"^- \*\*([a-z_]+\.[a-z_0-9]+)\*\* +(.+)$", re.MULTILINE)
_LINK = re.compile(r"\]\(([^):/#][^):#]*)\.md(#[^)]*)?\)")  # from one file of the docs to another
_FUNCTIONS = re.compile(r" \(`[a-z_]+\.[a-z_]+`(?:, `[a-z_]+\.[a-z_]+`)*\)")
_LABEL = re.compile(rf"^({'|'.join(LABELS)}): *", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Entry:
    """A page in the list of pages."""

    path: str
    title: str


@dataclass(frozen=True, slots=True)
class Page:
    """A page as markup, without its title."""

    path: str
    title: str
    html: str

    @property
    def sections(self) -> list[tuple[str, str]]:
        """Each part of it: where on the page it begins, and its title in markup."""
        return _SECTION.findall(self.html)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A code and what it means, in markup."""

    code: str
    html: str


@dataclass(frozen=True, slots=True)
class Group:
    """The refusals of one room, and the path of its page."""

    path: str
    title: str
    refusals: tuple[Refusal, ...]

    @property
    def codes(self) -> frozenset[str]:
        """The codes of its refusals."""
        return frozenset(refusal.code for refusal in self.refusals)


@dataclass(frozen=True, slots=True)
class Rule:
    """What one function of a pure room says it computes: label and text, in the order of LABELS."""

    name: str
    does: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Room:
    """The rules of one module of `compute`: in a line, in paragraphs, and by function."""

    name: str
    line: str
    purpose: tuple[str, ...]
    rules: tuple[Rule, ...]


def pages(folder: str = "", *, language: str = "") -> tuple[Entry, ...]:
    """The pages of one folder of the docs, the top one by default, in the order of their English names."""
    files = _files()
    found = sorted(path for path in files if posixpath.dirname(path) == folder)
    return tuple(Entry(path, _title(path, _text(files, path, language))) for path in found)


def page(path: str, *, root: str, language: str = "") -> Page | None:
    """The page at this path, its links to other pages led below `root`; None when there is none.

    In `language` where the docs have it so: `nb/scanning.md` for `scanning.md`, with the same links; else in
    English.

    Names of functions in brackets are for who reads the file beside the code, and are left out.
    """
    files = _files()
    if path not in files:
        return None
    text = _text(files, path, language)
    body = _FUNCTIONS.sub("", _TITLE.sub("", text, count=1))
    return Page(path, _title(path, text), _markup(body, path, root))


def refusals(*, root: str, language: str = "") -> tuple[Group, ...]:
    """Every refusal the docs name, by room, codes in order."""
    return _refusals(DOCS, root, language)


@cache
def _refusals(_folder: Path, root: str, language: str) -> tuple[Group, ...]:
    files = _files()
    return tuple(
        Group(
            entry.path,
            entry.title,
            tuple(Refusal(code, _markup(words, entry.path, root)) for code, words in named),
        )
        for entry in pages("refusals", language=language)
        if (named := sorted(_REFUSAL.findall(_text(files, entry.path, language))))
    )


@cache
def rules() -> tuple[Room, ...]:
    """What every public function of `compute` says it does, from its own docstring."""
    rooms = []
    within = f"{compute.__name__}."
    for found in pkgutil.walk_packages(compute.__path__, within):
        module = importlib.import_module(found.name)
        functions = [
            _rule(name, inspect.getdoc(function) or "")
            for name, function in inspect.getmembers(module, inspect.isfunction)
            if function.__module__ == module.__name__ and not name.startswith("_")
        ]
        if functions:
            line, *paragraphs = _paragraphs(inspect.getdoc(module) or "")
            rooms.append(Room(found.name.removeprefix(within), line, tuple(paragraphs), tuple(functions)))
    return tuple(rooms)


def _paragraphs(text: str) -> list[str]:
    """The first sentence, then the paragraphs; a name in the program stands without its marks."""
    first, *rest = (" ".join(part.split()) for part in text.replace("`", "").split("\n\n"))
    line, _, more = first.partition(". ")
    return [part for part in (line if not more else f"{line}.", more, *rest) if part]


def _files() -> dict[str, Path]:
    return {file.relative_to(DOCS).with_suffix("").as_posix(): file for file in DOCS.rglob("*.md")}


def _text(files: dict[str, Path], path: str, language: str) -> str:
    """What a page says, in a language where it was translated into that."""
    return (files.get(f"{language}/{path}") or files[path]).read_text("utf-8")


def _title(path: str, text: str) -> str:
    found = _TITLE.search(text)
    return found[1].strip() if found else posixpath.basename(path).replace("-", " ")


def _rule(name: str, text: str) -> Rule:
    does, *rest = _LABEL.split(text)
    said = dict(zip(rest[::2], rest[1::2], strict=True))
    parts = tuple((label, " ".join(said[label].split())) for label in LABELS if said.get(label, "").strip())
    return Rule(name, " ".join(does.split()), parts)


def _markup(text: str, path: str, root: str) -> str:
    def lead(link: re.Match[str]) -> str:
        target = posixpath.normpath(posixpath.join(posixpath.dirname(path), link[1]))
        return f"]({root}{target}/{link[2] or ''})"

    writer = Markdown(extensions=["tables", "fenced_code", "toc"], output_format="html")
    return str(writer.convert(_LINK.sub(lead, text)))
