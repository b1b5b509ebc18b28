"""Codes on tags and ids of rows. Knows no table: whether a code is taken or known is asked elsewhere.

A code is 8 characters: kind, machine letter, five random symbols, check character (ISO/IEC 7064 MOD 37-2).
It is stored as `SA8KJ2MT` and shown as `SA8K-J2MT`. A printed tag holds an address that ends in the code.
"""

import hashlib
import re
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from inventory.errors import Refused, say

# 32 symbols without I, L, O and U: after D. Crockford, "Base 32".
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_CHECK = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"  # ISO/IEC 7064 MOD 37-2
_MISREAD = str.maketrans({"I": "1", "L": "1", "O": "0"})
_LENGTH = 8


class Kind(StrEnum):
    """What a thing is."""

    YARD = "yard"
    STORE = "store"
    TRAILER = "trailer"
    TOW_CAR = "tow car"
    ZONE = "zone"
    BIN = "bin"
    LOT = "lot"
    PACKAGE = "package"
    RESIN_BATCH = "resin batch"
    CORE_BLANK = "core blank"
    CUT_BATCH = "cut batch"
    OFFCUT = "offcut"
    SKI = "ski"
    PAIR = "pair"
    PRESS_CYCLE = "press cycle"
    PRESS = "press"
    MOULD = "mould"
    EQUIPMENT = "equipment"

    @property
    def letter(self) -> str:
        """The first character of this kind's codes."""
        return _LETTER[self]

    @property
    def rank(self) -> int:
        """A thing lies only in something of higher rank: loose thing, bin, zone, trailer or store, yard."""
        return _RANK.get(self, 0)


_LETTER = {
    Kind.YARD: "Z",
    Kind.STORE: "Z",
    Kind.TRAILER: "T",
    Kind.TOW_CAR: "T",
    Kind.ZONE: "Z",
    Kind.BIN: "B",
    Kind.LOT: "G",
    Kind.PACKAGE: "P",
    Kind.RESIN_BATCH: "R",
    Kind.CORE_BLANK: "K",
    Kind.CUT_BATCH: "D",
    Kind.OFFCUT: "F",
    Kind.SKI: "S",
    Kind.PAIR: "A",
    Kind.PRESS_CYCLE: "C",
    Kind.PRESS: "E",
    Kind.MOULD: "E",
    Kind.EQUIPMENT: "E",
}
_RANK = {Kind.BIN: 1, Kind.ZONE: 2, Kind.TRAILER: 3, Kind.TOW_CAR: 3, Kind.STORE: 3, Kind.YARD: 4}
LETTERS = frozenset(_LETTER.values()) | {"W"}  # W: the owner's code of a pair


@dataclass(frozen=True, slots=True)
class Code:
    """A code whose check character is right."""

    text: str

    @property
    def shown(self) -> str:
        """As printed: `SA8K-J2MT`."""
        return f"{self.text[:4]}-{self.text[4:]}"

    @property
    def letter(self) -> str:
        """The kind's letter."""
        return self.text[0]

    @property
    def machine(self) -> str:
        """The letter of the machine that issued it."""
        return self.text[1]

    def __str__(self) -> str:
        return self.text


def check_character(text: str) -> str:
    """Return the check character over `text`.

    Formula: c = 0; for each character of value v: c = (2c + v) mod 37; check = (1 - 2c) mod 37.
    Refuses: code.characters
    Source: ISO/IEC 7064:2003, system MOD 37-2 (read in python-stdnum).
    """
    c = 0
    for character in text:
        value = _CHECK.find(character)
        if value < 0 or character == "*":
            raise Refused(
                "code.characters",
                say("{text} has a character that no code has: {character}.", text=text, character=character),
                say("Type letters and digits only."),
            )
        c = (2 * c + value) % 37
    return _CHECK[(1 - 2 * c) % 37]


