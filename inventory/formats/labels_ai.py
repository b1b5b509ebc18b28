"""The shape of GS1 element strings: how long identifiers and fixed values are, and what no value may hold.

Knows nothing of what an identifier means. Source: GS1 Barcode Syntax Dictionary, public repository
gs1/gs1-syntax-dictionary; (03), (04), (18) and (19): table of predefined lengths in gs1/gs1-syntax-engine.
"""

from dataclasses import dataclass

from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Element:
    """One identifier and its value; the identifier is empty where it could not be told from its value."""

    ai: str
    value: str


# Identifiers that begin alike are equally long.
_TWO, _THREE = (*range(5), *range(10, 23), 30, 37, *range(90, 100)), (23, 24, 25, 40, 41, 42, 71)
_FOUR = (*range(31, 37), 39, 43, 70, 72, 80, 81, 82)
AI_LENGTH = {
    f"{prefix:02}": length for length, prefixes in ((2, _TWO), (3, _THREE), (4, _FOUR)) for prefix in prefixes
}
# Values of these need no separator behind them.
VALUE_LENGTH = {
    **dict.fromkeys(("01", "02", "03"), 14),
    **{str(prefix): 6 for prefix in (*range(11, 20), *range(31, 37))},
    "00": 18,
    "04": 16,
    "20": 2,
    "41": 13,
}
_AGAIN = say("Scan the code again; if it stays so, type what the label says.")


def is_digits(text: str) -> bool:
    """Digits 0 to 9 only, at least one."""
    return text.isascii() and text.isdigit()


def has_check_digit(digits: str) -> bool:
    """Whether the last digit is the standard check digit: weights 3, 1, 3 ... from the right before it."""
    total = sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(reversed(digits)))
    return total % 10 == 0


def shortened(text: str) -> str:
    """Fit for a sentence: printable, and cut with a dot-dot-dot."""
    plain = "".join(letter if letter.isprintable() else "·" for letter in text[:41])
    return plain if len(text) <= 40 else plain[:39] + "…"


def check_element(element: Element) -> Element:
    """Give an element back, or refuse an empty value, one of a wrong fixed length, or one with controls."""
    ai, value = element.ai, element.value
    fixed = VALUE_LENGTH.get(ai[:2]) if len(ai) == AI_LENGTH.get(ai[:2]) else None
    if not value or (fixed and len(value) != fixed):
        raise wrong_length(element, fixed or "at least one")
    if any(ord(letter) < 32 for letter in value):
        raise wrong_character(element)
    return element


def wrong_length(element: Element, asked: object) -> Refused:
    """What to raise for a value of a length that its identifier cannot have."""
    return Refused(
        "labels.length",
        say(
            "({ai}) is followed by “{value}”, {length} characters long; the standard asks for {asked}.",
            ai=element.ai,
            value=shortened(element.value),
            length=len(element.value),
            asked=asked,
        ),
        say("Scan the code again; the scanner may leave out the separator. Else type what the label says."),
    )


def wrong_character(element: Element) -> Refused:
    """What to raise for a value with a character that its identifier cannot have."""
    return Refused(
        "labels.character",
        say(
            "({ai}) is followed by “{value}”, with a character that the standard does not allow there.",
            ai=element.ai,
            value=shortened(element.value),
        ),
        _AGAIN,
    )


def not_gs1(text: str) -> Refused:
    """What to raise for a text that is no supplier's code."""
    return Refused(
        "labels.not_gs1",
        say("“{text}” is no supplier's code that can be read for lot and date.", text=shortened(text)),
        say("Scan another code of the label, or type what it says."),
    )
