"""READ what trips teach of how much is used, and the factors that people accepted.

What a trip taught stands on its record, so that asking reads two tables however many trips there were.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q

from inventory.compute import build_spec, layup
from inventory.compute.layup import Stuff
from inventory.compute.needs.trips import HALF_WAY_PAIRS, Offered, TripUse, offer, possible
from inventory.compute.units import Base
from inventory.errors import Refused, Sentence, say
from inventory.models import LayupCard, Line, Material, Pair, Revision, Trip, TripRecord, UsageFactor
from inventory.queries import builds, home, layups, ledger
from inventory.queries.cards import edits
from inventory.queries.home import Used


@dataclass(frozen=True, slots=True)
class Taught:
    """What one trip teaches of one material, or why it teaches nothing."""

    material: UUID
    name: str
    base: Base
    layup: UUID | None
    net: int
    used: int
    pairs: int
    why_not: Sentence | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """Somebody accepted a factor, or took it back: `factor` None."""

    at: datetime
    who: str
    factor: float | None


@dataclass(frozen=True, slots=True)
class OnTrip:
    """What one trip taught: how much of a material was gone for 1 of it in the pairs."""

    trip: UUID
    name: str
    leaves_on: date
    pairs: int
    ratio: float


@dataclass(frozen=True, slots=True)
class Row:
    """One material of one lay-up: what the trips suggest, what was accepted, and by whom until now."""

    layup: LayupCard
    material: Material
    offered: Offered
    accepted: UsageFactor | None
    trips: tuple[OnTrip, ...]
    usual: float
    turns: tuple[Turn, ...] = ()  # newest first

    @property
    def news(self) -> bool:
        """True when there is a factor to accept that is not reckoned with already."""
        factor = self.offered.factor
        return factor is not None and abs(factor.expected - self.counts) > 1e-9

    @property
    def counts(self) -> float:
        """What needs are reckoned with now."""
        return self.accepted.expected if self.accepted else self.usual

    @property
    def way(self) -> float:
        """How far a suggestion goes from what is usual to what was found, in per cent."""
        return 100 * self.offered.pairs / (self.offered.pairs + HALF_WAY_PAIRS)

    @property
    def percents(self) -> tuple[float, float | None]:
        """How much more than ends up in the pairs that is, in per cent; and what is suggested."""
        factor = self.offered.factor
        return 100 * (self.counts - 1), None if factor is None else 100 * (factor.expected - 1)


def taught(row: Trip) -> list[Taught]:
    """What a trip's counted packages teach, material by material."""
    rows: dict[UUID, list[Used]] = {}
    for each in home.used(row):
        rows.setdefault(each.material, []).append(each)
    pairs = built(row)
    cards = {pair.layup_id for pair in pairs}
    needs = needs_of(pairs)
    found = []
    for material, packages in rows.items():
        used = sum(each.gone for each in packages)
        net = needs.get(packages[0].material_key, 0) if needs is not None else 0
        why = _why_not(packages, pairs, cards, needs, net, used)
        card = next(iter(cards)) if len(cards) == 1 else None
        found.append(
            Taught(material, packages[0].material_name, packages[0].base, card, net, used, len(pairs), why)
        )
    return found


def _why_not(
    packages: Iterable[Used],
    pairs: list[Pair],
    cards: set[UUID | None],
    needs: Mapping[str, int] | None,
    net: int,
    used: int,
) -> Sentence | None:
    late = [each.code for each in packages if each.late]
    if late:
        return say("{code} was not counted before it was used again: it teaches nothing.", code=late[0])
    open_ = [each.code for each in packages if each.counted_at is None]
    if open_:
        return say("{code} is not counted: what only the needs filled in teaches nothing.", code=open_[0])
    if not pairs:
        return say("No pair was laid up on this trip.")
    if len(cards) > 1:
        return say("Pairs of {count} lay-ups were built: their use cannot be told apart.", count=len(cards))
    if needs is None:
        return say("A pair has no shape or no lay-up card, so what it needs is not known.")
    if not net:
        return say("The lay-up card does not name it.")
    if not possible(net, used):
        return say("So much cannot have been used for these pairs: look at the counts again.")
    return None


