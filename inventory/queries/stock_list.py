"""READ the list of packages: found by words, place, material, lot, state and last day; in several orders.

A page of the list is read in two steps, ids in order and then the rows of that page, so that a database
sorts no more than it must. A package that is open or was re-tested has a last day of its own, worked out
here; all others have the date on their card, which an index keeps in order, and both are merged.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from inventory.compute import expiry
from inventory.compute.expiry import Usable
from inventory.compute.units import Amount, Base
from inventory.models import Balance, Hold, Lot, Material, Package, State, Tag
from inventory.queries.ledger import chunks, code_in


class Condition(StrEnum):
    """What state a package is in; one list asks for one."""

    OPEN = "open"
    CLOSED = "closed"
    HELD = "on hold"
    PAST = "past its date"


class Order(StrEnum):
    """What a list is sorted by."""

    LASTS = "last day"
    MATERIAL = "material"
    LOT = "lot"
    PLACE = "place"


def any_package() -> bool:
    """True when a package was ever received."""
    return Package.objects.exists()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to find; nothing asked finds every package that holds something.

    `words`: each in the material's name, the lot's number, or a code. `place`: with all that stands in it.
    `until`: whose last day is that day or before.
    """

    words: str = ""
    place: UUID | None = None
    material: UUID | None = None
    lot: UUID | None = None
    condition: Condition | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One package of the list."""

    thing: UUID
    code: str
    material: str
    key: str
    lot: UUID
    number: str
    left: Amount
    place: UUID | None
    usable: Usable
    open: bool
    held: bool
    written_in: str = ""


def usable_through(row: Package) -> Usable:
    """Until which day a package may be used; its lot, material and state come with the row."""
    state = getattr(row.thing, "state", None)
    opened = state.opened_at if state else None
    return expiry.usable(
        expires_on=row.expires_on,
        opened_on=timezone.localtime(opened).date() if opened else None,
        opened_life_days=row.lot.material.opened_life_days,
        extended_through=row.extended_through,
        by_shelf_life=row.lot.by_shelf_life,
    )


_Ranked = tuple[date | None, UUID]


class Listing:
    """The packages that were asked for, counted and read a page at a time."""

    def __init__(
        self, wanted: Wanted, *, today: date, order: Order = Order.LASTS, descending: bool = False
    ) -> None:
        self.wanted, self.today, self.order, self.descending = wanted, today, order, descending
        self._own: list[_Ranked] | None = None

    def count(self) -> int:
        """How many there are."""
        if self.wanted == Wanted():
            packages = Package.objects.filter(thing_id=OuterRef("thing_id"))
            return Balance.objects.filter(Exists(packages), amount__gt=0).count()
        return self._found(_HOLDS_SOMETHING).count()

    def rows(self, first: int, last: int) -> list[Row]:
        """The rows from `first` up to, not including, `last`."""
        return rows_of(self._ids(first, last))

    def all(self) -> Iterator[Row]:
        """Every row, a few hundred at a time: for a sheet that leaves."""
        for part in chunks(self._ids(0, self.count()), 500):
            yield from rows_of(part)

    def _ids(self, first: int, last: int) -> list[UUID]:
        if self.order is Order.LASTS:
            return self._by_last_day(first, last)
        name = {
            Order.MATERIAL: "lot__material__name",
            Order.LOT: "lot__number",
            Order.PLACE: "thing__state__place__place_card__name",
        }[self.order]
        by = F(name).desc(nulls_last=True) if self.descending else F(name).asc(nulls_last=True)
        rows = self._found(_HOLDS_SOMETHING).order_by(by, F("expires_on").asc(nulls_last=True), "thing_id")
        return list(rows.values_list("thing_id", flat=True)[first:last])

    def _by_last_day(self, first: int, last: int) -> list[UUID]:
        """Merge those with a day of their own into those that the index has in order.

        Of the others none that ranks below `begin` among themselves can rank `first` or later among all.
        """
        own = self._with_own_day()
        begin = max(0, first - len(own))
        by = (
            F("expires_on").desc(nulls_last=True) if self.descending else F("expires_on").asc(nulls_last=True)
        )
        plain = self._found(_IS_NOT_EMPTY).filter(~_ENDS_EARLY, extended_through=None)
        ordered = plain.order_by(by, "-thing_id" if self.descending else "thing_id")
        found = list(ordered.values_list("expires_on", "thing_id")[begin:last])
        ranked = sorted(found + own, key=self._rank)[first - begin : last - begin]
        return [thing for _, thing in ranked]

    def _rank(self, row: _Ranked) -> tuple[bool, int, int]:
        """The database's own order: no day comes last, equal days by id."""
        day, thing = row
        sign = -1 if self.descending else 1
        return day is None, sign * (day.toordinal() if day else 0), sign * thing.int

    def _with_own_day(self) -> list[_Ranked]:
        """Last day and id of those whose opening or re-test decides it; read once."""
        if self._own is None:
            self._own = _own_days(self._found(_IS_NOT_EMPTY))
        return self._own

    def _found(self, holds_something: Any) -> QuerySet[Package]:
        asked = self.wanted
        rows = _matching(Package.objects.filter(holds_something), asked.words)
        if asked.place is not None:
            lying = State.objects.filter(place_id__in=within([asked.place])).values("thing_id")
            rows = rows.filter(thing_id__in=lying)
        if asked.material is not None:
            rows = rows.filter(lot__in=Lot.objects.filter(material_id=asked.material))
        if asked.lot is not None:
            rows = rows.filter(lot_id=asked.lot)
        rows = _in_condition(rows, asked.condition)
        until = asked.until
        if asked.condition is Condition.PAST:
            yesterday = self.today - timedelta(days=1)
            until = min(until or yesterday, yesterday)
        return rows if until is None else _lasting_until(rows, until)


