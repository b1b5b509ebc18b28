"""READ a mix before anything is poured: how much these skis need, in which cups, out of which jugs, and
whether air, surfaces and skis allow it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from math import ceil
from uuid import UUID

from django.utils import timezone

from inventory.compute import damp, layup
from inventory.compute.damp import Air
from inventory.compute.mix import WARN, percent, scale_doubt
from inventory.compute.mix.pour import on_scale
from inventory.compute.mix.ratio import Pour, grams, share_into_cups, split_total
from inventory.compute.needs.many import USUAL
from inventory.compute.reasons import Basis, Given, How, Input, Level
from inventory.errors import Refused, say
from inventory.models import Hold, Material, Package, Pair, Ski
from inventory.queries import ages, builds, cups, layups
from inventory.queries.ledger import codes_of
from inventory.queries.notes import Answer, Note, worst_first
from inventory.queries.stock_list import Row, rows_of

FIRST_TIMERS = USUAL["mixed resin, first-time builders"]
CARD = "the lay-up card"
SOURCE = "the lay-up card; losses: common practice, no source"
LITTLE_MG = 10_000  # what is missing by less than this is enough


@dataclass(frozen=True, slots=True)
class SkiNeed:
    """What one ski needs of the mix; `need_mg` is None where its spec or its lay-up does not say."""

    id: UUID
    code: str
    side: str
    guest: str
    pair: UUID
    need_mg: int | None

    @property
    def grams(self) -> float | None:
        """Its need in grams."""
        return None if self.need_mg is None else grams(self.need_mg)


@dataclass(frozen=True, slots=True)
class Product:
    """What the cards of the two parts say; None: not entered."""

    resin: Material | None
    hardener: Material | None

    @property
    def per_hundred(self) -> Given[float] | None:
        """Grams of hardener to 100 g of resin, from the hardener's card."""
        value = self.hardener.hardener_per_hundred if self.hardener else None
        return None if value is None else Given(value, Basis.DATA_SHEET, "the hardener's card")

    @property
    def largest_cup_mg(self) -> Given[int] | None:
        """The largest cup of the two cards, the smaller one where both say one."""
        said = [row.largest_cup_mg for row in (self.resin, self.hardener) if row and row.largest_cup_mg]
        return Given(min(said), Basis.DATA_SHEET, "the product's card") if said else None

    @property
    def pot_life(self) -> list[float | None] | None:
        """Minutes, at which °C, in how many grams: as the hardener's card, else the resin's, lists it."""
        for row in (self.hardener, self.resin):
            if row and row.pot_life_min is not None and row.pot_life_at_c is not None:
                cup_g = None if row.pot_life_cup_mg is None else grams(row.pot_life_cup_mg)
                return [row.pot_life_min, row.pot_life_at_c, cup_g]
        return None


@dataclass(frozen=True, slots=True)
class Plan:
    """A mix before it is poured. `pours` are the cups still to be mixed, none when it may not be."""

    skis: tuple[SkiNeed, ...]
    need_mg: int
    mixed_mg: int
    pours: tuple[Pour, ...]
    resin: tuple[Row, ...]
    hardener: tuple[Row, ...]
    product: Product
    answer: Answer
    how: How

    @property
    def mixed_g(self) -> float:
        """What was mixed for these skis already, in grams."""
        return grams(self.mixed_mg)

    @property
    def next(self) -> tuple[float, float]:
        """Grams of resin and of hardener for the next cup."""
        return grams(self.pours[0].resin_mg), grams(self.pours[0].hardener_mg)

    @property
    def stopped(self) -> bool:
        """True when nothing may be poured."""
        return self.answer.level is Level.STOP or not self.pours


def product_of(resin: UUID, hardener: UUID) -> Product:
    """What the cards of these two packages say."""
    rows = Package.objects.filter(thing_id__in=[resin, hardener]).select_related("lot__material")
    found = {row.thing_id: row.lot.material for row in rows}
    return Product(found.get(resin), found.get(hardener))


def plan(
    *,
    skis: Sequence[UUID],
    air: Air,
    step_mg: int,
    first_timers: bool,
    now: datetime,
    total_mg: int | None = None,
) -> Plan:
    """What to pour for these skis now: amount, cups, jugs; and what stands against it.

    `total_mg` outranks what the skis need, where a person says how much.
    """
    needs, product, inputs = _needs(skis, first_timers)
    before = cups.for_skis(skis, now)
    mixed = sum(cup.resin_mg + cup.hardener_mg for cup in before)
    need = total_mg if total_mg is not None else sum(row.need_mg or 0 for row in needs)
    resin, hardener = _jugs(product, needs, now)
    product = _from_shelf(product, resin, hardener)
    short = need if total_mg is not None else max(0, need - mixed)
    notes = [*_air_notes(air), *_hold_notes(skis), *_need_notes(needs, total_mg, mixed, need)]
    pours, against = _pours(short, product, step_mg)
    notes += [*against, *_jug_notes(pours, resin, hardener), *_aged_notes(now, resin, hardener)]
    lines = (*inputs, Input("mixed already", grams(mixed), "g"))
    how = How("need of each ski x loss, less what was mixed for them", SOURCE, lines)
    answer = Answer(tuple(worst_first(notes)))
    if answer.level is Level.STOP:
        pours = ()
    return Plan(needs, need, mixed, pours, resin, hardener, product, answer, how)


