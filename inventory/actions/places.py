"""WRITE places, and what lies where."""

from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.errors import Refused, say
from inventory.models import Place


@happening
def make_place(
    act: Act, /, *, kind: Kind, name: str, inside: UUID | None = None, code: Code | None = None
) -> None:
    """Put a yard, store, trailer, zone or bin into use.

    Afterwards: things can lie in it.
    Refused: place.no_place, place.rank, tag.taken, tag.wrong_kind, tag.never_printed.
    """
    if not kind.rank:
        raise Refused(
            "place.no_place",
            say("A {kind} is no place.", kind=kind),
            say("Choose a yard, a store, a trailer, a zone or a bin."),
        )
    place = act.born(kind, code=code)
    act.record("put into use", outputs=[Entry(place.id, to=inside)])
    cards.save(act, Place, place.id, name=name)


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
