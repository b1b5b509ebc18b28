"""What the shop of the crawl has beside one of everything: the same pages in another state of their thing.

Each function says by its addresses what it is for: a page of a sort is opened once, these beside it.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from io import BytesIO
from typing import Any
from uuid import UUID

from django.urls import reverse
from PIL import Image

from inventory.actions import (
    artwork,
    builds,
    closing,
    equipment,
    finishing,
    loading,
    loggers,
    materials,
    papers,
    press,
    pressing,
    recalls,
    road,
    skis_back,
    tags,
    trips,
    usage,
    warranty,
)
from inventory.compute.codes import Kind, uuid7
from inventory.compute.fold import Trouble
from inventory.compute.press import lists as press_lists
from inventory.compute.units import Amount, Base
from inventory.models import Disagreement, Event, Tag
from inventory.queries import recalls_mock
from tests import make

RATED = {"ratings": [[60.0, 450.0], [100.0, 400.0]], "relief_kpa": 390.0, "frame_kn": 250.0}
PRESS = RATED | {"bladders_mm": [[2100.0, 160.0]], "heated": True, "holds_c": 70.0, "takes_pairs": 1}
SHEET = {"hardener_per_hundred": 30.0, "largest_cup_mg": 500_000, "cure_points": [[60, 4], [70, 2], [80, 1]]}
SET = {"set_kpa": 275.0, "set_c": 70.0, "minutes": 120.0}


def code(thing: UUID) -> str:
    """The code of a thing."""
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


def at(name: str, *values: Any) -> str:
    """An address, things by their codes."""
    return reverse(name, args=values)


def running(shop: make.Shop, today: date, resin: UUID, hardener: UUID) -> Iterator[str]:
    """A press that was closed an hour ago and is watched; on its card the plates of a press."""
    machine = shop.do(equipment.make_equipment, kind=Kind.PRESS, name="Press 2", facts=PRESS).thing
    shop.do(
        equipment.plan_inspection,
        equipment=machine,
        what="hose",
        who="crew",
        every_months=12,
        last_on=today,
    )
    shop.do(
        materials.edit_material,
        material=shop.names["hardener"],
        changes=SHEET | {"resin_id": shop.names["resin"], "density_kg_m3": 980.0},
    )
    _, *skis = shop.pair("Eir Ås")
    cup = shop.mix(resin, hardener)
    for ski in skis:
        shop.do(press.lay_up, ski=ski, inputs=[(cup, make.grams(150))])
    shop.at += timedelta(hours=2)
    watched = {"heated": True, "watcher": shop.crew}
    checked = [item.key for item in press_lists.CLOSING_HEATED]
    cycle = shop.do(
        pressing.close_press, press=machine, skis=skis, mould=None, checked=checked, **SET, **watched
    ).things[0]
    for celsius in (22.0, 48.0, 68.5):
        shop.at += timedelta(minutes=10)
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": celsius, "2": celsius - 3}, kpa=275.0)
    yield at("pressing-cycle", code(cycle))
    yield at("equipment-card", code(machine))
    yield at("equipment-edit", code(machine))
    yield f"{at('pressing-close')}?press={code(machine)}&skis={code(skis[0])}&heated=yes"


def away_and_home(shop: make.Shop, today: date, yard: UUID) -> Iterator[str]:
    """A trip that is on the road, and one that is home and recorded, each with a trailer of its own."""
    for name, back_too in (("Lynx", False), ("Otter", True)):
        trailer = shop.place(Kind.TRAILER, name, yard)
        zone = shop.place(Kind.ZONE, f"{name} front", trailer)
        jug = shop.package("resin", make.grams(2000), f"{name}-1")
        days = {"starts_on": today, "ends_on": today}
        workshop = shop.do(builds.plan_workshop, name=f"{name} hut", **days).thing
        when = {"leaves_on": today, "back_on": today}
        trip = shop.do(trips.plan_trip, name=name, trailers=[trailer], workshops=[workshop], **when).thing
        shop.do(loading.put_on_list, trip=trip, things=[jug], zone=zone)
        shop.do(road.load, trip=trip, thing=jug, sure=["past", "better"])
        shop.do(road.depart, trip=trip)
        shop.do(road.arrive, trip=trip)
        if back_too:
            shop.do(road.come_home, trip=trip)
            shop.do(road.count_home, trip=trip, counts=[(jug, make.grams(1500))])
            shop.do(road.weigh_waste, trip=trip, sort="other", mass_mg=400_000)
            shop.do(usage.record_trip, trip=trip, next_time="A second scale.")
            shop.do(closing.close_workshop, workshop=workshop)
        yield at("trips-trip", trip)
        yield at("road-home", trip)
        yield at("builds-workshop", workshop)
        yield at("closing-reopen" if back_too else "closing-close", workshop)


def came_back(shop: make.Shop, today: date) -> Iterator[str]:
    """A ski that nobody knows, the shop's terms, and a recall that was tried."""
    seen = skis_back.Failed(failure="edge", observed="an edge stands off", came_on=today, zone="tip")
    photo = papers.keep(picture("JPEG"), what="photo", title="the tip")
    unknown = shop.do(skis_back.log_unknown, seen=seen, photos=[photo]).things[0]
    yield at("skis-back-case", unknown)
    terms = {"name": "Winter", "from_on": today - timedelta(30), "to_on": today, "months": 24}
    shop.do(warranty.make_terms, **terms)
    lot = recalls_mock.choices()[0]
    result = recalls_mock.try_out(lot=lot, stopwatch=iter(range(9)).__next__)
    shop.do(recalls.keep_mock_recall, lot=lot, tried_at=shop.at, result=result)


