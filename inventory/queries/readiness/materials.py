"""Whether enough of every material comes along, in date through its last use; where the nearest more is.

Reads facts only. What is aboard or on the loading list counts as coming; what trips before this one need is
theirs first; what is on hold or past its day covers nothing. An age by warmth is an estimate: it warns.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from inventory.compute.choose import KEEPS, Choice, Lot, Need, Why, who_gets_what
from inventory.compute.reasons import Basis, How, Input, Level
from inventory.compute.units import Amount, Base, Spoken, at_least, at_most, lacking
from inventory.errors import Sentence, say
from inventory.models import Material
from inventory.queries.notes import Cure, Note, counted
from inventory.queries.readiness import ordered
from inventory.queries.readiness.cures import bring
from inventory.queries.readiness.facts import Facts, Packed, by_material
from inventory.queries.readiness.needs import Wanted, for_whom, unknown, wanted

MOST_CURES = 3
SHOWN = 6


@dataclass(frozen=True, slots=True, eq=False)
class Met:
    """How this trip's needs of one material are met. Amounts in its base unit.

    needed = comes + fetch + short; `aboard` of what comes lies in a vehicle already. `at_best`: short even if
    every package without a date were good. `take`: what to fetch from where. `used`: what is taken along.
    """

    material: Material
    wants: tuple[Wanted, ...]
    needed: int
    comes: int
    aboard: int
    short: int
    at_best: int
    take: tuple[tuple[Packed, int], ...]
    used: tuple[Packed, ...]
    over: tuple[tuple[Packed, Why], ...]
    how: How

    @property
    def lacks(self) -> int:
        """What does not come along yet."""
        return self.needed - self.comes

    @property
    def last_day(self) -> date:
        """The day by which the last of it is used."""
        return max(want.last_day for want in self.wants)


def reasons(facts: Facts) -> list[Note]:
    """Of every material a sentence: too little, not on the list, past its date, or enough."""
    found = unknown(facts)
    for met in allotted(facts):
        found += _notes(met, facts)
    return found


# --- who gets what ----------------------------------------------------------------------------------------


def allotted(facts: Facts) -> list[Met]:
    """How every material this trip needs is met, by the material's name."""
    packages = by_material(facts.packages)
    by_need: dict[UUID, list[Wanted]] = {}
    for want in wanted(facts):
        by_need.setdefault(want.material, []).append(want)
    return [
        _met(facts.materials[id], wants, packages.get(id, []), facts)
        for id, wants in sorted(by_need.items(), key=lambda item: facts.materials[item[0]].name)
        if any(want.own for want in wants)
    ]


def _met(material: Material, wants: Sequence[Wanted], packages: Sequence[Packed], facts: Facts) -> Met:
    by_id = {str(each.id): each for each in packages}
    own = [want for want in wants if want.own]
    whole = _choose(_needs(wants, facts), [_lot(each, material, facts) for each in packages], material, facts)
    claimed: dict[str, int] = {}
    for draw in whole.draws:
        if draw.need.startswith("earlier"):
            claimed[draw.lot] = claimed.get(draw.lot, 0) + draw.amount
    needs = _needs(own, facts)
    coming = [_lot(each, material, facts, claimed) for each in packages if each.spot.goes]
    came = _choose(needs, coming, material, facts)
    rest = [
        Need(need.key, met.short, need.load_day, need.last_day)
        for need, met in zip(needs, came.met, strict=True)
        if met.short
    ]
    home = [_lot(each, material, facts, claimed) for each in packages if not each.spot.goes]
    fetched = _choose(rest, home, material, facts)
    mine = [met for met in whole.met if met.need.startswith("own")]
    needed = sum(want.amount for want in own)
    return Met(
        material=material,
        wants=tuple(own),
        needed=needed,
        comes=needed - came.short,
        aboard=sum(draw.amount for draw in came.draws if by_id[draw.lot].spot.aboard),
        short=sum(met.short for met in mine),
        at_best=sum(met.short_at_best for met in mine),
        take=_summed((by_id[draw.lot], draw.amount) for draw in fetched.draws),
        used=tuple({draw.lot: by_id[draw.lot] for draw in came.draws}.values()),
        over=_passed_over(came, by_id) if came.short else (),
        how=whole.how,
    )


def _needs(wants: Iterable[Wanted], facts: Facts) -> list[Need]:
    return [
        Need(
            f"{'own' if want.own else 'earlier'} {want.workshop.row.id}",
            want.amount,
            min(facts.loads_on, want.last_day),
            want.last_day,
        )
        for want in wants
    ]


