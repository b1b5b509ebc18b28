"""READ whether what is derived equals the fold of the events, thing by thing. Knows the ledger, no topic.

`actions.rebuild` goes through the same pieces in the same order, and writes in between.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from uuid import UUID

from django.db.models import Model

from inventory.compute import fold, merge
from inventory.compute.fold import FOLDED
from inventory.compute.steps import Role
from inventory.models import Balance, Disagreement, Event, Hold, Line, Revision, Skipped, State, Tag, Tagging
from inventory.models.cards import CARDS, PRIVATE, plain
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
    yield from gaps()
    known = merge.knowledge(read.meetings())
    skips = merge.skips(read.skip_scope(), known=known)
    yield from of_skips(skips)
    settlements = [event for event in read.settlements() if event.id not in skips.all]
    found: list[fold.Disagreement] = list(fold.settle_by_people(skips.disagreements, settlements))
    for part in read.chunks(folded_things(skips.all, known), 500):
        states = read.states([thing for thing, _, _ in part])
        for thing, state, disagreements in part:
            found += fold.settle_by_people(disagreements, settlements)
            yield from of_thing(thing, states.get(thing), state)
    for model, thing in strays():
        yield Difference(model.__name__.lower(), str(thing), "a row", "none")
    for code, written, folded, disagreements in folded_tags(skips.undone):
        found += fold.settle_by_people(disagreements, settlements)
        yield from of_tag(code, written, folded)
    yield from of_disagreements(found)
    yield from of_cards()


def gaps() -> Iterator[Difference]:
    """Numbers of a machine that are missing: nothing here can put that right."""
    for name, model in (("event", Event), ("revision", Revision)):
        rows = model._default_manager.order_by("machine", "number").values_list("machine", "number")
        for machine, numbers in groupby(rows.iterator(), key=lambda row: row[0]):
            for expected, (_, number) in enumerate(numbers, 1):
                if number != expected:
                    yield Difference(f"{name} numbers", str(machine), str(number), str(expected))
                    break


def of_skips(skips: merge.Skips) -> Iterator[Difference]:
    """Events that are passed over and should not be, or the other way round."""
    written = dict(Skipped.objects.values_list("event_id", "undone"))
    folded = dict.fromkeys(skips.twins, False) | dict.fromkeys(skips.undone, True)
    for event in sorted(written.keys() | folded.keys()):
        if written.get(event) != folded.get(event):
            yield Difference("skipped", str(event), str(written.get(event)), str(folded.get(event)))


def folded_things(
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


def of_thing(thing: UUID, written: fold.State | None, folded: fold.State) -> Iterator[Difference]:
    """Amount, place, opening, birth and holds of one thing."""
    had = written or fold.State()
    should = folded if folded.born else fold.State()
    if had != should:
        yield Difference("thing", str(thing), str(had), str(should))


def strays() -> Iterator[tuple[type[Model], UUID]]:
    """Rows of things that no event bore, or whose birth was undone."""
    bearing = Line.objects.filter(role=Role.OUTPUT).values("thing_id")
    for thing in State.objects.exclude(thing_id__in=bearing).values_list("thing_id", flat=True):
        yield State, thing
    for model in (Balance, Hold):
        rows = model._default_manager.filter(thing__state__isnull=True).values_list("thing_id", flat=True)
        for thing in rows.distinct():
            yield model, thing


# No row at all is not the same as a row that names no thing.
NO_ROW = "no row"


def folded_tags(
    undone: frozenset[UUID],
) -> Iterator[tuple[str, UUID | str | None, UUID | None, tuple[fold.Disagreement, ...]]]:
    """Every code: what is written, what the events say, and what disagrees."""
    written = dict(Tag.objects.values_list("code", "thing_id"))
    codes = set(Tagging.objects.values_list("code", flat=True).distinct()) | written.keys()
    for part in read.chunks(sorted(codes)):
        taggings = read.taggings(part)
        for code in part:
            thing, disagreements = fold.fold_tag(taggings.get(code, ()), undone=undone)
            yield code, written.get(code, NO_ROW), thing, disagreements


def of_tag(code: str, written: UUID | str | None, folded: UUID | None) -> Iterator[Difference]:
    """What one code answers for."""
    if written != folded:
        yield Difference("tag", code, str(written), str(folded))


def of_cards() -> Iterator[Difference]:
    """Cards that are not what their revisions say. A person's revisions have no values to compare."""
    rows = Revision.objects.exclude(card__in=PRIVATE).order_by("card", "card_id").iterator(chunk_size=2000)
    for (card, id), own in groupby(rows, key=lambda row: (row.card, row.card_id)):
        edits = [merge.Edit(row.id, row.machine, row.clock, row.before, row.after) for row in own]
        folded, _, _ = merge.fold_card(id, edits)
        kept = CARDS[card]._default_manager.filter(pk=id).first()
        written = {name: plain(getattr(kept, name, None)) for name in folded}
        if written != folded:
            yield Difference(card, str(id), str(written), str(folded))


def of_disagreements(found: list[fold.Disagreement]) -> Iterator[Difference]:
    """What people have to settle; cards have their own, which no event says."""
    written = {
        row.id: (row.trouble, row.amount, row.settled_by)
        for row in Disagreement.objects.exclude(trouble=fold.Trouble.CARD_EDITED_TWICE)
    }
    folded = {item.id: (item.trouble.value, item.amount, item.settled_by) for item in found}
    for id in sorted(written.keys() | folded.keys()):
        if written.get(id) != folded.get(id):
            yield Difference("disagreement", str(id), str(written.get(id)), str(folded.get(id)))
