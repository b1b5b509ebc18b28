"""Each workshop's timetable at the presses: pairs, moulds and hours as compute.timetable wants them.

Judges nothing beyond that, and asks no database. What is not entered is a note that says so; it is never
guessed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from uuid import UUID

from django.utils import timezone

from inventory.compute import cure, timetable
from inventory.compute.codes import Kind
from inventory.compute.cure import SchedulePoint
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.timetable import Cycle, Timetable
from inventory.compute.timetable.model import MOST_MOULDS, MOST_PRESSES
from inventory.errors import Listed, Refused, Term, say
from inventory.models import Material
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.facts import Facts, PairOf, Piece, WorkshopOf

A_DAY = 1440
CLOSING_HANDS, OPENING_HANDS = 2, 1  # where nobody said: common practice, no source


@dataclass(frozen=True, slots=True)
class Stretch:
    """One cycle as people read it. `watcher`: who stays while it is heated; empty: nobody."""

    cycle: Cycle
    press: Piece
    watcher: str = ""

    @property
    def heated(self) -> bool:
        """True when somebody has to stay with it."""
        return bool(self.press.row.heated)


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A workshop's timetable. `table` None: something it needs is not known, and `notes` say what."""

    workshop: WorkshopOf
    notes: tuple[Note, ...] = ()
    asked: timetable.Workshop | None = None
    table: Timetable | None = None
    stretches: tuple[Stretch, ...] = ()
    without_mould: tuple[str, ...] = ()  # pairs that no mould coming along fits, left out
    moulds: Mapping[str, str] = field(default_factory=dict)  # what each is called, by its name in the plan

    def at(self, minute: int) -> datetime:
        """The moment of a minute of the plan, by the clock on the venue's wall."""
        wall = datetime.combine(self.workshop.row.starts_on, time()) + timedelta(minutes=minute)
        return timezone.make_aware(wall)


def plans(facts: Facts) -> list[Planned]:
    """The timetable of each workshop of the trip that has guests."""
    return [_planned(facts, each) for each in facts.workshops if each.coming or each.without_pair]


def _planned(facts: Facts, workshop: WorkshopOf) -> Planned:
    notes = list(_hours_notes(workshop))
    presses, press_notes = _presses(facts, workshop)
    moulds = [piece for piece in facts.of_sort(Kind.MOULD.value) if not piece.held][:MOST_MOULDS]
    fitting = {pair.code: _fitting(pair, moulds) for pair in workshop.coming}
    bare = tuple(code for code, names in fitting.items() if not names)
    fitting |= {name: [_key(mould) for mould in moulds] for name in _without_pair(facts, workshop)}
    if notes or not presses or not any(fitting.values()):
        return Planned(workshop, (*notes, *press_notes), without_mould=bare)
    asked = timetable.Workshop(
        pressings=[
            timetable.Pressing(name, tuple(names), 0, _due(workshop))
            for name, names in fitting.items()
            if names
        ],
        presses=[press for press, _ in presses],
        moulds=[timetable.Mould(_key(mould)) for mould in moulds],
        shifts=_shifts(workshop),
    )
    try:
        table = timetable.plan(workshop=asked)
    except Refused as refused:
        note = Note(refused.sentence, Level.UNKNOWN, refused.what_to_do, code="ready.press_refused")
        return Planned(workshop, (*press_notes, note), without_mould=bare)
    fits = table.answer is timetable.Answer.FITS
    lighter = [_lighter(note) for note in press_notes] if fits else press_notes
    by_name = {press.name: piece for press, piece in presses}
    called = {_key(mould): mould.row.name for mould in moulds}
    return Planned(
        workshop, tuple(lighter), asked, table, _watched(facts, table.cycles, by_name), bare, called
    )


def _without_pair(facts: Facts, workshop: WorkshopOf) -> list[str]:
    """Guests who have no pair yet, or are only supposed, at the first workshop; any mould may be theirs."""
    guests = workshop.without_pair + (facts.supposing.guests if workshop is facts.workshops[0] else 0)
    return [f"+{number}" for number in range(1, guests + 1)]


def _lighter(note: Note) -> Note:
    """A press whose numbers are missing is only looked at when the others do."""
    return replace(note, level=Level.LOOK)


def _key(piece: Piece) -> str:
    """A name that is its own: several moulds may be called alike."""
    return f"{piece.row.name} {piece.code}".strip()


