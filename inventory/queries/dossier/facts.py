"""What a dossier is made of: frozen rows, ready to be shown or told. Knows no table, and no guest.

Amounts are whole base units with their unit; moments carry their zone. A `Named` stands wherever a thing is
mentioned, so that every mention can be a link.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.fold import Trouble
from inventory.compute.steps import Basis, Role
from inventory.compute.units import Amount
from inventory.queries.as_of import AsOf

FORMAT, VERSION = "tip-to-tail dossier", 1  # of the dossier as data


@dataclass(frozen=True, slots=True)
class Named:
    """A thing as a sentence mentions it: kind, code as printed, and what its card calls it.

    `code` is empty for a thing without a tag; `name` is empty where no card gives one. A ski's name is its
    side, a pair's its length.
    """

    id: UUID
    kind: Kind
    code: str = ""
    name: str = ""

    def __str__(self) -> str:
        return " ".join(part for part in (self.kind.value, self.code, self.name) if part)


@dataclass(frozen=True, slots=True)
class Label:
    """What is printed on a lot or a package. `number` is the maker's, as printed; empty: unknown."""

    material: str
    purpose: str
    number: str
    supplier: str
    made_on: date | None
    expires_on: date | None


@dataclass(frozen=True, slots=True)
class Link:
    """`amount` of `of` went into `made`, `level` steps away from the thing the dossier is about.

    `label` is that of the lot or package `of` (made of) or of the lot or package `made` (went into); `pair`
    is the pair of the ski that was made.
    """

    made: Named
    of: Named
    amount: Amount | None
    event: UUID
    step: str
    at: datetime
    level: int
    label: Label | None = None
    pair: Named | None = None


@dataclass(frozen=True, slots=True)
class Exposure:
    """What a thing went through: one event, and by what (cycle, press, mould). One hop, never walked."""

    thing: Named
    by: tuple[Named, ...]
    event: UUID
    step: str
    at: datetime
    facts: Mapping[str, object] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One thing's part in an event."""

    role: Role
    thing: Named
    amount: Amount | None = None
    basis: Basis = Basis.UNSAID
    source: Named | None = None
    to: Named | None = None


@dataclass(frozen=True, slots=True)
class Undone:
    """When an event was undone, by whom and why."""

    at: datetime
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class Happened:
    """One event, whether it counts or not. `twin`: another machine recorded the same act, and that counts."""

    id: UUID
    act: UUID
    step: str
    at: datetime
    late: bool
    who: str
    where: Named | None
    parts: tuple[Part, ...]
    facts: Mapping[str, object]
    note: str
    note_erased: bool = False
    undone: Undone | None = None
    twin: bool = False

    @property
    def counts(self) -> bool:
        """True when the books reckon with it."""
        return self.undone is None and not self.twin


@dataclass(frozen=True, slots=True)
class Stop:
    """One hold that stops the thing: on itself, or on what went into it. `hold` is what lifting names."""

    hold: UUID
    on: Named
    at: datetime
    who: str
    reason: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """One disagreement about the thing that people have still to settle."""

    id: UUID
    trouble: Trouble
    amount: Amount | None


@dataclass(frozen=True, slots=True)
class Dossier:
    """Everything known of one thing, but whose it is.

    `place` goes from the innermost place outwards; empty: it lies nowhere known, or was handed over.
    `parts`: the two skis of a pair, whose making is the pair's. `whole`: the pair of a ski.
    `exposed`: what a cycle, press or mould was applied to. `more_events`: older ones were left out.
    `as_of`: the moment it speaks of, None for now; names, codes and labels are those of today's cards.
    """

    thing: Named
    codes: tuple[str, ...]
    born: bool
    label: Label | None
    parts: tuple[Named, ...]
    whole: Named | None
    left: Amount | None
    short: Amount | None
    opened_at: datetime | None
    handed_over_at: datetime | None
    place: tuple[Named, ...]
    made_of: tuple[Link, ...]
    exposures: tuple[Exposure, ...]
    went_into: tuple[Link, ...]
    exposed: tuple[Named, ...]
    events: tuple[Happened, ...]
    more_events: bool
    holds: tuple[Stop, ...]
    doubts: tuple[Doubt, ...]
    as_of: AsOf | None = None

    @property
    def place_in_words(self) -> str:
        """The place path, innermost first: `B3, zone 2, Stoat`."""
        return ", ".join(place.name or place.code for place in self.place)
