"""A shop with something of every kind, and every address of it: what a crawl visits."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import product
from uuid import UUID

from django.contrib.auth.models import User

from inventory.actions import builds, materials, orders, people, press, season, stock, suppliers, trips
from inventory.compute.codes import Kind
from inventory.models import Guest, Material, Person, Tag
from tests.architecture.addresses import Address
from tests.make import Shop, grams, pieces

PRICE = 734_125  # in hundredths; found nowhere else
CONTACT = "ida.aas@guest.example"
REACH = "orders@harpiks.example"
_BACKEND = "django.contrib.auth.backends.ModelBackend"


@dataclass
class Whole:
    """The shop, its people's ways in, and a value for every part of an address."""

    shop: Shop
    pair: UUID
    names: tuple[str, ...] = ()
    values: dict[str, list[str]] = field(default_factory=dict)

    def sign_in(self, client, role: str) -> None:
        """As the person who works so; a stranger is signed out."""
        client.logout()
        if role != "stranger":
            client.force_login(User.objects.get(username=role), backend=_BACKEND)

    def paths(self, address: Address) -> Iterator[str]:
        """The address with every value of every kind of thing in its places."""
        places = re.findall(r"<(?:\w+:)?(\w+)>", address.route)
        for values in product(*(self.values.get(name, ["words"]) for name in places)):
            route = address.route
            for value in values:
                route = re.sub(r"<(?:\w+:)?\w+>", value, route, count=1)
            yield "/" + route


def fill(shop: Shop) -> Whole:
    """One of each: supplier with a price, lot, package, cup, pair of a guest, cycle, press, place, hold."""
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks", facts={"reach": REACH}).thing
    resin = shop.package("resin", number="R-1", supplier=supplier)
    hardener = shop.package("hardener", number="H-9")
    blanks = shop.package("blank", amount=pieces(4), number="K-3")
    offer = shop.do(
        suppliers.make_offer,
        supplier=supplier,
        material=shop.names["resin"],
        pack=5_000_000,
        facts={"prices": [[1, PRICE]]},
    ).thing
    winter = shop.do(
        season.make_season,
        name="Winter",
        starts_on=shop.at.date() - timedelta(9),
        ends_on=shop.at.date() + timedelta(90),
    ).thing
    order, line = shop.do(
        orders.write_order,
        supplier=supplier,
        lines=[orders.Packs(shop.names["resin"], 5_000_000, 2, PRICE)],
        season=winter,
    ).things
    yard = shop.place(Kind.YARD, "Hvitmo")
    store = shop.place(Kind.STORE, "the Loft", inside=yard)
    pair, left, right = shop.pair(guest="Ida Ås-Quillfeather")
    Guest.objects.update(contact=CONTACT)
    cup = shop.mix(resin, hardener)
    for ski in (left, right):
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1)), (cup, grams(150))])
    today = shop.at.date()
    workshop = shop.do(
        builds.plan_workshop, name="High hut", starts_on=today + timedelta(4), ends_on=today + timedelta(5)
    ).thing
    trip = shop.do(
        trips.plan_trip,
        name="High hut",
        leaves_on=today + timedelta(3),
        back_on=today + timedelta(6),
        trailers=[shop.place(Kind.TRAILER, "Wren", inside=yard)],
        workshops=[workshop],
    ).thing
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1", place=store).thing
    shop.do(
        press.record_cycle, press=machine, skis=[left, right], mould=None, set_kpa=300, set_c=80, minutes=25
    )
    held = shop.do(stock.hold, things=[shop.package("glue", number="G-1")], reason="thick")
    for role, person in (("owner", shop.owner), ("crew", shop.crew), ("helper", shop.helper)):
        people.give_way_in(person=person, username=role, password="a-long-one-for-tests")
    whole = Whole(shop, pair)
    whole.names = (
        *Person.objects.values_list("name", flat=True),
        *Guest.objects.values_list("name", flat=True),
    )
    kinds = {}
    for code, kind in Tag.objects.filter(thing__isnull=False).values_list("code", "thing__kind"):
        kinds.setdefault(kind, code)
    whole.values = {
        "code": sorted(kinds.values()),
        "obj": ["OBJ"],
        "key": list(Material.objects.values_list("key", flat=True)[:1]),
        "supplier": [str(supplier)],
        "offer": [str(offer)],
        "season": [str(winter)],
        "order": [str(order)],
        "line": [str(line)],
        "trip": [str(trip)],
        "person": [str(shop.helper)],
        "guest": [str(Guest.objects.get().id)],
        "pair": [str(pair)],
        "about": [str(supplier)],
        "act": [str(held.token)],
        "number": ["1"],
        "page": ["how-a-lot-flows"],
        "step": ["wax", "mix"],
        **{name: ["01890a5d-ac96-774b-bcce-b302099a8057"] for name in _UNKNOWN},
    }
    return whole


_UNKNOWN = (
    "inspection",
    "hold",
    "paper",
    "disagreement",
    "workshop",
    "seat",
    "layup",
    "build",
    "back",
    "recall",
    "mock",
    "terms",
)