def _fitting(pair: PairOf, moulds: Sequence[Piece]) -> list[str]:
    return [_key(mould) for mould in moulds if pair.row.length_mm in mould.row.lengths_mm]


# --- hours ----------------------------------------------------------------------------------------------


def _hours_notes(workshop: WorkshopOf) -> Iterator[Note]:
    row = workshop.row
    wanted = {
        "opens_min": Term("when it opens"),
        "closes_min": Term("when it closes"),
        "hands": Term("how many crew work there"),
    }
    missing = [name for field, name in wanted.items() if getattr(row, field) is None]
    if missing:
        sentence = say(
            "{workshop}: no timetable at the presses; not entered: {missing}.",
            workshop=row.name,
            missing=Listed(missing),
        )
        cure = Cure(say("Enter the venue's hours and hands."), "builds-change", (str(row.id),))
        yield Note(sentence, Level.UNKNOWN, code="ready.press_hours", cures=(cure,))


def _shifts(workshop: WorkshopOf) -> list[timetable.Shift]:
    row = workshop.row
    return [
        timetable.Shift(
            day * A_DAY + (row.opens_min or 0), day * A_DAY + (row.closes_min or 0), row.hands or 0
        )
        for day in range(_days(workshop))
    ]


def _days(workshop: WorkshopOf) -> int:
    return (workshop.row.ends_on - workshop.row.starts_on).days + 1


def _due(workshop: WorkshopOf) -> int | None:
    """Opened by the middle of the last of several days: the rest is for cutting out and finishing."""
    row, days = workshop.row, _days(workshop)
    if days == 1:
        return None
    return (days - 1) * A_DAY + ((row.opens_min or 0) + (row.closes_min or 0)) // 2


# --- presses --------------------------------------------------------------------------------------------


def _presses(facts: Facts, workshop: WorkshopOf) -> tuple[list[tuple[timetable.Press, Piece]], list[Note]]:
    found: list[tuple[timetable.Press, Piece]] = []
    notes: dict[object, Note] = {}
    for piece in facts.of_sort(Kind.PRESS.value)[:MOST_PRESSES]:
        if piece.held:
            continue
        note = _unsaid(piece)
        hold = None if note else _hold(facts, workshop, piece)
        if isinstance(hold, Given):
            found.append((_press(piece, hold), piece))
        else:
            told = note or hold
            assert isinstance(told, Note)  # noqa: S101 - what is no hold is why there is none
            notes.setdefault((told.code, str(told.sentence)), told)
    return found, list(notes.values())


_CYCLE = {
    "heated": Term("whether it is heated"),
    "takes_pairs": Term("pairs at one closing"),
    "closing_min": Term("minutes of closing"),
    "opening_min": Term("minutes of opening"),
}
_HEATED = {
    "holds_c": Term("temperature it holds"),
    "heat_up_min": Term("minutes of heating up"),
    "cool_min": Term("minutes of cooling"),
}


def _unsaid(piece: Piece) -> Note | None:
    """What a press's card leaves open of its cycle."""
    wanted = _CYCLE | (_HEATED if piece.row.heated else {})
    missing = [name for field, name in wanted.items() if getattr(piece.row, field) is None]
    if not missing:
        return None
    sentence = say(
        "{press}: how long a cycle takes cannot be said; its card does not say: {missing}.",
        press=piece.row.name,
        missing=Listed(missing),
    )
    cure = Cure(say("Enter the press's cycle."), "equipment-edit", (piece.code,))
    return Note(sentence, Level.UNKNOWN, code="ready.press_card", cures=(cure,))


def _press(piece: Piece, hold: Given[int]) -> timetable.Press:
    row = piece.row
    return timetable.Press(
        name=_key(piece),
        heated=bool(row.heated),
        heat_up_min=Given(row.heat_up_min or 0, Basis.MEASURED, "its card"),
        hold_min=hold,
        cool_min=Given(row.cool_min or 0, Basis.MEASURED, "its card"),
        closing_min=Given(row.closing_min or 0, Basis.MEASURED, "its card"),
        opening_min=Given(row.opening_min or 0, Basis.MEASURED, "its card"),
        closing_hands=row.closing_hands or CLOSING_HANDS,
        opening_hands=row.opening_hands or OPENING_HANDS,
        holds=row.takes_pairs or 1,
    )


