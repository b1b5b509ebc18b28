"""WRITE the care of what ages: temperatures read, resin warmed, old stock re-tested. Certifies nothing.

Cautions of these steps: a re-test outdoors, on concrete, in a small cup; warming with the cap loosened, in a
water bath, without a flame. The safety data sheet and the maker outrank all of it.
"""

from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry, check_holds
from inventory.compute import readings, retest
from inventory.compute.codes import Kind
from inventory.compute.reasons import number
from inventory.compute.retest import Chemistry, Retest, Standing, Trial
from inventory.errors import Refused, say
from inventory.models import Package
from inventory.queries import ledger as read
from inventory.queries import stock, trace

HOTTEST_BATH_C = 55
"""Resin melts clear at about 45 to 50 °C (seabase.eu, read); hotter ages it and may set it off."""
_MEASURED = {Kind.STORE, Kind.TRAILER, Kind.ZONE, Kind.BIN}


@happening
def record_reading(
    act: Act,
    /,
    *,
    place: UUID,
    celsius: float,
    highest_c: float | None = None,
    lowest_c: float | None = None,
) -> None:
    """Say what a thermometer shows in a place, and what it kept since it was read before.

    Afterwards: how old stock there really is, is reckoned with it.
    Refused: care.no_place, readings.highest, readings.lowest, storage.temperature, thing.unborn.
    """
    check_measured(place)
    readings.check(readings.Read(act.at, celsius, highest_c, lowest_c))
    facts = {"celsius": celsius, "highest_c": highest_c, "lowest_c": lowest_c}
    act.record("temperature read", observed=[Entry(place)], where=place, facts=facts)


def check_measured(place: UUID) -> None:
    """Refuse what no thermometer hangs in. Refuses: care.no_place"""
    if read.kinds([place]).get(place, (Kind.PACKAGE, ""))[0] not in _MEASURED:
        raise Refused(
            "care.no_place",
            say("{thing} is no store, trailer, zone or bin.", thing=read.name(place)),
            say("Scan the place where the thermometer hangs."),
        )


@happening
def warm(
    act: Act,
    /,
    *,
    package: UUID,
    bath_c: float,
    minutes: float,
    cap_loosened: bool,
    water_bath: bool,
    looked_clear: bool,
) -> None:
    """Warm out crystals: cap loosened, in a water bath, no flame, stirred to the bottom.

    Afterwards: it is on record; what was not clear afterwards is to be warmed again, or set apart.
    Refused: care.not_warmed, care.cap, care.bath, care.too_hot, care.minutes, stock.not_a_package,
    stock.on_hold, thing.unborn.
    """
    row = _package(package)
    if row.lot.material.chemistry != Chemistry.EPOXY_RESIN:
        raise Refused(
            "care.not_warmed",
            say("{thing} is not known as epoxy resin; only that is warmed.", thing=read.name(package)),
            say("If it is one, say so on the material's card; for all else the maker's sheet decides."),
        )
    if not cap_loosened:
        raise Refused(
            "care.cap",
            say("The cap must be loosened first: a closed container builds pressure."),
            say("Loosen the cap, then warm it."),
        )
    if not water_bath:
        raise Refused(
            "care.bath",
            say("Only a water bath warms evenly; a flame, a hot plate or a heat gun does not."),
            say("Use warm water, without a flame anywhere near."),
        )
    number(bath_c, code="care.too_hot", name="The bath", unit="°C", at_least=10, at_most=HOTTEST_BATH_C)
    number(minutes, code="care.minutes", name="The warming", unit="min", above=0, at_most=24 * 60)
    facts = {"bath_c": bath_c, "minutes": minutes, "looked_clear": looked_clear}
    act.record("warmed", observed=[Entry(package)], facts=facts)


