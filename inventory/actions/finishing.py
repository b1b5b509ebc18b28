"""WRITE what a finished ski measures, what an inspection comes to, and what takes a rejected one's place."""

from collections.abc import Sequence
from dataclasses import asdict
from enum import StrEnum
from uuid import UUID

from inventory.actions import build_steps, cards, closing
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute import finished
from inventory.compute.build_steps import BY_KEY
from inventory.compute.codes import Kind
from inventory.compute.finished import Measured
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Spoken
from inventory.errors import Refused, say
from inventory.models import Line, Ski
from inventory.queries import bench
from inventory.queries import ledger as read


class Outcome(StrEnum):
    """What an inspection comes to."""

    PASS = "pass"  # noqa: S105 - a word, no password
    REWORK = "rework"
    REJECT = "reject"


@happening
def measure_ski(act: Act, /, *, ski: UUID, measured: Measured, doer: UUID | None = None) -> None:
    """Measure a finished ski: mass, length, widths, camber, flatness of the base.

    Afterwards: the card says that it was measured, and the pair's page holds it beside spec and partner.
    Refused: layup.not_a_ski, finished.nothing, finished.measure, finished.mass, press.not_pressed,
    stock.on_hold, step.doer_unknown, step.other_workshop.
    """
    _check_ski(ski)
    values = {name: value for name, value in asdict(measured).items() if value is not None}
    if measured.mass_mg is None:
        raise Refused(
            "finished.nothing", say("The ski was not weighed."), say("Weigh it; the rest may stay empty.")
        )
    finished.check(measured=measured)
    if not bench.has_step(ski, "pressed"):
        raise Refused(
            "press.not_pressed",
            say("{ski} has not been pressed.", ski=read.name(ski)),
            say("Record its press cycle first."),
        )
    build_steps.of_their_workshop([ski], doer)
    facts: dict[str, object] = {"job": "measure", "reading": measured.mass_mg / 1000, "unit": "g"}
    facts |= {"measured": values} | build_steps.whose_hands(act, BY_KEY["measure"], doer)
    act.record("step done", observed=[Entry(ski)], facts=facts)


def _check_ski(ski: UUID) -> None:
    closing.check_open([ski])
    if read.kinds([ski]).get(ski, (None, ""))[0] is not Kind.SKI:
        raise Refused(
            "layup.not_a_ski", say("{thing} is no ski.", thing=read.name(ski)), say("Scan the ski's tag.")
        )


@happening
def inspect_ski(
    act: Act, /, *, ski: UUID, outcome: str, why: str, back: Sequence[tuple[UUID, Amount]] = ()
) -> None:
    """Inspect one ski: it passes, is to be worked over, or is rejected, with what was seen.

    `back`: of a ski that is rejected before it was pressed, what can be used again, into the package it came
    out of.
    Afterwards: passed, it may be handed over; to be worked over, it waits for that and for another
    inspection; rejected, it is on hold, and what can be used again is back.
    Refused: layup.not_a_ski, press.no_why, finished.outcome, finished.not_rejected, finished.bonded,
    finished.not_in_it, stock.wrong_unit, stock.not_positive, thing.unborn.
    """
    _check_ski(ski)
    if not why.strip():
        raise Refused(
            "press.no_why", say("A verdict needs a reason."), say("Say in a few words what was seen.")
        )
    if outcome not in list(Outcome):
        raise Refused(
            "finished.outcome",
            say("{outcome} is no outcome of an inspection.", outcome=outcome),
            say("Choose pass, rework or reject."),
        )
    facts = {"passed": outcome == Outcome.PASS, "outcome": str(outcome)}
    act.record("inspected", observed=[Entry(ski)], facts=facts, note=why)
    if back:
        _give_back(act, ski, outcome, back)
    if outcome == Outcome.REJECT:
        act.record("held", observed=[Entry(ski)], note=why)


