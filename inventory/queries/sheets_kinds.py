"""READ the five kinds of sheet: which columns each has, and what a row of it would do."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, cast
from uuid import UUID

from django.utils.text import slugify

from inventory.compute import codes
from inventory.compute.build_steps import AgeBand
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Listed, Refused, say
from inventory.formats.sheets import Column, Table
from inventory.formats.sheets import Kind as Cell
from inventory.models import Guest, Lot, Material, Offer, Order, Revision, Seat, Supplier, Tag, Workshop
from inventory.queries import sheets_in, shop
from inventory.queries.notes import counted
from inventory.queries.sheets_in import (
    Cells,
    Does,
    Dry,
    EditCard,
    Fate,
    Judge,
    NewCard,
    NewLot,
    Ref,
    What,
    Wrong,
)

KEPT_BY = {
    "weight": Base.MG,
    "length": Base.MM,
    "area": Base.MM2,
    "volume": Base.UL,
    "pieces": Base.PIECE,
}
COLUMNS: Mapping[What, tuple[Column, ...]] = {
    What.MATERIALS: (
        Column("Name", required=True),
        Column("Kept by", required=True),
        Column("Used as"),
        Column("Shelf life, months", Cell.WHOLE),
        Column("Once opened, days", Cell.WHOLE),
        Column("Lowest stock"),
    ),
    What.OFFERS: (
        Column("Supplier", required=True),
        Column("Material", required=True),
        Column("One pack", required=True),
        Column("Price", Cell.NUMBER),
        Column("Currency"),
        Column("From packs", Cell.WHOLE),
        Column("Days they need", Cell.WHOLE),
        Column("At least packs", Cell.WHOLE),
        Column("What they call it"),
        Column("Prices of", Cell.DAY),
    ),
    What.STOCK: (
        Column("Material", required=True),
        Column("Lot"),
        Column("Packages", Cell.WHOLE),
        Column("One package", required=True),
        Column("Made on", Cell.DAY),
        Column("Usable to", Cell.DAY),
        Column("Supplier"),
        Column("Place"),
    ),
    What.SEATS: (
        Column("Workshop", required=True),
        Column("Starts on", Cell.DAY),
        Column("Guest", required=True),
        Column("Age"),
        Column("Contact"),
        Column("Seat"),
    ),
    What.ORDERS: (
        Column("Supplier", required=True),
        Column("Material", required=True),
        Column("One pack", required=True),
        Column("Packs", Cell.WHOLE, required=True),
        Column("Price", Cell.NUMBER),
        Column("Currency"),
        Column("Sent on", Cell.DAY),
        Column("Promised for", Cell.DAY),
    ),
}


def dry_run(what: What, table: Table) -> Dry:
    """What every row of a sheet would do; a flat number of statements."""
    card = shop.card()
    currency = card.currency if card else ""
    judge = {
        What.MATERIALS: _Materials,
        What.OFFERS: _Offers,
        What.STOCK: _Stock,
        What.SEATS: _Seats,
        What.ORDERS: _Orders,
    }[what]()
    return sheets_in.judged(table, what, currency, cast(Judge, judge))


class _Names:
    """Materials and suppliers by name."""

    def __init__(self) -> None:
        self.materials = sheets_in.by_name(list(Material.objects.all()))
        self.suppliers = sheets_in.by_name(list(Supplier.objects.all()))

    def material(self, cells: Cells) -> Material:
        """The row's material."""
        return cast(Material, sheets_in.one("Material", cells.text("Material"), self.materials))

    def supplier(self, cells: Cells) -> Supplier:
        """The row's supplier."""
        return cast(Supplier, sheets_in.one("Supplier", cells.text("Supplier"), self.suppliers))


