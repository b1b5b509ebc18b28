"""READ whether a trip can leave, in first form: stock against what its booked pairs usually take, and dates.

It looks at amounts, dates, holds and artwork. Load, goods limits, power, air and moulds it does not look at,
and says so: it never answers *ready* on its own.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Count, F, Q
from django.utils import timezone

from inventory.compute import expiry
from inventory.compute.reasons import Basis, How, Input, Level
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base, show
from inventory.errors import say
from inventory.models import Artwork, Event, Hold, Line, Material, Package, Trip, Workshop
from inventory.queries.dossier_names import named
from inventory.queries.notes import Answer, Note, counted, worst_first

LAST_SKIS = 40  # whose lay-up says what a ski usually takes
A_PAIR = 2
RULE = "what the last {skis} skis took on average, times two skis a pair, times the pairs booked until then"
SOURCE = "the books of this shop; a pair's own shape is not looked at yet"


@dataclass(frozen=True, slots=True)
class Held:
    """One package in stock, as the sums see it."""

    thing: UUID
    material: UUID
    amount: int
    through: date | None
    held: bool

    def serves(self, day: date) -> bool:
        """True when it may be used on that day."""
        return not self.held and (self.through is None or self.through >= day)


@dataclass(frozen=True, slots=True)
class Share:
    """What one ski usually takes of a material, and how many skis say so."""

    a_ski: float
    skis: int


def stock() -> list[Held]:
    """Every package that holds something: one statement for all, one for the holds."""
    holds = set(Hold.objects.values_list("thing_id", flat=True))
    fields = ("thing_id", "lot_id", "lot__material_id", "expires_on", "extended_through")
    rows = Package.objects.filter(thing__balance__amount__gt=0, thing__state__isnull=False).values_list(
        *fields, "thing__balance__amount", "thing__state__opened_at", "lot__material__opened_life_days"
    )
    found = []
    for thing, lot, material, expires_on, extended, amount, opened_at, life in rows:
        through = expiry.last_day(
            expires_on=expires_on,
            opened_on=timezone.localtime(opened_at).date() if opened_at else None,
            opened_life_days=life,
            extended_through=extended,
        )
        found.append(Held(thing, material, amount, through, bool({thing, lot} & holds)))
    return found


def usual_shares() -> dict[UUID, Share]:
    """What the skis laid up last took of each material, through their resin batches too."""
    steps = Event.objects.filter(step="laid up", skipped__isnull=True).order_by("-sort")
    events = list(steps.values_list("id", flat=True)[:LAST_SKIS])
    if not events:
        return {}
    inputs = Line.objects.filter(event_id__in=events, role=Role.INPUT)
    batches = inputs.exclude(thing__package__isnull=False).values("thing_id")
    mixes = Line.objects.filter(
        thing_id__in=batches, role__in=(Role.OUTPUT, Role.GAINS), event__skipped__isnull=True
    )
    of_mixes = Line.objects.filter(event_id__in=mixes.values("event_id"), role=Role.INPUT)
    totals: dict[UUID, int] = {}
    for rows in (inputs, of_mixes):
        used = rows.filter(thing__package__isnull=False, amount__isnull=False)
        for material, amount in used.values_list("thing__package__lot__material_id", "amount"):
            totals[material] = totals.get(material, 0) + (amount or 0)
    return {material: Share(total / len(events), len(events)) for material, total in totals.items()}


def answer(row: Trip, today: date) -> Answer:
    """Can this trip leave? Never more than *cannot say* while parts of the question are not looked at."""
    workshops = list(
        Workshop.objects.filter(id__in=row.workshops).annotate(booked=_booked()).order_by("starts_on", "name")
    )
    last = workshops[-1].starts_on if workshops else row.back_on
    until = Workshop.objects.filter(starts_on__gte=today, starts_on__lte=last)
    days = list(until.annotate(booked=_booked()).order_by("starts_on").values_list("starts_on", "booked"))
    shares, held = usual_shares(), stock()
    materials = Material.objects.in_bulk({*shares, *(package.material for package in held)})
    found = [
        *_nobody(workshops),
        *_short(days, shares, held, materials),
        *_passing(today, days, held, {id for id in shares if id in materials}, materials),
        *_artwork(row.workshops),
        *below_lowest(held, materials),
        *_untold(shares),
    ]
    return Answer(tuple(worst_first(found)))


def _booked() -> Count:
    return Count("pairs", filter=Q(pairs__thing__state__isnull=False))


def _nobody(workshops: Iterable[Workshop]) -> list[Note]:
    return [
        Note(say("No pair is booked for {name} yet.", name=row.name), Level.UNKNOWN, page="bench")
        for row in workshops
        if not row.booked  # type: ignore[attr-defined]
    ]


@dataclass(frozen=True, slots=True)
class Lack:
    """By how much the stock falls short for the pairs of a day and later, and what there is for them."""

    amount: float
    day: date
    pairs: int
    there: int


def worst_lack(days: Sequence[tuple[date, int]], a_ski: float, held: Iterable[Held]) -> Lack | None:
    """Where the stock of one material falls short most; None where it does for every day.

    What lasts until a day must do for all pairs of that day and later: older stock is of no use to them.
    """
    worst: Lack | None = None
    for number, (day, _) in enumerate(days):
        pairs = sum(booked for _, booked in days[number:])
        there = sum(each.amount for each in held if each.serves(day))
        lacks = a_ski * A_PAIR * pairs - there
        if lacks > 0 and (worst is None or lacks > worst.amount):
            worst = Lack(lacks, day, pairs, there)
    return worst


def _short(
    days: list[tuple[date, int]],
    shares: Mapping[UUID, Share],
    held: list[Held],
    materials: Mapping[UUID, Material],
) -> list[Note]:
    found = []
    for id, share in shares.items():
        lack = worst_lack(days, share.a_ski, [each for each in held if each.material == id])
        if lack is not None:
            found.append(_lacks(materials[id], share, lack))
    return sorted(found, key=lambda note: str(note.sentence))


def _lacks(material: Material, share: Share, lack: Lack) -> Note:
    base = Base(material.base)
    values = {
        "material": material.name,
        "pairs": lack.pairs,
        "takes": _counted(_rough(share.a_ski * A_PAIR * lack.pairs, base)),
        "there": _counted(Amount(lack.there, base)),
        "day": lack.day,
    }
    sentence = counted(
        lack.pairs,
        say(
            "Too little {material}: 1 pair takes about {takes}; {there} can be used on {day}.",
            **values,
        ),
        say(
            "Too little {material}: {pairs} pairs take about {takes}; {there} can be used on {day}.",
            **values,
        ),
    )
    how = How(
        RULE.format(skis=share.skis),
        SOURCE,
        (
            Input("a ski takes", _shown(share.a_ski, base), "", Basis.LEARNED),
            Input("pairs", lack.pairs),
            Input("usable then, not on hold", _words(Amount(lack.there, base)), "", Basis.MEASURED),
        ),
    )
    return Note(sentence, Level.STOP, page="materials-card", about=(material.key,), how=how)


def _counted(amount: Amount) -> Amount | int:
    """Pieces are plain numbers in a sentence."""
    return amount.value if amount.base is Base.PIECE else amount


def _rough(value: float, base: Base) -> Amount:
    """An estimate to three figures: more would pretend to know."""
    digits = max(0, len(str(round(value))) - 3)
    return Amount(round(value / 10**digits) * 10**digits, base)


def _shown(value: float, base: Base) -> str:
    return _words(_rough(value, base)) if value >= 1 else f"{value:.2f}"


def _words(amount: Amount) -> str:
    return str(show(amount=amount))


def _passing(
    today: date,
    days: list[tuple[date, int]],
    held: list[Held],
    needed: set[UUID],
    materials: Mapping[UUID, Material],
) -> list[Note]:
    """What passes its date before the lay-up that might use it; what passed already is thrown away anyhow."""
    if not days:
        return []
    last = days[-1][0]
    late = [
        each
        for each in held
        if each.material in needed and each.through and today <= each.through < last and not each.held
    ]
    names = named(each.thing for each in late)
    found = []
    for each in sorted(late, key=lambda each: (each.through or last, each.thing)):
        sentence = say(
            "{material} {code} passes its date on {date}, before the lay-up on {day}.",
            material=materials[each.material].name,
            code=names[each.thing].code,
            date=each.through,
            day=next(day for day, _ in days if each.through and day > each.through),
        )
        found.append(Note(sentence, Level.STOP, page="thing", about=(names[each.thing].code,)))
    return found


def _artwork(workshops: list[str]) -> list[Note]:
    rows = list(
        Artwork.objects.filter(
            pair__workshop_id__in=workshops, pair__thing__state__isnull=False, here_on=None
        )
        .annotate(ordered=F("at_printer_on"))
        .order_by("pair_id")
    )
    names = named(row.pair_id for row in rows)
    found = []
    for row in rows:
        code = names[row.pair_id].code
        if row.at_printer_on:
            sentence = say(
                "The top sheet of pair {code} is at the printer since {day}.",
                code=code,
                day=row.at_printer_on,
            )
        else:
            sentence = say("The top sheet of pair {code} is not at the printer yet.", code=code)
        found.append(Note(sentence, Level.STOP, page="thing", about=(code,)))
    return found


def below_lowest(held: Iterable[Held], materials: Mapping[UUID, Material] | None = None) -> list[Note]:
    """Materials of which less can be used than the shop wants to have."""
    if materials is None:
        materials = Material.objects.in_bulk()
    wanted = {id: row for id, row in materials.items() if row.lowest_stock}
    there = dict.fromkeys(wanted, 0)
    for each in held:
        if each.material in there and not each.held:
            there[each.material] += each.amount
    found = []
    for id, row in sorted(wanted.items(), key=lambda item: item[1].name):
        lowest = row.lowest_stock or 0
        if there[id] < lowest:
            sentence = say(
                "{material}: {there} is left, below the lowest stock of {lowest}.",
                material=row.name,
                there=Amount(there[id], Base(row.base)),
                lowest=Amount(lowest, Base(row.base)),
            )
            found.append(Note(sentence, Level.LOOK, page="materials-card", about=(row.key,)))
    return found


def _untold(shares: Mapping[UUID, Share]) -> list[Note]:
    """What the first form does not look at: the answer is never better than *cannot say*."""
    found = [
        Note(
            say("Load, goods limits, power, air, moulds and what is aboard are not looked at here."),
            Level.UNKNOWN,
            why=say("Go through them yourselves, by plates, scales and data sheets, before you leave."),
        )
    ]
    if not shares:
        found.append(
            Note(say("What a pair takes is not known: no ski was laid up in these books yet."), Level.UNKNOWN)
        )
    return found
