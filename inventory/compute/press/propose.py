"""Set points to propose for a press cycle, from the resin's schedule, what the press holds and what its parts
bear. Knows no press by name and no clock; a proposal is judged as any other set point (`press.order`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.cure.schedule import Schedule, required_time
from inventory.compute.press.order import Part, rating_at
from inventory.compute.reasons import Basis, Given, How, Input

USUAL_KPA = Given(
    275.0, Basis.ASSUMED, "40 psi, reported by home builders: skibuilders.com thread 13577 (read)"
)
BELOW_RELIEF = 0.9  # of the relief valve's pressure, so that it stays shut
RULE = (
    "temperature: what the press holds, not above the hottest listed time nor what any part bears; "
    "pressure: the usual, not above the lowest rating there nor 0.9 of the relief valve; "
    "time: the listed one at that temperature"
)
SOURCE = "common practice, no source; ratings and schedule as entered"


@dataclass(frozen=True, slots=True)
class Proposal:
    """Set points to start from; None where a fact is missing."""

    celsius: float | None
    kpa: float | None
    minutes: int | None
    how: How


def propose(
    *,
    schedule: Schedule | None,
    holds_c: Given[float] | None,
    parts: Sequence[Part],
    relief_kpa: Given[float] | None,
    bay_c: float | None = None,
    usual_kpa: Given[float] = USUAL_KPA,
) -> Proposal:
    """Set points for a cycle; unheated where the press holds no temperature and the bay's is given.

    Formula: temperature = least of what the press holds, the hottest listed point and the hottest rating of
        each part; pressure = least of the usual, each part's rating there and 0.9 of the relief valve; time =
        the schedule's at that temperature, in whole minutes up.
    Units: °C, kPa above the air outside, minutes.
    Refuses: cure.temperature, cure.too_cold, press.ratings, press.temperature, press.pressure
    Source: common practice, no source; ratings and schedule as entered.
    Caution: A proposal certifies nothing; the maker's instructions and the shop's own risk assessment win.
    """
    limits = [part.ratings[-1].up_to_c for part in parts if part.ratings]
    wanted = bay_c if holds_c is None else holds_c.value
    celsius = wanted
    if celsius is not None and holds_c is not None:
        listed = [schedule.highest_c] if schedule is not None else []
        celsius = min([celsius, *listed, *limits])
    minutes = None
    if schedule is not None and celsius is not None:
        minutes = required_time(schedule=schedule, temperature_c=Given(celsius)).whole_minutes
    kpa = None
    if celsius is not None and parts:
        ratings = [rating_at(part=part, celsius=celsius) for part in parts]
        known = [rating.value for rating in ratings if rating is not None]
        relief = [] if relief_kpa is None else [relief_kpa.value * BELOW_RELIEF]
        if len(known) == len(parts):
            kpa = float(math.floor(min([usual_kpa.value, *known, *relief])))
    inputs = (
        Input("temperature the press holds", wanted, "°C"),
        Input("hottest listed", None if schedule is None else schedule.highest_c, "°C", Basis.DATA_SHEET),
        Input("hottest that every part bears", min(limits, default=None), "°C", Basis.DATA_SHEET),
        Input("usual pressure", usual_kpa.value, "kPa", usual_kpa.basis),
        Input("relief valve", None if relief_kpa is None else relief_kpa.value, "kPa"),
    )
    return Proposal(celsius, kpa, minutes, How(RULE, SOURCE, inputs))
