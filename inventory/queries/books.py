"""READ whether what is derived equals the fold of the events, thing by thing. Knows the ledger, no topic."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from uuid import UUID

from inventory.compute import fold, merge
from inventory.compute.fold import FOLDED
from inventory.models import Balance, Disagreement, Event, Line, Revision, Skipped, State, Tag, Tagging
from inventory.queries import ledger as read


@dataclass(frozen=True, slots=True)
class Difference:
    """One written row that is not what the events say."""

    what: str
    subject: str
    written: str
    folded: str


def differences() -> Iterator[Difference]:
    """Every way in which the derived rows differ from the fold; nothing when the books are right.

    Streams the lines one thing at a time, so that memory does not grow with the ledger.
    """
    yield from _gaps()
    known = merge.knowledge(read.meetings())
    skips = merge.skips(read.skip_scope(), known=known)
    yield from _skips(skips)
    settlements = [event for event in read.settlements() if event.id not in skips.all]
    found: list[fold.Disagreement] = list(fold.settle_by_people(skips.disagreements, settlements))
    for part in read.chunks(_folded_things(skips.all, known), 500):
        states = read.states([thing for thing, _, _ in part])
        for thing, state, disagreements in part:
            found += fold.settle_by_people(disagreements, settlements)
            yield from _state(thing, states.get(thing), state)
    yield from _never_born()
    yield from _tags(skips.undone, settlements, found)
    yield from _disagreements(found)


def _gaps() -> Iterator[Difference]:
    for name, model in (("event", Event), ("revision", Revision)):
        rows = model._default_manager.order_by("machine", "number").values_list("machine", "number")
        for machine, numbers in groupby(rows.iterator(), key=lambda row: row[0]):
            for expected, (_, number) in enumerate(numbers, 1):
                if number != expected:
                    yield Difference(f"{name} numbers", str(machine), str(number), str(expected))
                    break


def _skips(skips: merge.Skips) -> Iterator[Difference]:
    written = dict(Skipped.objects.values_list("event_id", "undone"))
    folded = dict.fromkeys(skips.twins, False) | dict.fromkeys(skips.undone, True)
    for event in sorted(written.keys() | folded.keys()):
        if written.get(event) != folded.get(event):
            yield Difference("skipped", str(event), str(written.get(event)), str(folded.get(event)))


def _folded_things(
    skipped: frozenset[UUID], known: fold.Known
) -> Iterator[tuple[UUID, fold.State, tuple[fold.Disagreement, ...]]]:
    """Every thing with lines, folded, one at a time."""
    lines = (
        Line.objects.filter(role__in=[role.value for role in FOLDED])
        .select_related("event")
        .order_by("thing_id", "event__sort", "event__machine", "event_id", "position")
        .iterator(chunk_size=2000)
    )
    for thing, own in groupby(lines, key=lambda line: line.thing_id):
        events = [
            read.fold_event(rows[0].event, rows)
            for _, grouped in groupby(own, key=lambda line: line.event_id)
            for rows in [list(grouped)]
        ]
        yield thing, *fold.fold_thing(thing, events, skipped=skipped, known=known)


def _state(thing: UUID, written: fold.State | None, folded: fold.State) -> Iterator[Difference]:
    had = written or fold.State()
    should = folded if folded.born else fold.State()
    if had != should:
        yield Difference("thing", str(thing), str(had), str(should))


def _never_born() -> Iterator[Difference]:
    """Rows of things that no event ever bore."""
    bearing = Line.objects.filter(role="output").values("thing_id")
    for model in (State, Balance):
        for thing in model._default_manager.exclude(thing_id__in=bearing).values_list("thing_id", flat=True):
            yield Difference(model.__name__, str(thing), "a row", "none")


def _tags(
    undone: frozenset[UUID], settlements: list[fold.Event], found: list[fold.Disagreement]
) -> Iterator[Difference]:
    written = dict(Tag.objects.values_list("code", "thing_id"))
    codes = set(Tagging.objects.values_list("code", flat=True).distinct()) | written.keys()
    for part in read.chunks(sorted(codes)):
        taggings = read.taggings(part)
        for code in part:
            thing, disagreements = fold.fold_tag(taggings.get(code, ()), undone=undone)
            found += fold.settle_by_people(disagreements, settlements)
            if code not in written or written[code] != thing:
                yield Difference("tag", code, str(written.get(code, "no row")), str(thing))


def _disagreements(found: list[fold.Disagreement]) -> Iterator[Difference]:
    cards = Disagreement.objects.filter(trouble=fold.Trouble.CARD_EDITED_TWICE)
    written = {
        row.id: (row.trouble, row.amount, row.settled_by)
        for row in Disagreement.objects.exclude(id__in=cards.values("id"))
    }
    folded = {item.id: (item.trouble.value, item.amount, item.settled_by) for item in found}
    for id in sorted(written.keys() | folded.keys()):
        if written.get(id) != folded.get(id):
            yield Difference("disagreement", str(id), str(written.get(id)), str(folded.get(id)))
