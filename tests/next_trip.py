"""The demo's next trip: five reasons cured on its pages, and what its pairs take of what is aboard."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.test import Client
from django.utils import timezone

from inventory.actions import press, stock
from inventory.actions.by import By, Done
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.management.season.agenda import data
from inventory.models import Hold, Material, Package, Pair, Person, Place, Ski, Tag, Thing, Trip
from inventory.queries.loading import lines, vehicles
from inventory.queries.stock_list import within
from tests.make import token


def code(thing: object) -> str:
    """The code of a thing."""
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


def place(name: str, inside: str = "Ptarmigan") -> Place:
    """A place by its name and that of what it stands in."""
    return Place.objects.get(name=name, thing__state__place__place_card__name=inside)


def tap(client: Client, page: str, says: str) -> None:
    """Press the one button of a page that says this, with all that stands hidden beside it."""
    text = client.get(page).content.decode()
    forms = re.findall(r'<form method="post" action="([^"]+)">(.*?)</form>', text, re.DOTALL)
    (found,) = [(to, body) for to, body in forms if re.search(rf"<button[^>]*>{says}", body)]
    to, body = found
    values = dict(re.findall(r'name="(\w+)" value="([^"]*)"', body))
    done = client.post(to, values)
    assert (done.status_code, done["Location"]) == (302, page), done.content.decode()[-2000:]


def cure_by_taps(client: Client, row: Trip) -> None:
    """What the trip's own page puts right at a tap: the hardener, the mould, the sheet."""
    page = f"/trips/{row.id}/trip/"
    tap(client, page, "Set ")  # hardener that lasts, out of the Loft
    tap(client, page, "Put [A-Z0-9-]+ on the list")  # the 172 mould
    for _ in ("here", "checked"):
        tap(client, page, "It is ")


def move_rack(client: Client, zone: str) -> None:
    """The rack of solvent into a zone of Ptarmigan, by the page Move."""
    rack = Place.objects.get(name="solvent can rack")
    client.post("/places/move/", {"things": code(rack.thing_id), "to": code(place(zone).thing_id)})


def receive(client: Client, key: str, number: str, amount: str, box: str) -> None:
    """What was short comes in, by the page that its reason leads to, into a bin that goes along."""
    material = Material.objects.get(key=key)
    bin_ = Place.objects.get(name=box)
    lot = {"material": str(material.id), "number": number, "packages": amount, "place": code(bin_.thing_id)}
    done = client.post("/stock/receive/", lot)
    assert done.status_code == 302, done.content.decode()[-3000:]


def receive_edge(client: Client) -> None:
    """A coil of edge, the one thing that is short."""
    receive(client, "edge", "SE-1100", "50 m", "edge box")


def receive_sheet(client: Client) -> None:
    """The fifth pair's printed sheets, as they came from the printer."""
    receive(client, "top-sheet", "P-1016", "2", "print folder")


@dataclass
class Aboard:
    """The packages of a trip's bins and list that its last day may still use; what is taken of each."""

    trip: Trip
    through: date
    left: dict[UUID, int] = field(default_factory=dict)
    keys: dict[str, list[UUID]] = field(default_factory=dict)
    taken: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        held = set(Hold.objects.values_list("thing_id", flat=True))
        there = {"thing__state__place_id__in": within(vehicles(self.trip)), "thing__balance__amount__gt": 0}
        rows = Package.objects.filter(thing__state__place__kind=Kind.BIN, **there) | self._loaded_loose(there)
        for row in rows.select_related("lot__material", "thing__balance").order_by("expires_on", "thing_id"):
            in_date = row.expires_on is None or row.expires_on >= self.through
            if in_date and not held & {row.thing_id, row.lot_id}:
                self.keys.setdefault(row.lot.material.key, []).append(row.thing_id)
                self.left[row.thing_id] = row.thing.balance.amount

    def _loaded_loose(self, there: dict[str, Any]) -> QuerySet[Package]:
        """What the list names beside the bins; not the can that was left in the trailer over the summer."""
        return Package.objects.filter(thing_id__in=[line.thing_id for line in lines(self.trip.id)], **there)

    def take(self, key: str, amount: int, *, whole: bool = False) -> list[tuple[UUID, int]]:
        """From which packages so much is taken; with `whole` all from one, as a cup is weighed."""
        found = []
        self.taken[key] = self.taken.get(key, 0) + amount
        for package in self.keys[key]:
            part = min(self.left[package], amount)
            if part and (part == amount or not whole):
                self.left[package] -= part
                amount -= part
                found.append((package, part))
            if not amount:
                return found
        raise AssertionError(f"{key} runs out aboard: {amount} are missing")


