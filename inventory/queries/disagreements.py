"""READ what two laptops say differently: both sides, which of them the books go by, and what settles it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from inventory.compute.fold import Trouble
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base, at_least
from inventory.errors import Sentence, say
from inventory.models import Disagreement, Event, Line, Revision
from inventory.models.cards import CARDS
from inventory.queries import cards, ledger
from inventory.queries.as_of import Seen
from inventory.queries.dossier import events as dossier_events
from inventory.queries.dossier.facts import Happened, Named
from inventory.queries.dossier.names import named


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two truths: the laptop that has it, and the event or the edit of a card that says it."""

    laptop: str
    event: Happened | None = None
    edit: cards.Edit | None = None

    @property
    def events(self) -> tuple[Happened, ...]:
        """As the list of a thing's events takes it."""
        return (self.event,) if self.event else ()


@dataclass(frozen=True, slots=True)
class Told:
    """One disagreement. `by_word`: people settle it by agreeing; otherwise only a count does.

    `page` and `code` name where it is put right; empty when no page does.
    """

    id: UUID
    sentence: Sentence
    do: Sentence
    sides: tuple[Side, ...]
    thing: Named | None
    page: str
    by_word: bool

    @property
    def code(self) -> str:
        """The thing's code, as an address has it."""
        return self.thing.code.replace("-", "") if self.thing else ""


_MOST = 6  # draws that a shortage lists
_Words = tuple[Sentence, Sentence, str]


def words(thing: object, short: object) -> Mapping[Trouble, _Words]:
    """Of every kind of disagreement: what is the matter with this thing, what to do, on which page."""
    return {
        Trouble.SHORT: (
            say("More was taken of {thing} than there was: {short} is missing.", thing=thing, short=short),
            say("Count what is there. The count settles it."),
            "stock-count",
        ),
        Trouble.COUNT_APART: (
            say("{thing} was counted by one laptop while another changed it, and neither knew.", thing=thing),
            say("Count it once more. The count settles it."),
            "stock-count",
        ),
        Trouble.MOVED_APART: (
            say("{thing} was put in two places; the books go by the later record.", thing=thing),
            say("Look where it is, and move it there."),
            "thing",
        ),
        Trouble.USED_WHILE_HELD: (
            say("{thing} was used by one laptop while the other had put it on hold.", thing=thing),
            say("See what it went into, decide what becomes of that, then settle it by word."),
            "thing",
        ),
        Trouble.CLOSED_APART: (
            say("{thing} was closed by two laptops at once, and neither knew of the other.", thing=thing),
            say("Find out which press it was, take the wrong cycle back, or settle it by word."),
            "thing",
        ),
        Trouble.REVERSAL_SUSPENDED: (
            say("What made {thing} was taken back by one laptop, and it was used by another.", thing=thing),
            say("It stays in the books. Take the use back too, or settle it by word."),
            "thing",
        ),
        Trouble.SAME_ACT_DIFFERS: (
            say("One tap was recorded by two laptops with other content; the first of these counts."),
            say("Read both, put right what is wrong, then settle it by word."),
            "",
        ),
        Trouble.ONE_CODE_TWO_THINGS: (
            say("One printed tag was tied to two things; it leads to the first."),
            say("Print a new tag for the other. If it was a slip, take the second record back."),
            "thing",
        ),
        Trouble.CARD_EDITED_TWICE: (
            say("One field of a card was edited by two laptops; the newer value stands."),
            say("If the older is right, edit the card once more; then settle it by word."),
            "",
        ),
    }


def open_ones() -> list[Told]:
    """What people have still to settle: the same few statements however many there are."""
    return tell(ledger.open_disagreements())


def one(id: UUID) -> Told | None:
    """One disagreement, settled or not."""
    return next(iter(tell(Disagreement.objects.filter(id=id))), None)


def tell(rows: Iterable[Disagreement]) -> list[Told]:
    """These disagreements, each with both sides."""
    rows = list(rows)
    about = _about(rows)
    things = named(row.subject for row in rows)
    bases = {id: base for id, (_, base) in ledger.kinds(things).items()}
    sides = _sides({id for ids in about.values() for id in ids})
    found = []
    for row in rows:
        thing = things.get(row.subject)
        base = bases.get(row.subject, "")
        short = at_least(Amount(row.amount, Base(base))) if base else row.amount
        sentence, do, page = words(thing, short)[Trouble(row.trouble)]
        found.append(
            Told(
                row.id,
                sentence,
                do,
                tuple(sides[id] for id in about[row.id] if id in sides),
                thing,
                page if thing is not None and thing.code else "",
                row.trouble != Trouble.SHORT,
            )
        )
    return found


def _about(rows: Iterable[Disagreement]) -> dict[UUID, list[UUID]]:
    """Per disagreement the events or edits it is about; of a shortage every draw since the last count."""
    found = {row.id: [UUID(str(event)) for event in row.events] for row in rows}
    short = {row.subject: row.id for row in rows if row.trouble == Trouble.SHORT}
    for part in ledger.chunks(short):
        lines = Line.objects.filter(thing_id__in=part, event__skipped__isnull=True, amount__isnull=False)
        ordered = lines.order_by("event__sort", "event__machine", "event_id")
        drawn: dict[UUID, list[UUID]] = {}
        for thing, event, role, step in ordered.values_list("thing_id", "event_id", "role", "event__step"):
            if step == "counted":
                drawn[thing] = []
            elif role == Role.INPUT:
                drawn.setdefault(thing, []).append(event)
        found |= {short[thing]: events[-_MOST:] for thing, events in drawn.items() if events}
    return found


def _sides(ids: set[UUID]) -> dict[UUID, Side]:
    letters = {machine.id: machine.letter for machine in ledger.machines()}
    events = [event for part in ledger.chunks(ids) for event in Event.objects.filter(id__in=part)]
    happened = {event.id: event for event in dossier_events.tell(events, Seen())}
    found = {
        event.id: Side(letters.get(event.machine, ""), event=happened[event.id])
        for event in events
        if event.id in happened
    }
    edits = [row for part in ledger.chunks(ids) for row in Revision.objects.filter(id__in=part)]
    for row, edit in zip(edits, cards.edits(edits), strict=True):
        if row.card in CARDS:
            found[row.id] = Side(edit.machine, edit=edit)
    return found
