"""Whether all pairs of a trip can be pressed in the hours there are, and who stays with what is heated.

Reads facts only. The plan is no permission to close a press: that is judged at the press.
"""

from collections.abc import Iterator

from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.compute.timetable import Answer
from inventory.compute.timetable import cures as timetable_cures
from inventory.errors import Refused, Sentence, say
from inventory.queries.notes import Cure, Note, counted
from inventory.queries.readiness.facts import Facts, WorkshopOf
from inventory.queries.readiness.timetable import A_DAY, Planned, plans

MOST_CURES = 4
PAGE = "trips-timetable"


def reasons(facts: Facts) -> list[Note]:
    """What stands against the timetable of each workshop."""
    guests = facts.pairs or any(workshop.without_pair for workshop in facts.workshops)
    if guests and all(piece.held for piece in facts.of_sort(Kind.PRESS.value)):
        return [_no_press(facts)]
    return [note for planned in plans(facts) for note in of_workshop(facts, planned)]


def _no_press(facts: Facts) -> Note:
    """Nothing to press with: where the presses are, or that they are on hold."""
    sentence = say("No press comes along.")
    if facts.of_sort(Kind.PRESS.value):
        sentence = say("Every press that comes along is on hold.")
    codes = tuple(piece.code for piece in facts.of_sort(Kind.PRESS.value, coming=False))
    cure = Cure(say("Put a press on the loading list."), "trips-list", (str(facts.trip.id),))
    return Note(sentence, Level.STOP, codes=codes[:12], code="ready.press_none", cures=(cure,))


def of_workshop(facts: Facts, planned: Planned) -> Iterator[Note]:
    """What stands against one workshop's timetable, and that it fits where it does."""
    yield from planned.notes
    table = planned.table
    if table is None:
        return
    about = (str(facts.trip.id),)
    row = planned.workshop.row
    if table.answer is Answer.FITS:
        last = max(cycle.opened_min for cycle in table.cycles)
        values = {
            "workshop": row.name,
            "pairs": sum(len(cycle.pressings) for cycle in table.cycles),
            "cycles": len(table.cycles),
            "moment": planned.at(last),
        }
        sentence = say(
            "{workshop}: {pairs} pairs fit into {cycles} press cycles; the last is opened on {moment}.",
            **values,
        )
        yield Note(
            sentence,
            Level.FINE,
            _left_out(planned),
            how=table.how,
            code="ready.press_fits",
            page=PAGE,
            about=about,
        )
        yield from _watch(facts, planned)
    elif table.answer is Answer.CANNOT_SAY:
        sentence = say(
            "{workshop}: whether all pairs can be pressed in its hours could not be told.", workshop=row.name
        )
        why = say("There are too many orders to try; plan fewer pairs a workshop, or look yourselves.")
        yield Note(
            sentence, Level.UNKNOWN, why, how=table.how, code="ready.press_too_hard", page=PAGE, about=about
        )
    else:
        yield _too_much(planned, about)


def _left_out(planned: Planned) -> Sentence | None:
    if not planned.without_mould:
        return None
    names = ", ".join(planned.without_mould)
    return say("Without pairs that no mould coming along fits: {pairs}.", pairs=names)


def _too_much(planned: Planned, about: tuple[str, ...]) -> Note:
    """The fewest pairs that do not fit together, what there is too little of, and what alone would do."""
    table, row = planned.table, planned.workshop.row
    assert table is not None  # noqa: S101 - of_workshop asked
    names = ", ".join(table.conflict)
    sentence = counted(
        len(table.conflict),
        say("{workshop}: pair {pairs} cannot be pressed in its hours.", workshop=row.name, pairs=names),
        say("{workshop}: pairs {pairs} cannot all be pressed in its hours.", workshop=row.name, pairs=names),
    )
    binding = [reason for reason in table.verdict.reasons if reason.code != "timetable.together"]
    return Note(
        sentence,
        Level.STOP,
        binding[0].sentence if binding else None,
        how=table.how,
        code="ready.press_does_not_fit",
        cures=tuple(_cures(planned)),
        page=PAGE,
        about=about,
    )


def _cures(planned: Planned) -> Iterator[Cure]:
    """Single changes that would do, each tried; the first few."""
    if planned.asked is None:
        return
    try:
        found = timetable_cures.cures(workshop=planned.asked).cures
    except Refused:
        return
    about = (str(planned.workshop.row.id),)
    for each in [each for each in found if each.kind != "without"][:MOST_CURES]:
        if each.kind == "minutes":
            yield Cure(_longer(planned.workshop, each.amount, int(each.what)), "builds-change", about)
        elif each.kind == "hands":
            yield Cure(each.sentence, "builds-change", about)
        else:
            yield Cure(each.sentence)
    without = [each.what for each in found if each.kind == "without"]
    if without:
        sentence = say("Any one of these less: {pairs}.", pairs=", ".join(without))
        yield Cure(sentence, "builds-workshop", about)


def _longer(workshop: WorkshopOf, minutes: int, end: int) -> Sentence:
    """A shift is known by the minute it ends at."""
    return say(
        "{minutes} min more at the end of day {day} would do.", minutes=minutes, day=(end - 1) // A_DAY + 1
    )


def _watch(facts: Facts, planned: Planned) -> Iterator[Note]:
    """Every heated cycle has somebody by name who stays; one person cannot be in two trailers."""
    heated = [each for each in planned.stretches if each.heated]
    alone = [each for each in heated if not each.watcher]
    if not alone:
        return
    cure = Cure(say("Name who stays with heated presses."), "trips-edit", (str(facts.trip.id),))
    if len(alone) == len(heated):
        sentence = counted(
            len(heated),
            say(
                "{workshop}: nobody is named to stay with the heated cycle.",
                workshop=planned.workshop.row.name,
            ),
            say(
                "{workshop}: nobody is named to stay with the {count} heated cycles.",
                workshop=planned.workshop.row.name,
                count=len(heated),
            ),
        )
    else:
        sentence = say(
            "{workshop}: {press} is heated from {moment} and whoever stays is in the other trailer then.",
            workshop=planned.workshop.row.name,
            press=alone[0].press.row.name,
            moment=planned.at(alone[0].cycle.closed_min),
        )
    why = say("No heated cycle without somebody by name; nobody sleeps in that trailer.")
    yield Note(sentence, Level.STOP, why, code="ready.press_watcher", cures=(cure,))
