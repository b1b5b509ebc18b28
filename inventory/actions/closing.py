"""WRITE the end of a workshop: closed; from then on a change at its skis is a correction with a reason."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.errors import Refused, say
from inventory.models import Pair, Ski, Workshop
from inventory.queries import builds, cycles
from inventory.queries import ledger as read


def check_open(things: Iterable[UUID]) -> None:
    """Refuse a change at skis or pairs of a workshop that is closed: `workshop.closed`."""
    wanted = list(things)
    closed = Workshop.objects.filter(closed_on__isnull=False)
    row = (
        closed.filter(pairs__skis__thing_id__in=wanted).first()
        or closed.filter(pairs__thing_id__in=wanted).first()
    )
    if row is None:
        return
    raise _closed(row)


def check_workshop_open(workshop: UUID) -> None:
    """Refuse what is done for a workshop that is closed: `workshop.closed`."""
    row = builds.workshop(workshop)
    if row is not None and row.closed_on is not None:
        raise _closed(row)


def _closed(row: Workshop) -> Refused:
    return Refused(
        "workshop.closed",
        say("{workshop} was closed on {day}.", workshop=row.name, day=row.closed_on),
        say("Open it again with a reason, put right what is wrong, and close it."),
    )


@happening
def close_workshop(act: Act, /, *, workshop: UUID) -> None:
    """Close a workshop: what was built there is written down.

    Afterwards: nothing is recorded at its skis until it is opened again with a reason.
    Refused: card.unknown, workshop.closed, workshop.in_press, workshop.not_over.
    """
    row = _workshop(workshop)
    if row.closed_on is not None:
        raise _closed(row)
    if row.starts_on > day_of(act):
        raise Refused(
            "workshop.not_over",
            say("{workshop} begins on {day}.", workshop=row.name, day=row.starts_on),
            say("Close it when it is over."),
        )
    skis = list(Ski.objects.filter(pair__workshop_id=workshop).values_list("thing_id", flat=True))
    for ski, cycle in cycles.skis_pressed_now(skis, act.by.now).items():
        raise Refused(
            "workshop.in_press",
            say("{ski} lies in {press}, which is closed.", ski=read.name(ski), press=cycle.press_name),
            say("Record the opening first."),
        )
    _record(act, workshop, "workshop closed", day_of(act))


@happening
def reopen_workshop(act: Act, /, *, workshop: UUID, why: str) -> None:
    """Open a closed workshop again, to put something right; say why.

    Afterwards: its skis take records again, and the reason stands in the history of each pair.
    Refused: card.unknown, workshop.open, workshop.no_why.
    """
    row = _workshop(workshop)
    if row.closed_on is None:
        raise Refused(
            "workshop.open",
            say("{workshop} is not closed.", workshop=row.name),
            say("Nothing is left to do."),
        )
    if not why.strip():
        raise Refused(
            "workshop.no_why",
            say("A correction needs a reason."),
            say("Say in a few words what has to be put right."),
        )
    _record(act, workshop, "workshop reopened", None, why)


def _workshop(id: UUID) -> Workshop:
    row = builds.workshop(id)
    if row is None:
        raise Refused("card.unknown", say("There is no such card."), say("Open the list again."))
    return row


def _record(act: Act, workshop: UUID, step: str, closed_on: date | None, why: str = "") -> None:
    """The card, and a line in the history of each of its pairs."""
    cards.save(act, Workshop, workshop, closed_on=closed_on)
    pairs = Pair.objects.filter(workshop_id=workshop, thing__state__isnull=False).order_by("thing_id")
    observed = [Entry(pair) for pair in pairs.values_list("thing_id", flat=True)]
    if observed:
        act.record(step, observed=observed, note=why)
