"""A lay-up card's rows as layers: to compute needs by, to draw, and in words. Knows no table and no stock.

A row is a plain mapping, as the card keeps it: `material` (its key), `kind`, `plies` (of strips: strands; of
what is spread: faces; of pieces: how many), `extent`, `from_mm` and `to_mm` where the extent asks for them,
`g_m2` and `fibre` for what is spread or taken up, `hardener` for a mix, `loss` where the usual one is wrong.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inventory.compute import needs as rules
from inventory.compute.needs import Factor, Needs
from inventory.compute.needs.layers import (
    Between,
    Blank,
    Centred,
    Contact,
    Course,
    Layer,
    Per,
    Pieces,
    Reach,
    Sheet,
    Soak,
    Spread,
    Strip,
    Whole,
)
from inventory.compute.needs.many import USUAL
from inventory.compute.outline.base import Outline
from inventory.compute.outline.core import Thickness
from inventory.compute.outline.drawing import SideLayer
from inventory.compute.reasons import Basis, Given, number
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say

Row = Mapping[str, Any]
MOST_LAYERS = 40
FIBRE = Given(0.55, Basis.ASSUMED, "common practice, no source")
CUT = Given(USUAL["glass"].expected, Basis.ASSUMED, "common practice, no source")


class Sort(StrEnum):
    """What a layer is measured by."""

    SHEET = "sheet"
    STRIP = "strip"
    PIECE = "piece"
    SPREAD = "spread on"
    SOAK = "taken up by fabric"


class Extent(StrEnum):
    """How far along the ski a layer reaches."""

    WHOLE = "whole ski"
    CONTACT = "contact length"
    MIDDLE = "about the middle"
    BETWEEN = "from place to place"
    EDGE = "edge, partial"
    EDGE_WRAP = "edge all round"
    SIDEWALL = "both sidewalls"
    BLANK = "a rectangle, cut later"
    PAIR = "once a pair"


COURSES = {Extent.EDGE: Course.EDGE, Extent.EDGE_WRAP: Course.EDGE_WRAP, Extent.SIDEWALL: Course.SIDEWALL}
REACHES = (Extent.WHOLE, Extent.CONTACT, Extent.MIDDLE, Extent.BETWEEN)
FITS: Mapping[Sort, tuple[Extent, ...]] = {
    Sort.SHEET: (*REACHES, Extent.BLANK),
    Sort.STRIP: (*REACHES, *COURSES),
    Sort.PIECE: (Extent.WHOLE, Extent.PAIR),
    Sort.SPREAD: REACHES,
    Sort.SOAK: REACHES,
}
BASES = {Sort.SHEET: Base.MM2, Sort.STRIP: Base.MM, Sort.SPREAD: Base.MG, Sort.SOAK: Base.MG}

# Drawn so thick where the material's card does not say: common practice, no source.
DRAWN_MM = {"base": 1.3, "glass": 0.6, "rubber": 0.3, "top": 0.5, "top sheet": 0.5}
CORE_END_MM, CORE_MIDDLE_MM = 2.5, 10.5  # published home builds give 2 to 3.5 and 9 to 12 (read)
_LOSSES = {
    "edge": "edge",
    "base": "base sheet",
    "glass": "glass",
    "resin": "mixed resin",
    "hardener": "mixed resin",
    "blank": "core blank",
    "sidewall": "sidewall",
    "rubber": "rubber foil",
    "top": "top sheet",
    "top sheet": "top sheet",
}


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a lay-up has to know of a material. `hardener_per_hundred`: on a hardener's card."""

    name: str
    base: Base
    purpose: str = ""
    thick_mm: float | None = None
    hardener_per_hundred: float | None = None


def checked(*, rows: Sequence[Row], known: Mapping[str, Stuff]) -> None:
    """Refuse a card that cannot be computed.

    Refuses: layup.too_many, layup.material, layup.kind, layup.extent, layup.unit, layup.ratio,
        layup.number
    """
    if len(rows) > MOST_LAYERS:
        raise Refused(
            "layup.too_many",
            say("{count} layers are more than a ski has.", count=len(rows)),
            say("Enter at most {most}.", most=MOST_LAYERS),
        )
    layers(rows=rows, known=known)


