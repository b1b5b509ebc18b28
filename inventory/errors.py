"""Sentences and refusals. Knows nothing of the rest of the house; every room may use it.

A sentence keeps its template and its values apart, so that a face can translate the template:
`say("{amount} g is left.", amount=640)`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from string import Formatter

MINUS = "\u2212"
_ENDS = (".", "!", "?", "…")
_AFTER_A_STOP = re.compile(r"[.!?…]\s$")
_SYMBOLS = frozenset({"mm", "cm", "m", "km", "mg", "g", "kg", "ml", "l", "min", "h", "s", "bar", "psi"})
_FORMATTER = Formatter()


@dataclass(frozen=True, slots=True)
class Sentence:
    """A whole sentence: an English template with named values."""

    template: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return filled(self.template, self.values)


def filled(template: str, values: Mapping[str, object], *, inside: bool = False) -> str:
    """A template with its values, as people write: a sentence that begins with a value begins with a capital.

    `inside`: it is part of another sentence, and its own beginning is not one. A number below zero gets a
    minus sign, not a hyphen. A sentence among the values is filled in place; faces hand in its words.
    """
    told = ""
    first = None  # the value that stands first, while the rest of the sentence is still to come
    for literal, name, spec, conversion in _FORMATTER.parse(template):
        told += literal
        if name is None:
            continue
        value, _ = _FORMATTER.get_field(name, (), values)
        text = _worded(_FORMATTER.convert_field(value, conversion), spec or "")
        words = not isinstance(value, int | float | Decimal)
        if not told and words:
            first = text
        told += capital(text) if words and _AFTER_A_STOP.search(told) else text
    if first is None or inside or not told.rstrip().endswith(_ENDS):
        return told
    return capital(first) + told[len(first) :]


def _worded(value: object, spec: str) -> str:
    if isinstance(value, Sentence):
        return filled(value.template, value.values, inside=True)
    text = format(value, spec)
    return text.replace("-", MINUS) if isinstance(value, int | float | Decimal) else text


def capital(text: str) -> str:
    """The text with a capital where its first word is a plain one: no code, no unit, no name like pH."""
    word = text.split(maxsplit=1)[0].rstrip(",.:;") if text[:1].strip() else ""
    plain = word.islower() and word.replace("-", "").isalpha() and word not in _SYMBOLS
    return text[0].title() + text[1:] if plain else text


def say(template: str, /, **values: object) -> Sentence:
    """Make a sentence. Templates are collected for translation by this function's name."""
    return Sentence(template, values)


class Term(str):
    """A word or two of the trade that stands inside a sentence, and is translated there."""

    __slots__ = ()


class Listed(tuple[object, ...]):
    """Several things that a sentence names one after the other."""

    __slots__ = ()

    def __str__(self) -> str:
        return ", ".join(map(str, self))


class Refused(Exception):
    """Something cannot be done, and nothing was written.

    `code` is stable and for tests; `sentence` is whole and carries the offending value with its unit;
    `what_to_do` says what would help.
    """

    def __init__(self, code: str, sentence: Sentence, what_to_do: Sentence) -> None:
        super().__init__(code, sentence, what_to_do)
        self.code = code
        self.sentence = sentence
        self.what_to_do = what_to_do

    def __str__(self) -> str:
        return f"{self.sentence} {self.what_to_do} [{self.code}]"
