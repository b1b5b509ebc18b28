"""WRITE what is derived: balances, states, holds, tags, skipped events, disagreements. Only the pen's own.

Knows no topic. A new event of this machine sorts last, so its lines move the written state on by one step.
Everything else (late records, reversals, merges, disputed things) is folded again from all lines.
"""

from collections.abc import Iterable, Mapping
from uuid import UUID

from inventory.compute import fold, merge
from inventory.compute.fold import FOLDED, State
from inventory.compute.steps import Role
from inventory.models import Balance, Disagreement, Event, Hold, Line, Skipped, Tag, Tagging
from inventory.models import State as StateRow
from inventory.queries import ledger as read


def bring_up_to_date(row: Event, lines: Iterable[Line], before: Mapping[UUID, State]) -> set[UUID]:
    """Write what one new event made true. Returns the things that went short by it."""
    by_thing: dict[UUID, list[fold.Line]] = {}
    for line in lines:
        if line.role in FOLDED:
            flat = fold.Line(line.thing_id, Role(line.role), line.amount, line.to_id)
            by_thing.setdefault(line.thing_id, []).append(flat)
    if row.late:
        return refold(by_thing)
    disputed = read.disputed(by_thing)
    event = read.fold_event(row, ())
    changes: dict[UUID, tuple[State, State]] = {}
    for thing in by_thing.keys() - disputed:
        after = had = before.get(thing, State())
        for flat in by_thing[thing]:
            after = fold.move_on(after, event, flat)
        changes[thing] = had, after
    write(changes)
    return refold(disputed)


def refold(things: Iterable[UUID]) -> set[UUID]:
    """Fold these things again from all their lines, and write them. Returns those shorter than before."""
    things = list(things)
    if not things:
        return set()
    known = merge.knowledge(read.meetings())
    skipped = read.skipped()
    settlements = [event for event in read.settlements() if event.id not in skipped]
    shorter: set[UUID] = set()
    for part in read.chunks(things, 200):
        before = read.states(part)
        changes: dict[UUID, tuple[State, State]] = {}
        for thing, events in read.events_of(part).items():
            after, found = fold.fold_thing(thing, events, skipped=skipped, known=known)
            had = before.get(thing, State())
            if after.short > had.short:
                shorter.add(thing)
            changes[thing] = had, after
            write_disagreements(thing, fold.THING_TROUBLES, fold.settle_by_people(found, settlements))
        write(changes)
    return shorter


def write(changes: Mapping[UUID, tuple[State, State]]) -> None:
    """Write the states of things where they changed, before and after: the same few statements for all.

    A birth that was undone takes its rows away.
    """
    balances: list[Balance] = []
    states: list[StateRow] = []
    holds: list[Hold] = []
    for thing, (before, after) in changes.items():
        for event in before.holds - after.holds:
            Hold.objects.filter(thing_id=thing, event_id=event).delete()
        if after.born is None:
            _take_away(thing)
            continue
        if after.value is not None and (after.value != before.value or before.born is None):
            balances.append(Balance(thing_id=thing, amount=after.amount, short=after.short))
        if (after.place, after.opened_at, after.born) != (before.place, before.opened_at, before.born):
            opened = None if after.opened_at is None else read.moment(after.opened_at)
            states.append(
                StateRow(thing_id=thing, place_id=after.place, opened_at=opened, born_id=after.born)
            )
        holds += (Hold(thing_id=thing, event_id=event) for event in after.holds - before.holds)
    Balance.objects.bulk_create(
        balances, update_conflicts=True, unique_fields=["thing"], update_fields=["amount", "short"]
    )
    StateRow.objects.bulk_create(
        states, update_conflicts=True, unique_fields=["thing"], update_fields=["place", "opened_at", "born"]
    )
    Hold.objects.bulk_create(holds)


def _take_away(thing: UUID) -> None:
    Balance.objects.filter(thing_id=thing).delete()
    Hold.objects.filter(thing_id=thing).delete()
    StateRow.objects.filter(thing_id=thing).delete()


