"""WRITE corrections: undo an act, settle a disagreement. Nothing is edited; both stay readable."""

from uuid import UUID

from inventory.actions import closing, derived, refusals
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.compute.expiry import Ends
from inventory.errors import Refused, say
from inventory.models import Disagreement, Event
from inventory.queries import ledger as read
from inventory.queries import people, road, stock
from inventory.roles import Right, may

_FINAL = frozenset({"reversed", "met", "settled", "tags printed", "re-tested"})
_FINAL |= {"recalled"}  # owners may have been told: it is closed, with what was learned
_FINAL |= {"parted"}  # the skis' cards say so too; another one is made in its place
_FINAL |= {"workshop closed", "workshop reopened"}  # the workshop's card says so too, and would go on to
# What is recorded at a workshop's skis while it is open.
_AT_WORK = frozenset(
    {"laid up", "layer added", "pressed", "press opened", "judged", "inspected", "taken back"}
)
_AT_WORK |= {"step done", "finished", "handed over"}
_COMES_BACK = frozenset({"returned", "return tied"})  # what holds a recalled ski: with it the hold is undone


@happening
def undo(act: Act, /, *, token: UUID, reason: str) -> None:
    """Reverse every event of one earlier act, newest first.

    Afterwards: what the act did is no longer true; the act and its reversal stay in the books.
    Refused: books.unknown_act, books.undone_before, books.not_yours, books.final, books.held, books.touched,
    books.opened_too_long, stock.would_go_short, workshop.closed.
    """
    events = list(Event.objects.filter(act=token).order_by("-number"))
    if not events:
        raise Refused(
            "books.unknown_act",
            say("There is no such act in the books."),
            say("Open the thing it was about, and undo it from there."),
        )
    skipped = read.skipped()
    counts = [event for event in events if event.id not in skipped]  # of a copy, the other laptop's does
    if not counts:
        raise Refused(
            "books.undone_before", say("This was undone before."), say("There is nothing more to undo.")
        )
    _check_whose(act, counts[0])
    final = next((event for event in counts if event.step in _FINAL), None)
    if final is not None:
        raise Refused(
            "books.final",
            say("What was {step} cannot be undone.", step=final.step),
            say("Record what is right instead."),
        )
    held = next((event for event in counts if event.step == "held"), None)
    if held is not None and not any(event.step in _COMES_BACK for event in counts):
        raise Refused(
            "books.held",
            say("A hold is lifted, not undone."),
            say("Ask an owner to lift it."),
        )
    for event in counts:
        _reverse(act, event, reason)


def _check_whose(act: Act, event: Event) -> None:
    """A helper takes back what is their own; crew and owners what anybody did."""
    if event.who != act.by.person and not may(people.role_of(act.by.person), Right.RUN):
        raise Refused(
            "books.not_yours",
            say("Somebody else recorded this."),
            say("Ask them, or someone of the crew, to take it back."),
        )


def _reverse(act: Act, event: Event, reason: str) -> None:
    if event.step == "opened":
        _check_opening(act, event)
    if event.step in _AT_WORK:
        closing.check_open(event.lines.values_list("thing_id", flat=True))
    users = list(read.later_users(event.id)[:10]) or road.resting_on(event)[:10]
    if users:
        raise Refused(
            "books.touched",
            say(
                "What was {step} has been used since: {uses}.",
                step=event.step,
                uses=", ".join(f"{user.step} {user.at:%d %b %Y, %H:%M}" for user in users),
            ),
            say("Undo those first, newest first."),
        )
    act.record("reversed", reverses=event.id, note=reason)
    shorter = derived.follow(derived.recompute_skips())
    if shorter:
        raise refusals.went_short(shorter)


def _check_opening(act: Act, event: Event) -> None:
    """An opening is not taken back to use what has passed its date by it; that is an owner's to decide."""
    opened = event.lines.values_list("thing_id", flat=True)
    lasts = stock.usable(opened).items()
    past = [thing for thing, usable in lasts if usable.by is Ends.OPENED and usable.past(day_of(act))]
    if past and not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "books.opened_too_long",
            say("{thing} has passed its date by its opening since.", thing=read.name(past[0])),
            say("Ask an owner to take the opening back, if it was recorded in error."),
        )


@happening
def settle(act: Act, /, *, disagreement: UUID, how: str) -> None:
    """Settle a disagreement by word: what people agreed on.

    Afterwards: it no longer asks for attention; both truths stay readable. Amounts are settled by a count.
    Refused: books.no_disagreement, books.settled_before, books.count_settles.
    """
    row = Disagreement.objects.filter(id=disagreement).first()
    if row is None:
        raise Refused(
            "books.no_disagreement",
            say("There is no such disagreement."),
            say("Open the list of disagreements again."),
        )
    if row.settled_by is not None:
        raise Refused("books.settled_before", say("This was settled before."), say("Nothing is left to do."))
    if row.trouble == "short":
        raise Refused(
            "books.count_settles",
            say("More was taken than there was; only a count settles that."),
            say("Count what is there."),
        )
    act.record("settled", facts={"settles": str(disagreement)}, note=how)
    derived.resettle(row.subject)