def layers(*, rows: Sequence[Row], known: Mapping[str, Stuff]) -> tuple[Layer, ...]:
    """The rows as layers to compute by; a mix is two: its resin's part and its hardener's.

    Refuses: layup.material, layup.kind, layup.extent, layup.unit, layup.ratio, layup.number
    """
    return tuple(layer for row in rows for layer in _layers(row, known))


def needed(
    *,
    outline: Outline,
    rows: Sequence[Row],
    known: Mapping[str, Stuff],
    learned: Mapping[str, Factor] | None = None,
) -> Needs:
    """What does a pair of this outline need by this card?

    Formula: as `compute.needs.needs`, with the loss that was learned, else the card's, else the usual of its
        kind
    Units: each material in its base unit; by key
    Refuses: what `layers` and `compute.needs.needs` refuse
    Source: common practice, no source (the usual losses)
    """
    waste: dict[str, Factor] = {}
    for row in rows:
        for key in filter(None, (row["material"], row.get("hardener"))):
            factor = _loss(row, known.get(key))
            if factor is not None:
                waste.setdefault(key, factor)
    return rules.needs(outline=outline, layers=layers(rows=rows, known=known), waste=waste, learned=learned)


def usual_loss(*, rows: Sequence[Row], key: str, known: Mapping[str, Stuff]) -> float:
    """What is taken as used over what is in the pair before anything was learned; 1 where nothing is lost."""
    for row in rows:
        if key in (row["material"], row.get("hardener")):
            factor = _loss(row, known.get(key))
            return factor.expected if factor else 1.0
    return 1.0


def drawn(*, outline: Outline, rows: Sequence[Row], known: Mapping[str, Stuff]) -> tuple[SideLayer, ...]:
    """The layers to draw from the side, from the base up: those that have a thickness of their own."""
    found = []
    for row in rows:
        stuff = _stuff(row["material"], known)
        span = _span(outline, row)
        if span is None:
            continue
        if stuff.purpose == "blank":
            middle = outline.length_mm / 2
            core = ((0.0, CORE_END_MM), (middle, CORE_MIDDLE_MM), (outline.length_mm, CORE_END_MM))
            thick: float | tuple[Thickness, ...] = tuple(Thickness(at, mm) for at, mm in core)
        else:
            one = stuff.thick_mm or DRAWN_MM.get(stuff.purpose, 0.0)
            if not one:
                continue
            thick = one * int(row["plies"])
        found.append(SideLayer(stuff.name, span[0], span[1], thick))
    return tuple(found)


def _span(outline: Outline, row: Row) -> tuple[float, float] | None:
    """From where to where a layer lies flat in the ski; None for what does not."""
    extent = Extent(row["extent"])
    if Sort(row["kind"]) in (Sort.SPREAD, Sort.SOAK) or extent in COURSES or extent is Extent.PAIR:
        return None
    if extent is Extent.CONTACT:
        return outline.heel_mm, outline.shoulder_mm
    if extent is Extent.MIDDLE:
        middle, half = (outline.heel_mm + outline.shoulder_mm) / 2, float(row["from_mm"]) / 2
        return max(0.0, middle - half), min(outline.length_mm, middle + half)
    if extent is Extent.BETWEEN:
        return float(row["from_mm"]), min(outline.length_mm, float(row["to_mm"]))
    return 0.0, outline.length_mm


def _stuff(key: str, known: Mapping[str, Stuff]) -> Stuff:
    found = known.get(key)
    if found is None:
        raise Refused(
            "layup.material",
            say("No material here is called {key}.", key=key or "–"),
            say("Choose one of the list, or make its card first."),
        )
    return found


