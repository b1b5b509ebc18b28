"""WRITE nothing: refuse a press that is not in order for a cycle, or that does not fit it.

The one check behind a press that is closed now and behind a cycle written down from paper.
"""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from inventory.compute.press import order as rules
from inventory.compute.press.order import Order
from inventory.compute.reasons import Level
from inventory.errors import Refused, Sentence, say
from inventory.models import Equipment, Ski
from inventory.queries import ledger as read
from inventory.queries import pressing
from inventory.queries.pressing import Machine


def check_now(
    press: UUID,
    skis: Sequence[UUID],
    mould: UUID | None,
    *,
    set_kpa: float,
    set_c: float,
    on: date,
    heated: bool,
    watcher_named: bool,
) -> None:
    """Refuse to close a press that does not fit, or is not in order: what is unknown is not in order.

    Refuses: press.not_in_order, press.mould_short, press.too_short, press.too_many
    """
    machine = pressing.machine(press, mould)
    if machine is None:
        return
    _check_fits(machine, mould, skis)
    found = pressing.order(
        machine, set_kpa=set_kpa, set_c=set_c, on=on, heated=heated, watcher_named=watcher_named
    )
    rules.refuse_unless_in_order(order=found)


def check_past(
    press: UUID, skis: Sequence[UUID], mould: UUID | None, *, set_kpa: float, set_c: float, on: date
) -> None:
    """Refuse a cycle that ran beyond what is known of its press; what nobody entered does not unmake it.

    Refuses: press.beyond, press.mould_short, press.too_short, press.too_many
    """
    machine = pressing.machine(press, mould)
    if machine is None:
        return
    _check_fits(machine, mould, skis)
    found = pressing.order(machine, set_kpa=set_kpa, set_c=set_c, on=on, heated=False, watcher_named=False)
    if reason := _beyond(found):
        raise Refused(
            "press.beyond",
            reason,
            say(
                "Read the paper again, and the plates. When it did run so, an owner says why, and its skis "
                "go on hold."
            ),
        )


def _check_fits(machine: Machine, mould: UUID | None, skis: Sequence[UUID]) -> None:
    """Refuse a mould or a bladder shorter than a ski, and more skis than the press takes."""
    takes = machine.card.takes_pairs
    if takes is not None and len(set(skis)) > 2 * takes:
        raise Refused(
            "press.too_many",
            say("{count} skis are more than {press} takes.", count=len(set(skis)), press=machine.name),
            say("Press the others in another cycle."),
        )
    rows = Ski.objects.filter(thing_id__in=list(skis), pair__isnull=False).select_related("pair")
    longest = rows.order_by("-pair__length_mm").first()
    if longest is None or longest.pair is None:
        return
    length = longest.pair.length_mm
    card = Equipment.objects.filter(thing_id=mould).first() if mould else None
    if card is not None and card.lengths_mm and length > max(card.lengths_mm):
        raise Refused(
            "press.mould_short",
            say(
                "{ski} is {length} mm long, and {mould} takes {longest} mm at the most.",
                ski=read.name(longest.thing_id),
                length=length,
                mould=card.name,
                longest=max(card.lengths_mm),
            ),
            say("Take the mould of its length."),
        )
    if machine.longest_mm is not None and length > machine.longest_mm:
        raise Refused(
            "press.too_short",
            say(
                "{ski} is {length} mm long, and the bladders of {press} {longest} mm.",
                ski=read.name(longest.thing_id),
                length=length,
                press=machine.name,
                longest=machine.longest_mm,
            ),
            say("Take a longer press."),
        )


def _beyond(found: Order) -> Sentence | None:
    return next((each.sentence for each in found.verdict.reasons if each.level is Level.STOP), None)
