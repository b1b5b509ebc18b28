"""What people type, read as numbers with units. Knows no amount, no material and no limit of size.

Any order of number and unit, decimal comma or point, fractions, several parts ("2 lb 3 oz"). What could be
read two ways is refused, never guessed. Case is ignored: "ML" is millilitres, "MM" millimetres.
"""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from inventory.compute.units.base import THOUSANDS
from inventory.compute.units.table import SPELLINGS, UNITS, Dimension, System, Unit
from inventory.errors import Refused, Sentence, say

LONGEST = 60  # characters; an amount never needs more
_COMPOUND = frozenset(
    (Dimension.MASS, Dimension.LENGTH, Dimension.AREA, Dimension.VOLUME, Dimension.COUNT, Dimension.DURATION)
)
_MARKS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "⁄": "/"}
)
_NUMBER = re.compile(
    r"(?:(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)"
    r"|(?P<decimal>[0-9]*[.,][0-9]+|[0-9]+))(?![0-9.,/])"
)
_ODD_DIGIT = re.compile(
    r"(?<![mM])(?<!ft)(?<!in)(?<!yd)[²³]|(?<=min)[²³]|[¹⁰⁴-⁹₀-₉\u2460-\u249b\u24ea-\u24ff\u2776-\u2793]"
)
_WORD = re.compile(r"[^\W\d_][^\s\d]*")


def _unit_pattern() -> re.Pattern[str]:
    """One pattern of all spellings, longest first; "m2" before "m", but "m25" is 25 m."""
    words = sorted(SPELLINGS, key=lambda word: (-len(word), word))
    ends = (re.escape(word) + (r"(?![0-9.,/])" if word[-1].isdigit() else "") for word in words)
    return re.compile("(?:" + "|".join(ends) + r")(?![a-z/²³])")


_UNIT = _unit_pattern()


