"""READ what a printed tag says: the address in the code, the code as people read it, two lines of words."""

from collections.abc import Iterable

from inventory.compute.codes import Code, Kind
from inventory.formats.qr_tag import Label
from inventory.models import Tag
from inventory.queries.dossier_names import labels, named
from inventory.queries.ledger import chunks
from inventory.queries.shop import card


def address(code: Code, host: str) -> str:
    """The address a tag holds: upper case throughout, so that it fits the smallest symbol."""
    return f"HTTPS://{host.upper()}/OBJ/{code.text}"


def tags(codes: Iterable[Code]) -> list[Label]:
    """Labels for these codes, in their order; codes that are not in the books are left out."""
    wanted = list(codes)
    shop = card()
    host = shop.host if shop else "T.EXAMPLE"
    things = {
        tag.code: tag.thing_id
        for part in chunks(code.text for code in wanted)
        for tag in Tag.objects.filter(code__in=part)
    }
    known = named(filter(None, things.values()))
    printed = labels(filter(None, things.values()))
    found = []
    for code in wanted:
        if code.text not in things:
            continue
        thing = things[code.text]
        first, second = "", ""
        if thing is not None:
            label = printed.get(thing)
            first = label.material if label else known[thing].name or known[thing].kind.value
            second = (
                f"{label.number}"
                if label
                else ("" if known[thing].kind is Kind.PAIR else known[thing].kind.value)
            )
        found.append(Label(address(code, host), code.shown, first[:40], second[:40]))
    return found
