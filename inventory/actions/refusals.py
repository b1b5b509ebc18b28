"""What the pen refuses, whatever the happening. Knows no topic; writes nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from inventory.compute import fold
from inventory.compute.codes import Kind
from inventory.compute.steps import Basis, Role, Step
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, say
from inventory.models.ledger import GREATEST
from inventory.queries import ledger as read
from inventory.queries import trace


@dataclass(frozen=True, slots=True)
class Entry:
    """One line to write. `to`: where the thing lies afterwards."""

    thing: UUID
    amount: Amount | None = None
    basis: Basis = Basis.UNSAID
    to: UUID | None = None


def unborn(thing: UUID) -> Refused:
    """The refusal of a thing that no live event bore."""
    return Refused(
        "thing.unborn",
        say(
            "{thing} is not in the books: it was never recorded, or what recorded it was undone.",
            thing=read.name(thing),
        ),
        say("Record it first."),
    )


def rank(thing: Kind, place: Kind) -> Refused:
    """The refusal of a place that ranks no higher than the thing."""
    return Refused(
        "place.rank",
        say("A {thing} cannot lie in a {place}.", thing=thing, place=place),
        say("Loose things lie in bins, bins in zones, zones in trailers and stores, those in a yard."),
    )


def check_amount(role: Role, entry: Entry, base: str, step: Step) -> None:
    """Refuse an amount in another unit than the thing's, or none at all.

    Refuses: stock.wrong_unit, stock.not_positive
    """
    amount = entry.amount
    if amount is None:
        return
    if amount.base != base:
        raise Refused(
            "stock.wrong_unit",
            say(
                "{thing} is kept in {kept}, not in {typed}.",
                thing=read.name(entry.thing),
                kept=base or "no unit",
                typed=amount.base,
            ),
            say("Enter the amount in a unit of the same kind."),
        )
    least = 0 if role is Role.OBSERVED or step.name == "received" else 1
    if not least <= amount.value <= GREATEST:
        raise Refused(
            "stock.not_positive",
            say("{value} {unit} is no amount that can be moved.", value=amount.value, unit=amount.base),
            say("Enter an amount above nothing, as weighed or counted."),
        )


def check_balanced(step: Step, entries: Iterable[tuple[Role, Entry]]) -> None:
    """Refuse a step that must keep its amounts and does not.

    Refuses: stock.not_balanced
    """
    left: dict[Base, int] = {}
    for role, entry in entries:
        if entry.amount is not None and role is not Role.OBSERVED:
            sign = 1 if role is Role.INPUT else -1
            left[entry.amount.base] = left.get(entry.amount.base, 0) + sign * entry.amount.value
    for base, rest in left.items():
        if rest:
            raise Refused(
                "stock.not_balanced",
                say(
                    "{rest} {unit} would be lost or made while something is {step}.",
                    rest=rest,
                    unit=base,
                    step=step.name,
                ),
                say("Enter what went in and what came out again; they must be the same."),
            )


def check_left(entries: Iterable[tuple[Role, Entry]], before: Mapping[UUID, fold.State]) -> None:
    """Refuse a draw beyond what is left.

    Refuses: stock.short
    """
    wanted: dict[UUID, int] = {}
    for role, entry in entries:
        if role is Role.INPUT and entry.amount is not None:
            wanted[entry.thing] = wanted.get(entry.thing, 0) + entry.amount.value
    for thing, amount in wanted.items():
        if amount > before[thing].amount:
            raise short(thing, wanted=amount, left=before[thing].amount)


def short(thing: UUID, *, wanted: int, left: int) -> Refused:
    """The refusal of a draw beyond what is left."""
    base = Base(read.kinds([thing])[thing][1])
    return Refused(
        "stock.short",
        say(
            "{wanted} is more than {thing} has: {left} is left.",
            wanted=Spoken(Amount(wanted, base), exact=True),
            thing=read.name(thing),
            left=Spoken(Amount(left, base), exact=True),
        ),
        say("Take less, take another package, or count this one if there is more in it."),
    )


def went_short(things: Iterable[UUID]) -> Refused:
    """The refusal of what would leave a thing with less than nothing once everything is folded."""
    return Refused(
        "stock.would_go_short",
        say(
            "More would have been taken than there was of {things}.", things=", ".join(map(read.name, things))
        ),
        say("Undo what was taken of it first, or count it."),
    )


def check_holds(things: Iterable[UUID]) -> None:
    """Refuse the use of things that are on hold, or that anything on hold went into.

    Refuses: stock.on_hold
    """
    for thing, holds in trace.stopped_by(things).items():
        hold = holds[0]
        through = "" if hold.thing_id == thing else read.name(hold.thing_id)
        if through:
            sentence = say(
                "{thing} is stopped: {source} went into it, and is on hold.",
                thing=read.name(thing),
                source=through,
            )
        else:
            sentence = say("{thing} is on hold.", thing=read.name(thing))
        raise Refused(
            "stock.on_hold",
            sentence,
            say("Set it apart. An owner can lift the hold once the reason is dealt with."),
        )
