"""READ the off-season list: what is done between two seasons, and what these books know of it.

The list is common practice, no source; makers' instructions and local rules come first. It certifies nothing.
"""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Material
from inventory.queries import equipment, on_hand
from inventory.queries.equipment import Due
from inventory.queries.notes import Note, counted

ABOVE_FREEZING_C = 0


def jobs(today: date) -> list[Note]:
    """Every job of the list, in the order it is usually done; a flat number of statements."""
    rows = equipment.listed()
    sorts: dict[str, list[UUID]] = {}
    for row in rows:
        sorts.setdefault(row.sort, []).append(row.thing)
    dues = equipment.inspections()
    return [
        *_stock(today),
        _pieces(
            sorts.get("bladder", []),
            dues,
            today,
            say("Bladders: look for cracks, and at their age; change what is too old."),
        ),
        _pieces(
            [*sorts.get("hose", []), *sorts.get("press", [])],
            dues,
            today,
            say("Relief valves, hoses and receivers: have them inspected by whom the law asks for."),
        ),
        _pieces(
            [*sorts.get("blanket", []), *sorts.get("controller", []), *sorts.get("cable", [])],
            dues,
            today,
            say("Blankets, controllers and cables: have their electrics tested by a qualified person."),
        ),
        _pieces(
            [*sorts.get("extinguisher", []), *sorts.get("alarm", []), *sorts.get("eyewash", [])],
            dues,
            today,
            say("Extinguishers, alarms and eyewash: service them, and mind their dates."),
        ),
        Note(
            say("Trailers' tyres: look at their age and their pressure; lift the load off them."),
            Level.LOOK,
            why=_BY_HAND,
        ),
        Note(
            say("Trailers' brakes, lights and coupling: have them looked at before the season."),
            Level.LOOK,
            why=_BY_HAND,
        ),
    ]


_BY_HAND = say("These books keep no record of it: tick it off on paper.")


def _stock(today: date) -> list[Note]:
    held = on_hand.stock()
    cards = Material.objects.in_bulk({each.material for each in held})
    frost = sum((cards[each.material].stored_from_c or -1) > ABOVE_FREEZING_C for each in held)
    again = sum(
        bool(cards[each.material].retest_allowed) and each.through is not None and each.through < today
        for each in held
    )
    return [
        Note(
            _or_none(
                frost,
                say("Move what must not freeze to a warm store: no material's card asks for it here."),
                say("Move what must not freeze to a warm store: 1 package."),
                say("Move what must not freeze to a warm store: {count} packages.", count=frost),
            ),
            Level.LOOK if frost else Level.FINE,
            page="stock",
        ),
        Note(
            _or_none(
                len(held),
                say("Count everything once: nothing is in stock."),
                say("Count everything once: 1 package."),
                say("Count everything once: {count} packages, place by place.", count=len(held)),
            ),
            Level.LOOK if held else Level.FINE,
            page="places",
        ),
        Note(
            _or_none(
                again,
                say("Re-test what passed its date where its maker allows it: nothing now."),
                say("Re-test what passed its date where its maker allows it: 1 package."),
                say(
                    "Re-test what passed its date where its maker allows it: {count} packages.",
                    count=again,
                ),
            ),
            Level.LOOK if again else Level.FINE,
            page="stock",
            find={"state": "past its date"},
        ),
    ]


def _or_none(count: int, none: Sentence, one: Sentence, many: Sentence) -> Sentence:
    return counted(count, one, many) if count else none


def _pieces(things: Iterable[UUID], dues: list[Due], today: date, sentence: Sentence) -> Note:
    """One job on some pieces of equipment, and how many inspections of them are overdue."""
    asked = set(things)
    if not asked:
        return Note(sentence, Level.LOOK, why=say("None has a card here yet."), page="equipment")
    mine = [due for due in dues if due.equipment in asked]
    overdue = sum(due.overdue(today) for due in mine)
    why = _or_none(
        overdue,
        say("No inspection of these is overdue by these books."),
        say("1 inspection of these is overdue."),
        say("{count} inspections of these are overdue.", count=overdue),
    )
    if not mine:
        why = say("No inspection is asked for on the cards of these.")
    return Note(sentence, Level.STOP if overdue else Level.LOOK, why=why, page="equipment")
