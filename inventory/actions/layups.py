"""WRITE lay-up cards: the ordered layers that pairs are built by."""

from collections.abc import Mapping, Sequence
from typing import Any, cast
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute import layup
from inventory.errors import Refused, say
from inventory.models import LayupCard
from inventory.queries import layups as read


@happening
def make_layup(act: Act, /, *, name: str, layers: Sequence[Mapping[str, Any]] = ()) -> None:
    """Make a lay-up card: its layers in order, from the base up.

    Afterwards: pairs can be built by it, and what they need is computed.
    Refused: layup.no_name, layup.too_many, layup.material, layup.kind, layup.extent, layup.unit, layup.ratio,
    layup.number.
    """
    card = act.id("layup")
    cards.save(act, LayupCard, card, name=name, layers=[dict(row) for row in layers])
    _check(card)
    act.things.append(card)


@happening
def change_layup(act: Act, /, *, layup: UUID, changes: Mapping[str, object]) -> None:
    """Change a lay-up card's name or layers, or say that nothing is built by it any more.

    Afterwards: what pairs need that are built by it is computed anew; what was laid up stays as it was.
    Refused: card.unknown, and as `make_layup`.
    """
    cards.edit(act, LayupCard, layup, changes)
    _check(layup)


@happening
def add_layer(act: Act, /, *, layup: UUID, layer: Mapping[str, Any], after: int | None = None) -> None:
    """Add a layer to a card, above the layer of this number; uppermost when none is named.

    Afterwards: the card has one layer more.
    Refused: card.unknown, and as `make_layup`.
    """
    rows = _rows(layup)
    at = len(rows) if after is None else max(0, min(after, len(rows)))
    cards.edit(act, LayupCard, layup, {"layers": [*rows[:at], dict(layer), *rows[at:]]})
    _check(layup)


@happening
def drop_layer(act: Act, /, *, layup: UUID, number: int) -> None:
    """Take a layer off a card, counted from 1 at the base.

    Afterwards: the card has one layer fewer.
    Refused: card.unknown, layup.no_layer.
    """
    rows = _rows(layup)
    if not 1 <= number <= len(rows):
        raise Refused(
            "layup.no_layer",
            say("The card has no layer {number}.", number=number),
            say("Open the card again; somebody may have changed it."),
        )
    cards.edit(act, LayupCard, layup, {"layers": [*rows[: number - 1], *rows[number:]]})


def _rows(id: UUID) -> list[dict[str, Any]]:
    row = LayupCard.objects.filter(id=id).first()
    return cast("list[dict[str, Any]]", row.layers) if row else []


def _check(id: UUID) -> None:
    row = LayupCard.objects.get(id=id)
    if not row.name.strip():
        raise Refused("layup.no_name", say("The card has no name."), say("Enter what you call this lay-up."))
    layup.checked(rows=row.layers, known=read.known(row.layers))
