"""What a season's demand is made of: workshops with their seats, and what a material is used for.

Plain values and their checks; computes nothing.
"""

from dataclasses import dataclass
from datetime import date, datetime

from inventory.compute.reasons import Given, How, number
from inventory.compute.units import Base
from inventory.errors import Refused, say

EVERY_PAIR = Given(1.0)
NO_LOSS = Given(0.0)
ONE_SPARE = Given(1)
NO_RESERVE = Given(0)


@dataclass(frozen=True, slots=True)
class Workshop:
    """A workshop's seats and days: loaded on one day, the last use on another, both included."""

    code: str
    load_on: date
    last_on: date
    booked_pairs: int
    open_seats: int
    fill_chance: Given[float]


@dataclass(frozen=True, slots=True)
class Use:
    """What a material is used for: amounts are whole numbers of its base unit, before loss.

    `booked` has one amount a workshop, in the order the workshops are given: what their booked pairs need by
    their own shapes. An open seat that fills uses `per_pair` with the chance `share`. `loss` is the part of
    what is taken that ends up in no ski. `spare_pairs` stay aboard each workshop that is on the road.
    `reserve_percent` is what is wanted beyond all that.
    """

    material: str
    base: Base
    booked: tuple[int, ...]
    per_pair: Given[int]
    share: Given[float] = EVERY_PAIR
    loss: Given[float] = NO_LOSS
    spare_pairs: Given[int] = ONE_SPARE
    reserve_percent: Given[int] = NO_RESERVE


@dataclass(frozen=True, slots=True)
class WorkshopNeed:
    """What one workshop adds to what the season needs, in the material's base unit.

    `planned` at the level to cover; `booked` if no further seat fills; `full` if every seat fills.
    """

    workshop: str
    load_on: date
    last_on: date
    planned: int
    booked: int
    full: int


@dataclass(frozen=True, slots=True)
class Needed:
    """What the season needs of one material, workshop by workshop in the order of their load days."""

    material: str
    base: Base
    rows: tuple[WorkshopNeed, ...]
    cover: float
    how: How


def refuse_bad_workshop(row: Workshop) -> None:
    """Refuse a workshop without a code, with days in the wrong order, or with impossible seats.

    Formula: booked_pairs and open_seats from 0 to 1000, whole; 0 <= fill_chance <= 1; load_on <= last_on.
    Units: seats; a fraction; days.
    Refuses: planning.unnamed, planning.days, planning.seats, planning.chance
    Source: common practice, no source.
    """
    if not row.code.strip():
        raise Refused("planning.unnamed", say("A workshop has no code."), say("Give each workshop a code."))
    refuse_bad_days(row.load_on, row.last_on, row.code)
    for seats in (row.booked_pairs, row.open_seats):
        if type(seats) is not int or not 0 <= seats <= 1000:
            raise Refused(
                "planning.seats",
                say("Workshop {code} has {seats} seats of one kind.", code=row.code, seats=seats),
                say("Enter a whole number from 0 to 1000."),
            )
    number(
        row.fill_chance.value,
        code="planning.chance",
        name="The chance that an open seat fills",
        at_least=0,
        at_most=1,
    )


def refuse_bad_days(load_on: date, last_on: date, code: str) -> None:
    """Refuse days that are no days of the calendar, or in the wrong order.

    Formula: load_on <= last_on.
    Units: days.
    Refuses: planning.days
    Source: common practice, no source.
    """
    calendar = all(isinstance(day, date) and not isinstance(day, datetime) for day in (load_on, last_on))
    if not calendar or last_on < load_on:
        raise Refused(
            "planning.days",
            say("{code} is loaded on {load} and last used on {last}.", code=code, load=load_on, last=last_on),
            say("Enter two days, the load day first."),
        )


def refuse_bad_cover(cover: float) -> None:
    """Refuse a level to cover that is no chance below certainty.

    Formula: 0 < cover <= 0.9999.
    Units: a fraction.
    Refuses: planning.cover
    Source: common practice, no source.
    """
    number(cover, code="planning.cover", name="The level to cover", above=0, at_most=0.9999)


def refuse_bad_use(use: Use, workshops: int) -> None:
    """Refuse a use with amounts, share, loss, spare pairs or reserve that cannot be.

    Formula: one whole booked amount >= 0 a workshop; per_pair, spare_pairs and reserve_percent whole, >= 0;
        0 <= share <= 1; 0 <= loss <= 0.9.
    Units: the material's base unit; fractions; pairs; per cent.
    Refuses: planning.booked, planning.per_pair, planning.spare, planning.reserve, planning.share,
        planning.loss
    Source: common practice, no source.
    """
    whole = all(type(amount) is int and amount >= 0 for amount in use.booked)
    if not whole or len(use.booked) != workshops:
        raise Refused(
            "planning.booked",
            say(
                "{material} has the booked amounts {booked} for {workshops} workshops.",
                material=use.material,
                booked=use.booked,
                workshops=workshops,
            ),
            say("Enter one whole amount from 0 on for each workshop."),
        )
    for given, code, name in (
        (use.per_pair, "planning.per_pair", "The amount for one pair"),
        (use.spare_pairs, "planning.spare", "The number of spare pairs"),
        (use.reserve_percent, "planning.reserve", "The reserve in per cent"),
    ):
        if type(given.value) is not int or given.value < 0:
            raise Refused(
                code,
                say("{name} of {material} is {value}.", name=name, material=use.material, value=given.value),
                say("Enter a whole number from 0 on."),
            )
    number(
        use.share.value, code="planning.share", name="The share of pairs that take it", at_least=0, at_most=1
    )
    number(use.loss.value, code="planning.loss", name="The part that is lost", at_least=0, at_most=0.9)
