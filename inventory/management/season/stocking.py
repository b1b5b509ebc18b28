"""The season's shop before anyone builds: people, places, presses, materials, and every delivery."""

from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import equipment, materials, people, places, stock
from inventory.actions import shop as founding
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base, parse
from inventory.management.season.agenda import Agenda
from inventory.management.season.shelf import Shelf, Standing
from inventory.roles import Role


class Stocking:
    """Sets the shop up, and takes deliveries in. Remembers by name what was born."""

    def __init__(self, agenda: Agenda, data: dict[str, Any], units: str) -> None:
        self.agenda, self.data, self.units = agenda, data, units
        self.shelf = Shelf()
        self.places: dict[tuple[str, ...], UUID] = {}
        self.equipment: dict[str, UUID] = {}
        self.materials: dict[str, UUID] = {}
        self.suppliers: dict[str, UUID] = {}
        self.cards = {card["key"]: card for card in data["materials"]}
        self.lots: dict[str, UUID] = {}  # by the maker's number
        self.packages: dict[str, list[UUID]] = {}  # of a lot, by the maker's number
        self.order_lines: dict[tuple[int, str], UUID] = {}  # by the delivery's day and the material

    def plan(self) -> None:
        """Everything of the first day, and every delivery on its own."""
        first = min(delivery["day"] for delivery in self.data["deliveries"]) - 10
        self.agenda.plan(self.agenda.moment(first, "08:00"), self._open)
        for delivery in self.data["deliveries"]:
            at = self.agenda.moment(delivery["day"], "10:00")
            for material, number, packs in delivery["lots"]:
                made = self.agenda.dice.randint(20, 60)
                apart = bool(delivery.get("jug"))
                on = delivery["day"]
                what = partial(self._arrives, material, number, packs, on - made, apart=apart, on=on)
                self.agenda.plan(at, what)
        for lot in self.data["special_lots"].values():
            what = partial(
                self._arrives,
                lot["material"],
                lot["number"],
                lot["packs"],
                lot["made"],
                lot["expires"],
                apart=lot["apart"],
            )
            self.agenda.plan(self.agenda.moment(lot["arrives"], "10:30"), what)

    def _open(self) -> None:
        do, shop = self.agenda.do, self.data["shop"]
        do(
            founding.open_shop,
            name=shop["name"],
            host=shop["host"],
            reach=shop["reach"],
            currency=shop["currency"][self.units],
            units=self.units,
            demo=True,
        )
        for row in self.data["people"]:
            role, licence = Role(row["role"]), row["licence"]
            person = do(founding.take_on, name=row["name"], role=role, licence=licence).thing
            self.agenda.people[row["sign_in"]] = person
            people.give_way_in(person=person, username=row["sign_in"], password=self.data["password"])
        self._make_places()
        for row in self.data["equipment"]:
            self.equipment[row["name"]] = do(
                equipment.make_equipment,
                "ragna",
                kind=Kind(row["kind"]),
                name=row["name"],
                place=self.places[tuple(row["in"])],
                facts=row["card"],
            ).thing
        for key, name in self.data["suppliers"].items():
            self.suppliers[key] = do(materials.make_supplier, "sunniva", name=name).thing
        for card in self.data["materials"]:
            self.materials[card["key"]] = do(
                materials.make_material,
                "sunniva",
                key=card["key"],
                name=card["name"],
                base=Base(card["base"]),
                purpose=card["purpose"],
                facts=card.get("facts", {}) | self._mix(card),
            ).thing

    def _mix(self, card: dict[str, Any]) -> dict[str, Any]:
        """What the hardener's card says of the mix: the resin it goes with, and how."""
        if "mix" not in card:
            return {}
        mix: dict[str, Any] = card["mix"]
        return {"resin_id": self.materials[mix["resin"]], **mix["facts"]}

    def _make_places(self) -> None:
        yard = self._place(Kind.YARD, self.data["yard"])
        store = self._place(Kind.STORE, self.data["store"]["name"], yard)
        for trailer in self.data["trailers"]:
            inside = self._place(Kind.TRAILER, trailer["name"], yard)
            for zone in trailer["zones"]:
                self._place(Kind.ZONE, zone, inside, trailer["name"])
        shelves = self._place(Kind.ZONE, "shelves", store, self.data["store"]["name"])
        for name in self.data["store"]["bins"]:
            self._place(Kind.BIN, name, shelves)

    def _place(self, kind: Kind, name: str, inside: UUID | None = None, *path: str) -> UUID:
        made = self.agenda.do(places.make_place, "odd", kind=kind, name=name, inside=inside).thing
        self.places[(*path, name)] = made
        return made

    def pack(self, key: str) -> Amount:
        """What one package of a material holds."""
        card = self.cards[key]
        base = Base(card["base"])
        return parse(
            text=card["pack"][self.units], base=base, default="H87" if base is Base.PIECE else None
        ).amount

    def _arrives(
        self,
        key: str,
        number: str,
        packs: int,
        made: int,
        expires: int | None = None,
        *,
        apart: bool = False,
        on: int = 0,
    ) -> None:
        card, day = self.cards[key], self.agenda.day
        shelf_days = card.get("shelf_days")
        expires_on = day(made + shelf_days if expires is None else expires) if shelf_days else None
        amount = self.pack(key)
        done = self.agenda.do(
            stock.receive_lot,
            "sunniva",
            material=self.materials[key],
            number=number,
            packages=[amount] * packs,
            made_on=day(made) if shelf_days else None,
            expires_on=expires_on,
            supplier=self.suppliers[card["supplier"]],
            place=self.places[(card["bin"],)],
            order_line=self.order_lines.get((on, key)),
        )
        packages = list(done.things[-packs:])
        if number:
            self.lots.setdefault(number, done.things[0])
            self.packages[number] = packages
        for package in packages:
            self.shelf.put(Standing(package, key, amount.value, expires_on))
        if apart:
            self.shelf.apart.update(packages)

    def print_sheets(self, number: str, pairs: int) -> None:
        """The printed top sheets of some pairs come back from the printer: one package a pair."""
        self._arrives("top-sheet", number, pairs, 0)
