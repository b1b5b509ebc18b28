"""WRITE recalls: hold a whole set, open one, tell owners, add what was found since, close; and tried ones.

Which skis are in it follows from the trace alone. Only an owner opens and closes one.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute import codes
from inventory.compute.skis_back import FAILURES, RULE_VERSION
from inventory.errors import Refused, say
from inventory.models import MockRecall, Recall, Told
from inventory.queries import ledger as read
from inventory.queries import people
from inventory.queries import recalls as queries
from inventory.queries.skis_back.reach import Reach, reach
from inventory.roles import Right, may

AN_EVENT = 5_000  # lines of one


@happening
def hold_reach(act: Act, /, *, thing: UUID, reason: str) -> None:
    """Put a thing, all that is left of it and every ski in work with any of it on hold, in one act.

    Afterwards: each of them says so at the next scan, wherever it lies; skis with owners are not touched.
    Refused: stock.no_reason, recall.nothing_to_hold, thing.unborn.
    """
    _hold(act, reach([thing]), reason)


def _hold(act: Act, found: Reach, reason: str) -> None:
    _check_reason(reason)
    things = queries.to_hold(found)
    if not things:
        raise Refused(
            "recall.nothing_to_hold",
            say("Nothing of it is here: neither stock nor a ski in work."),
            say("Look at the list of pairs that are with their owners."),
        )
    _record(act, "held", things, {}, reason.strip())


def _check_reason(reason: str) -> None:
    if not reason.strip():
        raise Refused(
            "stock.no_reason", say("A hold needs a reason."), say("Say in a few words what is wrong.")
        )


def _record(act: Act, step: str, things: Iterable[UUID], facts: Mapping[str, object], note: str) -> None:
    for part in read.chunks(things, AN_EVENT):
        act.record(step, observed=[Entry(thing) for thing in part], facts=facts, note=note)


def _owner_only(act: Act) -> None:
    if not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "recall.owner_decides",
            say("Only an owner opens, adds to or closes a recall."),
            say("Put the set on hold now, and ask an owner today."),
        )


@happening
def open_recall(
    act: Act,
    /,
    *,
    roots: Sequence[UUID],
    name: str,
    failure: str,
    reason: str,
    may_hurt: bool = True,
) -> None:
    """Open a recall from these things: what it takes in is frozen, and held where it is not with owners.

    Afterwards: its list says whom to tell; the public page of every ski in it says to stop using them, when
    it may hurt.
    Refused: recall.owner_decides, recall.no_name, recall.failure, recall.nothing_made, recall.open_already,
    stock.no_reason.
    """
    _owner_only(act)
    if not name.strip():
        raise Refused("recall.no_name", say("The recall has no name."), say("Say what it is about."))
    if failure not in FAILURES:
        raise Refused(
            "recall.failure", say("No failure is called {value}.", value=failure), say("Choose one.")
        )
    wanted = list(dict.fromkeys(roots))
    found = reach(wanted)
    if not found.skis:
        names = ", ".join(map(read.name, wanted)) or "nothing"
        raise Refused(
            "recall.nothing_made",
            say("No ski has any of {names}.", names=names),
            say("Put it on hold instead: there is nobody to tell."),
        )
    same = queries.same_as(wanted)
    if same is not None:
        raise Refused(
            "recall.open_already",
            say("The recall {name} starts from the same and is open.", name=same.name),
            say("Go on with that one."),
        )
    _check_reason(reason)
    recall = act.id("recall")
    facts = {"recall": str(recall), "rule": RULE_VERSION, "roots": [str(root) for root in wanted]}
    _record(act, "recalled", found.skis, facts, reason.strip())
    things = queries.to_hold(found)
    if things:  # none where all of it is with owners
        _record(act, "held", things, {}, reason.strip())
    cards.save(
        act,
        Recall,
        recall,
        name=name.strip(),
        failure=failure,
        may_hurt=may_hurt,
        roots=[str(root) for root in wanted],
        rule=RULE_VERSION,
        opened_on=day_of(act),
        authority=Recall.AUTHORITY[0],
        closed_on=None,
        learned="",
    )
    act.things.append(recall)


def _open(recall: UUID) -> Recall:
    row = queries.recall(recall)
    if row is None:
        raise Refused(
            "recall.unknown", say("There is no such recall."), say("Open the list of recalls again.")
        )
    if row.closed_on is not None:
        raise Refused(
            "recall.closed",
            say("The recall {name} was closed on {day}.", name=row.name, day=row.closed_on),
            say("Open a new one if something more was found."),
        )
    return row


@happening
def add_found(act: Act, /, *, recall: UUID) -> None:
    """Write the skis that the trace finds now, and that were not in it, into the recall.

    Afterwards: they are in it, marked as found later, and held where they are not with owners, with what else
    was found of it since. A hold that an owner lifted stays lifted.
    Refused: recall.owner_decides, recall.unknown, recall.closed, recall.nothing_new.
    """
    _owner_only(act)
    row = _open(recall)
    found = queries.standing(row)
    if not found.since:
        raise Refused(
            "recall.nothing_new",
            say("The trace finds no ski that is not in it."),
            say("Look again after the next merge."),
        )
    facts = {"recall": str(recall), "rule": RULE_VERSION, "roots": row.roots, "later": True}
    _record(act, "recalled", sorted(found.since), facts, "")
    new = Reach(found.reached.roots, tuple(sorted(found.since)), found.reached.others)
    wanted = queries.to_hold(new)
    known = queries.held(wanted) | queries.held_for(row)
    things = [thing for thing in wanted if thing not in known]
    if things:
        _record(act, "held", things, {}, f"{row.name}: found later")


@happening
def tell_owner(
    act: Act, /, *, recall: UUID, pair: UUID, state: str, means: str = "", passed_on: bool = False
) -> None:
    """Say how far telling the owner of one pair has come, and by which means.

    Afterwards: the list says so, with the day.
    Refused: recall.unknown, recall.closed, recall.not_in_it, recall.state, recall.means.
    """
    row = _open(recall)
    if pair not in queries.standing(row).states:
        raise Refused(
            "recall.not_in_it",
            say("{pair} is not in this recall.", pair=read.name(pair)),
            say("Open its list again."),
        )
    if state not in Told.STATES:
        raise Refused(
            "recall.state", say("Nobody can be {value}.", value=state), say("Choose one of the list.")
        )
    if means not in Told.MEANS or (state in ("told", "answered") and not means):
        raise Refused(
            "recall.means",
            say("It is not said how the owner was told."),
            say("Choose letter, text message, call or in person."),
        )
    cards.save(
        act,
        Told,
        codes.derived(recall, 0, of=f"told {pair}"),
        recall_id=recall,
        pair_id=pair,
        state=state,
        means=means,
        passed_on=passed_on,
        on=day_of(act),
    )


@happening
def note_authority(act: Act, /, *, recall: UUID, authority: str) -> None:
    """Note whether an authority must be told, and whether it was.

    Afterwards: the recall says so. What the law requires where you are, ask who knows it.
    Refused: recall.owner_decides, recall.unknown, recall.closed, recall.authority.
    """
    _owner_only(act)
    _open(recall)
    if authority not in Recall.AUTHORITY:
        raise Refused("recall.authority", say("That is no answer."), say("Choose one of the list."))
    cards.save(act, Recall, recall, authority=authority)


@happening
def close_recall(act: Act, /, *, recall: UUID, learned: str) -> None:
    """Close a recall with what was learned.

    Afterwards: its list stays to be read; holds stay until an owner lifts each; public pages no longer warn.
    Refused: recall.owner_decides, recall.unknown, recall.closed, recall.not_all_told, recall.not_all_in,
    recall.authority_open, recall.not_learned.
    """
    _owner_only(act)
    row = _open(recall)
    found = queries.standing(row)
    waiting = sum(state == "to tell" for state in found.states.values())
    if waiting:
        raise Refused(
            "recall.not_all_told",
            say("{count} owners are still to be told.", count=waiting),
            say("Tell them, or say of each that the owner cannot be reached."),
        )
    if found.since:
        raise Refused(
            "recall.not_all_in",
            say("{count} skis were found since and are not in it yet.", count=len(found.since)),
            say("Take them in, and tell their owners."),
        )
    if row.may_hurt and row.authority in ("not asked yet", "asked"):
        raise Refused(
            "recall.authority_open",
            say("Whether an authority must be told is not settled."),
            say("Ask who knows the law where you are, and note the answer."),
        )
    if not learned.strip():
        raise Refused(
            "recall.not_learned",
            say("Nothing is said of what was learned."),
            say("Say what the shop does differently from now on."),
        )
    cards.save(act, Recall, recall, closed_on=day_of(act), learned=learned.strip())


@happening
def keep_mock_recall(act: Act, /, *, lot: UUID, tried_at: datetime, result: Mapping[str, object]) -> None:
    """Keep what a tried recall found, with its times.

    Afterwards: its sheet can be read again. Nothing was held and nobody was told.
    """
    mock = act.id("mock recall")
    cards.save(act, MockRecall, mock, lot_id=lot, tried_at=tried_at, result=dict(result))
    act.things.append(mock)
