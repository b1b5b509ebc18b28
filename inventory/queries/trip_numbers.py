"""READ a trip's numbers: planned against what was. Materials, time in the press, weights, warmth, pairs.

As plain values that a record keeps for good, and as a page shows them, for this trip and for the next.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from inventory.compute.hours import EPOCH, HOUR_S
from inventory.compute.units import Amount, Base
from inventory.models import Equipment, Material, Pair, Place, Ski, Trip
from inventory.queries import cycles, home, logged, road, usage
from inventory.queries.ledger import codes_of
from inventory.queries.stock_list import within


def numbers(row: Trip) -> dict[str, Any]:
    """What was planned when it left and what was, as far as it is known; plain values."""
    standing = road.standing(row.id)
    left = road.facts_of(row.id, road.DEPARTED)
    plan: Mapping[str, Any] = left.get("plan") or {}  # type: ignore[assignment]
    return {
        "pairs": len(usage.built(row)),
        "planned_pairs": plan.get("pairs"),
        "handed": len(home.handed(row)),
        "materials": _materials(row, plan),
        "closings": _closings(row, standing.departed_at, plan),
        "weights": weights(row),
        "warmth": _warmth(row, standing),
        "waste": home.waste(row.id),
        "missing": len(home.missing(row)),
        "left_behind": left.get("left_behind", 0),
        "scanned_late": road.scanned_late(row.id),
        "against": left.get("against", 0),
    }


def _materials(row: Trip, plan: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Planned and not touched, touched and not planned, and both."""
    planned = {id: (needed, aboard) for id, needed, aboard in plan.get("materials", ())}
    used = {str(each.material): each for each in usage.taught(row)}
    names = dict(Material.objects.filter(id__in={*planned, *used}).values_list("id", "name"))
    return [
        {
            "material": str(id),
            "planned": planned.get(str(id), (None, None))[0],
            "aboard": planned.get(str(id), (None, None))[1],
            "in_pairs": used[str(id)].net if str(id) in used else None,
            "gone": used[str(id)].used if str(id) in used else None,
        }
        for id in sorted(names, key=lambda id: names[id].casefold())
    ]