class _Materials:
    def __init__(self) -> None:
        self.here = sheets_in.by_name(list(Material.objects.all()))
        self.keys = {row.key for rows in self.here.values() for row in cast(Sequence[Material], rows)}
        self.seen: set[str] = set()

    def __call__(self, cells: Cells) -> Fate:
        """A material: new, changed, or as it is."""
        name, base = cells.text("Name"), KEPT_BY.get(cells.text("Kept by").casefold())
        if base is None:
            words = ", ".join(KEPT_BY)
            raise Wrong(
                "Kept by", say("“{text}” is none of: {words}.", text=cells.text("Kept by"), words=words)
            )
        if len(name) > 80 or name.casefold() in self.seen:
            raise Wrong("Name", say("{name} is there twice, or longer than 80 letters.", name=name[:80]))
        self.seen.add(name.casefold())
        given: dict[str, object] = {
            "purpose": cells.text("Used as")[:20],
            "shelf_life_months": cells.whole("Shelf life, months", 1, 600),
            "opened_life_days": cells.whole("Once opened, days", 1, 9_999),
            "lowest_stock": cells.amount("Lowest stock", base).value if cells.text("Lowest stock") else None,
        }
        rows = cast(Sequence[Material], self.here.get(name.casefold(), ()))
        if not rows:
            fields = {key: value for key, value in given.items() if value not in (None, "")}
            cells.jobs.append(
                NewCard("material", {"key": self._key(name), "name": name, "base": base.value, **fields})
            )
            return sheets_in.fate(cells, Does.NEW, say("{name} is made.", name=name))
        if rows[0].base != base.value:
            raise Wrong("Kept by", say("{name} is kept in {base} here.", name=name, base=rows[0].base))
        return _edit(cells, "material", rows[0].id, sheets_in.changed(rows[0], given), name)

    def _key(self, name: str) -> str:
        stem = slugify(name, allow_unicode=False)[:34] or "material"
        key, number = stem, 1
        while key in self.keys:
            number += 1
            key = f"{stem}-{number}"
        self.keys.add(key)
        return key


def _edit(cells: Cells, card: str, id: UUID, changes: Mapping[str, object], name: str) -> Fate:
    if not changes:
        return sheets_in.fate(cells, Does.SAME, say("{name} says this already.", name=name))
    cells.jobs.append(EditCard(card, id, changes))
    fields = ", ".join(key.replace("_", " ") for key in changes)
    return sheets_in.fate(cells, Does.CHANGES, say("{name} changes: {fields}.", name=name, fields=fields))


class _Offers(_Names):
    """Rows of one supplier, material and pack are one offer; each row may be a price from more packs on."""

    def __init__(self) -> None:
        super().__init__()
        self.here = {
            (row.supplier_id, row.material_id, row.pack): row for row in Offer.objects.filter(ended=False)
        }
        edits = Revision.objects.filter(card="offer").order_by("clock").values_list("card_id", "at")
        self.edited = {id: at.date() for id, at in edits}
        self.new: dict[tuple[UUID, UUID, int], NewCard] = {}
        self.prices: dict[tuple[UUID, UUID, int], list[list[int]]] = {}

    def __call__(self, cells: Cells) -> Fate:
        """An offer, or one more price of it."""
        supplier, material = self.supplier(cells), self.material(cells)
        pack = cells.amount("One pack", Base(material.base)).value
        key = (supplier.id, material.id, pack)
        given: dict[str, object] = {
            "lead_days": cells.whole("Days they need", 0, 3_650),
            "least_packs": cells.whole("At least packs", 1, 10_000),
            "article": cells.text("What they call it")[:60],
        }
        price = cells.price("Price")
        if price is not None:
            given["prices"] = self._price(cells, key, price)
        card, name = self.here.get(key), f"{supplier.name}, {material.name}"
        if card is not None:
            old = self._older(cells, card, name)
            return old or _edit(cells, "offer", card.id, sheets_in.changed(card, given), name)
        fields = {key_: value for key_, value in given.items() if value not in (None, "")}
        if key in self.new:
            cast(dict[str, object], self.new[key].fields).update(fields)
            return sheets_in.fate(cells, Does.NEW, say("{name}: one more price.", name=name))
        job = NewCard(
            "offer", {"supplier_id": supplier.id, "material_id": material.id, "pack": pack, **fields}
        )
        self.new[key] = job
        cells.jobs.append(job)
        return sheets_in.fate(cells, Does.NEW, say("{name} is offered.", name=name))

    def _price(self, cells: Cells, key: tuple[UUID, UUID, int], price: int) -> list[list[int]]:
        least = cells.whole("From packs", 1, 10_000) or 1
        card = self.here.get(key)
        before = self.prices.get(key, card.prices if card else [])
        rows = [row for row in before if row[0] != least] + [[least, price]]
        self.prices[key] = sorted(rows)
        cents = [row[1] for row in self.prices[key]]
        if cents != sorted(cents, reverse=True):
            raise Wrong("Price", say("More packs would cost more a pack than fewer."))
        return self.prices[key]

    def _older(self, cells: Cells, card: Offer, name: str) -> Fate | None:
        """Prices older than the card's last change are left out, and said."""
        of, edited = cells.day("Prices of"), self.edited.get(card.id)
        if of is None or edited is None or of >= edited:
            return None
        sentence = say("{name} was changed on {day}, after these prices: it stays.", name=name, day=edited)
        return sheets_in.fate(cells, Does.SAME, sentence)


