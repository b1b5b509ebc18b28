"""Money in whole minor units of one currency: read from what people type, and written out again.

Knows no price and no supplier.
"""

import re
from decimal import Decimal

from inventory.errors import Refused, say

_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE = "BHD IQD JOD KWD LYD OMR TND"
MOST = 10**13
_TYPED = re.compile(r"(?P<whole>[0-9]{1,3}(?:[ \u00a0\u202f'][0-9]{3})+|[0-9]+)(?:[.,](?P<rest>[0-9]+))?")


def decimals(currency: str) -> int:
    """How many decimals a currency has: two, unless ISO 4217 says otherwise (from memory)."""
    return 0 if currency.upper() in _NONE else 3 if currency.upper() in _THREE else 2


def parse(*, text: str, currency: str) -> int:
    """What amount of money did a person type, in whole minor units?

    Formula: number x 10^decimals of the currency; comma and point part decimals, spaces part thousands.
    Units: whole minor units of the currency.
    Refuses: money.unreadable, money.decimals, money.large
    Source: ISO 4217 minor units, from memory.
    """
    typed = _TYPED.fullmatch(_bare(text, currency))
    if typed is None:
        raise Refused(
            "money.unreadable",
            say("“{text}” is no amount of money.", text=text[:40]),
            say("Enter a number such as 189.50, thousands apart by a space or not at all."),
        )
    places, rest = decimals(currency), typed["rest"] or ""
    if len(rest) > places:
        raise Refused(
            "money.decimals",
            say(
                "“{text}” has {count} decimals; {currency} has {places}.",
                text=text[:40],
                count=len(rest),
                currency=currency,
                places=places,
            ),
            say("If the mark parts thousands, leave it out."),
        )
    value = int(re.sub(r"\D", "", typed["whole"]) + rest.ljust(places, "0"))
    if value > MOST:
        raise Refused("money.large", say("“{text}” is too much.", text=text[:40]), say("Check the number."))
    return value


def _bare(text: str, currency: str) -> str:
    """The text without the currency's own letters before or after it."""
    bare = text.strip()
    for end in (currency.upper(), currency.lower()):
        bare = bare.removeprefix(end).removesuffix(end).strip()
    return bare


def show(*, minor: int, currency: str) -> str:
    """An amount of money as its number, with all decimals of the currency: `189.50`."""
    places = decimals(currency)
    return f"{Decimal(minor).scaleb(-places):.{places}f}"
