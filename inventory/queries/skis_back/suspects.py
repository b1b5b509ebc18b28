"""READ suspects: what skis that came back with one failure share more often than the others.

Asks `compute.suspects` with the exposures the events know. Whom to tell follows from the trace, never from
here. Knows nobody's name.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from inventory.compute.skis_back import FAILURES
from inventory.compute.suspects import Band, Factor, Suspect, Suspects, judge
from inventory.errors import Term
from inventory.queries import skis_back
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.skis_back.exposures import Exposed, exposed

WIDE = 320  # of the picture of counts


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the picture: how many there are, how many of them came back, drawn."""

    there: int
    back: int
    width: float
    filled: float


@dataclass(frozen=True, slots=True)
class Told:
    """One line as the page shows it: the suspect, what it and its aliases lead to, and its two bars."""

    suspect: Suspect
    leads: tuple[tuple[Factor, Named | None], ...]
    with_it: Bar
    without: Bar


@dataclass(frozen=True, slots=True)
class Page:
    """Every line that says something, those that none of the returned skis has counted only."""

    failure: str
    found: Suspects
    told: tuple[Told, ...]
    untold: tuple[Told, ...]
    without_returns: int
    returned: int

    @property
    def strong(self) -> list[Told]:
        """Those beyond chance: unlikely to be chance, or worth a look."""
        return [row for row in self.told if row.suspect.band is not Band.CHANCE]

    @property
    def weak(self) -> list[Told]:
        """Those that could well be chance."""
        return [row for row in self.told if row.suspect.band is Band.CHANCE]


def suspects(failure: str) -> Page | None:
    """The suspects of one failure; None while no known ski came back with it.

    Refuses as `compute.suspects.judge`.
    """
    books = exposed()
    known = {row.ski for row in books.delivered}
    back = {
        str(ski.id) for row in skis_back.backs(failure=failure) if not row.unknown for ski in row.skis
    } & known
    if not back:
        return None
    found = judge(
        failure=Term(str(FAILURES[failure].name)),
        delivered=books.delivered,
        returned=sorted(back),
        factors=books.factors,
    )
    lines = [line for line in found.lines if line.returned_exposed]
    rows = _told(lines, books)
    return Page(
        failure,
        found,
        tuple(row for row in rows if row.suspect.adjusted is not None),
        tuple(row for row in rows if row.suspect.adjusted is None),
        len(found.lines) - len(lines),
        len(back),
    )


def _told(lines: Sequence[Suspect], books: Exposed) -> list[Told]:
    things = {
        (factor.kind, factor.code): books.things.get((factor.kind, factor.code))
        for line in lines
        for factor in (line.factor, *line.also)
    }
    names = named(thing for thing in things.values() if thing)

    def lead(factor: Factor) -> tuple[Factor, Named | None]:
        thing: UUID | None = things[factor.kind, factor.code]
        return factor, names[thing] if thing else None

    return [
        Told(
            line,
            tuple(map(lead, (line.factor, *line.also))),
            _bar(line.exposed, line.returned_exposed, line),
            _bar(line.delivered - line.exposed, line.returned - line.returned_exposed, line),
        )
        for line in lines
    ]


def _bar(there: int, back: int, line: Suspect) -> Bar:
    """Both bars of a line in one scale: the longer of them is as wide as the picture."""
    widest = max(line.exposed, line.delivered - line.exposed)
    return Bar(there, back, round(WIDE * there / widest, 1), round(WIDE * back / widest, 1))
