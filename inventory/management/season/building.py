"""One workshop of the season: booked, loaded, laid up and pressed on day one, finished on day two."""

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import builds, finishing, places, press, stock
from inventory.actions.by import Done
from inventory.compute.units import Amount, Base
from inventory.management.season import logged
from inventory.management.season.shelf import Standing
from inventory.management.season.stocking import Stocking

Tell = Callable[[str], None]
SOUND = "Edges sit, no hollow sound, base flat."
FIRST_BOOKED = -805  # a few days after the shop began
PLAIN = str.maketrans({"ø": "o", "æ": "ae"})
LAST_BUILT = 0  # today nothing has happened yet


@dataclass
class Booked:
    """A booked pair: the pair, left and right ski, its length."""

    pair: UUID
    skis: tuple[UUID, UUID]
    length_mm: int
    why_not: str = ""  # what the verdict of its press cycle says against it; "-": nobody judged it yet
    log: str = ""  # the logger's file of its press cycle


@dataclass
class Workshop:
    """One workshop: what the file says, and what came of it."""

    row: dict[str, Any]
    number: int
    id: UUID | None = None
    pairs: list[Booked] = field(default_factory=list)


class Building:
    """Plans a workshop's days into the agenda."""

    def __init__(self, stocking: Stocking, tell: Tell) -> None:
        self.stocking, self.tell = stocking, tell
        self.agenda, self.data, self.shelf = stocking.agenda, stocking.data, stocking.shelf
        self.workshops: list[Workshop] = []
        self.guests = 0

    def plan(self, row: dict[str, Any], number: int) -> None:
        """Everything of one workshop; of one that is still to come, only what is booked."""
        shop = Workshop(row, number)
        self.workshops.append(shop)
        day, at = row["day"], self.agenda.moment
        self.agenda.plan(at(max(min(day - 70, -4), FIRST_BOOKED), "19:00"), partial(self._book, shop))
        missing = 1 if day > LAST_BUILT else 0  # one guest's sheet is not back from the printer
        if day < 10:
            sheets = partial(self.stocking.print_sheets, f"P-{1000 + number}", row["pairs"] - missing)
            self.agenda.plan(at(min(day - 14, -9), "12:00"), sheets)
        if day > LAST_BUILT:
            return
        self.agenda.plan(at(day - 1, "17:00"), partial(self._load, "Ptarmigan"))
        self.agenda.plan(at(day, "09:00"), partial(self._build, shop))
        self.agenda.plan(at(day + 1, "09:00"), partial(self._finish, shop))
        self.agenda.plan(at(day + 2, "16:00"), partial(self._unload))

    def _book(self, shop: Workshop) -> None:
        day, row = self.agenda.day, shop.row
        shop.id = self.agenda.do(
            builds.plan_workshop,
            "ragna",
            name=row["venue"],
            starts_on=day(row["day"]),
            ends_on=day(row["day"] + 1),
            capacity=row.get("seats"),
            **(self.data["venues"][row["venue"]] if row["day"] > LAST_BUILT else {}),
        ).thing
        names, dice = self.data["names"], self.agenda.dice
        for _ in range(row["pairs"]):
            guest = f"{dice.choice(names['first'])} {dice.choice(names['last'])}"
            length = dice.choice(self.data["lengths"])
            asked = {"guest": guest, "contact": self.contact_of(guest), "length_mm": length}
            done = self.agenda.do(builds.book_pair, "ragna", workshop=shop.id, **asked)
            pair, left, right = done.things
            shop.pairs.append(Booked(pair, (left, right), length))

    def contact_of(self, name: str) -> str:
        """How to reach an invented guest: nobody can be. Every ninth left nothing, every third a telephone.

        Source: RFC 2606, section 2: what ends in .example is nobody's; Ofcom, telephone numbers for drama:
        01632 960000 to 960999 (both from memory).
        """
        self.guests += 1
        if self.guests % 9 == 0:
            return ""
        if self.guests % 3 == 0:
            return f"+44 1632 960{self.guests:03d}"
        latin = unicodedata.normalize("NFKD", name.lower().translate(PLAIN))
        letters = latin.encode("ascii", "ignore").decode().replace(" ", ".")
        return f"{letters}.{self.guests}@guest.example"

    def _load(self, trailer: str) -> None:
        """Every bin that travels goes aboard: one scan a bin, whatever is in it."""
        spots = self.stocking.places
        for name, zone in self.data["travel"].items():
            self.agenda.do(places.move, "odd", things=[spots[(name,)]], to=spots[(trailer, zone)])

    def _unload(self) -> None:
        spots = self.stocking.places
        bins = [spots[(name,)] for name in self.data["travel"]]
        self.agenda.do(places.move, "odd", things=bins, to=spots[(self.data["store"]["name"], "shelves")])

    def _build(self, shop: Workshop) -> None:
        """Lay up and press all pairs of one workshop, two at a time, one in each press."""
        if shop.row.get("one_jug"):
            self._one_jug_only()
        start = self.agenda.moment(shop.row["day"], "09:15")
        apart = 240 if shop.row.get("troubled") else 75
        for turn in range(0, len(shop.pairs), 2):
            for press_number, booked in enumerate(shop.pairs[turn : turn + 2], 1):
                at = start + timedelta(minutes=apart * (turn // 2) + 20 * press_number)
                self.agenda.plan(at, partial(self._one_pair, shop, booked, press_number, at))
        if shop.row.get("troubled"):
            shop.pairs[1].why_not = "The coldest probe stayed at 61 °C: one blanket was off."
            shop.pairs[3].why_not = "-"
            for number, log in ((1, "too-cold"), (3, "with-a-gap"), (4, "reached-late")):
                shop.pairs[number].log = log
        evening = self.agenda.moment(shop.row["day"], "20:30")
        self.agenda.plan(evening, partial(self._day_ends, shop))

    def _one_jug_only(self) -> None:
        """Every other hardener is empty or left at home: five pairs out of one jug."""
        (jug,) = self.stocking.packages["TH-2466"]
        self.shelf.apart.discard(jug)
        others = {each.id for each in self.shelf.packages if each.material == "hardener" and each.id != jug}
        self.shelf.apart |= others

    def _day_ends(self, shop: Workshop) -> None:
        cups = 4 * len(shop.pairs)
        for package, part in self.shelf.take("cups", cups, self.agenda.day(shop.row["day"])):
            self._draw(package, part)
        if shop.row.get("one_jug"):
            (jug,) = self.stocking.packages["TH-2466"]
            self.shelf.apart.add(jug)

    def _draw(self, package: Standing, part: int) -> None:
        self._open(package)
        base = Base(self.stocking.cards[package.material]["base"])
        self.agenda.do(stock.draw, "sunniva", package=package.id, amount=Amount(part, base))

    def _open(self, package: Standing) -> None:
        if not package.opened:
            self.agenda.do(stock.open_package, "odd", package=package.id)
            package.opened = True

    def _one_pair(self, shop: Workshop, booked: Booked, press_number: int, at: datetime) -> None:
        for ski in booked.skis:
            self._lay_up(shop, booked, ski, press_number - 1)
        cycle = self._press(booked, press_number)
        if booked.log:
            logged.plan(self.agenda, cycle, booked.log)
            return
        judged = at + timedelta(minutes=80)
        if booked.why_not != "-":
            self.agenda.plan(judged, partial(self._judge, booked, cycle))

    def _lay_up(self, shop: Workshop, booked: Booked, ski: UUID, bench: int) -> None:
        day = self.agenda.day(shop.row["day"])
        inputs = []
        for _ in range(self.data["cup"]["a_ski"]):
            batch, amount = self._mix(shop, ski, bench)
            inputs.append((batch, amount))
        for key, card in self.stocking.cards.items():
            base, share = Base(card["base"]), self.share(key, booked)
            for package, part in self.shelf.take(key, share, day, bench=bench) if share else ():
                self._open(package)
                inputs.append((package.id, Amount(part, base)))
        self.agenda.do(press.lay_up, "odd", ski=ski, inputs=inputs)

    def share(self, key: str, booked: Booked) -> int:
        """What one ski takes of a material, in base units: lengths and areas by how long it is."""
        card = self.stocking.cards[key]
        share: int = card.get("a_ski", 0)
        return share * booked.length_mm // 1800 if card["base"] in (Base.MM, Base.MM2) else share

    def _mix(self, shop: Workshop, ski: UUID, bench: int) -> tuple[UUID, Amount]:
        """One cup as it was weighed: never to the gram."""
        cup, dice = self.data["cup"], self.agenda.dice
        day = self.agenda.day(shop.row["day"])
        resin_mg = cup["resin_mg"] + 100 * dice.randint(-20, 20)
        hardener_mg = round(resin_mg * cup["hardener_per_hundred"] / 100) + 100 * dice.randint(-5, 5)
        ((resin, _),) = self.shelf.take("resin", resin_mg, day, whole=True, bench=bench)
        ((hardener, _),) = self.shelf.take("hardener", hardener_mg, day, whole=True, bench=bench)
        for package in (resin, hardener):
            self._open(package)
        done: Done = self.agenda.do(
            press.record_mix,
            "sunniva",
            resin=resin.id,
            hardener=hardener.id,
            resin_mg=resin_mg,
            hardener_mg=hardener_mg,
            hardener_per_hundred=cup["hardener_per_hundred"],
            skis=[ski],
        )
        return done.thing, Amount(resin_mg + hardener_mg, Base.MG)

    def _press(self, booked: Booked, press_number: int) -> UUID:
        moulds = {name: id for name, id in self.stocking.equipment.items() if name.endswith(" mould")}
        fits = min(moulds, key=lambda name: abs(int(name.split()[0]) * 10 - booked.length_mm))
        cycle: UUID = self.agenda.do(
            press.record_cycle,
            "ragna",
            press=self.stocking.equipment[f"Press {press_number}"],
            skis=list(booked.skis),
            mould=moulds[fits],
            **self.data["cycle"],
        ).thing
        return cycle

    def _judge(self, booked: Booked, cycle: UUID) -> None:
        why = booked.why_not or "Reached 75 °C and held it for an hour; flat on the table."
        self.agenda.do(press.judge, "ragna", cycle=cycle, passed=not booked.why_not, why=why)

    def _finish(self, shop: Workshop) -> None:
        """The second day: what passed is cut out, inspected, finished and handed over."""
        spoilt = shop.row.get("spoilt", {})
        for number, booked in enumerate(shop.pairs):
            if booked.why_not:
                continue
            if number == spoilt.get("pair"):
                self._spoil(booked, spoilt["why"])
                continue
            for ski in booked.skis:
                self.agenda.do(press.inspect, "sunniva", ski=ski, passed=True, why=SOUND)
            self.agenda.do(press.finish, "sunniva", skis=list(booked.skis))
            self.agenda.do(press.hand_over, "ragna", pair=booked.pair)
        self.tell(
            f"{shop.row['venue']}, {self.agenda.day(shop.row['day']):%d %b %Y}: {len(shop.pairs)} pairs"
        )

    def _spoil(self, booked: Booked, why: str) -> None:
        """The right ski is rejected; another is to be made in its place, and its guest waits for it."""
        left, right = booked.skis
        self.agenda.do(press.inspect, "sunniva", ski=left, passed=True, why=SOUND)
        self.agenda.do(press.finish, "sunniva", skis=[left])
        self.agenda.do(finishing.inspect_ski, "odd", ski=right, outcome="reject", why=why)
        self.agenda.do(finishing.replace_ski, "ragna", ski=right)
