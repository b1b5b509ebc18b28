"""Which pieces a ski takes of a layer that is cut from a sheet, a stick or a roll. Knows no stock."""

import math
from collections.abc import Mapping
from typing import Any

from inventory.compute.cutting.taken import Size, Some
from inventory.compute.layup import COURSES, Extent, Sort
from inventory.compute.needs.layers import Between, Centred, Contact, Reach, Whole, reached
from inventory.compute.outline import measures
from inventory.compute.outline.base import Outline


def pieces_of(*, outline: Outline, row: Mapping[str, Any]) -> Some | None:
    """Which pieces does one ski take of a layer? None: it is not cut (poured, counted).

    Formula: of sheets the layer's reach by its widest place, a piece a ply; of strips the reach, a piece a
        strand; edge and sidewall two of half the course, edge all round one
    Units: mm, rounded up, nothing added for trimming
    Refuses: needs.reach
    Source: common practice, no source
    """
    kind, extent, plies = Sort(row["kind"]), Extent(row["extent"]), int(row["plies"])
    if kind is Sort.STRIP and extent in COURSES:
        along = measures(outline=outline)
        if extent is Extent.EDGE_WRAP:
            return Some(Size(math.ceil(along.edge_wrap_mm)), plies)
        course = along.edge_partial_mm if extent is Extent.EDGE else along.sidewall_mm
        return Some(Size(math.ceil(course / 2)), 2 * plies)
    if kind is Sort.SHEET and extent is Extent.BLANK:
        return Some(Size(math.ceil(outline.length_mm), math.ceil(row["from_mm"])), plies)
    if kind not in (Sort.SHEET, Sort.STRIP):
        return None
    part = reached(outline=outline, reach=_reach(row, extent))
    width = math.ceil(part.widest_mm) if kind is Sort.SHEET else None
    return Some(Size(math.ceil(part.length_mm), width), plies)


def _reach(row: Mapping[str, Any], extent: Extent) -> Reach:
    if extent is Extent.CONTACT:
        return Contact()
    if extent is Extent.MIDDLE:
        return Centred(float(row["from_mm"]))
    if extent is Extent.BETWEEN:
        return Between(float(row["from_mm"]), float(row["to_mm"]))
    return Whole()
