"""The troubles of the season, each findable on the screens. `fixtures/README.md` lists them."""

from functools import partial
from uuid import UUID

from inventory.actions import books, places, stock
from inventory.compute.units import Amount, Base
from inventory.management.season.building import Building
from inventory.management.season.shelf import Standing

UNDER_MG = 140_000
PARTED = -3  # the day the second laptop was copied and drove off


class Trouble:
    """Plans what goes wrong into the agenda."""

    def __init__(self, building: Building) -> None:
        self.building, self.stocking = building, building.stocking
        self.agenda, self.data, self.shelf = building.agenda, building.data, building.shelf
        self.counted: UUID | None = None  # the can that was counted under the books

    def plan(self) -> None:
        """Each trouble at its moment."""
        at = self.agenda.moment
        for day, clock, what in (
            (-330, "11:00", self._resin_stays_in_the_trailer),
            (-290, "10:00", self._rest_of_the_jug_is_thrown_away),
            (-100, "10:00", self._old_remains_are_thrown_away),
            (-8, "15:00", self._mould_goes_to_the_loft),
            (-5, "14:00", self._glue_is_held),
            (-2, "16:00", self._blanks_are_moved_in_error),
            (-1, "09:00", self._can_is_opened),
            (-1, "10:00", self._can_is_counted),
            (-1, "17:00", self._load_begins),
        ):
            self.agenda.plan(at(day, clock), what)

    def package(self, number: str, index: int = 0) -> UUID:
        """One package of a lot, by the maker's number."""
        return self.stocking.packages[self.data["special_lots"].get(number, {"number": number})["number"]][
            index
        ]

    def _resin_stays_in_the_trailer(self) -> None:
        spot = self.stocking.places[("Ptarmigan", "zone 2")]
        self.agenda.do(places.move, "odd", things=[self.package("summer_resin")], to=spot)

    def _rest_of_the_jug_is_thrown_away(self) -> None:
        jug = self.package("TH-2466")
        standing = next(each for each in self.shelf.packages if each.id == jug)
        self._write_off(standing, standing.left, "The cap was off all spring.")

    def _old_remains_are_thrown_away(self) -> None:
        """Before the season: what passed its date, and what no cup can be filled from."""
        day = self.agenda.day(-100)
        for each in self.shelf.packages:
            passed = each.expires_on is not None and each.expires_on < day
            dregs = (
                self.stocking.cards[each.material]["base"] == Base.MG and each.opened and each.left < 100_000
            )
            if each.left and (passed or dregs):
                self._write_off(each, each.left, "Passed its date." if passed else "The rest of an old can.")

    def _write_off(self, package: Standing, amount: int, reason: str) -> None:
        base = Base(self.stocking.cards[package.material]["base"])
        self.agenda.do(
            stock.write_off, "sunniva", thing=package.id, amount=Amount(amount, base), reason=reason
        )
        package.left -= amount

    def _mould_goes_to_the_loft(self) -> None:
        mould = self.stocking.equipment["172 mould"]
        self.agenda.do(
            places.move, "ragna", things=[mould], to=self.stocking.places[(self.data["store"]["name"],)]
        )

    def _glue_is_held(self) -> None:
        number = self.data["special_lots"]["held_glue"]["number"]
        lot = self.stocking.lots[number]
        self.agenda.do(
            stock.hold, "sunniva", things=[lot], reason="Two bottles set in the cap; asked the maker."
        )

    def _blanks_are_moved_in_error(self) -> None:
        spot = self.stocking.places[("Stoat", "zone 2")]
        done = self.agenda.do(places.move, "odd", things=[self.package("K-152")], to=spot)
        again = self.agenda.moment(-2, "16:10")
        undo = partial(self.agenda.do, books.undo, "odd", token=done.token, reason="Wrong trailer.")
        self.agenda.plan(again, undo)

    def _can_is_opened(self) -> None:
        self.agenda.do(stock.open_package, "odd", package=self.package("TR-6641", 1))

    def _can_is_counted(self) -> None:
        can = max(
            (e for e in self.shelf.packages if e.material == "resin" and e.opened), key=lambda e: e.left
        )
        can.left -= UNDER_MG
        self.counted = can.id
        self.agenda.do(stock.count, "sunniva", thing=can.id, amount=Amount(can.left, Base.MG))

    def _load_begins(self) -> None:
        """Three days before the trip some of it is aboard."""
        for name in self.data["begun"]:
            to = self.stocking.places[("Ptarmigan", self.data["travel"][name])]
            self.agenda.do(places.move, "odd", things=[self.stocking.places[(name,)]], to=to)