class _Stock(_Names):
    """Packages of lots. A lot whose number is here already is left as it is."""

    def __init__(self) -> None:
        super().__init__()
        self.here = set(
            Lot.objects.filter(thing__state__isnull=False)
            .exclude(number="")
            .values_list("material_id", "number")
        )
        tags = Tag.objects.filter(thing__kind__in=(Kind.BIN, Kind.ZONE, Kind.STORE, Kind.TRAILER))
        self.places = dict(tags.values_list("code", "thing_id"))

    def __call__(self, cells: Cells) -> Fate:
        """A lot with its packages."""
        material, number = self.material(cells), cells.text("Lot")[:40]
        each = cells.amount("One package", Base(material.base))
        count = cells.whole("Packages", 1, 200) or 1
        made, until = cells.day("Made on"), cells.day("Usable to")
        if made and until and until < made:
            raise Wrong("Usable to", say("{until} is before it was made, {made}.", until=until, made=made))
        values: dict[str, object] = {"material": material.name, "number": number or "–"}
        if number and (material.id, number) in self.here:
            return sheets_in.fate(
                cells, Does.SAME, say("Lot {number} of {material} is here already.", **values)
            )
        supplier = self.supplier(cells).id if cells.text("Supplier") else None
        packages: tuple[Amount, ...] = (each,) * count
        cells.jobs.append(NewLot(material.id, number, packages, made, until, supplier, self._place(cells)))
        values |= {"count": count, "each": Spoken(each)}
        told = counted(
            count,
            say("Lot {number} of {material} is received: 1 package of {each}, 1 tag.", **values),
            say(
                "Lot {number} of {material} is received: {count} packages of {each} each, {count} tags.",
                **values,
            ),
        )
        return sheets_in.fate(cells, Does.NEW, told)

    def _place(self, cells: Cells) -> UUID | None:
        text = cells.text("Place")
        if not text:
            return None
        try:
            found = self.places.get(codes.read(text).text)
        except Refused as refused:
            raise Wrong("Place", refused.sentence) from refused
        if found is None:
            raise Wrong("Place", say("{code} is no place here.", code=text))
        return found


