"""What the season's shop knows of its suppliers: freight, offers, orders; and the season itself."""

from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import orders, season, suppliers
from inventory.actions.orders import Packs
from inventory.management.season.stocking import Stocking

ASKED = -480  # the day the suppliers were asked for their prices
DRAWN_UP = -70  # the evening the winter's list was drawn up


class Ordering:
    """Plans it into the agenda. All numbers stand in the file, and all are invented."""

    def __init__(self, stocking: Stocking) -> None:
        self.stocking, self.agenda, self.data = stocking, stocking.agenda, stocking.data
        self.offers = {row["material"]: row for row in self.data["offers"]}
        self.season: UUID | None = None

    def plan(self) -> None:
        """Prices once; each order on its day, those that came tied to their deliveries; the season."""
        at = self.agenda.moment
        self.agenda.plan(at(ASKED, "12:00"), self._ask)
        for delivery in self.data["deliveries"]:
            if "ordered" in delivery:
                self.agenda.plan(at(delivery["ordered"], "12:00"), partial(self._order, delivery))
        self.agenda.plan(at(DRAWN_UP, "20:00"), self._make_season)
        for row in self.data["on_order"]:
            self.agenda.plan(at(row["sent"], "12:00"), partial(self._on_the_way, row))

    def _ask(self) -> None:
        units = self.stocking.units
        for key, terms in self.data["terms"].items():
            changes = {name: value[units] for name, value in terms.items()}
            supplier = self.stocking.suppliers[key]
            self.agenda.do(suppliers.edit_supplier, "ragna", supplier=supplier, changes=changes)
        for key, row in self.offers.items():
            self.agenda.do(
                suppliers.make_offer,
                "ragna",
                supplier=self.stocking.suppliers[self.stocking.cards[key]["supplier"]],
                material=self.stocking.materials[key],
                pack=self.stocking.pack(key).value,
                facts={"prices": row["prices"][units], "lead_days": row["days"]},
            )

    def _packs(self, key: str, packs: int) -> Packs:
        row = self.offers[key]
        price = [cents for least, cents in row["prices"][self.stocking.units] if packs >= least][-1]
        pack = self.stocking.pack(key).value
        return Packs(self.stocking.materials[key], pack, packs, price, "", row["days"])

    def _order(self, delivery: dict[str, Any]) -> None:
        """One order to each supplier of a delivery, sent the same day."""
        of: dict[str, list[tuple[str, int]]] = {}
        for key, _number, packs in delivery["lots"]:
            of.setdefault(self.stocking.cards[key]["supplier"], []).append((key, packs))
        for supplier, lines in of.items():
            done = self._send(supplier, lines, None)
            for (key, _), line in zip(lines, done, strict=True):
                self.stocking.order_lines[delivery["day"], key] = line

    def _send(self, supplier: str, lines: list[tuple[str, int]], promised: int | None) -> tuple[UUID, ...]:
        terms = self.data["terms"][supplier]
        done = self.agenda.do(
            orders.write_order,
            "ragna",
            supplier=self.stocking.suppliers[supplier],
            lines=[self._packs(key, packs) for key, packs in lines],
            season=self.season,
            freight=terms["freight"][self.stocking.units],
        )
        promised_on = None if promised is None else self.agenda.day(promised)
        self.agenda.do(orders.send_order, "ragna", order=done.thing, promised_on=promised_on)
        return done.things[1:]

    def _on_the_way(self, row: dict[str, Any]) -> None:
        self._send(row["supplier"], [tuple(line) for line in row["lines"]], row["promised"])

    def _make_season(self) -> None:
        row = self.data["season"]
        self.season = self.agenda.do(
            season.make_season,
            "ragna",
            name=row["name"],
            starts_on=self.agenda.day(row["from"]),
            ends_on=self.agenda.day(row["to"]),
            facts={"fill_percent": row["fill_percent"], "an_order": row["an_order"][self.stocking.units]},
        ).thing