def _needs(
    skis: Sequence[UUID], first_timers: bool
) -> tuple[tuple[SkiNeed, ...], Product, tuple[Input, ...]]:
    rows = {
        row.thing_id: row
        for row in Ski.objects.filter(thing_id__in=list(skis), pair__isnull=False).select_related(
            "pair__guest", "pair__layup"
        )
    }
    codes = codes_of(skis)
    product, found = Product(None, None), []
    inputs: list[Input] = []
    reckoned: dict[UUID, tuple[int | None, Product, tuple[Input, ...]]] = {}
    for ski in skis:
        row = rows.get(ski)
        if row is None or row.pair is None or row.pair_id is None:
            continue
        if row.pair_id not in reckoned:
            reckoned[row.pair_id] = _of_pair(row.pair, first_timers)
            inputs += reckoned[row.pair_id][2]
        need, own, _ = reckoned[row.pair_id]
        product = product if product.hardener else own
        guest = str(row.pair.guest.called) if row.pair.guest else ""
        found.append(SkiNeed(ski, codes.get(ski, ""), row.side, guest, row.pair_id, need))
    return tuple(found), product, tuple(inputs)


def _of_pair(pair: Pair, first_timers: bool) -> tuple[int | None, Product, tuple[Input, ...]]:
    """What one ski of a pair needs of the mix, and the mix's two materials by the lay-up card."""
    card = pair.layup
    mixes = [row for row in card.layers if row.get("hardener")] if card else []
    if not mixes:
        return None, Product(None, None), ()
    keys = {mixes[0]["material"]: "resin", mixes[0]["hardener"]: "hardener"}
    named = {keys[row.key]: row for row in Material.objects.filter(key__in=keys)}
    product = Product(named.get("resin"), named.get("hardener"))
    try:
        shaped = builds.shaped(pair)
        if shaped is None:
            return None, product, ()
        stuff = layups.known(mixes)
        needs = layup.needed(outline=shaped.outline, rows=mixes, known=stuff)
    except Refused:
        return None, product, ()
    exact, inputs = Fraction(0), []
    for need in needs.materials:
        factor = need.factor
        if first_timers and factor.source != CARD:
            factor = FIRST_TIMERS
        exact += need.exact_pair.net / 2 * Fraction(str(factor.expected))
        name = stuff[need.material].name
        inputs.append(Input(f"{name}, in one ski", grams(ceil(need.exact_pair.net / 2)), "g"))
        inputs.append(Input(f"{name}, loss factor", factor.expected, "", factor.basis))
    return ceil(exact), product, tuple(inputs)


def _jugs(
    product: Product, needs: Iterable[SkiNeed], now: datetime
) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """Packages of both parts in the order to take them: lots that the pair has already, then by date."""
    pairs = {row.pair for row in needs}
    skis = list(Ski.objects.filter(pair_id__in=pairs).values_list("thing_id", flat=True))
    used = {package for cup in cups.for_skis(skis, now) for package in cup.packages}
    lots = set(Package.objects.filter(thing_id__in=used).values_list("lot_id", flat=True))
    today = timezone.localtime(now).date()
    found = []
    for part, material in (("resin", product.resin), ("hardener", product.hardener)):
        rows = Package.objects.filter(thing__balance__amount__gt=0)
        rows = rows.filter(lot__material=material) if material else rows.filter(lot__material__purpose=part)
        usable = [
            row
            for row in rows_of(
                list(rows.order_by("expires_on", "thing_id").values_list("thing_id", flat=True)[:40])
            )
            if not row.held and not row.usable.past(today)
        ]
        aged = aged_of([row.thing for row in usable], now)
        usable.sort(
            key=lambda row: (
                row.thing in aged,
                row.lot not in lots,
                row.usable.through or date.max,
                not row.open,
                row.left.value,
            )
        )
        found.append(tuple(usable))
    return found[0], found[1]


def aged_of(packages: Sequence[UUID], now: datetime) -> set[UUID]:
    """Those of these packages whose time is over by the warmth read where they stood: an estimate."""
    return {thing for thing, known in ages.ages_of(packages, now).items() if known.read}


def _aged_notes(now: datetime, *rows: Sequence[Row]) -> list[Note]:
    """What would be taken first, though it is old by its warmth: the estimate warns."""
    aged = aged_of([own[0].thing for own in rows if own], now)
    what = say("Take another, or re-test it beside a fresh one where the maker allows that.")
    return [
        Note(
            say("{package} is past its time by its warmth: an estimate.", package=own[0].code),
            Level.LOOK,
            what,
        )
        for own in rows
        if own and own[0].thing in aged
    ]


