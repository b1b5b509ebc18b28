"""A shop with one of everything, and every page that can be reached in it by links: two of each sort, and the
states that `crawl_states` adds.
"""

import re
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, timedelta
from html import unescape
from typing import Any
from uuid import UUID

from django.http import HttpResponseBase
from django.urls import Resolver404, resolve
from django.utils import timezone

from inventory.actions import (
    builds,
    equipment,
    layups,
    materials,
    orders,
    press,
    recalls,
    season,
    stock,
    suppliers,
    trips,
)
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.models import Pair, Ski
from inventory.models import Shop as Card
from tests import crawl_states as states
from tests import make
from tests.architecture.addresses import addresses as every_address
from tests.architecture.test_mirror import NO_PAGE
from tests.returns import Bench

EACH = 2  # pages of one address
FIRST = (
    "/",
    "/help/",
    "/trips/",
    "/day/off-season/",
    "/books/disagreements/",
    "/scan/failed/",
    "/shop/phones/",
    "/help/parts/",
)
NOTHING_BEHIND = "/scan/?code="  # a code of a thing leads on to it; these are of none, or of none yet
NOTHING_THERE = (f"{NOTHING_BEHIND}SA8K-J2MU",)
PRICED = ("/money/", "/orders/", "/sheets/", "/suppliers/")  # not for helpers
# Pages that no walk of a shop at work sees, and where each is seen. What is no page at all, a button that
# leads back, a file, what answers a script, is in `test_mirror.NO_PAGE`.
ELSEWHERE = {
    "shop-first-run": "asks only while there is no owner: browser/test_first_run",
    "bench-board": "a part of the bench's page, which its script asks for: the page has it from the start",
    "papers-show": "a file to save; a page only where the file is gone: test_every_state",
}
_LINK = re.compile(r'<a\b[^>]*?\bhref="(/[^"#]*)')


def fill(shop: make.Shop) -> tuple[str, ...]:
    """One of everything the pages speak of: near today, some of it in trouble; the addresses of its states.

    Files are kept in the data folder: it is the test's own.
    """
    Card.objects.update(demo=True)
    today = timezone.localdate(shop.at)
    yard = shop.place(Kind.YARD, "Hvitmo")
    loft, trailer = shop.place(Kind.STORE, "the Loft", yard), shop.place(Kind.TRAILER, "Stoat", yard)
    zone = shop.place(Kind.ZONE, "zone 1", trailer)
    bins = [shop.place(Kind.BIN, f"bin {number}", loft) for number in (1, 2)]
    resin = shop.package("resin", make.grams(5000), "N-7741-B", place=bins[0])
    hardener = shop.package(
        "hardener", make.grams(1500), "2511", place=bins[0], expires_on=today + timedelta(days=2)
    )
    glue = shop.material("glue", Base.MG)
    jars = shop.do(
        stock.receive_lot,
        material=glue,
        number="CA-9",
        packages=[make.grams(50)] * 5,
        expires_on=today + timedelta(days=9),
        place=bins[1],
    )
    shop.do(stock.hold, things=[jars.things[-1]], reason="set in the cap")
    blank, edge = shop.package("blank", make.pieces(12), "K-33"), shop.package("edge", make.metres(9), "E-1")
    glass = shop.package("glass", Amount(40_000_000, Base.MM2), "TX750 / 0318", place=bins[1])
    first = today + timedelta(days=3)
    workshop = shop.do(builds.plan_workshop, name="Kvitskard", starts_on=first, ends_on=first).thing
    shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=first,
        back_on=first,
        trailers=[trailer],
        workshops=[workshop],
    )
    closes = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1", place=zone).thing
    mould = shop.do(press.put_equipment_into_use, kind=Kind.MOULD, name="184 mould", place=zone).thing
    shop.do(
        equipment.plan_inspection, equipment=closes, what="gauge", who="crew", every_months=12, last_on=None
    )
    pair, left, right = shop.pair("Ida Ås", 1840, workshop)
    shop.pair("مريم", 1600, workshop)
    batch = shop.mix(resin, hardener)
    for ski in (left, right):
        inputs = [(blank, make.pieces(1)), (batch, make.grams(150)), (edge, make.metres(3.7))]
        shop.do(press.lay_up, ski=ski, inputs=[*inputs, (glass, Amount(430_000, Base.MM2))])
    cycle = shop.do(
        press.record_cycle, press=closes, skis=[left, right], mould=mould, set_kpa=300, set_c=70, minutes=70
    ).thing
    shop.do(press.judge, cycle=cycle, passed=True, why="the coldest probe held for 72 min")
    _buy(shop, today, glue)
    shop.do(layups.make_layup, name="Two plies")
    returns = Bench(shop)
    built = returns.pair(guest="Ola Ås")
    returns.back(built.left, came_on=today)
    values = {"name": "One jug", "failure": "edge", "reason": "edges lift"}
    shop.do(recalls.open_recall, roots=[returns.jug("TH-1")], **values)
    return (
        *states.away_and_home(shop, today, yard),
        *states.came_back(shop, today),
        *states.at_the_bench(shop, pair, blank),
        *states.warm(shop, loft),
        *states.scanned(shop, resin, bins[0]),
        *states.apart(shop, resin),
        states.at("records-paper", states.code(built.pair)),
        states.at("places-edit", states.code(zone)),
        states.at("places-edit", states.code(trailer)),
        *states.running(shop, today, resin, hardener),
        *states.every_kind(),
    )


