"""A dossier as a drawing: lots, packages, cups and cut parts, skis, joined by what went into what."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from inventory.compute import lineage
from inventory.compute.codes import Kind
from inventory.errors import Sentence, say
from inventory.queries.dossier.facts import Dossier, Label, Named

_COLUMN = {Kind.LOT: 0, Kind.PACKAGE: 1, Kind.SKI: 3, Kind.PAIR: 3}  # all others: 2
_HEADS = (say("Lots"), say("Packages"), say("Cups and cut parts"), say("Skis"))
_LETTERS = 16  # of one line in a box


@dataclass(frozen=True, slots=True)
class Drawn:
    """One box with its words. `itself`: the thing the dossier is about."""

    thing: Named
    words: str
    itself: bool
    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Drawing:
    """What the page draws, in the drawing's own units."""

    boxes: tuple[Drawn, ...]
    lines: tuple[str, ...]
    heads: tuple[tuple[Sentence, int], ...]
    left_out: int
    box_width: int
    width: int
    height: int


def drawing(dossier: Dossier) -> Drawing | None:
    """The drawing of both directions; None when nothing is joined to anything."""
    links = (*dossier.made_of, *dossier.went_into)
    if not links:
        return None
    things: dict[UUID, Named] = {part.id: part for part in dossier.parts or (dossier.thing,)}
    itself = set(things)
    labels: dict[UUID, Label] = {}
    for link in dossier.made_of:
        things |= {link.made.id: link.made, link.of.id: link.of}
        if link.label:
            labels[link.of.id] = link.label
    for link in dossier.went_into:
        things |= {link.of.id: link.of, link.made.id: link.made}
        if link.label:
            labels[link.made.id] = link.label
    columns = {id: _COLUMN.get(thing.kind, 2) for id, thing in things.items()}
    found = lineage.draw(columns, ((link.of.id, link.made.id) for link in links))
    boxes = tuple(
        Drawn(things[box.id], _words(things[box.id], labels), box.id in itself, box.x, box.y)
        for box in found.boxes
    )
    heads = tuple((_HEADS[column], x) for column, x in found.columns)
    return Drawing(boxes, found.lines, heads, found.left_out, found.box_width, found.width, found.height)


def _words(thing: Named, labels: Mapping[UUID, Label]) -> str:
    """The second line of a box: a lot's printed number, else what it is called, else what it is."""
    label = labels.get(thing.id)
    text = (label.number if label and thing.kind is Kind.LOT else "") or thing.name or thing.kind.value
    return text if len(text) <= _LETTERS else text[: _LETTERS - 1] + "…"
