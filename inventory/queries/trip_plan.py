"""READ what was planned when a trip left, as plain values that its departure keeps.

Materials by the needs of the booked pairs, masses by what is aboard, closings by the timetable.
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from inventory.compute.load import Quantity
from inventory.models import Trip
from inventory.queries.readiness.facts import Facts
from inventory.queries.readiness.masses import MG_IN_KG, carried, loaded
from inventory.queries.readiness.materials import allotted
from inventory.queries.readiness.reader import read
from inventory.queries.readiness.timetable import plans


def plan(row: Trip, today: date) -> dict[str, Any]:
    """What a trip is planned to need, to weigh and to press, by what is entered now.

    `materials`: [id, needed, of it aboard]; `masses`: [trailer, mass in mg, nose weight in mg], without those
    whose load cannot be worked out; `closings`: [pair, press, closed, opened], moments as text.
    """
    facts = read(row, today)
    return {
        "pairs": len(facts.pairs),
        "materials": [[str(met.material.id), met.needed, met.aboard] for met in allotted(facts)],
        "masses": list(_masses(facts)),
        "closings": list(_closings(facts)),
    }


def _masses(facts: Facts) -> Iterator[list[object]]:
    loads = [each for each in carried(facts) if each.aboard]
    for trailer in facts.trailers:
        found = loaded(facts, trailer, loads).load
        if found is None:
            continue
        gross, nose = found.of(Quantity.GROSS).estimate, found.of(Quantity.NOSE).estimate
        if not (gross.missing or nose.missing):
            yield [str(trailer.id), round(gross.kg * MG_IN_KG), round(nose.kg * MG_IN_KG)]


def _closings(facts: Facts) -> Iterator[list[str]]:
    """Each pair in its press by the timetable, from closed to opened."""
    ids = {pair.code: str(pair.id) for pair in facts.pairs}
    for planned in plans(facts):
        for stretch in planned.stretches:
            closed, opened = planned.at(stretch.cycle.closed_min), planned.at(stretch.cycle.opening_from_min)
            for name in stretch.cycle.pressings:
                if name in ids:
                    yield [ids[name], str(stretch.press.id), closed.isoformat(), opened.isoformat()]
