"""What lists of sentences are made of: a sentence, its weight, and where it leads. Knows no table."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from inventory.compute.reasons import How, Level
from inventory.errors import Sentence, say

_OPENS = {
    "trips-list": say("Open the loading list"),
    "trips-edit": say("Change the trip"),
    "builds-change": say("Change the workshop"),
    "equipment-edit": say("Change its card"),
    "equipment-card": say("Open its card"),
    "equipment-make": say("Enter a piece of equipment"),
    "places-edit": say("Change its card"),
    "materials-edit": say("Change the material's card"),
    "road-weigh": say("Weigh the trailers"),
    "road-load": say("Load by scanning"),
}


@dataclass(frozen=True, slots=True)
class Cure:
    """What puts a reason right: a sentence, and the page where it is done.

    With `values` one click does it: they are sent to the page as its form sends them. Without, the page is
    only opened. No page: nothing here does it. `button`: what the click says. A face puts the address into
    `url`.
    """

    sentence: Sentence
    page: str = ""
    about: tuple[str, ...] = ()
    find: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)
    button: Sentence | None = None
    url: str = ""

    @property
    def link(self) -> Sentence:
        """What the link says where no click does it alone."""
        return self.button or _OPENS.get(self.page) or say("Open the page where it is done")


@dataclass(frozen=True, slots=True)
class Note:
    """One sentence. `page`, `about`, `find`: name, values and search of the address it leads to.

    `todo`: nothing is wrong, it waits for a hand. `why`: a second sentence; `codes`: the things it speaks of,
    when it speaks of several at once. A face puts the address into `url`, and into `how_url` where the sum
    stands when it is not shown beside the sentence. `code`: stable, for data and tests;
    `cures`: the nearest first; `by`: the last day on which something can still be done about it.
    """

    sentence: Sentence
    level: Level
    why: Sentence | None = None
    page: str = ""
    about: tuple[str, ...] = ()
    find: Mapping[str, str] = field(default_factory=dict)
    codes: tuple[str, ...] = ()
    how: How | None = None
    url: str = ""
    code: str = ""
    cures: tuple[Cure, ...] = ()
    by: date | None = None
    todo: bool = False
    how_url: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """Ready, not ready or cannot say, with the reasons, worst first."""

    reasons: tuple[Note, ...]

    @property
    def level(self) -> Level:
        """The heaviest reason's weight; FINE when there is none."""
        return max((note.level for note in self.reasons), default=Level.FINE)

    @property
    def against(self) -> int:
        """How many reasons stand against leaving."""
        return sum(note.level >= Level.UNKNOWN for note in self.reasons)


def worst_first(notes: Iterable[Note]) -> list[Note]:
    """In order of weight, otherwise as given."""
    return sorted(notes, key=lambda note: -note.level)


def soonest_first(notes: Iterable[Note]) -> list[Note]:
    """By weight; of one weight first what a click cures, then what has a cure at all, then by day."""
    return sorted(notes, key=lambda note: (-note.level, _effort(note), note.by or date.max))


def _effort(note: Note) -> int:
    if any(cure.values for cure in note.cures):
        return 0
    return 1 if note.cures else 2


def counted(count: int, one: Sentence, many: Sentence) -> Sentence:
    """The sentence for one, or the one for several: two whole sentences, never a glued ending."""
    return one if count == 1 else many
