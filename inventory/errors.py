"""Sentences and refusals. Knows nothing of the rest of the house; every room may use it.

A sentence keeps its template and its values apart, so that a face can translate the template:
`say("{amount} g is left.", amount=640)`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Sentence:
    """A whole sentence: an English template with named values."""

    template: str
    values: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return self.template.format(**self.values)


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