def make(*, letter: str, machine: str, seed: bytes) -> Code:
    """Make a code from a seed: the same seed gives the same code.

    Draws whose check character would be I, L, O, U or * are passed over, so no confusable one is printed.

    Formula: five symbols from SHA-256(seed, draw), check character over the first seven.
    Refuses: code.kind, code.machine
    Source: ISO/IEC 7064:2003 for the check character; alphabet after D. Crockford, "Base 32".
    """
    if letter not in LETTERS:
        raise Refused("code.kind", say("{letter} is no kind of thing.", letter=letter), say("Choose a kind."))
    if len(machine) != 1 or machine not in ALPHABET:
        raise Refused(
            "code.machine",
            say("{machine} is no machine letter.", machine=machine),
            say("Choose one of {alphabet}.", alphabet=ALPHABET),
        )
    draw = 0
    while True:
        digest = hashlib.sha256(seed + draw.to_bytes(4, "big")).digest()
        first = letter + machine + "".join(ALPHABET[byte % 32] for byte in digest[:5])
        check = check_character(first)
        if check in ALPHABET:
            return Code(first + check)
        draw += 1


def read(text: str) -> Code:
    """Read what was typed, scanned or photographed: a bare code, or an address that ends in one.

    Lower case, spaces and hyphens are accepted; I and L are read as 1, O as 0.

    Refuses: code.empty, code.length, code.letter_u, code.characters, code.check, code.kind
    Source: reading rules after D. Crockford, "Base 32"; check after ISO/IEC 7064:2003 MOD 37-2.
    """
    retype = say("Scan the tag again, or type the eight characters beside it.")
    bare = _candidate(text)
    if not bare:
        raise Refused("code.empty", say("There is no code in what was entered."), retype)
    if len(bare) != _LENGTH:
        typed = re.split(r"[/\\]", text.strip().rstrip("/\\"))[-1]  # as typed: a name must be known again
        sentence = say("“{text}” has {count} characters; a code has 8.", text=typed[:40], count=len(bare))
        raise Refused("code.length", sentence, retype)
    if "U" in bare:
        raise Refused("code.letter_u", say("{text} has the letter U, which no code has.", text=bare), retype)
    check_character(bare[-1])  # a sign that no code has is named as such
    if check_character(bare[:-1]) != bare[-1]:
        raise Refused(
            "code.check",
            say("{text} is misread: one character is wrong or two are swapped.", text=bare),
            retype,
        )
    if bare[0] not in LETTERS:
        raise Refused(
            "code.kind",
            say("{text} begins with {letter}, no kind of ours.", text=bare, letter=bare[0]),
            retype,
        )
    return Code(bare)


def _candidate(text: str) -> str:
    """The characters that may be a code: the last path segment, else the last eight of a garbled address."""
    upper = text.strip().upper()
    segment = re.split(r"[/\\]", upper.rstrip("/\\"))[-1].split("?")[0].split("#")[0]
    bare = re.sub(r"[\s\-–_]", "", segment).translate(_MISREAD)
    if len(bare) <= _LENGTH or "HTTP" not in upper.translate(str.maketrans("", "", " ")):
        return bare
    # Another keyboard layout turns : and / into other signs; the code itself is letters and digits.
    return re.sub(r"[^0-9A-Z]", "", bare)[-_LENGTH:]


def derived(token: UUID, ordinal: int, *, of: str) -> UUID:
    """Return the id of the n-th row of a kind that an act makes.

    The same act makes the same things and cards on every machine: `of` is their kind, counted by itself,
    since an act may bear a lot on one machine and find it known on another. Events, revisions and notes are
    each machine's own: `of` is the machine.

    Formula: time of the token and version of a UUIDv7, the rest from SHA-256(token, of, ordinal).
    Source: RFC 9562 section 5.7 (layout).
    """
    digest = hashlib.sha256(token.bytes + of.encode() + ordinal.to_bytes(4, "big")).digest()
    return _version_7(token.int >> 80, int.from_bytes(digest[:10], "big"))


def uuid7(*, milliseconds: int, random: bytes) -> UUID:
    """Return a UUIDv7 for a moment and ten random bytes, both passed in.

    Units: milliseconds since 1970-01-01 UTC.
    Source: RFC 9562 section 5.7.
    """
    return _version_7(milliseconds & 0xFFFF_FFFF_FFFF, int.from_bytes(random[:10], "big"))


def _version_7(milliseconds: int, bits: int) -> UUID:
    value = (milliseconds << 80) | (bits & ((1 << 80) - 1))
    value = (value & ~(0xF << 76)) | (0x7 << 76)
    value = (value & ~(0x3 << 62)) | (0x2 << 62)
    return UUID(int=value)