def at_the_bench(shop: make.Shop, pair: UUID, blank: UUID) -> Iterator[str]:
    """Artwork with its file; a lay-up that is not at its end, a ski that was rejected; what can be cut."""
    shop.do(artwork.plan_artwork, pair=pair, printer_days=14, bleed_mm=5)
    shop.do(artwork.attach_artwork, pair=pair, file=artwork.keep(picture("PNG")))
    yield at("artwork-path", code(pair))
    _, left, right = shop.pair("Liv Ås")
    shop.do(press.lay_up, ski=left, inputs=[(blank, make.pieces(1))])
    shop.do(press.lay_up, ski=right, inputs=[(blank, make.pieces(1))])
    shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="the core is cracked")
    yield at("finishing-replace", code(right))
    yield at("laying-layers", code(left))
    yield at("laying-end", code(left))
    sheet = shop.package("base", Amount(4_800_000, Base.MM2), "SH-1")
    size = {"length_mm": 2000.0, "width_mm": 600.0}
    shop.do(materials.edit_material, material=shop.names["base"], changes=size)
    yield at("cutting-cut", code(sheet))


def warm(shop: make.Shop, place: UUID) -> Iterator[str]:
    """A logger's file that was put aside, and is looked at."""
    begins = shop.at - timedelta(days=2)
    rows = [f"{begins + timedelta(hours=n):%Y-%m-%d %H:%M:%S},{18 + n % 7}.0" for n in range(40)]
    sha256 = loggers.put_aside(["\n".join(["Time,Bay (°C)", *rows]).encode()], now=shop.at)
    yield f"{at('loggers-look', code(place))}?sha256={sha256}&zone=UTC"
    yield at("loggers-keep", code(place))


def scanned(shop: make.Shop, jug: UUID, bin_: UUID) -> Iterator[str]:
    """A code printed ahead that nothing bears yet; tags of two kinds chosen at once."""
    shop.do(tags.print_ahead, kind=Kind.BIN, count=2)
    spare = Tag.objects.filter(thing=None).first()
    assert spare is not None
    yield f"/scan/?code={spare.code}"
    yield f"/tags/choose/?codes={code(jug)},{code(bin_)}"


def apart(shop: make.Shop, thing: UUID) -> Iterator[str]:
    """What two laptops said differently, as a merge leaves it: the one thing here that no action writes."""
    events = [str(event) for event in Event.objects.filter(lines__thing=thing).values_list("id", flat=True)]
    row = Disagreement.objects.create(
        id=uuid7(milliseconds=1, random=bytes(10)),
        trouble=Trouble.USED_WHILE_HELD,
        subject=thing,
        events=events[:2],
    )
    yield at("books-settle", row.id)


def picture(kind: str) -> bytes:
    """A picture's file."""
    out = BytesIO()
    Image.new("RGB", (1850, 140)).save(out, kind, dpi=(25, 25))
    return out.getvalue()


def every_kind() -> Iterator[str]:
    """The page of one thing of each kind, and of one that is on hold."""
    kinds = {}
    for found, kind in (
        Tag.objects.filter(thing__isnull=False).values_list("code", "thing__kind").order_by("thing_id")
    ):
        kinds.setdefault(kind, found)
    yield from (at("thing", found) for found in kinds.values())
    held = Tag.objects.filter(thing__holds__isnull=False).earliest("thing_id")
    yield at("thing", held.code)