class _Seats:
    """Guests and their seats. A guest of this name who has a seat there is left as it is."""

    def __init__(self) -> None:
        self.workshops = list(Workshop.objects.filter(cancelled=False))
        self.guests = sheets_in.by_name(list(Guest.objects.exclude(name="")))
        rows = Seat.objects.exclude(state="given back").values_list("workshop_id", "guest_id", "state")
        self.seated = {(workshop, guest) for workshop, guest, _ in rows}
        self.booked: dict[UUID, int] = {}
        for workshop, _, state in rows:
            self.booked[workshop] = self.booked.get(workshop, 0) + (state == "booked")
        self.new: dict[str, str] = {}

    def __call__(self, cells: Cells) -> Fate:
        """A seat, and the guest when that is a new one."""
        workshop, name = self._workshop(cells), cells.text("Guest")[:120]
        state = cells.text("Seat").casefold() or "booked"
        if state not in ("booked", "wait list"):
            raise Wrong("Seat", say("A seat is booked or wait list, not {state}.", state=state))
        guest = self._guest(cells, name, workshop.id)
        if isinstance(guest, UUID) and (workshop.id, guest) in self.seated:
            return sheets_in.fate(
                cells, Does.SAME, say("Row {row}: this guest has that seat.", row=cells.row.number)
            )
        if state == "booked":
            self._take(cells, workshop)
        fields: dict[str, Any] = {"workshop_id": workshop.id, "guest_id": guest, "state": state}
        cells.jobs.append(NewCard("seat", fields))
        return sheets_in.fate(cells, Does.NEW, say("A seat in {workshop} is taken.", workshop=workshop.name))

    def _workshop(self, cells: Cells) -> Workshop:
        name, day = cells.text("Workshop"), cells.day("Starts on")
        rows = [row for row in self.workshops if row.name.casefold() == name.casefold()]
        rows = [row for row in rows if day in (None, row.starts_on)]
        found = sheets_in.one("Workshop", name, {name.casefold(): rows})
        return cast(Workshop, found)

    def _guest(self, cells: Cells, name: str, workshop: UUID) -> UUID | Ref:
        rows = cast(Sequence[Guest], self.guests.get(name.casefold(), ()))
        if len(rows) > 1:
            raise Wrong("Guest", say("{count} guests have this name.", count=len(rows)))
        if rows:
            return rows[0].id
        age = cells.text("Age")
        if age and age not in set(AgeBand):
            raise Wrong("Age", say("{age} is none of: {bands}.", age=age, bands=Listed(AgeBand)))
        ref = f"guest {name.casefold()}"
        if ref not in self.new:
            fields = {"name": name, "age_band": age, "contact": cells.text("Contact")[:200]}
            cells.jobs.append(NewCard("guest", fields, ref))
            self.new[ref] = str(workshop)
        elif self.new[ref] == str(workshop):
            raise Wrong("Guest", say("This guest is there twice for one workshop."))
        return Ref(ref)

    def _take(self, cells: Cells, workshop: Workshop) -> None:
        self.booked[workshop.id] = self.booked.get(workshop.id, 0) + 1
        if workshop.capacity is not None and self.booked[workshop.id] > workshop.capacity:
            raise Wrong(
                "Seat",
                say(
                    "{name} has {seats} seats; this is one more.", name=workshop.name, seats=workshop.capacity
                ),
            )


class _Orders(_Names):
    """Rows of one supplier and day are one order; an order of that supplier and day is left as it is."""

    def __init__(self) -> None:
        super().__init__()
        self.here = set(Order.objects.values_list("supplier_id", "sent_on"))
        self.new: set[str] = set()

    def __call__(self, cells: Cells) -> Fate:
        """A line, and its order when that is a new one."""
        supplier, material = self.supplier(cells), self.material(cells)
        pack = cells.amount("One pack", Base(material.base)).value
        packs, price = cells.whole("Packs", 1, 10_000), cells.price("Price")
        sent, promised = cells.day("Sent on"), cells.day("Promised for")
        if promised and (sent is None or promised < sent):
            raise Wrong("Promised for", say("{day} is before it was sent.", day=promised))
        values = {"supplier": supplier.name, "material": material.name}
        ref = f"order {supplier.id} {sent}"
        if sent is not None and (supplier.id, sent) in self.here:
            return sheets_in.fate(cells, Does.SAME, _here(supplier.name, sent))
        if ref not in self.new:
            self.new.add(ref)
            order = {"supplier_id": supplier.id, "sent_on": sent, "promised_on": promised}
            cells.jobs.append(NewCard("order", order, ref))
        line = {
            "order_id": Ref(ref),
            "material_id": material.id,
            "pack": pack,
            "packs": packs,
            "price": price,
        }
        cells.jobs.append(NewCard("order line", line))
        return sheets_in.fate(cells, Does.NEW, say("{material} is on order from {supplier}.", **values))


def _here(supplier: str, sent: date) -> Any:
    return say("An order to {supplier} of {day} is here already.", supplier=supplier, day=sent)