def _lot(each: Packed, material: Material, facts: Facts, claimed: dict[str, int] | None = None) -> Lot:
    key = str(each.id)
    left = max(0, each.left - each.set_aside - (claimed or {}).get(key, 0))
    place = "aboard" if each.spot.aboard else "listed" if each.spot.goes else "home"
    return Lot(key, left, last_day(each, material, facts), place, held=each.held or each.spot.out)


def last_day(each: Packed, material: Material, facts: Facts) -> date | None:
    """The last day it may be used; None where what passes a date has none that is known."""
    if each.over:
        return facts.today - timedelta(1)
    if each.through is not None:
        return each.through
    return None if material.passes else KEEPS


def _choose(needs: list[Need], lots: list[Lot], material: Material, facts: Facts) -> Choice:
    horizon = max([facts.trip.back_on, *(need.last_day for need in needs)])
    return who_gets_what(lots=lots, needs=needs, base=Base(material.base), horizon=horizon)


def _summed(draws: Iterable[tuple[Packed, int]]) -> tuple[tuple[Packed, int], ...]:
    sums: dict[UUID, tuple[Packed, int]] = {}
    for each, amount in draws:
        sums[each.id] = (each, sums.get(each.id, (each, 0))[1] + amount)
    return tuple(sums.values())


def _passed_over(choice: Choice, by_id: dict[str, Packed]) -> tuple[tuple[Packed, Why], ...]:
    found = {
        over.lot: (by_id[over.lot], over.why)
        for met in choice.met
        for over in met.passed_over
        if over.why in (Why.HELD, Why.PASSED, Why.UNDATED)
    }
    return tuple(found.values())


# --- in words ---------------------------------------------------------------------------------------------


def _notes(met: Met, facts: Facts) -> Iterator[Note]:
    if met.lacks:
        yield _lacking(met, facts)
    else:
        yield _enough(met, facts)
    yield from _aged(met, facts)


def _needed(met: Met, value: int) -> Spoken | int:
    """A need or a shortage in words; what is missing as needed less what comes, where both are told."""
    base = Base(met.material.base)
    if base is Base.PIECE:
        return value
    if value == met.lacks and met.comes:
        return lacking(needed=Amount(met.needed, base), there=Amount(met.comes, base))
    return at_least(Amount(value, base))


def _there(met: Met, value: int) -> Spoken | int:
    """What comes along, in words."""
    base = Base(met.material.base)
    return value if base is Base.PIECE else at_most(Amount(value, base))


def _lacking(met: Met, facts: Facts) -> Note:
    values = {
        "material": met.material.name,
        "whom": for_whom(met.wants),
        "needed": _needed(met, met.needed),
        "comes": _there(met, met.comes),
        "lacks": _needed(met, met.lacks),
        "day": met.last_day,
    }
    undated = met.short > 0 and met.at_best == 0
    if undated and not met.take:
        sentence = say(
            "Whether there is enough {material} hangs on packages without a date: {lacks} of {needed} "
            "for {whom}.",
            **values,
        )
    elif met.comes:
        sentence = say(
            "Too little {material}, by {lacks}: {needed} are needed for {whom}, and {comes} that lasts "
            "through {day} comes along.",
            **values,
        )
    else:
        sentence = say(
            "No {material} that lasts through {day} comes along: {needed} are needed for {whom}.", **values
        )
    return Note(
        sentence,
        Level.UNKNOWN if undated and not met.take else Level.STOP,
        why=_why_not(met),
        page="materials-card",
        about=(met.material.key,),
        codes=tuple(each.code for each, _ in met.over[:SHOWN]) if len(met.over) > 1 else (),
        how=_how(met),
        code="ready.short" if met.short else "ready.not_on_list",
        cures=tuple(_cures(met, facts)),
        by=_order_by(met, facts) or facts.loads_on,
    )


def _order_by(met: Met, facts: Facts) -> date | None:
    """The last day to order what is nowhere, by the quickest offer."""
    return facts.last_days.get(met.material.id) if met.short else None


def _why_not(met: Met) -> Sentence | None:
    """Why what is there does not count, in one sentence: the date first, as that surprises most."""
    by_why: dict[Why, list[Packed]] = {}
    for each, why in met.over:
        by_why.setdefault(why, []).append(each)
    if Why.PASSED in by_why:
        first = min(by_why[Why.PASSED], key=lambda each: each.through or date.max)
        values = {
            "code": first.code,
            "date": first.through,
            "day": met.last_day,
            "count": len(by_why[Why.PASSED]),
        }
        if first.over:
            return say("{code} is past its date by the warmth it stood in.", **values)
        return counted(
            len(by_why[Why.PASSED]),
            say("{code} passes its date on {date}, before its last use on {day}.", **values),
            say(
                "{count} packages pass their date before their last use on {day}; {code} on {date}.", **values
            ),
        )
    if Why.HELD in by_why:
        values = {"code": by_why[Why.HELD][0].code, "count": len(by_why[Why.HELD])}
        return counted(
            len(by_why[Why.HELD]),
            say("{code} is on hold.", **values),
            say("{count} packages are on hold; {code} is one.", **values),
        )
    return None


