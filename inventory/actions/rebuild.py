"""WRITE anew what is derived, from the events alone. Changes no event and no card; records nothing.

Goes through the books as `queries.books.differences` does, one thing at a time, so that memory does not grow
with the ledger.
"""

from collections.abc import Iterator

from django.db import transaction

from inventory.actions import derived
from inventory.compute import fold, merge
from inventory.models import Balance, Disagreement, Hold, State, Tag
from inventory.queries import books
from inventory.queries import ledger as read
from inventory.queries.books import Difference


def rebuild() -> Iterator[Difference]:
    """Write what differs anew, and give each difference as it was found. Read it to its end.

    Afterwards: every derived row is what the events say. Missing numbers of a machine stay missing.
    """
    with transaction.atomic():
        read.machines(lock=True)
        yield from _rebuild()


def _rebuild() -> Iterator[Difference]:
    known = merge.knowledge(read.meetings())
    skips = merge.skips(read.skip_scope(), known=known)
    yield from list(books.of_skips(skips))
    derived.recompute_skips()
    settlements = [event for event in read.settlements() if event.id not in skips.all]
    found = list(fold.settle_by_people(skips.disagreements, settlements))
    for part in read.chunks(books.folded_things(skips.all, known), 500):
        states = read.states([thing for thing, _, _ in part])
        for thing, state, disagreements in part:
            found += fold.settle_by_people(disagreements, settlements)
            for difference in books.of_thing(thing, states.get(thing), state):
                Balance.objects.filter(thing_id=thing).delete()
                Hold.objects.filter(thing_id=thing).delete()
                State.objects.filter(thing_id=thing).delete()
                derived.write({thing: (fold.State(), state)})
                yield difference
    for model, thing in list(books.strays()):
        model._default_manager.filter(thing_id=thing).delete()
        yield Difference(model.__name__.lower(), str(thing), "a row", "none")
    for code, written, folded, disagreements in books.folded_tags(skips.undone):
        found += fold.settle_by_people(disagreements, settlements)
        for difference in books.of_tag(code, written, folded):
            Tag.objects.update_or_create(code=code, defaults={"thing_id": folded})
            yield difference
    yield from _disagreements(found)


def _disagreements(found: list[fold.Disagreement]) -> Iterator[Difference]:
    by_id = {item.id: item for item in found}
    for difference in list(books.of_disagreements(found)):
        Disagreement.objects.filter(id=difference.subject).delete()
        yield difference
    rows = set(Disagreement.objects.values_list("id", flat=True))
    Disagreement.objects.bulk_create(
        Disagreement(
            id=item.id,
            trouble=item.trouble,
            subject=item.thing,
            events=[str(event) for event in item.events],
            amount=item.amount,
            settled_by=item.settled_by,
        )
        for item in by_id.values()
        if item.id not in rows
    )
