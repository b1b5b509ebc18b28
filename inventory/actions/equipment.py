"""WRITE equipment: what travels and comes back, its plates, and its inspections. Certifies nothing."""

from collections.abc import Mapping
from datetime import date
from itertools import pairwise
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.errors import Refused, say
from inventory.models import Equipment, Inspection

KINDS = (Kind.PRESS, Kind.MOULD, Kind.EQUIPMENT)


@happening
def make_equipment(
    act: Act,
    /,
    *,
    kind: Kind,
    name: str,
    place: UUID | None = None,
    code: Code | None = None,
    facts: Mapping[str, object] | None = None,
) -> None:
    """Put a press, a mould or another piece of equipment into use, with what its plates say.

    Afterwards: it has a code and a place, and may be named in what happens.
    Refused: equipment.kind, equipment.no_name, equipment.rating, place.rank, tag.taken, tag.wrong_kind,
    tag.never_printed.
    """
    put_into_use(act, kind, name, dict(facts or {}), place, code)


def put_into_use(
    act: Act,
    kind: Kind,
    name: str,
    facts: Mapping[str, object],
    place: UUID | None = None,
    code: Code | None = None,
) -> UUID:
    """Put one piece into use within an act; return its id.

    Refuses: equipment.kind, equipment.no_name, equipment.rating
    """
    if kind not in KINDS:
        raise Refused(
            "equipment.kind",
            say("A {kind} is no equipment.", kind=kind),
            say("Choose a press, a mould or other equipment."),
        )
    _check(Equipment(name=name, **facts))
    thing = act.born(kind, code=code)
    act.record("put into use", outputs=[Entry(thing.id, to=place)])
    cards.save(act, Equipment, thing.id, name=name, **facts)
    return thing.id


@happening
def edit_equipment(act: Act, /, *, equipment: UUID, changes: Mapping[str, object]) -> None:
    """Change fields of a piece of equipment's card.

    Afterwards: the card says so, and its history says what it said before.
    Refused: card.unknown, equipment.no_name, equipment.rating.
    """
    cards.edit(act, Equipment, equipment, changes)
    _check(Equipment.objects.get(thing_id=equipment))


def _check(card: Equipment) -> None:
    if not card.name.strip():
        raise Refused("equipment.no_name", say("It has no name."), say("Enter what you call it."))
    ratings = sorted((float(celsius), float(kpa)) for celsius, kpa in card.ratings)
    for (cold, more), (hot, less) in pairwise(ratings):
        if hot == cold or less > more:
            raise Refused(
                "equipment.rating",
                say(
                    "It would bear {hot_kpa} kPa at {hot} °C and {cold_kpa} kPa at {cold} °C.",
                    hot_kpa=less,
                    hot=hot,
                    cold_kpa=more,
                    cold=cold,
                ),
                say("Nothing bears more when it is hotter: read the plate or the sheet again."),
            )


@happening
def plan_inspection(
    act: Act,
    /,
    *,
    equipment: UUID,
    what: str,
    who: str = "",
    every_months: int | None = None,
    last_on: date | None = None,
) -> None:
    """Say that a piece of equipment must be inspected: what, by whom, how often, and when it was last.

    Afterwards: the inspection is due so many months after the last one; never done, it is due now.
    Refused: equipment.no_what, equipment.months, equipment.not_yet, card.unknown.
    """
    if not Equipment.objects.filter(thing_id=equipment).exists():
        raise Refused("card.unknown", say("There is no such card."), say("Open the list again."))
    inspection = act.id("inspection")
    fields = {"what": what, "who": who, "every_months": every_months, "last_on": last_on}
    cards.save(act, Inspection, inspection, equipment_id=equipment, **fields)
    _check_inspection(act, Inspection.objects.get(id=inspection))


@happening
def edit_inspection(act: Act, /, *, inspection: UUID, changes: Mapping[str, object]) -> None:
    """Change an inspection's card, or end it: what is ended is never due.

    Afterwards: it is due by what the card says now.
    Refused: card.unknown, equipment.no_what, equipment.months, equipment.not_yet.
    """
    cards.edit(act, Inspection, inspection, changes)
    _check_inspection(act, Inspection.objects.get(id=inspection))


def _check_inspection(act: Act, card: Inspection) -> None:
    if not card.what.strip():
        raise Refused(
            "equipment.no_what",
            say("It does not say what is inspected."),
            say("Name it: hose, relief valve, charge, cable."),
        )
    if card.every_months is not None and not 1 <= card.every_months <= 240:
        raise Refused(
            "equipment.months",
            say("Every {months} months cannot be.", months=card.every_months),
            say("Enter 1 to 240 months, or nothing when it is done once."),
        )
    if card.last_on is not None and card.last_on > day_of(act):
        raise Refused(
            "equipment.not_yet",
            say("{day} has not come yet.", day=card.last_on),
            say("Enter the day it was last inspected."),
        )


@happening
def inspect_equipment(
    act: Act, /, *, inspection: UUID, passed: bool, why: str, on: date | None = None
) -> None:
    """Record that a piece of equipment was inspected, by whoever may do that.

    Afterwards: passed, it is due again so many months later; not passed, it is on hold.
    Refused: card.unknown, equipment.no_why, equipment.not_yet.
    """
    if not why.strip():
        raise Refused(
            "equipment.no_why",
            say("An inspection needs its findings."),
            say("Say in a few words what was seen."),
        )
    row = Inspection.objects.filter(id=inspection).first()
    if row is None:
        raise Refused("card.unknown", say("There is no such card."), say("Open the list again."))
    day = on or day_of(act)
    facts = {"passed": passed, "what": row.what, "on": day.isoformat()}
    act.record("inspected", observed=[Entry(row.equipment_id)], facts=facts, note=why)
    if passed:
        cards.save(act, Inspection, inspection, last_on=day)
        _check_inspection(act, Inspection.objects.get(id=inspection))
    else:
        act.record("held", observed=[Entry(row.equipment_id)], note=why)
