"""READ what to know today: sentences with their weight and where they lead, most urgent first.

Equal sentences are gathered: five jars that pass one date are one sentence with five codes under it.
"""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.utils.timezone import get_current_timezone

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Hold, Material, Package, Place, Workshop
from inventory.models import Note as Text
from inventory.queries import equipment, ledger, readiness, scans, trips
from inventory.queries.build_card import AT_BENCH, in_work
from inventory.queries.dossier_names import named
from inventory.queries.notes import Note, counted, worst_first
from inventory.queries.readiness import Held

SOON = timedelta(days=30)
TRIP_SOON = timedelta(days=14)
QUIET = timedelta(days=60)  # no workshop for so long: the season is over, or has not begun
SHOWN_CODES = 12


def notes(today: date) -> list[Note]:
    """Everything to know today: the same few statements however much there is."""
    held = readiness.stock()
    found = [
        *_trips(today),
        *_dates(held, today),
        *readiness.below_lowest(held),
        *_disagreements(),
        *_inspections(today),
        *_holds(),
        *_scans(today),
        *_bench(today),
        *_off_season(today),
    ]
    return worst_first(found)


def off_season(today: date) -> bool:
    """True when no workshop is near, behind or ahead."""
    return not Workshop.objects.filter(ends_on__gte=today - SOON, starts_on__lte=today + QUIET).exists()


def _beginning() -> list[Note]:
    """What a new shop does first, in its order; nothing once a package came."""
    if Package.objects.exists():
        return []
    found = []
    if not Place.objects.exists():
        found.append(Note(say("Make the first place: the yard."), Level.FINE, page="places-make"))
    if not Material.objects.exists():
        sentence = say("Give what you buy its cards: take them from the catalogue.")
        found.append(Note(sentence, Level.FINE, page="catalogue"))
    sentence = say("Receive the first delivery, and print its tags.")
    found.append(Note(sentence, Level.FINE, page="stock-receive"))
    return found


def _off_season(today: date) -> list[Note]:
    if not off_season(today):
        return []
    return _beginning() or [
        Note(
            say("No workshop is near: the off-season list says what to do meanwhile."),
            Level.FINE,
            page="day-off-season",
        )
    ]


def _trips(today: date) -> list[Note]:
    found = []
    row = trips.next_trip(today)
    if row is not None and row.leaves_on <= today + TRIP_SOON:
        answer = readiness.answer(row, today)
        stops = sum(note.level is Level.STOP for note in answer.reasons)
        values = {"name": row.name, "date": row.leaves_on, "count": stops}
        sentence = counted(
            stops,
            say("Leave for {name} on {date}. Not ready: 1 reason.", **values),
            say("Leave for {name} on {date}. Not ready: {count} reasons.", **values),
        )
        if not stops:
            sentence = say("Leave for {name} on {date}. Cannot say yet whether all is ready.", **values)
        found.append(Note(sentence, answer.level, page="trips-trip", about=(str(row.id),)))
    for workshop in trips.without_trip(today, today + TRIP_SOON):
        sentence = say(
            "No trip goes to {name} on {date} yet: plan one.", name=workshop.name, date=workshop.starts_on
        )
        found.append(Note(sentence, Level.LOOK, page="trips-plan", find={"workshop": str(workshop.id)}))
    return found


def _disagreements() -> list[Note]:
    count = ledger.open_disagreements().count()
    if not count:
        return []
    sentence = counted(
        count,
        say("Two truths disagree: settle them."),
        say("{count} times two truths disagree: settle them.", count=count),
    )
    return [Note(sentence, Level.LOOK, page="books-disagreements")]


def _holds() -> list[Note]:
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
        found.append(_of_things(sentence, Level.LOOK, [thing.code for thing in things], why=why))
    return found


def _of_things(
    sentence: Sentence, level: Level, codes: list[str], lot: str = "", why: Sentence | None = None
) -> Note:
    """A note that leads to its one thing; or to the lot of its several, and carries their codes."""
    known = [code for code in codes if code]
    of = known[0] if len(known) == 1 else lot
    several = tuple(known[:SHOWN_CODES]) if len(known) > 1 else ()
    if not of:
        return Note(sentence, level, why=why, page="stock", codes=several)
    return Note(sentence, level, why=why, page="thing", about=(of,), codes=several)


