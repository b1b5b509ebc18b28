"""WRITE what a shop takes from the starter catalogue: cards with sources, the shop's own from then on."""

from collections.abc import Sequence

from inventory.actions import cards
from inventory.actions.equipment import put_into_use
from inventory.actions.ledger import Act, happening
from inventory.actions.materials import make
from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.formats.catalogue import Piece
from inventory.models import Inspection
from inventory.queries.catalogue import Entry, known


@happening
def take_catalogue(act: Act, /, *, entries: Sequence[Entry], pieces: Sequence[Piece] = ()) -> None:
    """Make cards of materials, and put equipment into use, from the starter catalogue.

    Afterwards: each material has a card with the catalogue's numbers and sources; one that has a card
    already, by its key or its name, is left as it is. Each piece of equipment has a code, and inspections
    that are due.
    Refused: catalogue.nothing, and what `material_facts.check` refuses.
    """
    if not (entries or pieces):
        raise Refused(
            "catalogue.nothing", say("Nothing was ticked."), say("Tick what the shop has and uses.")
        )
    here = known(entries)
    for entry in entries:
        if entry.key not in here:
            given = {"key": entry.key, "name": entry.name, "base": entry.base.value, "purpose": entry.purpose}
            make(act, given | dict(entry.facts) | {"source": entry.source})
    for piece in pieces:
        thing = put_into_use(act, Kind(piece.kind), piece.name, {"sort": piece.sort, "source": piece.source})
        for what, months in piece.inspections:
            fields = {"equipment_id": thing, "what": what, "every_months": months}
            cards.save(act, Inspection, act.id("inspection"), **fields)