def write_disagreements(
    subject: UUID, troubles: Iterable[fold.Trouble], found: Iterable[fold.Disagreement]
) -> None:
    """Write the disagreements of these kinds about one subject, in place of those written before."""
    rows = Disagreement.objects.filter(subject=subject, trouble__in=list(troubles))
    wanted = {
        item.id: (item.trouble, [str(event) for event in item.events], item.amount, item.settled_by)
        for item in found
    }
    rows.exclude(id__in=list(wanted)).delete()
    for id, (trouble, events, amount, settled_by) in wanted.items():
        Disagreement.objects.update_or_create(
            id=id,
            defaults={
                "trouble": trouble,
                "subject": subject,
                "events": events,
                "amount": amount,
                "settled_by": settled_by,
            },
        )


def tie(taggings: Iterable[Tagging]) -> None:
    """Write the codes a new event of this machine used; they were free, or printed ahead."""
    Tag.objects.bulk_create(
        [Tag(code=tagging.code, thing_id=tagging.thing_id) for tagging in taggings],
        update_conflicts=True,
        unique_fields=["code"],
        update_fields=["thing"],
    )


def refold_tags(codes: Iterable[str], *, undone: frozenset[UUID]) -> None:
    """Fold these codes again from all their taggings, and write them.

    A thing may disagree about several codes, so all codes that were ever on it are looked at.
    """
    touched: set[UUID] = set()
    for code, taggings in read.taggings(codes).items():
        thing, _ = fold.fold_tag(taggings, undone=undone)
        Tag.objects.update_or_create(code=code, defaults={"thing_id": thing})
        touched.update(tagging.thing for tagging in taggings if tagging.thing)
    settlements = read.settlements()
    found: dict[UUID, list[fold.Disagreement]] = {thing: [] for thing in touched}
    for taggings in read.taggings(read.codes_ever_on(touched)).values():
        for item in fold.fold_tag(taggings, undone=undone)[1]:
            found.setdefault(item.thing, []).append(item)
    for thing in touched:
        settled = fold.settle_by_people(found[thing], settlements)
        write_disagreements(thing, [fold.Trouble.ONE_CODE_TWO_THINGS], settled)


def recompute_skips() -> set[UUID]:
    """Decide anew which events the fold passes over, and write it. Returns the events that changed sides."""
    known = merge.knowledge(read.meetings())
    now = merge.skips(read.skip_scope(), known=known)
    wanted = dict.fromkeys(now.twins, False) | dict.fromkeys(now.undone, True)
    had = dict(Skipped.objects.values_list("event_id", "undone"))
    changed = {event for event in wanted.keys() | had.keys() if wanted.get(event) != had.get(event)}
    Skipped.objects.filter(event_id__in=[event for event in had if event in changed]).delete()
    Skipped.objects.bulk_create(
        Skipped(event_id=event, undone=wanted[event]) for event in changed if event in wanted
    )
    subjects = {item.thing for item in now.disagreements}
    settled = fold.settle_by_people(now.disagreements, read.settlements())
    stale = Disagreement.objects.filter(trouble__in=list(fold.SKIP_TROUBLES))
    for subject in subjects | set(stale.values_list("subject", flat=True)):
        own = [item for item in settled if item.thing == subject]
        write_disagreements(subject, fold.SKIP_TROUBLES, own)
    return changed


def follow(changed: Iterable[UUID], *, things: Iterable[UUID] = (), codes: Iterable[str] = ()) -> set[UUID]:
    """Fold again all things and codes of events that changed sides, and these beside.

    Returns the things shorter than before.
    """
    changed, things, codes = list(changed), set(things), set(codes)
    for part in read.chunks(changed):
        things.update(Line.objects.filter(event_id__in=part).values_list("thing_id", flat=True))
        codes.update(Tagging.objects.filter(event_id__in=part).values_list("code", flat=True))
    undone = frozenset(Skipped.objects.filter(undone=True).values_list("event_id", flat=True))
    refold_tags(codes, undone=undone)
    return refold(things)


def resettle(subject: UUID) -> None:
    """Look again at one subject's disagreements after people settled one."""
    settlements = read.settlements()
    for row in Disagreement.objects.filter(subject=subject, settled_by__isnull=True):
        by = [event for event in settlements if event.settles == row.id]
        if by:
            row.settled_by = min(by, key=lambda event: event.order).id
            row.save(update_fields=["settled_by"])
