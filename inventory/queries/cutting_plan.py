"""READ a workshop's cutting plan: which pieces its pairs still take, and what to cut them from."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.cutting.facts import Piece, Stick
from inventory.compute.cutting.jobs import Jobs, There, planned
from inventory.compute.cutting.lengths import Comparison, compare
from inventory.compute.cutting.pieces import pieces_of
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.steps import Role
from inventory.errors import Refused, say
from inventory.models import Line, Material, Package, Pair, Seat
from inventory.queries import builds, trace
from inventory.queries.cutting import Made, Source, in_stock, of_package
from inventory.queries.ledger import chunks, codes_of
from inventory.queries.notes import Note
from inventory.queries.stock_list import usable_through

PRACTICE = "common practice, no source"
SAWN = {"sidewall": 3.0, "blank": 3.0, "wood": 3.0}  # mm, a thin circular blade; knife and shears take 1 mm
KNIFE_MM = 1.0
TRIM_MM = 10
KEEP_FROM_MM = 300


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pieces of one material and size that a workshop's skis still take. `cut`: lie cut already.

    `size` is bare, nothing added for trimming. `pairs`: the codes of those who take them.
    """

    material: Material
    size: Size
    count: int
    pairs: tuple[str, ...]
    cut: int = 0

    @property
    def open(self) -> int:
        """How many are still to be cut."""
        return self.count - self.cut


@dataclass(frozen=True, slots=True)
class Asked:
    """What the plan is asked with; None: by what the material is used as, assumed."""

    kerf_mm: float | None = None
    trim_mm: int = TRIM_MM
    keep_from_mm: int = KEEP_FROM_MM
    lengths_mm: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """The plan of one material: what is wanted, what to do, which length suits; or what is not known."""

    material: Material
    wanted: tuple[Wanted, ...]
    kerf: Given[float]
    jobs: Jobs | None = None
    things: Mapping[str, UUID] = field(default_factory=dict)
    compared: Comparison | None = None
    notes: tuple[Note, ...] = ()

    @property
    def open(self) -> int:
        """How many pieces are still to be cut."""
        return sum(row.open for row in self.wanted)


def plan(workshop: UUID, asked: Asked, *, today: date) -> list[Sheet]:
    """A workshop's cutting plan, a sheet for each material that its pairs' lay-ups cut."""
    rows = wanted(workshop)
    from_ = to_cut_from({row.material.id for row in rows}, today)
    offcuts: dict[UUID, list[Made]] = {}
    for each in in_stock(Kind.OFFCUT):
        offcuts.setdefault(each.material.id, []).append(each)
    held = trace.on_hold()
    by_material: dict[UUID, list[Wanted]] = {}
    for row in rows:
        by_material.setdefault(row.material.id, []).append(row)
    return [
        sheet(
            own[0].material,
            own,
            from_.get(id, ()),
            [row for row in offcuts.get(id, ()) if not {row.thing, row.lot} & held],
            asked,
        )
        for id, own in by_material.items()
    ]


def wanted(workshop: UUID) -> list[Wanted]:
    """Which pieces the skis of a workshop still take, by material and size, the longest first."""
    pairs = _pairs(workshop)
    codes = codes_of(pair.thing_id for pair in pairs)
    laid = _laid([ski.thing_id for pair in pairs for ski in pair.skis.all()])
    keys = {row["material"] for pair in pairs if pair.layup for row in pair.layup.layers}
    cards = {row.key: row for row in Material.objects.filter(key__in=keys)}
    counts: dict[tuple[str, Size], int] = {}
    whose: dict[tuple[str, Size], dict[str, None]] = {}
    for pair in pairs:
        for number, key, some in _pieces(pair):
            skis = sum(not laid.get(ski.thing_id, set()) & {0, number} for ski in pair.skis.all())
            if skis and key in cards:
                counts[key, some.size] = counts.get((key, some.size), 0) + skis * some.count
                whose.setdefault((key, some.size), {})[codes.get(pair.thing_id, "")] = None
    found = [
        Wanted(cards[key], size, count, tuple(whose[key, size])) for (key, size), count in counts.items()
    ]
    found.sort(key=lambda row: (row.material.name, -row.size.length_mm, -(row.size.width_mm or 0)))
    return _less_cut(found, workshop)


def _pairs(workshop: UUID) -> list[Pair]:
    """Booked pairs whose guest did not give the seat back."""
    back = set(
        Seat.objects.filter(workshop_id=workshop, state="given back").values_list("guest_id", flat=True)
    )
    rows = builds.pairs(workshop).select_related("layup")
    return [row for row in rows if row.guest_id is None or row.guest_id not in back]


def _laid(skis: Iterable[UUID]) -> dict[UUID, set[int]]:
    """Per ski the layers that are laid; 0: it is laid up whole."""
    found: dict[UUID, set[int]] = {}
    for part in chunks(skis):
        lines = Line.objects.filter(
            thing_id__in=part,
            role=Role.GAINS,
            event__step__in=("laid up", "layer added"),
            event__skipped__isnull=True,
        )
        for ski, step, facts in lines.values_list("thing_id", "event__step", "event__facts"):
            found.setdefault(ski, set()).add(0 if step == "laid up" else facts.get("layer", 0))
    return found


def _pieces(pair: Pair) -> Iterable[tuple[int, str, Some]]:
    """Layer, material and pieces of one ski of a pair; nothing where its shape is not known."""
    try:
        shaped = builds.shaped(pair)
    except Refused:
        return
    if shaped is None or pair.layup is None:
        return
    for number, row in enumerate(pair.layup.layers, start=1):
        try:
            some = pieces_of(outline=shaped.outline, row=row)
        except Refused:
            continue
        if some is not None:
            yield number, row["material"], some


