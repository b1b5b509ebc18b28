"""What each workshop needs of each material, by its pairs' own shapes; what cannot be reckoned, and why.

Reads facts only. Of a pair only the skis count that are still to be laid up. A printed top sheet is one
guest's own: it is not needed twice, and an open seat has none.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from math import ceil
from uuid import UUID

from inventory.compute.needs import Need, Needs
from inventory.compute.needs.many import total
from inventory.compute.reasons import Basis, How, Input, Level
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, Sentence, say
from inventory.models import Material
from inventory.queries.notes import Note, counted
from inventory.queries.pair_needs import (
    A_PAIR,
    CUPS,
    GLOVES,
    GLOVES_A_DAY,
    NOTHING,
    OWN,
    by_count,
    needs_of,
    needs_of_skis,
)
from inventory.queries.pair_needs import cups as cups_of
from inventory.queries.readiness.facts import Facts, PairOf, WorkshopOf

PRACTICE = "common practice, no source"
RULE = (
    "outline by lay-up by what is lost, for each booked pair; a guest without a pair, an open seat and a "
    "spare pair as the pair that takes most; the owner's reserve on top; rounded once"
)


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """So much of one material for one workshop, used up to and including `last_day`."""

    workshop: WorkshopOf
    own: bool  # of this trip
    material: UUID
    amount: int
    last_day: date
    pairs: int
    open_seats: int
    spares: int
    how: How


_Reckon = Callable[[PairOf], Needs | Refused | None]


def _reckoner(facts: Facts) -> _Reckon:
    """What a pair needs, or why that cannot be reckoned; None: its shape or its lay-up is not known."""
    known, accepted = facts.stuff, facts.accepted

    def needs(pair: PairOf) -> Needs | Refused | None:
        card = pair.row.layup
        if pair.refused is not None or card is None:
            return pair.refused
        return needs_of(pair.row, known, accepted.get(card.id, NOTHING))

    return needs


def last_use(workshop: WorkshopOf) -> date:
    """The last day on which something is laid up there: the day before the last, of one day that day.

    Common practice, no source: the last day is for cutting out and finishing.
    """
    row = workshop.row
    return max(row.starts_on, row.ends_on - timedelta(1))


def wanted(facts: Facts) -> list[Wanted]:
    """Everything that is needed, of earlier trips' workshops too, by the day."""
    ids, reckon = {row.key: row.id for row in facts.materials.values()}, _reckoner(facts)
    models = [needs for workshop in facts.workshops for _, needs in _known(workshop, reckon)]
    found: list[Wanted] = []
    for workshop, own in [(each, False) for each in facts.earlier] + [
        (each, True) for each in facts.workshops
    ]:
        found += _of_workshop(workshop, own, facts, reckon, ids, models)
    return found


def _known(workshop: WorkshopOf, reckon: _Reckon) -> list[tuple[PairOf, Needs]]:
    """The pairs still to be laid up, with what a whole one needs."""
    return [
        (pair, needs) for pair in workshop.coming if pair.to_make and isinstance(needs := reckon(pair), Needs)
    ]


def unbooked(facts: Facts) -> list[tuple[Material, int]]:
    """Printed sheets of this trip's pairs that are here by their artwork and in no package, by material."""
    by_key, reckon = {row.key: row for row in facts.materials.values()}, _reckoner(facts)
    here: dict[str, int] = {}
    for pair in (pair for workshop in facts.workshops for pair in workshop.coming):
        if pair.artwork is None or pair.artwork.here_on is None or pair.to_make < A_PAIR:
            continue
        needs = reckon(pair)
        for row in needs.materials if isinstance(needs, Needs) else ():
            if by_key[row.material].purpose in OWN:
                here[row.material] = here.get(row.material, 0) + row.net_pair.value
    lacks = [(by_key[key], amount - _kept_of(by_key[key], facts)) for key, amount in here.items()]
    return [(material, lack) for material, lack in lacks if lack > 0]