def _dates(held: Iterable[Held], today: date) -> list[Note]:
    """Packages past their date or near it, gathered by lot and day."""
    late = [each for each in held if each.through and each.through <= today + SOON]
    lots = {
        row[0]: row[1:]
        for row in Package.objects.filter(thing_id__in=[each.thing for each in late]).values_list(
            "thing_id", "lot__material__name", "lot__number", "lot_id"
        )
    }
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
    return _of_things(counted(len(codes), one, many if number else unnumbered), level, codes, lot)


def _inspections(today: date) -> list[Note]:
    """Overdue, never recorded, or due soon; equal ones of several pieces are one sentence."""
    groups: dict[tuple[str, date | None, bool], list[UUID]] = {}
    for due in equipment.inspections():
        if due.overdue(today) or (due.by is not None and due.by <= today + SOON):
            groups.setdefault((due.what, due.by, due.overdue(today)), []).append(due.equipment)
    names = named(thing for group in groups.values() for thing in group)
    found = []
    for (what, by, overdue), things in groups.items():
        values = {"what": what, "name": names[things[0]].name, "count": len(things), "date": by}
        sentence = _inspection(values, by, overdue=overdue)
        codes = [names[thing].code for thing in things]
        level = Level.STOP if overdue else Level.LOOK
        if len(codes) == 1:
            found.append(Note(sentence, level, page="equipment-card", about=(codes[0],)))
        else:
            found.append(Note(sentence, level, page="equipment", codes=tuple(codes[:SHOWN_CODES])))
    return found


def _inspection(values: dict[str, Any], by: date | None, *, overdue: bool) -> Sentence:
    if by is None:
        one = say("“{what}” was never recorded for {name}.", **values)
        many = say("“{what}” was never recorded for {count} pieces of equipment.", **values)
    elif overdue:
        one = say("“{what}” of {name} was due by {date}.", **values)
        many = say("“{what}” of {count} pieces of equipment was due by {date}.", **values)
    else:
        one = say("“{what}” of {name} is due by {date}.", **values)
        many = say("“{what}” of {count} pieces of equipment is due by {date}.", **values)
    return counted(int(values["count"]), one, many)


def _scans(today: date) -> list[Note]:
    end = datetime.combine(today + timedelta(days=1), time.min, tzinfo=get_current_timezone())
    count = scans.failed_lately(end)
    if not count:
        return []
    sentence = counted(
        count,
        say("1 code was scanned this week and led to nothing."),
        say("{count} codes were scanned this week and led to nothing.", count=count),
    )
    return [Note(sentence, Level.LOOK, page="scan-failed")]


def _bench(today: date) -> list[Note]:
    """Steps that wait; pairs of a workshop that is still to come wait for nothing."""
    waiting: dict[str, int] = {}
    for pair in in_work():
        workshop = pair.pair.workshop
        if pair.at_bench == AT_BENCH[0] and workshop is not None and workshop.starts_on > today:
            continue
        waiting[pair.at_bench] = waiting.get(pair.at_bench, 0) + 1
    return [Note(_waits(step, count), Level.FINE, page="bench") for step, count in waiting.items()]


def _waits(step: str, count: int) -> Sentence:
    """How many pairs wait for a step: a whole sentence for each step and number."""
    one, many = {
        "laid up": (
            say("1 pair waits to be laid up."),
            say("{count} pairs wait to be laid up.", count=count),
        ),
        "pressed": (
            say("1 pair waits to be pressed."),
            say("{count} pairs wait to be pressed.", count=count),
        ),
        "judged": (
            say("1 pair waits for the verdict on its press cycle."),
            say("{count} pairs wait for the verdict on their press cycle.", count=count),
        ),
        "inspected": (
            say("1 pair waits to be inspected."),
            say("{count} pairs wait to be inspected.", count=count),
        ),
        "finished": (
            say("1 pair waits to be finished."),
            say("{count} pairs wait to be finished.", count=count),
        ),
        "handed over": (
            say("1 pair waits to be handed over."),
            say("{count} pairs wait to be handed over.", count=count),
        ),
    }.get(step, (say("1 pair is in work."), say("{count} pairs are in work.", count=count)))
    return counted(count, one, many)
