"""What is on order of a material that is short: by which line of which order, when, and whether in time.

Reads facts only. What is on its way covers nothing before it is here.
"""

from collections.abc import Iterator
from datetime import date

from inventory.errors import Sentence, Term, say
from inventory.models import Material
from inventory.queries.coming import Coming
from inventory.queries.notes import Cure
from inventory.queries.orders import Stage
from inventory.queries.readiness.facts import Facts, amount

MOST = 2  # order lines named of one material
PROMISED, LEAD, OVERDUE = Term("promised"), Term("by its lead time"), Term("overdue, a week from today")


def in_time(facts: Facts, material: Material) -> int:
    """How much of a material is sent for and comes by load day, in its base unit."""
    return sum(
        each.line.left.value
        for each in facts.ordered.get(material.id, ())
        if each.comes_on <= facts.loads_on and each.order.stage is not Stage.WRITING
    )


def cures(facts: Facts, material: Material, last_day: date) -> Iterator[Cure]:
    """Each line of an order of it, what comes first first; its day says what to do about it."""
    coming = sorted(facts.ordered.get(material.id, ()), key=lambda each: each.comes_on)
    for each in coming[:MOST]:
        yield Cure(
            _said(facts, material, each, last_day),
            page="orders-order",
            about=(str(each.order.order.id),),
            button=say("Open the order to {supplier}", supplier=each.order.order.supplier.name),
        )


def _said(facts: Facts, material: Material, each: Coming, last_day: date) -> Sentence:
    line = each.line.line
    values = {
        "left": amount(material, each.line.left.value),
        "material": material.name,
        "supplier": each.order.order.supplier.name,
        "packs": line.packs,
        "pack": amount(material, line.pack),
        "day": each.comes_on,
        "by": OVERDUE if each.overdue else PROMISED if each.promised else LEAD,
        "loads": facts.loads_on,
        "last": last_day,
    }
    if each.order.stage is Stage.WRITING:
        return say(
            "In an order to {supplier} that is not sent (packs: {packs} × {pack}): {left} of {material}. "
            "Send it.",
            **values,
        )
    if each.comes_on <= facts.loads_on:
        return say(
            "On order from {supplier} (packs: {packs} × {pack}): {left} of {material}, to come on {day} "
            "({by}), by load day: receive it then.",
            **values,
        )
    if each.comes_on < last_day:
        return say(
            "On order from {supplier} (packs: {packs} × {pack}): {left} of {material}, to come on {day} "
            "({by}), after load day, {loads}: ask for it earlier, or have it sent to the venue.",
            **values,
        )
    return say(
        "On order from {supplier} (packs: {packs} × {pack}): {left} of {material}, to come on {day} "
        "({by}), too late for its last use on {last}: ask for it earlier.",
        **values,
    )
