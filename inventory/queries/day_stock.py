"""READ what of the stock needs a hand: dates, ages, holds. Part of the day sheet; knows no trip and no bench.

Equal packages are gathered: five jars that pass one date are one sentence with five codes under it.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Hold, Package
from inventory.models import Note as Text
from inventory.queries import ages
from inventory.queries.ages import Known
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.notes import Note, counted
from inventory.queries.on_hand import Held

SOON = timedelta(days=30)
SHOWN_CODES = 12


def dates(held: Iterable[Held], today: date) -> list[Note]:
    """Packages past their date or near it, gathered by lot and day."""
    late = [each for each in held if each.through and each.through <= today + SOON]
    lots = _lots(each.thing for each in late)
    names = named([*lots, *(lot for _, _, lot in lots.values())])
    groups: dict[Any, list[Held]] = {}
    for each in sorted(late, key=lambda each: (each.through or today, each.thing)):
        groups.setdefault((each.through, *lots[each.thing]), []).append(each)
    return [
        _date_note(
            through, material, number, names[lot].code, [names[each.thing].code for each in group], today
        )
        for (through, material, number, lot), group in groups.items()
    ]


def _date_note(through: date, material: str, number: str, lot: str, codes: list[str], today: date) -> Note:
    values = {"material": material, "number": number, "code": codes[0], "count": len(codes), "date": through}
    if through < today:
        one = say("{material} {code} passed its date on {date}.", **values)
        many = say("{count} packages of {material}, lot {number}, passed their date on {date}.", **values)
        unnumbered = say("{count} packages of {material} passed their date on {date}.", **values)
    else:
        one = say("{material} {code} passes its date on {date}.", **values)
        many = say("{count} packages of {material}, lot {number}, pass their date on {date}.", **values)
        unnumbered = say("{count} packages of {material} pass their date on {date}.", **values)
    level = Level.STOP if through < today else Level.LOOK
    return of_things(counted(len(codes), one, many if number else unnumbered), level, codes, lot)


_Lot = tuple[str, str, UUID]


def _lots(packages: Iterable[UUID]) -> dict[UUID, _Lot]:
    """Of each package its material's name, its lot's number and its lot."""
    rows = Package.objects.filter(thing_id__in=list(packages))
    fields = ("thing_id", "lot__material__name", "lot__number", "lot_id")
    return {thing: (name, number, lot) for thing, name, number, lot in rows.values_list(*fields)}


def aged(held: Iterable[Held], now: datetime) -> list[Note]:
    """Packages within their date whose time is over, or nearly, by the warmth they stood in: an estimate.

    Those that only what was assumed makes so old are one sentence: somebody may read a thermometer there.
    """
    today = now.date()
    within = {each.thing: each.through for each in held if each.through and each.through >= today}
    old = {
        thing: known
        for thing, known in ages.ages_of(within, now).items()
        if known.age.forecast <= today + SOON and known.age.forecast < known.age.good_through
        if known.measured or within[thing] > today + SOON  # else its date says as much already
    }
    lots = _lots(old)
    groups: dict[Any, list[UUID]] = {}
    for thing in sorted(old, key=lambda thing: (old[thing].age.forecast, thing)):
        sort = _sort(old[thing], today)
        if sort:
            groups.setdefault((sort, lots[thing] if sort != "assumed" else None), []).append(thing)
    names = named([*old, *(lot for _, _, lot in lots.values())])
    return [
        _age_note(sort, lots[things[0]], old[things[0]], [names[thing].code for thing in things], names)
        for (sort, lot), things in sorted(groups.items(), key=lambda group: _SORTS.index(group[0][0]))
    ]


_SORTS = ("over", "soon", "assumed")


def _sort(known: Known, today: date) -> str:
    """Over by what was read; soon, with something read; over by what was assumed; else nothing to say."""
    if known.age.forecast >= today:
        return "soon" if known.measured else ""
    return "over" if known.read else "assumed"


def _age_note(sort: str, lot: _Lot, eldest: Known, codes: list[str], names: Mapping[UUID, Named]) -> Note:
    material, number, lot_id = lot
    values = {"material": material, "number": number, "code": codes[0], "count": len(codes)}
    values["date"] = eldest.age.forecast
    if sort == "assumed":
        sentence = counted(
            len(codes),
            say(
                "{material} {code} may be older than its date says: nobody read how warm it stood.", **values
            ),
            say(
                "{count} packages may be older than their dates say: nobody read how warm they stood.",
                **values,
            ),
        )
        return of_things(sentence, Level.LOOK, codes, page="care-age")
    if sort == "over":
        one = say("{material} {code} is past its time by the warmth it stood in: an estimate.", **values)
        many = say(
            "{count} packages of {material}, lot {number}, are past their time by the warmth they stood in: "
            "an estimate.",
            **values,
        )
    else:
        one = say("By its warmth {material} {code} lasts through {date}: an estimate.", **values)
        many = say(
            "By their warmth {count} packages of {material}, lot {number}, last through {date} or a little "
            "longer: an estimate.",
            **values,
        )
    sentence = counted(len(codes), one, many)
    return of_things(sentence, Level.LOOK, codes, names[lot_id].code, page="care-age")


def holds() -> list[Note]:
    """Held things, gathered by the act that held them; the reason is what was typed then."""
    rows = list(Hold.objects.select_related("event").order_by("event__sort", "thing_id"))
    texts = dict(Text.objects.filter(id__in=[row.event.note for row in rows]).values_list("id", "text"))
    names = named(row.thing_id for row in rows)
    by_event: dict[UUID, list[Hold]] = {}
    for row in rows:
        by_event.setdefault(row.event_id, []).append(row)
    found = []
    for group in by_event.values():
        things = [names[row.thing_id] for row in group]
        note = group[0].event.note
        reason = texts.get(note, "") if note else ""
        first = things[0]
        sentence = counted(
            len(things),
            say("On hold: {thing}.", thing=str(first)),
            say("{count} things are on hold.", count=len(things)),
        )
        why = say("“{reason}”", reason=reason) if reason else None
        found.append(of_things(sentence, Level.LOOK, [thing.code for thing in things], why=why))
    return found


def of_things(
    sentence: Sentence,
    level: Level,
    codes: list[str],
    lot: str = "",
    why: Sentence | None = None,
    page: str = "thing",
) -> Note:
    """A note that leads to its one thing, at `page`; or to the lot of its several, with their codes."""
    known = [code for code in codes if code]
    of = known[0] if len(known) == 1 else lot
    several = tuple(known[:SHOWN_CODES]) if len(known) > 1 else ()
    if not of:
        return Note(sentence, level, why=why, page="stock", codes=several)
    return Note(sentence, level, why=why, page=page if of in known else "thing", about=(of,), codes=several)