def _layers(row: Row, known: Mapping[str, Stuff]) -> list[Layer]:
    stuff, kind, extent = _stuff(row["material"], known), _sort(row), _extent(row)
    if extent not in FITS[kind]:
        raise Refused(
            "layup.extent",
            say(
                "{material} as “{kind}” does not reach “{extent}”.",
                material=stuff.name,
                kind=kind,
                extent=extent,
            ),
            say("Choose another reach: {fits}.", fits=", ".join(FITS[kind])),
        )
    _check_unit(stuff, BASES.get(kind, stuff.base))
    key, plies = row["material"], int(_number(row, "plies", 1, 1_000_000))
    if kind is Sort.PIECE:
        each = Amount(plies, stuff.base)
        return [Pieces(key, each, Per.PAIR if extent is Extent.PAIR else Per.SKI)]
    if kind is Sort.SHEET:
        reach = Blank(_number(row, "from_mm", 1, 2000)) if extent is Extent.BLANK else _reach(row, extent)
        return [Sheet(key, reach, plies)]
    if kind is Sort.STRIP:
        return [Strip(key, COURSES[extent] if extent in COURSES else _reach(row, extent), plies)]
    return _wet(row, kind, plies, _reach(row, extent), known)


def _wet(row: Row, kind: Sort, plies: int, reach: Reach, known: Mapping[str, Stuff]) -> list[Layer]:
    """What is spread or taken up; with a hardener it is a mix, and each has its part."""
    weight = Given(_number(row, "g_m2", 1, 5000), Basis.MEASURED, "the lay-up card")
    said = row.get("fibre")
    fibre = (
        FIBRE if said is None else Given(_number(row, "fibre", 0.2, 0.8), Basis.MEASURED, "the lay-up card")
    )
    parts = {row["material"]: 1.0}
    hardener = row.get("hardener")
    if hardener:
        stuff = _stuff(hardener, known)
        _check_unit(stuff, Base.MG)
        ratio = stuff.hardener_per_hundred
        if not ratio:
            raise Refused(
                "layup.ratio",
                say("How much of {hardener} goes to 100 g of resin is not known.", hardener=stuff.name),
                say("Enter it on the hardener's card, from its data sheet."),
            )
        parts = {row["material"]: 100 / (100 + ratio), hardener: ratio / (100 + ratio)}
    if kind is Sort.SPREAD:
        return [Spread(key, weight, plies, reach, part) for key, part in parts.items()]
    return [Soak(key, weight, fibre, plies, CUT, reach, part) for key, part in parts.items()]


def _reach(row: Row, extent: Extent) -> Reach:
    if extent is Extent.CONTACT:
        return Contact()
    if extent is Extent.MIDDLE:
        return Centred(_number(row, "from_mm", 1, 2500))
    if extent is Extent.BETWEEN:
        return Between(_number(row, "from_mm", 0, 2500), _number(row, "to_mm", 1, 2500))
    return Whole()


def _sort(row: Row) -> Sort:
    try:
        return Sort(row["kind"])
    except ValueError as error:
        raise Refused(
            "layup.kind",
            say("“{kind}” is no way to measure a layer.", kind=row["kind"]),
            say("Choose one of these: {all}.", all=", ".join(Sort)),
        ) from error


def _extent(row: Row) -> Extent:
    try:
        return Extent(row["extent"])
    except ValueError as error:
        raise Refused(
            "layup.extent",
            say("“{extent}” is no reach of a layer.", extent=row["extent"]),
            say("Choose one of these: {all}.", all=", ".join(Extent)),
        ) from error


def _check_unit(stuff: Stuff, base: Base) -> None:
    if stuff.base is not base:
        raise Refused(
            "layup.unit",
            say(
                "{material} is kept in {kept}, and this layer is measured in {base}.",
                material=stuff.name,
                kept=stuff.base,
                base=base,
            ),
            say("Measure the layer the way the material is kept."),
        )


def _number(row: Row, name: str, least: float, most: float) -> float:
    value = row.get(name)
    if value is None:
        value = float("nan")
    words = {
        "from_mm": "The first measure",
        "to_mm": "The second measure",
        "g_m2": "The weight by area",
        "plies": "The number of plies",
        "fibre": "The fibre's share",
    }
    return number(value, code="layup.number", name=words[name], at_least=least, at_most=most)


def _loss(row: Row, stuff: Stuff | None) -> Factor | None:
    said = row.get("loss")
    if said is not None:
        return Factor(said, said, said, Basis.MEASURED, "the lay-up card")
    purpose = stuff.purpose if stuff else ""
    if purpose == "base" and row["kind"] == Sort.STRIP:
        return USUAL["rubber foil"]  # cut to length off a roll: nothing is lost beside it
    if purpose in _LOSSES:
        return USUAL[_LOSSES[purpose]]
    return None
