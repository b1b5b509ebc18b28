"""READ what a scan leads to, and the scans that led to nothing."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.compute import codes
from inventory.errors import Refused, Sentence, say
from inventory.models import ScanFailed, Tag
from inventory.queries import dossier
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named, people
from inventory.queries.ledger import chunks

RECENT = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Found:
    """One text read from a picture: the thing it leads to, or why it leads nowhere."""

    text: str
    thing: Named | None = None
    refused: Refused | None = None


@dataclass(frozen=True, slots=True)
class Failed:
    """One scan that led to nothing. `code`: what it leads to by now, when it does."""

    text: str
    at: datetime
    who: str
    sentence: Sentence
    code: str = ""


def lead(texts: Iterable[str]) -> list[Found]:
    """Where each text leads, a thing once however many of its tags are in the picture."""
    found: dict[object, Found] = {}
    for text in texts:
        try:
            thing = dossier.thing_of(text)
        except Refused as refused:
            found.setdefault(text, Found(text, refused=refused))
        else:
            found.setdefault(thing, Found(text, thing=named([thing])[thing]))
    return list(found.values())


def failed(most: int = 100) -> list[Failed]:
    """The newest failed scans; the same few statements however many there are."""
    rows = list(ScanFailed.objects.order_by("-at", "-id")[:most])
    who = people(row.who for row in rows)
    known = _known(rows)
    return [
        Failed(
            text=row.text,
            at=row.at,
            who=who.get(row.who, "") if row.who else "",
            sentence=say(row.sentence, **row.values),
            code=known.get(row.text, ""),
        )
        for row in rows
    ]


def failed_lately(now: datetime) -> int:
    """How many different texts failed in the last days and still lead nowhere."""
    rows = list(ScanFailed.objects.filter(at__gt=now - RECENT).order_by("at"))
    known = _known(rows)
    return len({row.text for row in rows if row.text not in known})


def _known(rows: Iterable[ScanFailed]) -> dict[str, str]:
    """Texts that lead to a thing by now, with the code as printed."""
    read: dict[str, codes.Code] = {}
    for row in rows:
        try:
            read[row.text] = codes.read(row.text)
        except Refused:
            continue
    tied: set[str] = set()
    for part in chunks(dict.fromkeys(code.text for code in read.values())):
        tied.update(Tag.objects.filter(code__in=part, thing__isnull=False).values_list("code", flat=True))
    return {text: code.shown for text, code in read.items() if code.text in tied}
