"""WRITE counts by weight, and of a whole bin: what is there, what is not, what lies there unexpected."""

from collections.abc import Sequence
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Kind
from inventory.compute.reasons import Basis as Known
from inventory.compute.reasons import Given
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.compute.weighing import Heavy, content
from inventory.errors import Refused, say
from inventory.models import Material, Package
from inventory.queries import ledger as read
from inventory.queries import stock
from inventory.queries.stock_list import within


@happening
def count_by_weight(act: Act, /, *, package: UUID, gross_mg: int, tare_mg: int) -> None:
    """Weigh a package with its container, and say what the container weighs empty.

    Afterwards: what is in it follows from the weights; the empty weight is kept for the next time.
    Refused: stock.not_a_package, thing.unborn, and what `compute.weighing.content` refuses.
    """
    row = stock.package(package)
    if row is None:
        raise Refused(
            "stock.not_a_package",
            say("{thing} is no package.", thing=read.name(package)),
            say("Scan the can, jug, roll or box."),
        )
    material = row.lot.material
    found = content(gross_mg=gross_mg, tare_mg=tare_mg, base=Base(material.base), heavy=heavy(material))
    facts = {"gross_mg": gross_mg, "tare_mg": tare_mg}
    act.record("counted", observed=[Entry(package, found.amount, Basis.WEIGHED)], facts=facts)
    cards.save(act, Package, package, tare_mg=tare_mg)


def heavy(material: Material) -> Heavy:
    """What one unit of a material weighs, as its card says."""
    sheet = Known.DATA_SHEET

    def given(value: float | None) -> Given[float] | None:
        return None if value is None else Given(value, sheet, material.source)

    return Heavy(
        density_kg_m3=given(material.density_kg_m3),
        areal_g_m2=given(material.areal_g_m2),
        linear_g_m=given(material.linear_g_m),
        piece_mg=None if material.piece_mg is None else Given(material.piece_mg, sheet, material.source),
    )


@happening
def count_place(
    act: Act,
    /,
    *,
    place: UUID,
    counted: Sequence[tuple[UUID, Amount]] = (),
    missing: Sequence[UUID] = (),
    found: Sequence[UUID] = (),
) -> None:
    """Count a bin, a zone or a shelf: how much of what is there, what is not, and what lies there unexpected.

    Afterwards: what was counted holds that much; what was found lies there; what is missing is on record as
    not found, and keeps amount and place until someone says where it is or writes it off.
    Refused: count.no_place, count.nothing, count.elsewhere, count.twice, stock.wrong_unit,
    stock.not_positive, place.rank, thing.unborn.
    """
    if not read.kinds([place]).get(place, (Kind.PACKAGE, ""))[0].rank:
        raise Refused(
            "count.no_place", say("{thing} is no place.", thing=read.name(place)), say("Scan the bin.")
        )
    if not (counted or missing or found):
        raise Refused("count.nothing", say("Nothing was counted."), say("Enter at least one amount."))
    _check_once([*(thing for thing, _ in counted), *missing])
    _check_here(place, [*(thing for thing, _ in counted), *missing], found)
    if found:
        act.record("moved", contents=[Entry(thing, to=place) for thing in found], where=place)
    if counted:
        entries = [Entry(thing, amount, Basis.COUNTED) for thing, amount in counted]
        act.record("counted", observed=entries, where=place)
    if missing:
        act.record("not found", observed=[Entry(thing) for thing in missing], where=place)


def _check_once(things: Sequence[UUID]) -> None:
    twice = next((thing for thing in things if things.count(thing) > 1), None)
    if twice is not None:
        raise Refused(
            "count.twice",
            say("{thing} stands in this count twice.", thing=read.name(twice)),
            say("Say once what is there of it."),
        )


def _check_here(place: UUID, things: Sequence[UUID], found: Sequence[UUID]) -> None:
    """What is counted or missed must be here by the books, or have been found here."""
    here = set(within([place]))
    states = read.states(things)
    for thing in things:
        if thing not in found and (thing not in states or states[thing].place not in here):
            raise Refused(
                "count.elsewhere",
                say("By the books {thing} is not here.", thing=read.name(thing)),
                say("If it is, scan it into the list of what was found here as well."),
            )