SEASON = data()
CUP = {key: SEASON["cup"][key] for key in ("resin_mg", "hardener_mg")}
SHARES = {card["key"]: (Base(card["base"]), card["a_ski"]) for card in SEASON["materials"] if "a_ski" in card}


def layers(aboard: Aboard, pair: Pair) -> list[tuple[UUID, Amount]]:
    """What one ski of a pair takes beside its resin: lengths and areas by how long it is."""
    found = []
    for key, (base, share) in SHARES.items():
        amount = share * pair.length_mm // 1800 if base in (Base.MM, Base.MM2) else share
        found += [(package, Amount(part, base)) for package, part in aboard.take(key, amount)]
    return found


@dataclass
class Hands:
    """The crew. Its clock is its own, for days that are still to come; or, without one, the day's."""

    today: date
    at: datetime | None = None

    def clock(self, days: int, text: str) -> datetime:
        """So many days after today."""
        at = datetime.combine(self.today + timedelta(days), time.fromisoformat(text))
        return timezone.make_aware(at, timezone.get_default_timezone())

    def by(self, who: str = "Odd Fether", *, at: datetime | None = None, token_: UUID | None = None) -> By:
        if self.at is not None:
            self.at += timedelta(seconds=20)
        person = Person.objects.get(name=who).id
        return By(token=token_ or token(), now=self.at or timezone.now(), person=person, at=at)

    def do(self, action: Callable[..., Done], **values: Any) -> Done:
        return action(self.by(), **values)


def build(hands: Hands, row: Trip) -> Aboard:
    """All pairs of the workshop out of what is aboard: cups, lay-ups, press, a count of a can in between."""
    aboard = Aboard(row, through=hands.today + timedelta(4))
    pairs = list(Pair.objects.filter(workshop_id__in=row.workshops).order_by("thing_id"))
    for pair in pairs:
        for ski in Ski.objects.filter(pair=pair).order_by("side").values_list("thing_id", flat=True):
            inputs = []
            for _ in range(SEASON["cup"]["a_ski"]):
                ((resin, _),) = aboard.take("resin", CUP["resin_mg"], whole=True)
                ((hardener, _),) = aboard.take("hardener", CUP["hardener_mg"], whole=True)
                cup = hands.do(press.record_mix, resin=resin, hardener=hardener, skis=[ski], **CUP).thing
                inputs.append((cup, Amount(sum(CUP.values()), Base.MG)))
            hands.do(press.lay_up, ski=ski, inputs=[*inputs, *layers(aboard, pair)])
    ((cups, part),) = aboard.take("cups", 20)
    hands.do(stock.open_package, package=cups)
    hands.do(stock.draw, package=cups, amount=Amount(part, Base.PIECE))
    hand_over(hands, pairs[0])
    return aboard


def hand_over(hands: Hands, pair: Pair) -> None:
    """The first pair is pressed, inspected, finished, and goes to its guest."""
    skis = list(Ski.objects.filter(pair=pair).values_list("thing_id", flat=True))
    press_ = Thing.objects.get(equipment__name="Press 1").id
    mould = Thing.objects.get(equipment__name="185 mould").id
    cycle = hands.do(press.record_cycle, press=press_, skis=skis, mould=mould, **SEASON["cycle"]).thing
    hands.do(press.judge, cycle=cycle, passed=True, why="Held an hour at 75 °C; flat on the table.")
    for ski in skis:
        hands.do(press.inspect, ski=ski, passed=True, why="Edges sit, no hollow sound, base flat.")
    hands.do(press.finish, skis=skis)
    hands.do(press.hand_over, pair=pair.thing_id)
