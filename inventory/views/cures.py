"""Notes as a page shows them: each cure with its address, for whoever may open it. Has no address itself."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from django.http import HttpRequest

from inventory.queries.notes import Note
from inventory.views.day import address
from inventory.views.frame import may_open


def curable(request: HttpRequest, notes: Iterable[Note], here: str) -> Iterator[Note]:
    """The same notes, each cure with its address and leading back to `here`; who may not open it reads on."""
    for note in notes:
        cures = []
        for cure in note.cures:
            url = address(cure) if cure.page else ""
            opens = bool(url) and may_open(request, url)
            values = dict(cure.values, next=here) if cure.values else {}
            cures.append(replace(cure, url=url if opens else "", values=values))
        url = note.url if note.url and may_open(request, note.url) else ""
        yield replace(note, url=url, cures=tuple(cures))