@happening
def retest_package(
    act: Act,
    /,
    *,
    package: UUID,
    control: UUID,
    months: int,
    old: Trial,
    fresh: Trial,
    hardness_as_control: bool | None,
    coupon_as_control: bool | None,
) -> None:
    """Re-test an old package beside a fresh control, once.

    Afterwards: the trial is on record; where it held the package may be used so many months longer.
    Refused: care.never, care.maker, care.extended_before, care.no_date, care.control, care.over,
    stock.on_hold, stock.not_a_package, retest.date, retest.months, retest.gel, retest.bath, thing.unborn.
    """
    row = _package(package)
    _check_may_be_retested(row)
    _check_control(act, row, control)
    judged = judge_retest(
        row,
        months=months,
        old=old,
        fresh=fresh,
        hardness_as_control=hardness_as_control,
        coupon_as_control=coupon_as_control,
    )
    through = judged.extended_through
    if through is not None and through < day_of(act):
        raise Refused(
            "care.over",
            say("An extension would have ended on {day}.", day=through),
            say("It is too old for one. Write it off as waste."),
        )
    facts = {
        "control": str(control),
        "months": months,
        "gel_min": old.gel_min,
        "bath_c": old.bath_c,
        "control_gel_min": fresh.gel_min,
        "control_bath_c": fresh.bath_c,
        "hardness_as_control": hardness_as_control,
        "coupon_as_control": coupon_as_control,
        "through": None if through is None else through.isoformat(),
        "against": [reason.code for reason in judged.verdict.reasons if through is None],
    }
    act.record("re-tested", observed=[Entry(package)], facts=facts)
    if through is not None:
        cards.save(act, Package, package, extended_through=through)


def judge_retest(
    row: Package,
    *,
    months: int,
    old: Trial,
    fresh: Trial,
    hardness_as_control: bool | None,
    coupon_as_control: bool | None,
) -> Retest:
    """What a re-test of this package says: the same for the preview and the record.

    A recall holds the lots it names, so that what is not on hold is not recalled.
    """
    held = bool(trace.stopped_by([row.thing_id]) or trace.stopped_by([row.lot_id]))
    material = row.lot.material
    return retest.retest(
        good_through=_last_day(row),
        months=months,
        standing=Standing(
            chemistry=Chemistry(material.chemistry) if material.chemistry else None,
            maker_allows=material.retest_allowed,
            held=held,
            recalled=held,
            extended_before=row.extended_through is not None,
        ),
        old=old,
        control=fresh,
        hardness_as_control=hardness_as_control,
        coupon_as_control=coupon_as_control,
    )


def _last_day(row: Package) -> date:
    day = stock.usable([row.thing_id])[row.thing_id].through
    if day is None:
        raise Refused(
            "care.no_date",
            say("{thing} has no date that could be extended.", thing=read.name(row.thing_id)),
            say("Enter the lot's date first, as its label has it."),
        )
    return day


def _check_may_be_retested(row: Package) -> None:
    """What is never extended, whatever a trial would say."""
    material, thing = row.lot.material, read.name(row.thing_id)
    if not material.chemistry or Chemistry(material.chemistry) in retest.NEVER:
        raise Refused(
            "care.never",
            say(
                "{thing} is {kind}: stock of that kind is never extended.",
                thing=thing,
                kind=material.chemistry or "of no known kind",
            ),
            say("Write it off; or, if nobody entered what it is, say so on the material's card."),
        )
    if not material.retest_allowed:
        raise Refused(
            "care.maker",
            say("{thing}: nobody entered that its maker allows a re-test.", thing=thing),
            say("Ask the maker, and enter the answer on the material's card."),
        )
    if row.extended_through is not None:
        raise Refused(
            "care.extended_before",
            say("{thing} was extended before, to {day}; once is all.", thing=thing, day=row.extended_through),
            say("Write it off as waste."),
        )
    check_holds([row.thing_id, row.lot_id])


def _check_control(act: Act, row: Package, control: UUID) -> None:
    """The control is another lot of the same material, and in date."""
    fresh = stock.package(control)
    fits = fresh is not None and fresh.lot_id != row.lot_id and fresh.lot.material_id == row.lot.material_id
    if not fits or stock.usable([control])[control].past(day_of(act)):
        raise Refused(
            "care.control",
            say("{thing} is no fresh control for this.", thing=read.name(control)),
            say("Take a package of another lot of the same material that is in date."),
        )
    check_holds([control])


def _package(thing: UUID) -> Package:
    row = stock.package(thing)
    if row is None:
        raise Refused(
            "stock.not_a_package",
            say("{thing} is no package.", thing=read.name(thing)),
            say("Scan the can, jug, roll or box."),
        )
    return row
