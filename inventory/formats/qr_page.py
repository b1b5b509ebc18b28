"""The address of a page as a code to print on its paper, so that a phone finds the way back.

It is no tag: it names no thing, and holds whatever address the page was opened by.
"""

from dataclasses import dataclass

import qrcode

LONGEST = 300
QUIET = 4  # modules of light around a code: ISO/IEC 18004, 6.3.8 (from memory)


@dataclass(frozen=True, slots=True)
class PageCode:
    """A code as one path of an SVG, in modules; `side` with the quiet zone."""

    address: str
    side: int
    path: str


def page_code(address: str) -> PageCode | None:
    """The code of an address; None for one too long to be read from paper."""
    if not address or len(address) > LONGEST:
        return None
    symbol = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M, border=QUIET)
    symbol.add_data(address)
    symbol.make(fit=True)
    rows = symbol.get_matrix()
    path = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    return PageCode(address, len(rows), path)
