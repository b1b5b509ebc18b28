"""READ what to know today: sentences with their weight and where they lead, most urgent first.

Equal sentences are gathered: five jars that pass one date are one sentence with five codes under it.
"""

from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.utils.timezone import get_current_timezone

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Material, Package, Place, Shop, Workshop
from inventory.queries import (
    artwork,
    builds,
    day_road,
    day_stock,
    equipment,
    ledger,
    machine,
    on_hand,
    orders_due,
    readiness,
    road,
    scans,
    trips,
    warmth,
)
from inventory.queries.build_card import AT_BENCH, in_work
from inventory.queries.day_stock import SHOWN_CODES, SOON
from inventory.queries.dossier.names import named
from inventory.queries.notes import Answer, Note, counted, worst_first

TRIP_SOON = timedelta(days=14)
QUIET = timedelta(days=60)  # no workshop for so long: the season is over, or has not begun


def notes(today: date) -> list[Note]:
    """Everything to know today: the same few statements however much there is."""
    held = on_hand.stock()
    evening = datetime.combine(today, time.max, tzinfo=get_current_timezone())
    found = [
        *_trips(today),
        *day_road.notes(evening),
        *day_stock.dates(held, today),
        *day_stock.aged(held, evening),
        *on_hand.below_lowest(held),
        *_disagreements(),
        *_artwork(today),
        *orders_due.due(today),
        *_inspections(today),
        *day_stock.holds(),
        *warmth.notes(evening),
        *_scans(evening),
        *_bench(today),
        *_backup(evening),
        *_off_season(today),
    ]
    return worst_first(found)


def off_season(today: date) -> bool:
    """True when no workshop is near, behind or ahead."""
    return not Workshop.objects.filter(ends_on__gte=today - SOON, starts_on__lte=today + QUIET).exists()


def _beginning() -> list[Note]:
    """What a new shop does first, in its order; nothing once it has planned a workshop."""
    phones = Note(
        say("Let phones in: they open this shop's address, or its code."),
        Level.FINE,
        page="shop-phones",
        todo=True,
    )
    if Package.objects.exists():
        if Workshop.objects.exists():
            return []
        sentence = say("Plan the first workshop, then a trip to it: it is said here what they lack.")
        return [phones, Note(sentence, Level.FINE, page="builds-plan", todo=True)]
    found = []
    if not Place.objects.exists():
        found.append(
            Note(
                say("Make the first place: the yard."),
                Level.FINE,
                page="places-make",
                find={"kind": "yard"},
                todo=True,
            )
        )
    if not Material.objects.exists():
        sentence = say("Give what you buy its cards: take them from the catalogue.")
        found.append(Note(sentence, Level.FINE, page="catalogue", todo=True))
    if not Shop.objects.exclude(host="").exists():
        sentence = say("Choose the host name for tags: without it no tag is printed.")
        found.append(Note(sentence, Level.FINE, page="shop-host", todo=True))
    sentence = say("Receive the first delivery, and print its tags.")
    why = say(
        "What stands on the shelf already comes in the same way; a lot number nobody knows stays empty."
    )
    found.append(Note(sentence, Level.FINE, why=why, page="stock-receive", todo=True))
    return [*found, phones]


def _off_season(today: date) -> list[Note]:
    if not off_season(today):
        return []
    return _beginning() or [
        Note(
            say("No workshop is near: the off-season list says what to do meanwhile."),
            Level.FINE,
            page="day-off-season",
            todo=True,
        )
    ]


def _trips(today: date) -> list[Note]:
    found = []
    row = trips.next_trip(today)
    soon = row is not None and row.leaves_on <= today + TRIP_SOON
    if row is not None and soon and road.standing(row.id).departed_at is None:
        answer = readiness.answer(row, today)
        sentence = _leaves(answer, {"name": row.name, "date": row.leaves_on, "count": answer.against})
        found.append(Note(sentence, answer.level, page="trips-trip", about=(str(row.id),)))
    for workshop in trips.without_trip(today, today + TRIP_SOON):
        sentence = say(
            "No trip goes to {name} on {date} yet: plan one.", name=workshop.name, date=workshop.starts_on
        )
        found.append(Note(sentence, Level.LOOK, page="trips-plan", find={"workshop": str(workshop.id)}))
    return found


def _leaves(answer: Answer, values: dict[str, Any]) -> Sentence:
    """Whether a trip can leave, in one sentence."""
    if answer.level is Level.STOP:
        return counted(
            answer.against,
            say("Leave for {name} on {date}. Not ready: 1 reason.", **values),
            say("Leave for {name} on {date}. Not ready: {count} reasons.", **values),
        )
    if answer.level is Level.UNKNOWN:
        return counted(
            answer.against,
            say("Leave for {name} on {date}. Cannot say yet: 1 reason.", **values),
            say("Leave for {name} on {date}. Cannot say yet: {count} reasons.", **values),
        )
    return say("Leave for {name} on {date}. Ready, by what was entered.", **values)


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


def _artwork(today: date) -> list[Note]:
    """Pairs of workshops to come whose artwork is late or due within a week, gathered by workshop."""
    pairs = {pair.thing_id: pair for pair in builds.pairs_from(today)}
    groups: dict[tuple[Any, bool], int] = {}
    for thing, due in artwork.pressing(pairs.values(), today).items():
        key = (pairs[thing].workshop, due.level is Level.STOP)
        groups[key] = groups.get(key, 0) + 1
    return [_artwork_note(workshop, count, past=past) for (workshop, past), count in groups.items()]


def _artwork_note(workshop: Workshop, count: int, *, past: bool) -> Note:
    values = {"name": workshop.name, "date": workshop.starts_on, "count": count}
    if past:
        one = say("Artwork for {name} on {date}: 1 pair is late for its printer or its check.", **values)
        many = say("Artwork for {name} on {date}: {count} pairs are late for printer or check.", **values)
    else:
        one = say("Artwork for {name} on {date}: 1 pair has a step due within a week.", **values)
        many = say("Artwork for {name} on {date}: {count} pairs have a step due within a week.", **values)
    level = Level.STOP if past else Level.LOOK
    return Note(counted(count, one, many), level, page="builds-workshop", about=(str(workshop.id),))


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


def _scans(evening: datetime) -> list[Note]:
    count = scans.failed_lately(evening)
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
        step = "rejected" if pair.rejected else "failed" if pair.failed else pair.at_bench
        waiting[step] = waiting.get(step, 0) + 1
    return [Note(_waits(step, count), Level.FINE, page="bench", todo=True) for step, count in waiting.items()]


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
        "failed": (
            say("1 pair did not pass a verdict and waits for a decision."),
            say("{count} pairs did not pass a verdict and wait for a decision.", count=count),
        ),
        "rejected": (
            say("1 pair has a rejected ski and waits for another in its place."),
            say("{count} pairs have a rejected ski and wait for another in its place.", count=count),
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


def _backup(evening: datetime) -> list[Note]:
    """No good backup of what was written here, or an old one; the demo is made anew and needs none."""
    state = machine.backup()
    if state is None or state.current(evening):
        return []
    sentence = say("These books were never backed up: a lost laptop loses them.")
    if state.last is not None:
        sentence = say("The last good backup is of {moment}; more was written since.", moment=state.last)
    return [Note(sentence, Level.LOOK, page="help-page", about=("running-the-shop",))]