def _of_workshop(
    workshop: WorkshopOf,
    own: bool,
    facts: Facts,
    reckon: _Reckon,
    ids: Mapping[str, UUID],
    models: list[Needs],
) -> Iterator[Wanted]:
    known = _known(workshop, reckon)
    pairs = [_for_pair(needs, pair, facts, ids) for pair, needs in known]
    model = _most([needs for _, needs in known] or models, facts, ids)
    bare = workshop.without_pair if model else 0
    open_seats = workshop.open_seats if own else 0
    spares = facts.shop.spare_pairs if own and (pairs or bare) else 0
    if not pairs and not (model and bare + open_seats):
        return
    counts = (len(pairs) + bare, open_seats, spares)
    more = [model] * (bare + open_seats + spares) if model and model.materials else []
    with_materials = [needs for needs in pairs if needs.materials]
    printed = _printed(known, pairs, facts, ids)
    if not with_materials and not more:
        return
    for row in total(pairs=with_materials or more, spares=more if with_materials else ()):
        material = facts.materials[ids[row.material]]
        reserve = facts.shop.reserve_percent if own else 0
        amount = row.amount.expected.value
        if reserve:
            amount = ceil(row.exact.expected * (100 + reserve) / 100)
        if row.material in printed:  # what came and is in no package: `unbooked`
            amount -= max(0, printed[row.material] - _kept_of(material, facts))
        if amount:
            yield _wanted(workshop, own, material, amount, counts, facts)
    if own:
        cups = sum(_cups(needs, facts) * pair.to_make // A_PAIR for pair, needs in known)
        cups += sum(_cups(needs, facts) for needs in more)
        yield from _by_count(workshop, with_materials + more, cups, counts, facts)


def _wanted(
    workshop: WorkshopOf,
    own: bool,
    material: Material,
    amount: int,
    counts: tuple[int, int, int],
    facts: Facts,
) -> Wanted:
    pairs, open_seats, spares = counts
    learned = any(material.key in of for of in facts.accepted.values())
    how = How(
        RULE,
        "learned from past trips, accepted" if learned else f"what is lost: {PRACTICE}",
        (
            Input("booked pairs, and guests without one", pairs),
            Input("open seats", open_seats),
            Input("spare pairs", spares, "", Basis.ASSUMED),
            Input("the owner's reserve", facts.shop.reserve_percent, "%", Basis.ASSUMED),
            Input("needed", Spoken(Amount(amount, Base(material.base))), "", _basis(learned)),
        ),
    )
    return Wanted(workshop, own, material.id, amount, last_use(workshop), *counts, how)


def _basis(learned: bool) -> Basis:
    return Basis.LEARNED if learned else Basis.ASSUMED


def _for_pair(needs: Needs, pair: PairOf, facts: Facts, ids: Mapping[str, UUID]) -> Needs:
    """Of its skis still to be laid up; of a printed sheet what they have in them, and none while it is not
    here: that is told apart.
    """
    needs, art = needs_of_skis(needs, pair.to_make), pair.artwork
    if art is None:
        return needs
    found = list(_without_own(needs.materials, facts, ids))
    if art.here_on is not None:
        own = [row for row in needs.materials if facts.materials[ids[row.material]].purpose in OWN]
        found += [
            replace(row, exact_pair=replace(row.exact_pair, expected=row.exact_pair.net)) for row in own
        ]
    return replace(needs, materials=tuple(found))


def _printed(
    known: Iterable[tuple[PairOf, Needs]], pairs: Iterable[Needs], facts: Facts, ids: Mapping[str, UUID]
) -> dict[str, int]:
    """Of the sheets needed those that were printed for one guest each."""
    found = [
        needs
        for (pair, _), needs in zip(known, pairs, strict=True)
        if pair.artwork is not None and needs.materials
    ]
    return {
        row.material: row.amount.expected.value
        for row in (total(pairs=found) if found else ())
        if facts.materials[ids[row.material]].purpose in OWN
    }


def _without_own(rows: Iterable[Need], facts: Facts, ids: Mapping[str, UUID]) -> tuple[Need, ...]:
    return tuple(row for row in rows if facts.materials[ids[row.material]].purpose not in OWN)


def _most(pairs: list[Needs], facts: Facts, ids: Mapping[str, UUID]) -> Needs | None:
    """What an open seat or a spare pair may take: of each material as the pair that takes most of it."""
    if not pairs:
        return None
    most: dict[str, Need] = {}
    for needs in pairs:
        for row in needs.materials:
            before = most.get(row.material)
            if before is None or row.exact_pair.expected > before.exact_pair.expected:
                most[row.material] = row
    return replace(pairs[0], materials=_without_own(most.values(), facts, ids))


def _by_count(
    workshop: WorkshopOf, pairs: list[Needs], cups: int, counts: tuple[int, int, int], facts: Facts
) -> Iterator[Wanted]:
    """Cups by the mixes, gloves by the hands, where the books keep them and no lay-up names them."""
    named = {row.material for needs in pairs for row in needs.materials}
    days = (workshop.row.ends_on - workshop.row.starts_on).days + 1
    people = workshop.booked_seats + workshop.open_seats + (workshop.row.hands or 0)
    there = {row.id: _kept_of(row, facts) for row in facts.materials.values()}
    for purpose, amount in ((CUPS, cups), (GLOVES, GLOVES_A_DAY * days * people)):
        row = by_count(purpose, facts.materials.values(), named, there)
        if amount and row is not None:
            amount = ceil(Fraction(amount * (100 + facts.shop.reserve_percent), 100))
            yield _wanted(workshop, True, row, amount, counts, facts)


def _kept_of(material: Material, facts: Facts) -> int:
    return sum(each.left for each in facts.packages if each.material == material.id)


def _cups(needs: Needs, facts: Facts) -> int:
    found = {row.material: row.exact_pair.expected for row in needs.materials}
    return cups_of(found, {row.key: row for row in facts.materials.values()})


def unknown(facts: Facts) -> list[Note]:
    """Pairs whose needs nobody can reckon, workshops without pairs, and hardeners of another resin."""
    reckon = _reckoner(facts)
    found: list[Note] = []
    for workshop in facts.workshops:
        if workshop.without_pair:
            found.append(_without_pair(workshop, any(_known(each, reckon) for each in facts.workshops)))
        elif not workshop.coming and not workshop.open_seats:
            sentence = say("No pair is booked for {name} yet.", name=workshop.row.name)
            found.append(
                Note(
                    sentence,
                    Level.UNKNOWN,
                    page="builds-workshop",
                    about=(str(workshop.row.id),),
                    code="ready.no_pair",
                )
            )
        for pair in workshop.coming:
            if pair.to_make:
                found += _unknown_pair(pair, reckon)
    return found + _misfits(facts)


def _without_pair(workshop: WorkshopOf, counted_for: bool) -> Note:
    """Guests who have a seat and no pair: how long, how wide and by which lay-up, nobody said."""
    values = {"name": workshop.row.name, "count": workshop.without_pair}
    sentence = counted(
        workshop.without_pair,
        say("1 guest who has a seat in {name} has no pair yet: what they need is not known.", **values),
        say(
            "{count} guests who have a seat in {name} have no pair yet: what they need is not known.",
            **values,
        ),
    )
    why = say("Each is counted as the pair that takes most.") if counted_for else None
    return Note(
        sentence,
        Level.UNKNOWN,
        why=why,
        page="builds-workshop",
        about=(str(workshop.row.id),),
        code="ready.no_pair_of_guest",
    )


def _unknown_pair(pair: PairOf, reckon: _Reckon) -> Iterator[Note]:
    needs = reckon(pair)
    if isinstance(needs, Needs):
        return
    about = {"page": "builds-spec", "about": (pair.code,)}
    if needs is None:
        sentence = _missing(pair)
        yield Note(sentence, Level.UNKNOWN, code="ready.no_shape", **about)  # type: ignore[arg-type]
        return
    sentence = say("What pair {code} needs cannot be reckoned.", code=pair.code)
    yield Note(sentence, Level.UNKNOWN, why=needs.sentence, code="ready.no_needs", **about)  # type: ignore[arg-type]


def _missing(pair: PairOf) -> Sentence:
    if pair.shaped is None:
        return say("Pair {code} has no shape yet: what it needs is not known.", code=pair.code)
    return say("Pair {code} has no lay-up card yet: what it needs is not known.", code=pair.code)


def _misfits(facts: Facts) -> list[Note]:
    """Lay-ups that mix a resin with a hardener whose card names another resin."""
    by_key = {row.key: row for row in facts.materials.values()}
    mixes = {
        (row["material"], row["hardener"])
        for pair in facts.pairs
        if pair.row.layup
        for row in pair.row.layup.layers
        if row.get("hardener")
    }
    found = []
    for resin, hardener in sorted(mixes):
        one, other = by_key.get(resin), by_key.get(hardener)
        if one and other and other.resin_id not in (None, one.id):
            sentence = say(
                "{hardener} goes with another resin than {resin}, by its card.",
                hardener=other.name,
                resin=one.name,
            )
            found.append(
                Note(sentence, Level.STOP, page="materials-card", about=(other.key,), code="ready.misfit")
            )
    return found


def for_whom(wants: Iterable[Wanted]) -> Sentence:
    """Whom so much is for, in words: 5 pairs, 1 open seat, 1 spare pair."""
    rows = list(wants)
    pairs, seats, spares = (
        sum(getattr(row, name) for row in rows) for name in ("pairs", "open_seats", "spares")
    )
    values = {"pairs": pairs, "more": seats + spares}
    if not seats + spares:
        return counted(pairs, say("1 pair"), say("{pairs} pairs", **values))
    one = say("1 pair and {more} more, open or spare", **values)
    return counted(pairs, one, say("{pairs} pairs and {more} more, open or spare", **values))
