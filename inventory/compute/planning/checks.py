"""What a season's plan refuses before it begins."""

from collections.abc import Sequence
from datetime import date, datetime

from inventory.compute.planning.facts import Costs, Material
from inventory.compute.reasons import number
from inventory.compute.suppliers import (
    Supplier,
    refuse_bad_days_count,
    refuse_bad_offer,
    refuse_bad_supplier,
)
from inventory.errors import Refused, say

FIRST_YEAR, LAST_YEAR = 1900, 2999


def refuse_bad_plan(
    today: date, materials: Sequence[Material], suppliers: Sequence[Supplier], costs: Costs
) -> None:
    """Refuse a plan whose parts do not fit together.

    Formula: the same workshops for every material, by load day; every code once; every offer's supplier
        known; one currency; 0 <= holding <= 1; 0 <= carried <= 1; days from 1900 to 2999.
    Units: days; fractions.
    Refuses: planning.days, planning.no_material, planning.workshops, planning.unsorted, planning.repeated,
        planning.unnamed, planning.unknown_supplier, planning.currency, planning.margin, planning.holding,
        planning.carried, planning.put_away and whatever an offer or a supplier refuses
    Source: common practice, no source.
    """
    _refuse_bad_day(today)
    if not materials:
        raise Refused(
            "planning.no_material",
            say("There are 0 materials to plan for."),
            say("Enter at least one material."),
        )
    _refuse_bad_costs(costs)
    _refuse_bad_suppliers(suppliers)
    _refuse_repeated([material.needed.material for material in materials], "the materials")
    known = {supplier.code for supplier in suppliers}
    for material in materials:
        _refuse_other_workshops(material, materials[0])
        _refuse_bad_material(material, known)
    for row in materials[0].needed.rows:
        _refuse_bad_day(row.load_on)
        _refuse_bad_day(row.last_on)
    _refuse_unsorted(materials[0])


def _refuse_bad_day(day: date) -> None:
    calendar = isinstance(day, date) and not isinstance(day, datetime)
    if not calendar or not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Refused(
            "planning.days",
            say("{day} is no day from {first} to {last}.", day=day, first=FIRST_YEAR, last=LAST_YEAR),
            say("Enter a day with its year."),
        )


def _refuse_bad_costs(costs: Costs) -> None:
    number(
        costs.holding_a_year.value,
        code="planning.holding",
        name="The cost of a year on the shelf",
        at_least=0,
        at_most=1,
    )
    number(
        costs.carried.value,
        code="planning.carried",
        name="The worth of what is left over",
        at_least=0,
        at_most=1,
    )
    refuse_bad_days_count(costs.put_away_days.value, "planning.put_away", "The time to put away")


def _refuse_bad_suppliers(suppliers: Sequence[Supplier]) -> None:
    for supplier in suppliers:
        refuse_bad_supplier(supplier)
    _refuse_repeated([supplier.code for supplier in suppliers], "the suppliers")
    currencies = sorted({supplier.currency for supplier in suppliers})
    if len(currencies) > 1:
        raise Refused(
            "planning.currency",
            say("Prices are in several currencies: {currencies}.", currencies=", ".join(currencies)),
            say("Enter all prices in one currency."),
        )


def _refuse_bad_material(material: Material, known: set[str]) -> None:
    code = material.needed.material
    if not code.strip():
        raise Refused("planning.unnamed", say("A material has no code."), say("Give each material a code."))
    refuse_bad_days_count(material.margin_days.value, "planning.margin", "The margin before the last day")
    for offer in material.offers:
        refuse_bad_offer(offer, code)
        if offer.supplier not in known:
            raise Refused(
                "planning.unknown_supplier",
                say(
                    "{material} is offered by {supplier}, who is not among the suppliers.",
                    material=code,
                    supplier=offer.supplier,
                ),
                say("Enter the supplier, or take the offer out."),
            )


def _refuse_other_workshops(material: Material, first: Material) -> None:
    ours, theirs = (
        [(row.workshop, row.load_on, row.last_on) for row in one.needed.rows] for one in (material, first)
    )
    if ours != theirs or not ours:
        raise Refused(
            "planning.workshops",
            say(
                "{material} and {first} are not needed for the same workshops.",
                material=material.needed.material,
                first=first.needed.material,
            ),
            say("Compute all needs from the same workshops."),
        )


def _refuse_unsorted(material: Material) -> None:
    days = [(row.load_on, row.last_on) for row in material.needed.rows]
    if days != sorted(days) or any(last < load for load, last in days):
        raise Refused(
            "planning.unsorted",
            say("The workshops are not in the order of their days."),
            say("Take the needs as they were computed, by load day."),
        )


def _refuse_repeated(codes: Sequence[str], where: str) -> None:
    if len(set(codes)) != len(codes):
        twice = next(code for place, code in enumerate(codes) if code in codes[:place])
        raise Refused(
            "planning.repeated",
            say("{code} is twice among {where}.", code=twice, where=where),
            say("Enter it once."),
        )