# --- the hold -------------------------------------------------------------------------------------------


def hardeners(facts: Facts, workshop: WorkshopOf) -> list[Material]:
    """The hardeners of the pairs' lay-ups; where those name none, the ones that come along."""
    by_key = {row.key: row for row in facts.materials.values()}
    layers = [layer for pair in workshop.coming if pair.row.layup for layer in pair.row.layup.layers]
    keys = dict.fromkeys(layer["hardener"] for layer in layers if layer.get("hardener"))
    named = [by_key[key] for key in keys if key in by_key]
    aboard = {each.material: facts.materials[each.material] for each in facts.aboard}
    return named or [row for row in aboard.values() if row.purpose == "hardener"]


def _hold(facts: Facts, workshop: WorkshopOf, piece: Piece) -> Given[int] | Note:
    """The longest hold that any hardener in use asks at the temperature this press holds."""
    celsius = piece.row.holds_c if piece.row.heated else facts.bay_c
    if celsius is None:
        sentence = say(
            "{press} is not heated, and how warm it will be in the bay is not entered: no hold can be said.",
            press=piece.row.name,
        )
        cure = Cure(say("Enter the bay temperature expected."), "trips-edit", (str(facts.trip.id),))
        return Note(sentence, Level.UNKNOWN, code="ready.press_bay", cures=(cure,))
    used = hardeners(facts, workshop)
    if not used:
        sentence = say(
            "{workshop}: no lay-up names a hardener, and none comes along: no hold can be said.",
            workshop=workshop.row.name,
        )
        return Note(sentence, Level.UNKNOWN, code="ready.press_hardener")
    longest = 0
    for hardener in used:
        found = _minutes(hardener, celsius, piece)
        if isinstance(found, Note):
            return found
        longest = max(longest, found)
    return Given(
        longest, Basis.DATA_SHEET, f"the schedule of {', '.join(row.name for row in used)} at {celsius} °C"
    )


def _minutes(hardener: Material, celsius: float, piece: Piece) -> int | Note:
    if not hardener.cure_points:
        sentence = say(
            "The card of {hardener} has no cure schedule: how long {press} holds cannot be said.",
            hardener=hardener.name,
            press=piece.row.name,
        )
        cure_ = Cure(say("Enter the schedule from its data sheet."), "materials-edit", (hardener.key,))
        return Note(sentence, Level.UNKNOWN, code="ready.press_schedule", cures=(cure_,))
    points = tuple(SchedulePoint(c, hours) for c, hours in hardener.cure_points)
    try:
        schedule = cure.schedule_through(points=Given(points, Basis.DATA_SHEET, hardener.source))
        needed = cure.required_time(schedule=schedule, temperature_c=Given(celsius, Basis.MEASURED))
    except Refused as refused:
        sentence = say(
            "{press} with {hardener}: {why}",
            press=piece.row.name,
            hardener=hardener.name,
            why=refused.sentence,
        )
        return Note(sentence, Level.STOP, refused.what_to_do, code="ready.press_too_cold")
    return needed.whole_minutes


# --- watchers -------------------------------------------------------------------------------------------


def _watched(facts: Facts, cycles: Sequence[Cycle], presses: Mapping[str, Piece]) -> tuple[Stretch, ...]:
    """Who stays with which heated cycle: never in two trailers at once, and turn by turn."""
    ids = [UUID(str(id)) for id in facts.trip.watchers]
    names = [facts.people[id].name for id in ids if id in facts.people]
    busy: dict[str, list[Stretch]] = {name: [] for name in names}
    found = []
    for cycle in cycles:
        stretch = Stretch(cycle, presses[cycle.press])
        if stretch.heated:
            free = [name for name in names if not any(_apart(other, stretch) for other in busy[name])]
            watcher = min(free, key=lambda name: len(busy[name]), default="")
            stretch = Stretch(cycle, stretch.press, watcher)
            if watcher:
                busy[watcher].append(stretch)
        found.append(stretch)
    return tuple(found)


def _apart(one: Stretch, other: Stretch) -> bool:
    """Heated at one time, in different trailers."""
    together = (
        one.cycle.closing_from_min < other.cycle.hold_until_min
        and other.cycle.closing_from_min < one.cycle.hold_until_min
    )
    return together and one.press.spot.goes_in != other.press.spot.goes_in
