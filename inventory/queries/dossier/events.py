"""READ the events of one thing whole: who, where, every part, and what was undone since."""

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db.models import Q

from inventory.compute.steps import Basis, Role
from inventory.compute.units import Amount, Base
from inventory.models import Event, Line, Note
from inventory.queries import ledger
from inventory.queries.as_of import Seen
from inventory.queries.dossier import names
from inventory.queries.dossier.facts import Happened, Named, Part, Undone


def rows(thing: UUID, most: int, seen: Seen) -> list[Event]:
    """The newest events with a line on this thing, undone ones too, newest first."""
    lines = Line.objects.filter(thing_id=thing).values("event_id")
    found = Event.objects.filter(seen.every(), id__in=lines).order_by("-sort", "-machine", "-id")
    return list(found[:most])


def tell(events: Sequence[Event], seen: Seen) -> tuple[Happened, ...]:
    """These events whole: the same few statements however many there are, a chunk at a time."""
    ids = [event.id for event in events]
    lines = _lines(ids)
    skipped = seen.skipped(ids)
    reversals = _reversals((id for id, undone in skipped.items() if undone), seen.known())
    texts = _notes([*events, *reversals.values()])
    who = names.people(event.who for event in (*events, *reversals.values()))
    mentioned = {event.where_id for event in events} | {
        id for own in lines.values() for line in own for id in (line.thing_id, line.source_id, line.to_id)
    }
    known = names.named(id for id in mentioned if id)
    bases = {id: base for id, (_, base) in ledger.kinds(known).items()}
    found = []
    for event in events:
        text, erased = texts.get(event.note, ("", False)) if event.note else ("", False)
        reversal = reversals.get(event.id)
        found.append(
            Happened(
                id=event.id,
                act=event.act,
                step=event.step,
                at=event.at,
                late=event.late,
                who=who.get(event.who, "") if event.who else "",
                where=known[event.where_id] if event.where_id else None,
                parts=tuple(_part(line, known, bases) for line in lines[event.id]),
                facts=event.facts,
                note=text,
                note_erased=erased,
                undone=_undone(reversal, who, texts) if reversal else None,
                twin=skipped.get(event.id) is False,
            )
        )
    return tuple(found)


def _lines(events: list[UUID]) -> dict[UUID, list[Line]]:
    found: dict[UUID, list[Line]] = {event: [] for event in events}
    for part in ledger.chunks(events):
        for line in Line.objects.filter(event_id__in=part).order_by("position"):
            found[line.event_id].append(line)
    return found


def _reversals(undone: Iterable[UUID], known: Q) -> dict[UUID, Event]:
    """The first reversal of each of these events."""
    found: dict[UUID, Event] = {}
    for part in ledger.chunks(undone):
        for row in Event.objects.filter(known, reverses__in=part).order_by("sort", "machine", "id"):
            if row.reverses is not None:
                found.setdefault(row.reverses, row)
    return found


def _notes(events: Iterable[Event]) -> dict[UUID, tuple[str, bool]]:
    wanted = [event.note for event in events if event.note]
    return {
        id: (text, erased)
        for part in ledger.chunks(wanted)
        for id, text, erased in Note.objects.filter(id__in=part).values_list("id", "text", "erased")
    }


def _undone(reversal: Event, who: dict[UUID, str], texts: dict[UUID, tuple[str, bool]]) -> Undone:
    text, _ = texts.get(reversal.note, ("", False)) if reversal.note else ("", False)
    return Undone(reversal.at, who.get(reversal.who, "") if reversal.who else "", text)


def _part(line: Line, known: dict[UUID, Named], bases: dict[UUID, str]) -> Part:
    base = bases.get(line.thing_id, "")
    return Part(
        role=Role(line.role),
        thing=known[line.thing_id],
        amount=Amount(line.amount, Base(base)) if line.amount is not None and base else None,
        basis=Basis(line.basis),
        source=known[line.source_id] if line.source_id else None,
        to=known[line.to_id] if line.to_id else None,
    )