def _from_shelf(product: Product, resin: Sequence[Row], hardener: Sequence[Row]) -> Product:
    """The cards of what is taken first, where no lay-up card names the two parts."""
    if product.hardener is not None or not hardener:
        return product
    rows = Material.objects.filter(key__in=[row.key for row in (*resin[:1], *hardener[:1])])
    by_key = {row.key: row for row in rows}
    return Product(by_key.get(resin[0].key) if resin else None, by_key.get(hardener[0].key))


def _air_notes(air: Air) -> list[Note]:
    try:
        found = damp.measured(air=air)
    except Refused as refused:
        return [Note(refused.sentence, Level.STOP, why=refused.what_to_do)]
    return [Note(reason.sentence, reason.level, how=reason.how) for reason in found.verdict.reasons]


def _hold_notes(skis: Sequence[UUID]) -> list[Note]:
    held = set(Hold.objects.filter(thing_id__in=list(skis)).values_list("thing_id", flat=True))
    codes = codes_of(held)
    return [
        Note(say("{ski} is on hold: nothing is mixed for it.", ski=codes.get(ski, "")), Level.STOP)
        for ski in skis
        if ski in held
    ]


def _need_notes(needs: Sequence[SkiNeed], total_mg: int | None, mixed_mg: int, need_mg: int) -> list[Note]:
    notes = []
    if total_mg is None:
        missing = "How much {ski} needs is not known: its widths or its lay-up card are missing."
        what = say("Enter how much to mix, or its spec first.")
        notes = [
            Note(say(missing, ski=row.code), Level.UNKNOWN, why=what) for row in needs if row.need_mg is None
        ]
    if mixed_mg and need_mg and mixed_mg + LITTLE_MG >= need_mg and total_mg is None:
        sentence = say(
            "{mixed} g were mixed for these skis already, of {need} g.",
            mixed=grams(mixed_mg),
            need=grams(need_mg),
        )
        notes.append(Note(sentence, Level.LOOK))
    return notes


def _pours(short_mg: int, product: Product, step_mg: int) -> tuple[tuple[Pour, ...], list[Note]]:
    """The cups of what is still to be mixed, in steps of the scale."""
    ratio, largest = product.per_hundred, product.largest_cup_mg
    if ratio is None:
        sentence = say("How much hardener goes to 100 g of resin is not known.")
        what = say("Enter it on the hardener's card, from its data sheet.")
        return (), [Note(sentence, Level.STOP, why=what)]
    if short_mg < LITTLE_MG:
        return (), []
    notes = []
    try:
        if largest is None:
            pours: tuple[Pour, ...] = (split_total(total_mg=short_mg, hardener_per_hundred=ratio),)
            sentence = say("The product's largest cup is not known: read its sheet before mixing this much.")
            notes.append(Note(sentence, Level.UNKNOWN))
        else:
            shared = share_into_cups(total_mg=short_mg, hardener_per_hundred=ratio, largest_cup_mg=largest)
            pours = shared.pours
        shown = tuple(on_scale(pour=pour, hardener_per_hundred=ratio, step_mg=step_mg) for pour in pours)
    except Refused as refused:
        return (), [Note(refused.sentence, Level.STOP, why=refused.what_to_do)]
    return shown, notes + _scale_notes(shown[0], step_mg)


def _scale_notes(pour: Pour, step_mg: int) -> list[Note]:
    """A scale whose steps hide more than the ratio may be off is said before anything is poured."""
    doubt = scale_doubt(pour.resin_mg, pour.hardener_mg, step_mg)
    if doubt <= Fraction(str(WARN)):
        return []
    sentence = say(
        "A scale of {step} g steps leaves the ratio of such a cup in doubt by {doubt} %: too coarse.",
        step=grams(step_mg),
        doubt=percent(doubt),
    )
    return [Note(sentence, Level.STOP, why=say("Weigh the hardener on a finer scale."))]


def _jug_notes(pours: Sequence[Pour], resin: Sequence[Row], hardener: Sequence[Row]) -> list[Note]:
    """Too little on the shelf, or nothing that may be used."""
    notes = []
    wants = (
        (say("No resin is here that may be used."), resin, sum(pour.resin_mg for pour in pours)),
        (say("No hardener is here that may be used."), hardener, sum(pour.hardener_mg for pour in pours)),
    )
    for nothing, rows, wanted in wants:
        left = sum(row.left.value for row in rows)
        if not rows:
            notes.append(Note(nothing, Level.STOP))
        elif left < wanted:
            sentence = say(
                "Of {material} {left} g are here, and {wanted} g are needed.",
                material=rows[0].material,
                left=grams(left),
                wanted=grams(wanted),
            )
            notes.append(Note(sentence, Level.STOP))
    return notes