def _closings(row: Trip, since: datetime | None, plan: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Each pair's time in the press: by the plan, and each closing that was."""
    planned = {pair: [press, closed, opened] for pair, press, closed, opened in plan.get("closings", ())}
    was: dict[str, list[list[str]]] = {}
    if since is not None:
        skis = Ski.objects.filter(pair__workshop_id__in=row.workshops)
        pairs = dict(skis.values_list("thing_id", "pair_id"))
        for cycle in cycles.pressed_since(pairs, since):
            opened = cycle.opened_at or cycle.closed_at + timedelta(minutes=cycle.minutes)
            entry = [str(cycle.press or ""), cycle.closed_at.isoformat(), opened.isoformat()]
            for pair in dict.fromkeys(str(pairs[ski]) for ski in cycle.skis if ski in pairs):
                was.setdefault(pair, []).append(entry)
    order = sorted({*planned, *was}, key=lambda pair: (planned.get(pair) or was[pair][0])[1])
    return [{"pair": pair, "planned": planned.get(pair), "was": was.get(pair, [])} for pair in order]


def weights(row: Trip) -> list[dict[str, Any]]:
    """Each trailer's mass and nose weight: by the list as it left, and on the scale, leaving and home."""
    plan: Any = road.facts_of(row.id, road.DEPARTED).get("plan") or {}
    listed = {trailer: [gross, nose] for trailer, gross, nose in plan.get("masses", ())}
    scale = road.weighed(row.id)
    return [
        {"trailer": id, "list": listed.get(id), **scale.get(id, {})}
        for id in row.trailers
        if id in listed or id in scale
    ]


def _warmth(row: Trip, standing: road.Standing) -> dict[str, Any]:
    """Coldest and warmest in the trailers: as expected, and as loggers wrote while it was away."""
    found = {"planned": [row.road_low_c, row.road_high_c], "was": None}
    if standing.departed_at is None:
        return found
    first = (standing.departed_at - EPOCH).total_seconds() // HOUR_S
    last = (standing.home_at - EPOCH).total_seconds() // HOUR_S if standing.home_at else float("inf")
    places = within([UUID(trailer) for trailer in row.trailers])
    rows = [hour for own in logged.hours_of(places).values() for hour in own if first <= hour.hour <= last]
    if rows:
        found["was"] = [min(hour.lowest for hour in rows) / 100, max(hour.highest for hour in rows) / 100]
    return found


# --- as a page shows them ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One material: what the booked pairs needed, what was aboard, what is in the pairs, what is gone."""

    name: str
    planned: Amount | None
    aboard: Amount | None
    in_pairs: Amount | None
    gone: Amount | None


@dataclass(frozen=True, slots=True)
class Stretch:
    """One closing: in which press, from when to when."""

    press: str
    closed_at: datetime
    opened_at: datetime

    @property
    def minutes(self) -> int:
        """How long it was closed."""
        return round((self.opened_at - self.closed_at).total_seconds() / 60)


@dataclass(frozen=True, slots=True)
class ClosingLine:
    """One pair in the press."""

    code: str
    planned: Stretch | None
    was: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class WeightLine:
    """Mass and nose weight of one trailer, each: by the list, on the scale as it left, as it came home."""

    name: str
    masses: tuple[Amount | None, ...]
    noses: tuple[Amount | None, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A trip's numbers with names and units. `closed_min`: minutes in the press, planned and as it was."""

    of: Mapping[str, Any]
    materials: tuple[MaterialLine, ...]
    closings: tuple[ClosingLine, ...]
    weights: tuple[WeightLine, ...]
    waste: Mapping[str, Amount]
    closed_min: tuple[int, int]


def shown(kept: Mapping[str, Any]) -> Shown:
    """The numbers of a record, or of a trip as it stands; what an older record does not have is left out."""
    closings = _shown_closings(kept.get("closings", ()))
    return Shown(
        of=kept,
        materials=_shown_materials(kept.get("materials", ())),
        closings=closings,
        weights=_shown_weights(kept.get("weights", ())),
        waste={sort: Amount(mg, Base.MG) for sort, mg in kept.get("waste", {}).items()},
        closed_min=(
            sum(line.planned.minutes for line in closings if line.planned),
            sum(stretch.minutes for line in closings for stretch in line.was),
        ),
    )


def _shown_materials(rows: Iterable[Mapping[str, Any]]) -> tuple[MaterialLine, ...]:
    known = Material.objects.in_bulk([UUID(row["material"]) for row in rows])

    def line(row: Mapping[str, Any], material: Material) -> MaterialLine:
        def amount(key: str) -> Amount | None:
            return None if row.get(key) is None else Amount(row[key], Base(material.base))

        return MaterialLine(
            material.name, amount("planned"), amount("aboard"), amount("in_pairs"), amount("gone")
        )

    found = ((row, known.get(UUID(row["material"]))) for row in rows)
    return tuple(line(row, material) for row, material in found if material is not None)


def _shown_closings(rows: Iterable[Mapping[str, Any]]) -> tuple[ClosingLine, ...]:
    presses = dict(Equipment.objects.filter(thing__kind="press").values_list("thing_id", "name"))
    codes = codes_of(
        Pair.objects.filter(thing_id__in=[row["pair"] for row in rows]).values_list("thing_id", flat=True)
    )

    def stretch(entry: list[str]) -> Stretch:
        press, closed, opened = entry
        name = presses.get(UUID(press), "") if press else ""
        return Stretch(name, datetime.fromisoformat(closed), datetime.fromisoformat(opened))

    return tuple(
        ClosingLine(
            codes.get(UUID(row["pair"]), ""),
            stretch(row["planned"]) if row["planned"] else None,
            tuple(stretch(entry) for entry in row["was"]),
        )
        for row in rows
    )


def _shown_weights(rows: Iterable[Mapping[str, Any]]) -> tuple[WeightLine, ...]:
    names = dict(
        Place.objects.filter(thing_id__in=[row["trailer"] for row in rows]).values_list("thing_id", "name")
    )

    def each(row: Mapping[str, Any], at: int) -> tuple[Amount | None, ...]:
        values = ((row.get(key) or (None, None))[at] for key in ("list", "leaving", "home"))
        return tuple(None if value is None else Amount(value, Base.MG) for value in values)

    return tuple(WeightLine(names.get(UUID(row["trailer"]), ""), each(row, 0), each(row, 1)) for row in rows)
