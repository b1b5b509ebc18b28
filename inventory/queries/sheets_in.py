"""READ a sheet against the books, before anything is written: what each row would do, and what is wrong.

A row is new, changes a card, says what is here already, or is wrong; one wrong row and nothing is taken.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

from inventory.compute import money, units
from inventory.compute.expiry import YEARS
from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, Sentence, say
from inventory.formats.sheets import Column, Row, Table


class What(StrEnum):
    """What the rows of a sheet are."""

    MATERIALS = "materials"
    OFFERS = "offers"
    STOCK = "stock"
    SEATS = "seats"
    ORDERS = "orders"


class Does(StrEnum):
    """What a row would do."""

    NEW = "new"
    CHANGES = "changes"
    SAME = "here already"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Fate:
    """One row, as the spreadsheet counts it, and what comes of it; of a wrong one which column, and why."""

    row: int
    does: Does
    sentence: Sentence
    column: str = ""

    @property
    def level(self) -> Level:
        """How much it weighs."""
        return {Does.WRONG: Level.STOP, Does.CHANGES: Level.LOOK}.get(self.does, Level.FINE)


@dataclass(frozen=True, slots=True)
class Ref:
    """A card that another row of the sheet makes: filled in when it is written."""

    name: str


@dataclass(frozen=True, slots=True)
class NewCard:
    """A card to make; `ref` is what other rows call it by."""

    card: str
    fields: Mapping[str, object]
    ref: str = ""


@dataclass(frozen=True, slots=True)
class EditCard:
    """A card that is here, and what changes of it."""

    card: str
    id: UUID
    changes: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class NewLot:
    """A lot that came, with its packages."""

    material: UUID
    number: str
    packages: tuple[Amount, ...]
    made_on: date | None
    expires_on: date | None
    supplier: UUID | None
    place: UUID | None


Job = NewCard | EditCard | NewLot


@dataclass(frozen=True, slots=True)
class Dry:
    """What a sheet would do: every row's fate, and the jobs when no row is wrong."""

    what: What
    fates: tuple[Fate, ...]
    jobs: tuple[Job, ...]
    ignored: tuple[str, ...] = ()
    cut: bool = False

    def count(self, does: Does) -> int:
        """How many rows do this."""
        return sum(fate.does is does for fate in self.fates)

    @property
    def ready(self) -> bool:
        """True when it can be taken and does something."""
        return not self.count(Does.WRONG) and bool(self.jobs)


class Wrong(Exception):
    """Why a row cannot be taken: the column and a whole sentence."""

    def __init__(self, column: str, sentence: Sentence) -> None:
        super().__init__(column, sentence)
        self.column, self.sentence = column, sentence


@dataclass
class Cells:
    """One row's values, read for the books."""

    row: Row
    currency: str
    jobs: list[Job] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A text, without white space round it; empty when the cell is."""
        value = self.row.values.get(name)
        return "" if value is None else " ".join(str(value).split())

    def day(self, name: str) -> date | None:
        """A day, of a year that can be meant."""
        value = self.row.values.get(name)
        if not isinstance(value, date):
            return None
        if value.year not in YEARS:
            raise Wrong(
                name,
                say(
                    "{day} cannot be meant: enter a day from {first} to {last}.",
                    day=value.isoformat(),
                    first=YEARS[0],
                    last=YEARS[-1],
                ),
            )
        return value

    def whole(self, name: str, least: int, most: int) -> int | None:
        """A whole number within bounds."""
        value = self.row.values.get(name)
        if value is None:
            return None
        number = int(value)  # type: ignore[arg-type]
        if not least <= number <= most:
            raise Wrong(
                name, say("{number} is not from {least} to {most}.", number=number, least=least, most=most)
            )
        return number

    def amount(self, name: str, base: Base) -> Amount:
        """An amount with its unit, of the material's own kind."""
        try:
            typed = units.parse(
                text=self.text(name), base=base, default="H87" if base is Base.PIECE else None
            )
        except Refused as refused:
            raise Wrong(name, refused.sentence) from refused
        return typed.amount

    def price(self, name: str) -> int | None:
        """Money in minor units of the shop's currency; another currency is wrong."""
        said = self.text("Currency").upper()
        if said and said != self.currency.upper():
            raise Wrong(
                "Currency",
                say("{said} is not the shop's currency, {own}.", said=said, own=self.currency or "–"),
            )
        value = self.row.values.get(name)
        if value is None:
            return None
        minor = Decimal(str(value)) * 10 ** money.decimals(self.currency)
        if minor != int(minor) or not 0 <= minor <= money.MOST:
            raise Wrong(name, say("{value} is no amount of money.", value=value))
        return int(minor)


Judge = Callable[[Cells], Fate]


def judged(table: Table, what: What, currency: str, judge: Judge) -> Dry:
    """Every row's fate, in the order of the sheet; what cannot be read is wrong by its cell."""
    fates = [Fate(each.row, Does.WRONG, each.sentence, each.column) for each in table.problems]
    jobs: list[Job] = []
    for row in table.rows:
        cells = Cells(row, currency)
        try:
            fates.append(judge(cells))
        except Wrong as wrong:
            fates.append(Fate(row.number, Does.WRONG, wrong.sentence, wrong.column))
        else:
            jobs += cells.jobs
    fates.sort(key=lambda fate: fate.row)
    wrong_ = any(fate.does is Does.WRONG for fate in fates)
    return Dry(what, tuple(fates), () if wrong_ else tuple(jobs), table.ignored, table.cut)


def fate(cells: Cells, does: Does, template: Sentence) -> Fate:
    """The fate of a row."""
    return Fate(cells.row.number, does, template)


def changed(card: object, given: Mapping[str, object]) -> dict[str, object]:
    """Of what a row says, what a card says otherwise; an empty cell says nothing."""
    return {
        name: value
        for name, value in given.items()
        if value not in (None, "") and getattr(card, name) != value
    }


def one(column: str, name: str, found: Mapping[str, Sequence[object]]) -> object:
    """The only one of this name; none or several is wrong."""
    rows = found.get(name.casefold(), ())
    if len(rows) == 1:
        return rows[0]
    if rows:
        raise Wrong(column, say("{count} are called {name}.", count=len(rows), name=name))
    raise Wrong(column, say("Nothing here is called {name}.", name=name))


def by_name(rows: Sequence[object]) -> dict[str, list[object]]:
    """Cards by what they are called, in any case."""
    found: dict[str, list[object]] = {}
    for row in rows:
        found.setdefault(str(row.name).casefold(), []).append(row)  # type: ignore[attr-defined]
    return found


def headings(columns: Sequence[Column]) -> Iterator[str]:
    """The headings of a template."""
    return (column.name for column in columns)