# The same condition twice: one reads the whole table at once, one looks only at the rows that are asked for.
_HOLDS_SOMETHING = Q(thing_id__in=Balance.objects.filter(amount__gt=0).values("thing_id"))
_IS_NOT_EMPTY = Exists(Balance.objects.filter(thing_id=OuterRef("thing_id"), amount__gt=0))
_IS_OPEN = Exists(State.objects.filter(thing_id=OuterRef("thing_id"), opened_at__isnull=False))
_OPENED = State.objects.filter(opened_at__isnull=False).values("thing_id")
_ENDS_EARLY = Exists(
    State.objects.filter(
        thing_id=OuterRef("thing_id"),
        opened_at__isnull=False,
        thing__package__lot__material__opened_life_days__isnull=False,
    )
)


def _own_days(rows: QuerySet[Package]) -> list[_Ranked]:
    """Last day and id of those of these packages whose opening or re-test decides it.

    What is open or extended is asked first and by itself: there are indexes of that, and it is little.
    """
    opened = dict(State.objects.filter(opened_at__isnull=False).values_list("thing_id", "opened_at"))
    names = ("thing_id", "expires_on", "extended_through", "lot__material__opened_life_days")
    found: dict[UUID, date | None] = {}
    extended_ones = Package.objects.filter(extended_through__isnull=False).values_list("thing_id", flat=True)
    for part in chunks(dict.fromkeys([*opened, *extended_ones])):
        for thing, expires_on, extended, life in rows.filter(thing_id__in=part).values_list(*names):
            if life is None and extended is None:
                continue
            at = opened.get(thing)
            found[thing] = expiry.last_day(
                expires_on=expires_on,
                opened_on=timezone.localtime(at).date() if at else None,
                opened_life_days=life,
                extended_through=extended,
            )
    return [(day, thing) for thing, day in found.items()]


def _matching(rows: QuerySet[Package], words: str) -> QuerySet[Package]:
    """Rows in which every word is found: in the material's name, the lot's number, or as a code."""
    names = dict(Material.objects.values_list("id", "name")) if words.strip() else {}
    for word in words.split()[:8]:
        materials = [id for id, name in names.items() if word.casefold() in name.casefold()]
        tagged = Tag.objects.filter(code=word.replace("-", "").upper()).values_list("thing_id", flat=True)
        things = [thing for thing in tagged if thing]
        lots = Lot.objects.filter(
            Q(material_id__in=materials) | Q(number__icontains=word) | Q(thing_id__in=things)
        )
        rows = rows.filter(Q(lot__in=lots) | Q(thing_id__in=things))
    return rows


def _in_condition(rows: QuerySet[Package], condition: Condition | None) -> QuerySet[Package]:
    if condition is Condition.HELD:
        return rows.filter(_held())
    if condition is Condition.OPEN:
        return rows.filter(thing_id__in=_OPENED)
    return rows.filter(~_IS_OPEN) if condition is Condition.CLOSED else rows


def _held() -> Exists:
    """A hold on the package or on its lot."""
    return Exists(Hold.objects.filter(Q(thing_id=OuterRef("thing_id")) | Q(thing_id=OuterRef("lot_id"))))


def _lasting_until(rows: QuerySet[Package], until: date) -> QuerySet[Package]:
    """Those whose last day is that day or before."""
    own = [thing for day, thing in _own_days(rows) if day is not None and day <= until]
    plain = ~_ENDS_EARLY & Q(extended_through=None, expires_on__lte=until)
    return rows.filter(plain | Q(thing_id__in=own))


def within(places: Iterable[UUID]) -> list[UUID]:
    """These places and all that stand in them: a statement a level, five at most."""
    found = dict.fromkeys(places)
    level = list(found)
    while level:
        inside = State.objects.filter(place_id__in=level, thing__place_card__isnull=False)
        level = [thing for thing in inside.values_list("thing_id", flat=True) if thing not in found]
        found |= dict.fromkeys(level)
    return list(found)


def rows_of(ids: Sequence[UUID]) -> list[Row]:
    """The rows of those of these things that are packages with something in them, in this order."""
    rows = (
        Package.objects.filter(thing_id__in=ids, thing__balance__amount__gt=0)
        .select_related("lot__material", "thing__balance", "thing__state")
        .annotate(code=code_in(), held=_held())
    )
    found = {row.thing_id: row for row in rows}
    return [_row(found[id]) for id in ids if id in found]


def _row(row: Any) -> Row:
    material = row.lot.material
    return Row(
        thing=row.thing_id,
        code=row.code or "",
        material=material.name,
        key=material.key,
        lot=row.lot_id,
        number=row.lot.number,
        left=Amount(row.thing.balance.amount, Base(material.base)),
        place=row.thing.state.place_id,
        usable=usable_through(row),
        open=row.thing.state.opened_at is not None,
        held=row.held,
        written_in=row.written_in,
    )
