"""The second secret of a pair: printed on its build record, kept hashed. Knows no pair.

Ten symbols of the code alphabet: 50 bits, of which a page that shuts after five tries gives nothing away.
"""

from collections.abc import Sequence

from inventory.compute.codes import ALPHABET

LENGTH = 10
_MISREAD = str.maketrans({"I": "1", "L": "1", "O": "0"})


def make(*, random: bytes) -> str:
    """Return a code from random bytes, one a symbol.

    Shapes: at least ten bytes. 256 is eight times 32, so that every symbol is as likely as any other.
    """
    if len(random) < LENGTH:
        raise ValueError(f"{LENGTH} random bytes are needed")
    return "".join(ALPHABET[byte % len(ALPHABET)] for byte in random[:LENGTH])


def shown(code: Sequence[str]) -> str:
    """As printed: `7K3QW-9TZ2M`."""
    text = "".join(code)
    return f"{text[:5]}-{text[5:]}"


def read(text: str) -> str:
    """What was typed, as it is hashed: case, hyphens, blanks and letters easily misread do not matter."""
    kept = "".join(sign for sign in text[:60].upper() if sign not in "-–— \t\u00a0")
    return kept.translate(_MISREAD)
