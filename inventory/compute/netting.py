"""Netting: what of a season's need the lots on hand and on the way cover, day by day, and what stays open.

Knows one material at a time. Whether a lot is in date, opened or on hold comes in; which lot goes where is
decided by `choose`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.compute.choose import KEEPS, Choice, Lot, Need, who_gets_what
from inventory.compute.demand_facts import WorkshopNeed
from inventory.compute.reasons import Given
from inventory.compute.suppliers import refuse_bad_days_count
from inventory.compute.units import Base


@dataclass(frozen=True, slots=True)
class Net:
    """What the lots cover, once for the planned need and once for the booked pairs alone.

    Two separate answers: covering the booked pairs first and the open seats from what is left would not find
    the most that can be covered. `uncovered` is what stays open of the planned need, workshop by workshop.
    """

    planned: Choice
    booked: Choice
    uncovered: tuple[int, ...]


def arriving(
    *,
    code: str,
    amount: int,
    promised_on: date,
    put_away_days: Given[int],
    life_days: Given[int] | None,
    margin_days: Given[int],
) -> Lot:
    """An order on the way as a lot that will be there.

    Formula: here from promised_on + put_away_days; usable through promised_on + life_days - margin_days.
    Units: days, both ends included; the amount in the material's base unit.
    Refuses: planning.put_away, planning.life, planning.margin, choose.amount, choose.date, choose.lot_dates
    Source: common practice, no source.
    """
    refuse_bad_days_count(put_away_days.value, "planning.put_away", "The time to put away")
    refuse_bad_days_count(margin_days.value, "planning.margin", "The margin before the last day")
    last = KEEPS
    if life_days is not None:
        refuse_bad_days_count(life_days.value, "planning.life", "The life after receipt")
        last = promised_on + timedelta(life_days.value - margin_days.value)
    return Lot(code, amount, last, available_from=promised_on + timedelta(put_away_days.value))


def net(*, needs: Sequence[WorkshopNeed], lots: Sequence[Lot], base: Base, horizon: date) -> Net:
    """What the lots on hand and on the way cover of a season, and what has to be bought.

    Formula: a lot serves a workshop when it is there by the load day and in date through the last use; first
        expired, first out in the order of last uses, maximum flow when windows cross (see who_gets_what).
        Comparing totals is not enough: what expires in June does not serve September.
    Units: whole numbers of `base`; days included at both ends.
    Shapes: needs and lots in any order, workshops and lot codes once each.
    Refuses: choose.twice, choose.date, choose.horizon, choose.amount, choose.need_dates
    Source: Glover 1967 (abstract read) for the sweep, see who_gets_what.
    """
    planned = who_gets_what(
        lots=lots,
        needs=[Need(row.workshop, row.planned, row.load_on, row.last_on) for row in needs],
        base=base,
        horizon=horizon,
    )
    booked = who_gets_what(
        lots=lots,
        needs=[Need(row.workshop, row.booked, row.load_on, row.last_on) for row in needs],
        base=base,
        horizon=horizon,
    )
    return Net(planned, booked, tuple(met.short for met in planned.met))
