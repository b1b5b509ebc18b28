"""WRITE places, and what lies where."""

from collections.abc import Mapping
from uuid import UUID

from django.db.models import Model

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.compute.load.facts import LONGEST_M, WIDEST_M
from inventory.errors import Refused, say
from inventory.models import Place, TowCar, Trailer, Zone
from inventory.queries import ledger as read
from inventory.queries import places

DETAILS: dict[Kind, type[Model]] = {Kind.ZONE: Zone, Kind.TRAILER: Trailer, Kind.TOW_CAR: TowCar}
WIDEST_MM, LONGEST_MM = int(WIDEST_M * 1000), int(LONGEST_M * 1000)


@happening
def make_place(
    act: Act, /, *, kind: Kind, name: str, inside: UUID | None = None, code: Code | None = None
) -> None:
    """Put a yard, store, trailer, tow car, zone or bin into use.

    Afterwards: things can lie in it.
    Refused: place.no_place, place.name_taken, place.rank, tag.taken, tag.wrong_kind, tag.never_printed.
    """
    if not kind.rank:
        raise Refused(
            "place.no_place",
            say("A {kind} is no place.", kind=kind),
            say("Choose a yard, a store, a trailer, a tow car, a zone or a bin."),
        )
    _check_name(kind, name, inside)
    place = act.born(kind, code=code)
    act.record("put into use", outputs=[Entry(place.id, to=inside)])
    cards.save(act, Place, place.id, name=name)
    if kind is Kind.TOW_CAR:
        cards.save(act, TowCar, place.id, name=name)


@happening
def edit_place(act: Act, /, *, place: UUID, changes: Mapping[str, object]) -> None:
    """Change a place's card: its name, how warm it gets, where a zone lies, what plates and papers say.

    Afterwards: the cards say so, and their history says what they said before.
    Refused: card.unknown, place.no_name, place.name_taken, place.measure, place.floor.
    """
    given = dict(changes)
    own: dict[str, object] = {key: given.pop(key) for key in ("name", "assumed_c") if key in given}
    before = cards.edit(act, Place, place, own)
    kind = read.kinds([place])[place][0]
    if own.get("name", before.name) != before.name:  # type: ignore[attr-defined]
        _check_name(kind, str(own["name"]), places.stands_in(place), but=place)
    detail = DETAILS.get(kind)
    if kind is Kind.TOW_CAR and "name" in changes:
        given["name"] = changes["name"]
    if detail is not None and given:
        cards.save(act, detail, place, **given)
    _check(place, kind)


def _check_name(kind: Kind, name: str, inside: UUID | None, *, but: UUID | None = None) -> None:
    """Refuse the name of a neighbour of the same kind: nobody could tell by it which of the two is meant.

    Refuses: place.name_taken
    """
    twin = next((each for each in places.namesakes(kind, name, but=but) if each.inside == inside), None)
    if twin is None:
        return
    values = {"kind": kind, "name": twin.name, "code": twin.code, "where": twin.where}
    raise Refused(
        "place.name_taken",
        say("In {where} there is a {kind} called {name} already: {code}.", **values)
        if twin.where
        else say("There is a {kind} called {name} already: {code}.", **values),
        say("Use that one, or give this one another name, such as {name} 2.", name=name.strip()),
    )


def _check(place: UUID, kind: Kind) -> None:
    card = Place.objects.get(thing_id=place)
    if not card.name.strip():
        raise Refused("place.no_name", say("The place has no name."), say("Enter what you call it."))
    if card.assumed_c is not None and not -60 <= card.assumed_c <= 80:
        raise _impossible("How warm it gets", card.assumed_c, "°C")
    model = DETAILS.get(kind)
    detail = model._default_manager.filter(thing_id=place).first() if model else None
    if detail is None:
        return
    for field in detail._meta.concrete_fields[1:]:
        value = getattr(detail, field.attname)
        least = -WIDEST_MM if field.attname == "right_mm" else 0
        most = WIDEST_MM if field.attname == "right_mm" else LONGEST_MM
        if value is not None and field.attname.endswith("_mm") and not least <= value <= most:
            raise _impossible(field.attname.removesuffix("_mm").replace("_", " "), value, "mm")
    if isinstance(detail, Trailer):
        _check_floor(detail)


def _check_floor(trailer: Trailer) -> None:
    front, back = trailer.floor_from_mm, trailer.floor_to_mm
    if front is not None and back is not None and front >= back:
        raise Refused(
            "place.floor",
            say("The floor would begin at {front} mm and end at {back} mm.", front=front, back=back),
            say("Measure both from the coupling backwards, the front end first."),
        )


def _impossible(name: str, value: object, unit: str) -> Refused:
    return Refused(
        "place.measure",
        say("{name} is {value} {unit}, which cannot be.", name=name, value=value, unit=unit),
        say("Measure again, and mind the unit."),
    )


@happening
def move(act: Act, /, *, things: list[UUID], to: UUID) -> None:
    """Put things somewhere: each a line, a bin with all that is in it a single one.

    Afterwards: they lie there. Things on hold may be moved.
    Refused: place.nothing, place.rank, thing.unborn.
    """
    if not things:
        raise Refused("place.nothing", say("Nothing was scanned to move."), say("Scan the things first."))
    entries = [Entry(thing, to=to) for thing in dict.fromkeys(things)]
    act.record("moved", contents=entries, where=to)