@dataclass(frozen=True, slots=True)
class Part:
    """One number and its unit; `parts_of` is the denominator when a fraction was written, else 1."""

    value: Fraction
    unit: Unit
    parts_of: int


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text says: its parts, biggest unit first, and whether the unit was assumed."""

    parts: tuple[Part, ...]
    unit_assumed: bool


def read(*, text: str, dimension: Dimension, default: str | None = None) -> Reading:
    """What number and what unit does this text say?

    Formula: number unit | unit number | number (in the default unit) | number unit number unit ...
    Units: `default` is a Recommendation 20 code; the result's values are in the units typed.
    Refuses: units.nothing, units.too_long, units.no_number, units.no_unit, units.unknown_unit,
        units.thousands, units.unclear, units.mixed, units.wrong_dimension, units.negative
    Source: common practice, no source
    """
    if not text.strip():
        raise Refused("units.nothing", say("Nothing was entered."), _ASK)
    if len(text) > LONGEST:
        template = "An amount is at most {most} characters; this is {length}."
        raise Refused("units.too_long", say(template, most=LONGEST, length=len(text)), _ASK)
    minus, body = _sign(text, dimension)
    parts, assumed = _pair(text, _tokens(text, body), default)
    _check_parts(text, parts, dimension)
    if minus:
        parts = tuple(Part(-part.value, part.unit, part.parts_of) for part in parts)
    return Reading(parts, assumed)


_ASK = say("Enter a number and its unit, for example 2.5 kg.")


def _unclear(text: str) -> Refused:
    return Refused("units.unclear", say("“{text}” cannot be read as one amount.", text=text.strip()), _ASK)


def _plain(text: str) -> str:
    """One way of writing: marks straightened, fractions apart from their whole, lower case, single spaces.

    A raised or circled digit means something only behind a length ("m²"): 5² is not 52, kg² not 2 kg.
    """
    if _ODD_DIGIT.search(text):
        raise _unclear(text)
    text = re.sub(r"[\u00bc-\u00be\u2150-\u215e\u2189]", lambda found: " " + found[0] + " ", text)
    text = unicodedata.normalize("NFKC", text.translate(_MARKS)).translate(_MARKS).replace("''", '"')
    text = re.sub(r"(?<=[^\W\d_])\.", "", text)
    text = " ".join(text.lower().replace("μ", "u").replace("^", "").replace("**", "").split())
    return re.sub(r"(?<=[^\W\d_])\s*/\s*(?=[^\W\d_])", "/", text.replace(" per ", "/"))


def _sign(text: str, dimension: Dimension) -> tuple[bool, str]:
    """Take a leading sign off; only a temperature may carry one."""
    body = _plain(text)
    if body[0] not in "+-":
        return False, body
    if dimension is Dimension.TEMPERATURE:
        return body[0] == "-", body[1:].lstrip()
    if body[0] == "+":
        raise _unclear(text)
    raise Refused("units.negative", say("“{text}” is below zero.", text=text.strip()), _ASK)


def _number(text: str, found: re.Match[str]) -> tuple[Fraction, int]:
    """The value of a written number, and the denominator it was written with."""
    if found["decimal"]:
        if THOUSANDS.fullmatch(found["decimal"]):
            raise _thousands(found["decimal"])
        return Fraction(found["decimal"].replace(",", ".")), 1
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0 or (found["whole"] and top >= bottom):
        raise _unclear(text)
    return int(found["whole"] or 0) + Fraction(top, bottom), bottom


def _thousands(written: str) -> Refused:
    whole, rest = re.split("[.,]", written)
    template = "“{written}” can be read as {large} or as {small}."
    small = f"{whole}.{rest}".rstrip("0").rstrip(".")
    return Refused(
        "units.thousands",
        say(template, written=written, large=whole + rest, small=small),
        say(
            "Write {large} without a mark, or {clear} with one more zero.",
            large=whole + rest,
            clear=f"{whole}.{rest}0",
        ),
    )


def _tokens(text: str, body: str) -> list[tuple[Fraction, int] | Unit]:
    """Cut a text into numbers and units; anything else is refused by name."""
    tokens: list[tuple[Fraction, int] | Unit] = []
    at = 0
    while at < len(body):
        if body[at] == " ":
            at += 1
            continue
        found = _NUMBER.match(body, at)
        if found:
            tokens.append(_number(text, found))
        else:
            found = _UNIT.match(body, at) or _refuse_word(text, body, at)
            tokens.append(SPELLINGS[found[0]])
        at = found.end()
    return tokens


def _no_number(text: str) -> Refused:
    return Refused("units.no_number", say("“{text}” has no number.", text=text.strip()), _ASK)


def _refuse_word(text: str, body: str, at: int) -> re.Match[str]:
    """Refuse what stands at `at`: as an unknown unit when it is a word beside a number."""
    word = _WORD.match(body, at)
    if not word:
        raise _unclear(text)
    if not any(character.isnumeric() for character in text):
        raise _no_number(text)
    known = ", ".join(UNITS[code].symbol for code in ("KGM", "GRM", "LTR", "MLT", "MTR", "MMT", "MTK", "H87"))
    raise Refused(
        "units.unknown_unit",
        say("“{word}” is not a unit that is known here.", word=word[0]),
        say("Use one of these: {known}, or a US unit such as lb, oz, in, ft, gal.", known=known),
    )


def _pair(
    text: str, tokens: list[tuple[Fraction, int] | Unit], default: str | None
) -> tuple[tuple[Part, ...], bool]:
    """Put numbers and units together: alternating, from either end, or one number in the default unit."""
    numbers = [token for token in tokens if not isinstance(token, Unit)]
    units = [token for token in tokens if isinstance(token, Unit)]
    if not numbers:
        raise _no_number(text)
    if not units and len(numbers) == 1:
        return (Part(numbers[0][0], _default(text, default), numbers[0][1]),), True
    alternating = all(isinstance(one, Unit) != isinstance(two, Unit) for one, two in pairwise(tokens))
    if len(numbers) != len(units) or not alternating:
        raise _unclear(text)
    return tuple(Part(number[0], unit, number[1]) for number, unit in zip(numbers, units, strict=True)), False


def _default(text: str, default: str | None) -> Unit:
    """The unit to take when none was typed."""
    if default is None:
        raise Refused("units.no_unit", say("“{text}” has no unit.", text=text.strip()), _ASK)
    if default not in UNITS:
        raise Refused(
            "units.unknown_unit", say("“{word}” is not a unit that is known here.", word=default), _ASK
        )
    return UNITS[default]


def _check_parts(text: str, parts: tuple[Part, ...], dimension: Dimension) -> None:
    """One dimension, one family; biggest unit first, all but the last whole, each below one of the next."""
    for part in parts:
        if part.unit.dimension is not dimension:
            template = "“{text}” measures {typed}; {wanted} is needed."
            values = {"text": text.strip(), "typed": part.unit.dimension, "wanted": dimension}
            raise Refused("units.wrong_dimension", say(template, **values), _wanted(dimension))
    if len({part.unit.system for part in parts} - {System.ANY}) > 1:
        template = "“{text}” mixes two families of units."
        raise Refused("units.mixed", say(template, text=text.strip()), say("Enter it in one of them."))
    if len(parts) > 1 and dimension not in _COMPOUND:
        raise _unclear(text)
    for big, small in pairwise(parts):
        whole = big.value.denominator == 1 and big.parts_of == 1
        if not whole or small.value * small.unit.factor >= big.unit.factor:
            raise _unclear(text)


def _wanted(dimension: Dimension) -> Sentence:
    """Which units would do."""
    symbols = ", ".join(unit.symbol for unit in UNITS.values() if unit.dimension is dimension and unit.symbol)
    return say("Use one of these: {symbols}.", symbols=symbols)