def _give_back(act: Act, ski: UUID, outcome: str, back: Sequence[tuple[UUID, Amount]]) -> None:
    """What can be used again goes back, no more of anything than went in."""
    if outcome != Outcome.REJECT:
        raise Refused(
            "finished.not_rejected",
            say("Something would be taken out of a ski that is not rejected."),
            say("Reject the ski, or leave in it what is in it."),
        )
    if bench.has_step(ski, "pressed"):
        raise Refused(
            "finished.bonded",
            say("{ski} was pressed: what is in it is bonded.", ski=read.name(ski)),
            say("Nothing of it goes back into stock."),
        )
    held = _went_in(ski)
    for thing, amount in back:
        if amount.value > held.get(thing, 0):
            raise Refused(
                "finished.not_in_it",
                say(
                    "{amount} of {thing} is more than went into the ski.",
                    amount=Spoken(amount, exact=True),
                    thing=read.name(thing),
                ),
                say("Enter what was taken out, of what its lay-up names. What is wet with resin is waste."),
            )
    act.record("taken back", observed=[Entry(ski)], gains=[Entry(thing, amount) for thing, amount in back])


@happening
def replace_ski(act: Act, /, *, ski: UUID) -> None:
    """Take a rejected ski out of its pair; a new one takes its place.

    Afterwards: the pair keeps its tag and waits for the new ski, which has a tag of its own. The rejected one
    stays in the books with its reason, its hold and all that is in it, and is of no pair. Where another
    laptop put a ski in its place already, no second one is made.
    Refused: layup.not_a_ski, finished.of_no_pair, finished.replaces_rejected, finished.handed_over,
    workshop.closed, thing.unborn.
    """
    _check_ski(ski)
    row = Ski.objects.filter(thing_id=ski).select_related("pair").first()
    if row is None or row.pair_id is None:
        raise Refused(
            "finished.of_no_pair",
            say("{ski} is of no pair any more.", ski=read.name(ski)),
            say("Scan the pair, and go on with the skis it has."),
        )
    _check_replaced(ski, row.pair_id)
    act.record("parted", parts=[Entry(ski)], whole=row.pair_id)
    pair, side = row.pair_id, row.side
    cards.save(act, Ski, ski, pair_id=None, was_of_id=pair)
    if not Ski.objects.filter(pair_id=pair, side=side).exists():
        new = act.born(Kind.SKI)
        act.record("put into use", outputs=[Entry(new.id)])
        act.record("paired", parts=[Entry(new.id)], whole=pair, facts={"instead_of": str(ski)})
        cards.save(act, Ski, new.id, pair_id=pair, side=side)


def _check_replaced(ski: UUID, pair: UUID) -> None:
    if bench.has_step(pair, "handed over"):
        raise Refused(
            "finished.handed_over",
            say("The pair of {ski} was handed over.", ski=read.name(ski)),
            say("Log its return; another pair can replace it there."),
        )
    if not bench.rejected(ski):
        raise Refused(
            "finished.replaces_rejected",
            say("{ski} is not rejected.", ski=read.name(ski)),
            say("Inspect it, and reject it with its reason; or work it over and go on with it."),
        )


def _went_in(ski: UUID) -> dict[UUID, int]:
    """How much of each package is in a ski; of a cup nothing can be taken back."""
    own = Line.objects.filter(thing_id=ski, event__skipped__isnull=True)
    gained = own.filter(role=Role.GAINS, event__step__in=("laid up", "layer added"))
    taken = own.filter(role=Role.OBSERVED, event__step="taken back")
    events, earlier = (list(rows.values_list("event_id", flat=True)) for rows in (gained, taken))
    found: dict[UUID, int] = {}
    rows = Line.objects.filter(event_id__in=events, role=Role.INPUT, thing__kind=Kind.PACKAGE)
    for thing, amount in rows.values_list("thing_id", "amount"):
        found[thing] = found.get(thing, 0) + (amount or 0)
    back = Line.objects.filter(event_id__in=earlier, role=Role.GAINS)
    for thing, amount in back.values_list("thing_id", "amount"):
        found[thing] = found.get(thing, 0) - (amount or 0)
    return found