def _cures(met: Met, facts: Facts) -> Iterator[Cure]:
    alike = [each.spot for each in met.used] or [
        each.spot for each in facts.aboard if facts.materials[each.material].purpose == met.material.purpose
    ]
    for each, amount in met.take[:MOST_CURES]:
        told = _needed(met, amount)
        sentence = say(
            "{amount} more {material}: {code} in {place}.",
            amount=told,
            material=met.material.name,
            code=each.code,
            place=facts.where(each.spot) or say("no place yet"),
        )
        part = Amount(amount, Base(met.material.base))
        yield bring(facts, each.code, sentence, alike, why=met.material.name, part=part, told=told)
    if met.short:
        yield from ordered.cures(facts, met.material, met.last_day)
        values = {"short": _needed(met, met.short), "material": met.material.name}
        day = _order_by(met, facts)
        if ordered.in_time(facts, met.material) >= met.short:
            sentence = say("{short} of {material} still to come: receive what is on order.", **values)
        elif day is None:
            sentence = say(
                "{short} of {material} can be found nowhere in date and free: order it and receive it.",
                **values,
            )
        elif day < facts.today:
            sentence = say(
                "{short} of {material} can be found nowhere in date and free, and had to be ordered by "
                "{day}: find it nearer, and receive it.",
                day=day,
                **values,
            )
        else:
            sentence = say(
                "{short} of {material} can be found nowhere in date and free: order it by {day} and "
                "receive it.",
                day=day,
                **values,
            )
        find = {"material": str(met.material.id)}
        yield Cure(sentence, page="stock-receive", find=find, button=say("Receive {material}", **values))


def _enough(met: Met, facts: Facts) -> Note:
    to_load = met.comes - met.aboard
    values = {
        "material": met.material.name,
        "needed": _needed(met, met.needed),
        "to_load": (_there if met.aboard else _needed)(met, to_load),
        "day": facts.loads_on,
    }
    about = {"page": "materials-card", "about": (met.material.key,), "how": _how(met)}
    if not to_load:
        sentence = say("{material}: {needed} needed, and aboard.", **values)
        return Note(sentence, Level.FINE, code="ready.aboard", **about)  # type: ignore[arg-type]
    late = facts.today > facts.loads_on
    if late:
        sentence = say(
            "{material}: of {needed} the list has {to_load} that is not aboard; load day was {day}.", **values
        )
    else:
        sentence = say("{material}: of {needed} the list has {to_load}, to be loaded on {day}.", **values)
    level = Level.STOP if late else Level.FINE
    return Note(sentence, level, code="ready.to_load", **about)  # type: ignore[arg-type]


def _aged(met: Met, facts: Facts) -> Iterator[Note]:
    """What comes along and may be over by its warmth: an estimate, which warns and covers all the same."""
    for each in met.used:
        if each.aged_through is not None and not each.over and each.aged_through < met.last_day:
            values = {
                "material": met.material.name,
                "code": each.code,
                "date": each.aged_through,
                "day": met.last_day,
            }
            sentence = say(
                "{material} {code} may last by its warmth through {date} only, and is last used on {day}: "
                "an estimate.",
                **values,
            )
            if each.aged_through < facts.today:
                sentence = say(
                    "{material} {code} may have lasted by its warmth through {date} only, and is last used "
                    "on {day}: an estimate.",
                    **values,
                )
            yield Note(sentence, Level.LOOK, page="care-age", about=(each.code,), code="ready.aged")


def _how(met: Met) -> How:
    """The needs' own sum, and who gets what."""
    base = Base(met.material.base)
    of = met.wants[0].how
    rows = [row for want in met.wants for row in want.how.inputs]
    more = (
        ("comes along and lasts", met.comes),
        ("of that aboard", met.aboard),
        ("fetched from the yard", sum(amount for _, amount in met.take)),
        ("nowhere", met.short),
    )
    shown = tuple(Input(name, Spoken(Amount(value, base)), "", Basis.MEASURED) for name, value in more)
    return How(f"{of.rule}. {met.how.rule}", f"{of.source}; {met.how.source}", (*rows, *shown))