def _buy(shop: make.Shop, today: date, glue: UUID) -> None:
    """A supplier, what is sold there, the season, and what is on order."""
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks", facts={"reach": "by mail"}).thing
    shop.do(
        suppliers.make_offer, supplier=supplier, material=glue, pack=50_000, facts={"prices": [[1, 9_900]]}
    )
    first, last = today - timedelta(9), today + timedelta(90)
    winter = shop.do(season.make_season, name="Winter", starts_on=first, ends_on=last).thing
    lines = [orders.Packs(glue, 50_000, 4, 9_900)]
    shop.do(orders.write_order, supplier=supplier, lines=lines, season=winter)


def begun() -> datetime:
    """When the shop of these pages was filled: a few hours ago."""
    return timezone.now() - timedelta(hours=5)


def outside() -> tuple[str, ...]:
    """What somebody without a way in opens: signing in, and the pages of a tag."""
    pair = states.code(Pair.objects.earliest("thing_id").thing_id)
    ski = states.code(Ski.objects.earliest("thing_id").thing_id)
    return ("/people/sign-in/", f"/OBJ/{ski}", f"/public/{pair}/record/", f"/public/{pair}/pass-on/")


def unseen(addresses: Iterable[str]) -> list[str]:
    """What is wrong with what was seen: pages missed, and reasons not to look that no longer hold."""
    seen = {resolve(address.split("?")[0]).url_name for address in addresses}
    known = {address.name for address in every_address()}
    missed = known - seen - NO_PAGE - ELSEWHERE.keys()
    return [*sorted(map(str, missed)), *sorted(map(str, seen & (NO_PAGE | ELSEWHERE.keys())))]


def markup_of(answer: HttpResponseBase) -> str:
    """The markup of a test client's answer, also of one that comes in pieces; nothing for a file."""
    if not answer.get("Content-Type", "").startswith("text/html"):
        return ""
    return b"".join(answer).decode()


def pages(
    get: Callable[[str], tuple[str, Any]], each: int = EACH, more: tuple[str, ...] = PRICED
) -> Iterator[tuple[str, str, Any]]:
    """Every page by its links, so many at most of each sort: its address, its markup, and the answer.

    Those of `more` are opened however many of their sort there are.
    """
    todo, seen, sorts = deque((*FIRST, *NOTHING_THERE, *more)), {*FIRST, *more}, Counter[str]()
    while todo:
        address = todo.popleft()
        try:
            name = resolve(address.split("?")[0]).url_name or ""
        except Resolver404:
            raise AssertionError(f"a link leads to no page: {address}") from None
        if sorts[name] >= each and address not in more:
            continue
        sorts[name] += address not in more
        markup, answer = get(address)
        if not markup:
            continue
        yield address, markup, answer
        for link in map(unescape, _LINK.findall(markup)):
            if link not in seen and not link.startswith("/static/"):
                seen.add(link)
                todo.append(link)
