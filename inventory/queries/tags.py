"""READ what a printed tag says: the address in the code, the code as people read it, two lines of words."""

from collections.abc import Iterable
from uuid import UUID

from inventory.compute.codes import Code, Kind
from inventory.formats.qr_tag import Label, Use
from inventory.models import Tag, Tagging
from inventory.queries.dossier.names import labels, named
from inventory.queries.ledger import chunks
from inventory.queries.shop import card


def address(code: Code, host: str) -> str:
    """The address a tag holds: upper case throughout, so that it fits the smallest symbol."""
    return f"HTTPS://{host.upper()}/OBJ/{code.text}"


# What a tag is stuck on, by the letter its code begins with; all others are packages and small things.
_USE = {"S": Use.SKI, "A": Use.SKI, "B": Use.BIN, "E": Use.BIN, "T": Use.DOOR, "Z": Use.DOOR}


def use_for(code: Code) -> Use:
    """How large the tag of this kind of thing is printed."""
    return _USE.get(code.letter, Use.PACKAGE)


def by_use(codes: Iterable[Code]) -> dict[Use, list[Code]]:
    """Codes by the size their tags want, each in order."""
    found: dict[Use, list[Code]] = {}
    for code in codes:
        found.setdefault(use_for(code), []).append(code)
    return found


def tagged_by(act: UUID) -> list[str]:
    """The codes that an act printed ahead or tied."""
    rows = Tagging.objects.filter(event__act=act).order_by("id")
    return list(dict.fromkeys(rows.values_list("code", flat=True)))


def blank(most: int = 200) -> list[Code]:
    """Codes of tags that were printed ahead and are on nothing yet."""
    return [
        Code(code)
        for code in Tag.objects.filter(thing=None).order_by("code")[:most].values_list("code", flat=True)
    ]


def printed_any() -> bool:
    """True once a code was given out: its host name stays."""
    return Tagging.objects.exists()


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
