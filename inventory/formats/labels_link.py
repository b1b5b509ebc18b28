"""A Digital Link address taken apart into its element strings. Knows no meaning of them, and asks no network.

Keys, qualifiers and their order: GS1 Barcode Syntax Dictionary (`dlpkey=22,10,21|235`). Short names such as
/gtin/ and /lot/: GS1 Digital Link 1.0, as gs1/GS1DigitalLinkToolkit.js lists them.
"""

from urllib.parse import unquote, unquote_plus, urlsplit

from inventory.errors import Refused, say
from inventory.formats.labels_ai import Element, check_element, is_digits, not_gs1, shortened

_KEYS = frozenset(
    {"00", "01", "253", "255", "401", "402", "414", "417"}
    | {"8003", "8004", "8006", "8010", "8013", "8017", "8018"}
)
_SHORT_NAMES = {"gtin": "01", "cpv": "22", "lot": "10", "ser": "21"}
_QUALIFIERS = ["22", "10", "21"]
_OTHER_QUALIFIERS = ["235"]
_SHORTER_ARTICLES = (8, 12, 13)


def is_address(text: str) -> bool:
    """Whether a text is an address at all."""
    return text[:8].lower() == "https://" or text[:7].lower() == "http://"


def read_address(text: str) -> tuple[Element, ...]:
    """Key and qualifiers of the path, then what the query says under a number; its words are left out.

    Refuses: labels.not_gs1 (an address without a key), labels.address, labels.length, labels.character.
    """
    try:
        link = urlsplit(text)
        host = link.hostname
    except ValueError:
        raise not_gs1(text) from None
    path = _path(link.path.split("/")) if host else []
    if not path:
        raise not_gs1(text)
    query = [
        check_element(Element(name, unquote_plus(value, errors="replace")))
        for name, _, value in (part.partition("=") for part in link.query.split("&"))
        if is_digits(name)
    ]
    if path[0].ai == "01" and not _in_order(path, query):
        raise Refused(
            "labels.address",
            say("The address “{text}” has its parts in an order of its own.", text=shortened(text)),
            say("Type the number, lot and date that the label says."),
        )
    return (*path, *query)


def _path(segments: list[str]) -> list[Element]:
    """Key and qualifiers, read from the end of a path; nothing where there is no key."""
    found: list[Element] = []
    for at in range(len(segments) - 2, 0, -2):
        ai = _SHORT_NAMES.get(segments[at].lower(), segments[at])
        if not is_digits(ai) or not 2 <= len(ai) <= 4:
            return []
        value = unquote(segments[at + 1], errors="replace")
        if ai == "01" and len(value) in _SHORTER_ARTICLES:
            value = value.zfill(14)
        found.insert(0, check_element(Element(ai, value)))
        if ai in _KEYS:
            return found
    return []


def _in_order(path: list[Element], query: list[Element]) -> bool:
    """An article's qualifiers stand in the path, in their order; those of the other kind replace them."""
    qualifiers = [element.ai for element in path[1:]]
    if qualifiers == _OTHER_QUALIFIERS:
        return True
    asked = [ai for ai in _QUALIFIERS if ai in qualifiers]
    return qualifiers == asked and not any(element.ai in _QUALIFIERS for element in query)