def _less_cut(rows: list[Wanted], workshop: UUID) -> list[Wanted]:
    """The same with what lies cut for it: the smallest batch that will do goes to the longest piece first."""
    batches = [
        (row, row.pieces) for row in reversed(in_stock(Kind.CUT_BATCH)) if row.workshop in (None, workshop)
    ]
    left = {row.thing: pieces for row, pieces in batches}
    found = []
    for row in rows:
        have = 0
        for batch, _ in batches:
            if batch.material.id == row.material.id and row.size.fits(batch.size):
                take = min(left[batch.thing], row.count - have)
                left[batch.thing] -= take
                have += take
        found.append(replace(row, cut=have))
    return found


def beyond(workshop: UUID, material: UUID, pieces: Sequence[Some]) -> Some | None:
    """The first of these pieces that no pair of the workshop still takes; None when all are wanted."""
    rows = [row for row in wanted(workshop) if row.material.id == material]
    left = [row.open for row in rows]
    for some in pieces:
        count = some.count
        for place, row in enumerate(rows):
            if row.size.fits(some.size):
                take = min(count, left[place])
                left[place] -= take
                count -= take
        if count:
            return Some(some.size, count)
    return None


def to_cut_from(materials: Iterable[UUID], today: date) -> dict[UUID, list[Source]]:
    """What of these materials may be cut, first expired first out."""
    held = trace.on_hold()
    rows = (
        Package.objects.filter(
            lot__material_id__in=list(materials), thing__balance__amount__gt=0, thing__state__isnull=False
        )
        .select_related("lot__material", "thing__balance", "thing__state")
        .order_by("expires_on", "thing_id")
    )
    usable = [row for row in rows if not {row.thing_id, row.lot_id} & held]
    usable = [row for row in usable if not usable_through(row).past(today)]
    codes = codes_of(row.thing_id for row in usable)
    found: dict[UUID, list[Source]] = {}
    for row in usable:
        one = of_package(row)
        if one is not None:
            own = found.setdefault(row.lot.material_id, [])
            own.append(replace(one, code=codes.get(row.thing_id, "")))
    return found


def sheet(
    material: Material,
    rows: Sequence[Wanted],
    sources: Sequence[Source],
    offcuts: Sequence[Made],
    asked: Asked,
) -> Sheet:
    """The plan of one material's pieces."""
    kerf = _kerf(material, asked)
    found = Sheet(material, tuple(rows), kerf)
    pieces = [Some(_with_trim(row.size, asked.trim_mm), row.open) for row in rows if row.open]
    if not pieces:
        return found
    things = {row.code: row.thing for row in sources} | {row.code: row.thing for row in offcuts}
    length = _length(material, sources, pieces)
    if length is None:
        return replace(found, notes=(_no_length(material),))
    rolls = [row for row in sources if row.whole is None and row.size]
    there = [There(row.code, row.whole, row.lengths or 0) for row in sources if row.whole and row.lengths]
    ends = [There(row.code, row.size) for row in offcuts]
    ends += [There(row.code, row.size, roll=True) for row in rolls if row.size]
    try:
        jobs = planned(
            pieces=pieces,
            length=length,
            there=there,
            offcuts=ends,
            kerf_mm=kerf,
            keep_from_mm=asked.keep_from_mm,
        )
        compared = _compared(pieces, asked, kerf) if asked.lengths_mm else None
    except Refused as refused:
        note = Note(refused.sentence, Level.STOP, why=refused.what_to_do, code=refused.code)
        return replace(found, things=things, notes=(note,))
    rolled = {row.code for row in rolls}
    kept = tuple(replace(job, offcuts=()) if job.code in rolled else job for job in jobs.jobs)
    return replace(found, jobs=replace(jobs, jobs=kept), things=things, compared=compared)


def _kerf(material: Material, asked: Asked) -> Given[float]:
    if asked.kerf_mm is not None:
        return Given(asked.kerf_mm, Basis.MEASURED, "as entered")
    return Given(SAWN.get(material.purpose, KNIFE_MM), Basis.ASSUMED, PRACTICE)


def _with_trim(size: Size, trim: int) -> Size:
    return Size(size.length_mm + trim, None if size.width_mm is None else size.width_mm + trim)


def _length(material: Material, sources: Sequence[Source], pieces: Sequence[Some]) -> Size | None:
    """One whole sheet or stick by the card; of what comes on rolls as long as the longest there."""
    if material.base == "mm2" and not material.width_mm:
        return None
    width = int(material.width_mm or 0) if material.base == "mm2" else None
    if material.length_mm:
        return Size(int(material.length_mm), width)
    longest = max((row.size.length_mm for row in sources if row.size), default=0)
    return Size(max(longest, *(row.size.length_mm for row in pieces)), width)


def _no_length(material: Material) -> Note:
    sentence = say("The width of {material} is not known: no plan can be made.", material=material.name)
    return Note(
        sentence, Level.UNKNOWN, page="materials-card", about=(material.key,), code="cutting.no_width"
    )


def _compared(pieces: Sequence[Some], asked: Asked, kerf: Given[float]) -> Comparison:
    return compare(
        pieces=[Piece(row.size.length_mm, row.count) for row in pieces],
        sticks=[Stick(f"{length} mm", length) for length in asked.lengths_mm],
        kerf_mm=kerf,
        keep_from_mm=asked.keep_from_mm,
    )


def cut_for(workshop: UUID) -> list[str]:
    """The codes of what lies cut for a workshop, batches and offcuts: for their tags."""
    rows = in_stock(Kind.CUT_BATCH, Kind.OFFCUT)
    return [row.code for row in rows if row.workshop == workshop]
