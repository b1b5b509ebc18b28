"""WRITE scans that led to nothing. Kept beside the books, on this laptop only; never an event."""

import re
from uuid import UUID

from inventory.actions.by import By
from inventory.errors import Refused
from inventory.models import ScanFailed

MOST_KEPT = 1_000
# A name that was looked for is no scan, and no business of anybody who reads the list.
_NAME = re.compile(r"[^\W\d_]+(?:[\s.'’-]+[^\W\d_]+)*[\s.]*")


def keep_failed(by: By, *, id: UUID, text: str, refused: Refused) -> bool:
    """Keep what was read and why it led nowhere; the newest thousand are kept.

    Afterwards: it stands in the list of failed scans, unless it is empty or a name that was typed.
    """
    text = text.replace("\x00", "").strip()[:300]
    if not text or (_NAME.fullmatch(text) and not (len(text) == 8 and text.isascii() and text.isupper())):
        return False
    ScanFailed.objects.get_or_create(
        id=id,
        defaults={
            "text": text,
            "at": by.at or by.now,
            "who": by.person,
            "wrong": refused.code,
            "sentence": refused.sentence.template,
            "values": {name: str(value)[:80] for name, value in refused.sentence.values.items()},
        },
    )
    oldest = ScanFailed.objects.order_by("-at", "-id").values_list("at", flat=True)[MOST_KEPT:].first()
    if oldest is not None:
        ScanFailed.objects.filter(at__lte=oldest).delete()
    return True


def forget_failed(by: By) -> int:
    """Throw the list away. Afterwards: it is empty."""
    return ScanFailed.objects.all().delete()[0]
