"""READ papers kept with things and cards, and where their files lie."""

from collections.abc import Iterable
from pathlib import Path
from uuid import UUID

from django.conf import settings

from inventory.models import Paper


def path(sha256: str) -> Path:
    """Where the file of a paper lies in the data folder, there or not."""
    return Path(settings.DATA_FOLDER) / "papers" / sha256[:2] / sha256


def of(about: Iterable[UUID]) -> list[Paper]:
    """The papers kept with these, by what they are."""
    return list(Paper.objects.filter(about__in=list(about), withdrawn=False).order_by("what", "title", "id"))


def is_kept(sha256: str) -> bool:
    """True when the books name a paper with this content, also one that was withdrawn."""
    return Paper.objects.filter(sha256=sha256).exists()


def paper(id: UUID) -> Paper | None:
    """One paper; none when it was withdrawn."""
    return Paper.objects.filter(id=id, withdrawn=False).first()


def content(row: Paper) -> bytes | None:
    """What is in the file; None when it is not on this laptop."""
    try:
        return path(row.sha256).read_bytes()
    except OSError:
        return None
