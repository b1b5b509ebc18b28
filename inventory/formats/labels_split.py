"""The text of a supplier's code taken apart into element strings, nothing said yet of what they mean.

Knows prefixes of scanners, separators and brackets; knows no material and no lot.

Example: `split("]C1010952123454321310ABC\\x1d17251231")` gives (01), (10) and (17).
"""

import re

from inventory.errors import Refused, say
from inventory.formats.labels_ai import (
    AI_LENGTH,
    VALUE_LENGTH,
    Element,
    check_element,
    has_check_digit,
    is_digits,
    not_gs1,
    shortened,
)
from inventory.formats.labels_link import is_address, read_address

GS = "\x1d"
TEXT_MOST = 2_000

# Symbology identifiers of ISO/IEC 15424. In FNC1 mode, as the GS1 Syntax Engine lists them; the other ones of
# that row, and the interleaved ]I: from memory.
_MARKED = ("]C1", "]e0", "]d2", "]Q3", "]e1", "]e2", "]d5", "]Q4", "]J1")
_ARTICLE_DIGITS = {"]E0": 13, "]E4": 8}
_INTERLEAVED = ("]I0", "]I1")
_COMPOSITE = "|]e0"
# What scanners send that cannot send the character itself.
_SEPARATORS = ("<GS>", "{GS}", "[GS]", "<FNC1>", "{FNC1}", "^")
_BRACKET = re.compile(r"(?<!\\)\(([0-9]{2,4})\)")


def split(text: str) -> tuple[Element, ...]:
    """All element strings of a scanned or typed text, in their order.

    A bare article number of 8, 12, 13 or 14 digits comes back as (01). Text without any mark of what it is
    has to begin with an element of fixed length, so that not every number typed is taken for a label.
    Refuses: labels.empty, labels.too_long, labels.character, labels.not_gs1, labels.length, labels.address,
    labels.ambiguous.
    """
    first, composite, second = _checked(text).partition(_COMPOSITE)
    found = _one_message(first)
    return found + _running(second) if composite else found


def has_separator(text: str) -> bool:
    """Whether a text shows that its scanner sends separators, or needs none."""
    return any(mark in text for mark in (GS, "(", "://", *_SEPARATORS))


def _checked(text: str) -> str:
    text = text.strip(" \t\r\n")
    if not text:
        raise Refused("labels.empty", say("The code is empty."), say("Scan it again, or type what it says."))
    if len(text) > TEXT_MOST:
        raise Refused(
            "labels.too_long",
            say("The code has {length} characters; {most} is the most.", length=len(text), most=TEXT_MOST),
            say("Scan one code of the label at a time."),
        )
    if any(ord(letter) < 32 and letter != GS for letter in text):
        raise Refused(
            "labels.character",
            say("“{text}” holds a control character that no label holds.", text=shortened(text)),
            say("Scan the code again; if it stays so, type what the label says."),
        )
    return text


def _one_message(text: str) -> tuple[Element, ...]:
    """The elements of one message, by what marks it."""
    prefix, rest = (text[:3], text[3:]) if text.startswith("]") else ("", text)
    if prefix in _ARTICLE_DIGITS:
        return (_article(rest, _ARTICLE_DIGITS[prefix]),)
    if is_address(rest):
        return read_address(rest)
    if _BRACKET.match(rest):
        return _bracketed(rest)
    if prefix in _MARKED or rest.startswith((GS, *_SEPARATORS)):
        return _running(rest)
    if prefix and prefix not in _INTERLEAVED:
        raise not_gs1(text)
    return _unmarked(rest)


def _article(text: str, digits: int) -> Element:
    """An article number of one length, as (01) in its 14 digits."""
    if not is_digits(text) or len(text) != digits:
        raise Refused(
            "labels.length",
            say("“{text}” is not an article number of {digits} digits.", text=shortened(text), digits=digits),
            say("Scan the code again, or type the number under its bars."),
        )
    return Element("01", text.zfill(14))


def _unmarked(text: str) -> tuple[Element, ...]:
    """A bare article number, or elements of which the first has a fixed length. Never a guess."""
    bare = is_digits(text) and len(text) in (8, 12, 13, 14) and has_check_digit(text)
    fixed = _begins_fixed(text)
    if bare and fixed and _fits(text):
        raise Refused(
            "labels.ambiguous",
            say("“{text}” can be an article number, and a date with more behind it.", text=text),
            say("Type what the label says, or let the scanner send its prefix (]C1, ]E0)."),
        )
    if bare:
        return (_article(text, len(text)),)
    if not fixed:
        raise not_gs1(text)
    return _running(text)


def _begins_fixed(text: str) -> bool:
    """Whether a text begins with an identifier of fixed length, and with a day if that is a date."""
    return text[:2] in VALUE_LENGTH and is_digits(text[:8]) and _can_be(Element(text[:2], text[2:8]))


def _fits(text: str) -> bool:
    """Whether digits also read as elements throughout, each date a day."""
    try:
        found = _running(text)
    except Refused:
        return False
    return all(element.ai and _can_be(element) for element in found)


def _can_be(element: Element) -> bool:
    """Whether the value of a date has a month and a day; of other identifiers, always."""
    dated = "11" <= element.ai <= "19"
    return not dated or ("01" <= element.value[2:4] <= "12" and element.value[4:6] <= "31")


def _running(text: str) -> tuple[Element, ...]:
    """Elements that run into each other, with a separator behind those of variable length."""
    for shown in _SEPARATORS:
        text = text.replace(shown, GS)
    found = tuple(element for piece in text.split(GS) for element in _piece(piece))
    if not found:
        raise not_gs1(text)
    return found


def _piece(piece: str) -> list[Element]:
    """What stands between two separators; an identifier that is not known takes the rest with it."""
    found: list[Element] = []
    while piece:
        length = AI_LENGTH.get(piece[:2], 0)
        ai = piece[:length]
        if len(ai) < max(2, length) or not is_digits(ai):
            return [*found, Element("", piece)]
        end = length + VALUE_LENGTH.get(ai[:2], len(piece))
        found.append(check_element(Element(ai, piece[length:end])))
        piece = piece[end:]
    return found


def _bracketed(text: str) -> tuple[Element, ...]:
    r"""Elements as people read them, `(01)...(10)...`; a bracket that belongs to a value is written `\(`."""
    parts = _BRACKET.split(text)
    return tuple(
        check_element(Element(ai, value.strip(" ").replace("\\(", "(")))
        for ai, value in zip(parts[1::2], parts[2::2], strict=True)
    )
