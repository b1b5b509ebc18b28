"""READ recalls: which skis they took in, what was found since, whom to tell and what became of it.

The set is the trace's: no count and no chance plays a part. What a recall took in as it was opened stands in
its events and never changes; what the trace finds now, after a merge say, is added and flagged.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import QuerySet

from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.models import Event, Hold, Line, Pair, Recall, Ski, Thing, Told
from inventory.queries import trace
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named, pairs_of
from inventory.queries.ledger import chunks
from inventory.queries.skis_back.reach import Owner, Reach, Spread, owners, reach, spread
from inventory.queries.skis_back.shelf import Left, shelf

STATES, MEANS, AUTHORITY = Told.STATES, Told.MEANS, Recall.AUTHORITY


@dataclass(frozen=True, slots=True)
class Standing:
    """How a recall stands. `since`: skis the trace finds that were not taken in when it was opened."""

    recall: Recall
    roots: tuple[Named, ...]
    taken_in: tuple[UUID, ...]  # skis, as it was opened
    added: frozenset[UUID]  # skis taken in later
    since: frozenset[UUID]  # skis found since, and not written into it yet
    no_more: frozenset[UUID]  # skis taken in that the trace no longer finds; told all the same
    spread: Spread
    states: dict[UUID, str]  # of every pair that was handed over
    reached: Reach

    @property
    def counts(self) -> list[tuple[str, int]]:
        """How many pairs are in each state, in the order of the states."""
        found = Counter(self.states.values())
        return [(state, found[state]) for state in Told.STATES]


@dataclass(frozen=True, slots=True)
class ToTell:
    """One owner of a recall's list. `later`: found after it was opened; `elsewhere`: other open recalls."""

    owner: Owner
    state: str
    means: str
    passed_on: bool
    later: bool
    elsewhere: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a recall from these things would take in, hold and reach. `same`: the open one that does."""

    roots: tuple[Named, ...]
    spread: Spread
    shelf: tuple[Left, ...]  # everything it would put on hold, by place
    on_hold: int  # of them on hold already
    owners: tuple[Owner, ...]
    same: Recall | None

    @property
    def over(self) -> int:
        """Skis of pairs that were handed over."""
        return len(self.spread.skis) - len(self.spread.in_work) - len(self.spread.strays)

    @property
    def can_be_told(self) -> list[Owner]:
        """Whose owner is known, and how to reach them."""
        return [row for row in self.owners if row.guest and row.contact]

    @property
    def no_contact(self) -> list[Owner]:
        """Whose owner is known by name only."""
        return [row for row in self.owners if row.guest and not row.contact]

    @property
    def nobody(self) -> list[Owner]:
        """Whose owner nobody knows any more."""
        return [row for row in self.owners if not row.guest]


def ahead(roots: Iterable[UUID], today: date) -> Ahead:
    """What a recall from these things would come to, before it is opened."""
    wanted = list(dict.fromkeys(roots))
    found = reach(wanted)
    where = spread(found.skis, found.pairs)
    things = to_hold(found)
    return Ahead(
        roots=tuple(named(wanted).values()),
        spread=where,
        shelf=tuple(shelf(things, today)),
        on_hold=len(held(things)),
        owners=tuple(owners(list(where.out), where)),
        same=same_as(wanted),
    )


def same_as(roots: Iterable[UUID]) -> Recall | None:
    """The open recall that starts from just these things."""
    wanted = set(map(str, roots))
    return next((row for row in of(map(UUID, wanted)) if set(row.roots) == wanted), None)


def recalls() -> list[Recall]:
    """Every recall: open ones first, then the newest."""
    rows = Recall.objects.order_by("-opened_on", "-id")
    return sorted(rows, key=lambda row: row.closed_on is not None)


def recall(id: UUID) -> Recall | None:
    """One recall."""
    return Recall.objects.filter(id=id).first()


def open_ones() -> QuerySet[Recall]:
    """Recalls that are not closed."""
    return Recall.objects.filter(closed_on__isnull=True)


def of(things: Iterable[UUID]) -> list[Recall]:
    """Open recalls that start from one of these things."""
    wanted = {str(thing) for thing in things}
    return [row for row in open_ones().order_by("-opened_on", "-id") if wanted & set(row.roots)]


def roots_of(row: Recall) -> list[UUID]:
    """The things a recall starts from."""
    return [UUID(root) for root in row.roots]


def _taken_in(row: Recall) -> tuple[dict[UUID, None], set[UUID]]:
    """The skis its events took in, in order; and those of them that came later."""
    events = Event.objects.filter(step="recalled", facts__recall=str(row.id), skipped__isnull=True)
    late = {id: bool(facts.get("later")) for id, facts in events.values_list("id", "facts")}
    found: dict[UUID, None] = {}
    later: set[UUID] = set()
    for part in chunks(late):
        rows = Line.objects.filter(event_id__in=part).order_by("event__sort", "position")
        for event, ski in rows.values_list("event_id", "thing_id"):
            if ski not in found:
                found[ski] = None
                if late[event]:
                    later.add(ski)
    return found, later


def standing(row: Recall) -> Standing:
    """How a recall stands now: what it took in, what the trace finds, whom to tell."""
    taken, added = _taken_in(row)
    reached = reach(roots_of(row))
    live = dict.fromkeys(reached.skis)
    since = frozenset(live.keys() - taken.keys()) if row.closed_on is None else frozenset()
    every = [*taken, *(ski for ski in live if ski in since)]
    found = spread(every)
    told = dict(Told.objects.filter(recall=row).values_list("pair_id", "state"))
    return Standing(
        recall=row,
        roots=tuple(named(roots_of(row)).values()),
        taken_in=tuple(ski for ski in taken if ski not in added),
        added=frozenset(added),
        since=since,
        no_more=frozenset(taken.keys() - live.keys()),
        spread=found,
        states={pair: told.get(pair, Told.STATES[0]) for pair in found.out},
        reached=reached,
    )


def to_tell(found: Standing, pairs: Sequence[UUID]) -> list[ToTell]:
    """These pairs of a recall as its list shows them."""
    cards = {row.pair_id: row for row in Told.objects.filter(recall=found.recall, pair_id__in=list(pairs))}
    late = found.added | found.since
    others = _elsewhere(found.recall, pairs)
    rows = []
    for owner in owners(pairs, found.spread):
        card = cards.get(owner.pair.id)
        rows.append(
            ToTell(
                owner,
                found.states[owner.pair.id],
                card.means if card else "",
                bool(card and card.passed_on),
                all(ski.id in late for ski in owner.skis),
                tuple(others.get(owner.pair.id, ())),
            )
        )
    return rows


def _elsewhere(row: Recall, pairs: Sequence[UUID]) -> dict[UUID, list[str]]:
    """The names of the other open recalls that each of these pairs is in."""
    found: dict[UUID, list[str]] = {}
    others = list(open_ones().exclude(id=row.id).order_by("opened_on", "id"))
    if not others:
        return {}
    skis = dict(Ski.objects.filter(pair_id__in=list(pairs)).values_list("thing_id", "pair_id"))
    for other in others:
        for pair in {skis[ski] for ski in _taken_in(other)[0] if ski in skis}:
            found.setdefault(pair, []).append(other.name)
    return found


def to_hold(found: Reach) -> list[UUID]:
    """What a hold on a reach is put on: roots, what is left of the stock, skis that are not with owners."""
    where = spread(found.skis)
    loose = [*where.in_work, *where.back, *where.strays]
    stock = [
        id
        for part in chunks(found.others)
        for id in Thing.objects.filter(id__in=part, balance__amount__gt=0).values_list("id", flat=True)
    ]
    wanted = dict.fromkeys([*found.roots, *stock, *loose])
    born = {
        id
        for part in chunks(wanted)
        for id in Thing.objects.filter(id__in=part, state__isnull=False)
        .exclude(kind=Kind.PAIR)
        .values_list("id", flat=True)
    }
    out = set(found.skis) - set(loose)  # with owners: nothing to stop here
    return [id for id in wanted if id in born and id not in out]


def held(things: Iterable[UUID]) -> set[UUID]:
    """Those of these things that are on hold themselves."""
    return {
        id
        for part in chunks(things)
        for id in Hold.objects.filter(thing_id__in=part).values_list("thing_id", flat=True)
    }


def held_for(row: Recall) -> set[UUID]:
    """What this recall put on hold, as it was opened and since, whether or not that hold was lifted."""
    acts = Event.objects.filter(step="recalled", facts__recall=str(row.id), skipped__isnull=True)
    lines = Line.objects.filter(
        event__step="held",
        event__act__in=list(acts.values_list("act", flat=True)),
        event__skipped__isnull=True,
    )
    return set(lines.values_list("thing_id", flat=True))


def warning(thing: UUID) -> Recall | None:
    """The open recall that a ski or pair is in, one that may hurt first; None when it is in none."""
    rows = sorted(open_ones(), key=lambda row: not row.may_hurt)
    if not rows:
        return None
    skis = list(Ski.objects.filter(pair_id=thing).values_list("thing_id", flat=True)) or [thing]
    taken = set(
        Line.objects.filter(
            thing_id__in=skis, event__step="recalled", event__skipped__isnull=True
        ).values_list("event__facts__recall", flat=True)
    )
    by = Line.objects.filter(
        role=Role.BY,
        event__lines__thing_id__in=skis,
        event__lines__role=Role.OBSERVED,
        event__skipped__isnull=True,
    )
    has = {*map(str, trace.back(skis).things), *map(str, by.values_list("thing_id", flat=True))}
    has |= {str(thing), *map(str, skis)}
    return next((row for row in rows if str(row.id) in taken or has & set(row.roots)), None)


def warned_guest(guest: UUID) -> list[Recall]:
    """Open recalls that may hurt and that a pair of this guest is in: nobody could be told afterwards."""
    pairs = Pair.objects.filter(guest_id=guest).values_list("thing_id", flat=True)
    rows = (warning(pair) for pair in pairs)
    return list({row.id: row for row in rows if row is not None and row.may_hurt}.values())


def pair_of_code(thing: UUID) -> UUID | None:
    """The pair of a pair or ski."""
    return thing if Pair.objects.filter(thing_id=thing).exists() else pairs_of([thing]).get(thing)