def built(row: Trip) -> list[Pair]:
    """The pairs laid up while the trip was away, both skis."""
    times = home.window(row.id)
    if times is None:
        return []
    lines = Line.objects.filter(
        thing__ski__pair__workshop_id__in=row.workshops,
        event__step="laid up",
        event__skipped__isnull=True,
        event__sort__gte=ledger.microseconds(times[0]),
    )
    if times[1] is not None:
        lines = lines.filter(event__sort__lte=ledger.microseconds(times[1]))
    skis: dict[UUID, set[UUID]] = {}
    for ski, pair in lines.values_list("thing_id", "thing__ski__pair_id"):
        if pair is not None:
            skis.setdefault(pair, set()).add(ski)
    both = [pair for pair, found in skis.items() if len(found) == 2]
    return list(Pair.objects.filter(thing_id__in=both).select_related("layup").order_by("thing_id"))


def needs_of(pairs: Iterable[Pair]) -> dict[str, int] | None:
    """What ends up in these pairs, by the key of the material; None where that of one is not known."""
    sums: dict[str, int] = {}
    pairs = list(pairs)
    known = layups.known([layer for pair in pairs if pair.layup for layer in pair.layup.layers])
    for pair in pairs:
        spec, card = builds.spec(pair), pair.layup
        if spec is None or card is None or not card.layers:
            return None
        try:
            outline = build_spec.shaped(spec=spec).outline
            found = layup.needed(outline=outline, rows=card.layers, known=known)
        except Refused:
            return None
        for need in found.materials:
            sums[need.material] = sums.get(need.material, 0) + need.net_pair.value
    return sums


def offers() -> list[Row]:
    """What all recorded trips suggest, by lay-up and material: as many statements however many there are."""
    cards = LayupCard.objects.in_bulk()
    materials = Material.objects.in_bulk()
    kept = {(row.layup_id, row.material_id): row for row in UsageFactor.objects.all()}
    turns = _turns()
    uses: dict[tuple[UUID, UUID], list[tuple[Trip, TripUse]]] = {}
    for record in TripRecord.objects.select_related("trip").order_by("trip__leaves_on"):
        for entry in record.taught:
            key = UUID(entry["layup"]), UUID(entry["material"])
            use = TripUse(entry["net"], entry["used"], entry["pairs"])
            uses.setdefault(key, []).append((record.trip, use))
    stuff = stuff_of(materials.values())
    rows = []
    for key, found in uses.items():
        if key[0] not in cards or key[1] not in materials:
            continue
        card, material, own = cards[key[0]], materials[key[1]], kept.get(key)
        usual = layup.usual_loss(rows=card.layers, key=material.key, known=stuff)
        row = Row(
            card,
            material,
            offer(trips=[use for _, use in found], usual=usual),
            own if own and not own.ended else None,
            tuple(OnTrip(trip.id, trip.name, trip.leaves_on, use.pairs, use.ratio) for trip, use in found),
            usual,
            turns.get(own.id, ()) if own else (),
        )
        rows.append(row)
    return sorted(rows, key=lambda row: (row.layup.name, row.material.name))


def _turns() -> dict[UUID, tuple[Turn, ...]]:
    """What became of each factor, by its card."""
    revisions = list(Revision.objects.filter(card="usage factor").order_by("clock", "machine"))
    found: dict[UUID, list[Turn]] = {}
    last: dict[UUID, float] = {}
    for revision, edit in zip(revisions, edits(revisions), strict=True):
        card = revision.card_id
        last[card] = revision.after.get("expected", last.get(card, 0.0))
        factor = None if revision.after.get("ended") else last[card]
        found.setdefault(card, []).insert(0, Turn(edit.at, edit.who, factor))
    return {card: tuple(own) for card, own in found.items()}


def suggested(row: Trip) -> int:
    """Of how many materials that a recorded trip taught, a factor waits to be accepted."""
    kept = record(row.id)
    own = {(entry["layup"], entry["material"]) for entry in kept.taught} if kept else set()
    return sum(each.news and (str(each.layup.id), str(each.material.id)) in own for each in offers())


def stuff_of(materials: Iterable[Material]) -> dict[str, Stuff]:
    """Materials as a lay-up card wants them, by key."""
    return {
        row.key: Stuff(row.name, Base(row.base), row.purpose, row.thickness_mm, row.hardener_per_hundred)
        for row in materials
    }


def record(trip: UUID) -> TripRecord | None:
    """What a trip was like, once somebody said so."""
    return TripRecord.objects.filter(trip_id=trip).first()


def last_time(row: Trip) -> TripRecord | None:
    """What the trip before this one taught: the one it was planned as, or the last of the same name."""
    alike = Q(trip__name=row.name) | Q(trip_id=row.planned_as_id)
    before = TripRecord.objects.filter(alike, trip__leaves_on__lt=row.leaves_on)
    return before.select_related("trip").order_by("-trip__leaves_on").first()
