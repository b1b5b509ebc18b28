"""Many scans in a row with a hand scanner: with and without signal, each ends in the books exactly once.

Outside: axe for the page; the browser's own switch for the signal.
"""

import random
from collections import Counter
from functools import partial
from typing import Any
from urllib.parse import parse_qs

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, expect

from inventory.compute.codes import Kind
from inventory.models import Event, ScanFailed, State, Tag
from inventory.queries.books import differences
from tests.make import Shop, grams, pieces

pytestmark = pytest.mark.browser


def code_of(thing: object) -> str:
    return Tag.objects.get(thing_id=thing).code


def scan(page: Page, text: str) -> None:
    """A hand scanner types, then sends Enter; nothing on the screen is touched."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def all_sent(page: Page) -> None:
    expect(page.locator("[data-waits]")).to_be_hidden(timeout=15_000)


def first_answers_last(sent: list[str], held: str, route: Route) -> None:
    """A fault on the way for what holds a text, until anything else was answered."""
    body = route.request.post_data or ""
    if held in body and not sent:
        return route.fulfill(status=502)
    sent.append(body)
    return route.continue_()


@pytest.fixture
def bins(open_shop: Shop) -> dict[str, Any]:
    """Two bins in a store, and a trailer."""
    store = open_shop.place(Kind.STORE, "the Loft")
    return {
        "one": open_shop.place(Kind.BIN, "bin 1", store),
        "two": open_shop.place(Kind.BIN, "bin 2", store),
        "trailer": open_shop.place(Kind.TRAILER, "Stoat"),
    }


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_scans_with_half_of_them_out_of_reach_end_in_the_books_exactly_once(
    phone: Any, open_shop: Shop, bins: dict[str, Any], seed: int
) -> None:
    """Signal comes and goes, some answers are lost after the server wrote, the page is loaded again."""
    draw = random.Random(seed)
    jugs = [open_shop.package("resin", grams(100), number=f"N-{n}") for n in range(12)]
    page = phone("sunniva")
    page.goto("/scan/many/")
    lose = [False]

    def answer(route: Route) -> None:
        if lose[0] and draw.random() < 0.5:
            route.fetch()  # the server has it, the phone never hears of it
            route.abort()
        else:
            route.continue_()

    page.route("**/scan/send/", answer)
    scan(page, code_of(bins["one"]))
    away = [True] * 6 + [False] * 6
    draw.shuffle(away)
    for number, (jug, gone) in enumerate(zip(jugs, away, strict=True)):
        page.context.set_offline(gone)
        lose[0] = not gone and draw.random() < 0.6
        scan(page, code_of(jug))
        if number == 7:
            page.context.set_offline(False)
            page.reload()
    page.context.set_offline(False)
    lose[0] = False
    all_sent(page)
    moved = Counter(Event.objects.filter(step="moved").values_list("lines__thing_id", flat=True))
    assert moved == Counter(dict.fromkeys(jugs, 1))
    assert set(State.objects.filter(thing_id__in=jugs).values_list("place_id", flat=True)) == {bins["one"]}
    assert list(differences()) == []


def test_scans_to_a_place_scanned_last_and_to_the_next_place(
    phone: Any, open_shop: Shop, bins: dict[str, Any]
) -> None:
    """Jugs wait for their bin, a bin for its trailer; in the other way a second bin is the next place.

    What waits survives a second tab; one that is sent again after a newer one says that it is the older.
    """
    jugs = [open_shop.package("resin", grams(100), number=f"N-{n}") for n in range(4)]
    page = phone("odd")
    page.goto("/scan/many/")
    page.get_by_label("Move to the place scanned last").check()
    other = page.context.new_page()
    other.goto("/scan/many/")
    page.bring_to_front()
    for thing in (jugs[0], jugs[1]):
        scan(page, code_of(thing))
    other.get_by_label("Beep").check()
    other.close()
    page.reload()
    expect(page.locator("[data-ten] li")).to_have_count(2)
    for thing in (bins["one"], bins["one"], bins["trailer"]):
        page.wait_for_timeout(750)  # the same code at once would be a scanner that bounces
        scan(page, code_of(thing))
    all_sent(page)
    page.get_by_label("Move to the place scanned first").check()
    sent: list[str] = []
    page.route("**/scan/send/", partial(first_answers_last, sent, f"to={code_of(bins['two'])}"))
    for thing in (bins["two"], jugs[2], jugs[3]):
        scan(page, code_of(thing))
    page.wait_for_timeout(1_100)  # the server is told whole seconds
    for thing in (bins["one"], jugs[3]):
        scan(page, code_of(thing))
    all_sent(page)
    newer, older = (parse_qs(body) for body in sent if code_of(jugs[3]) in body)
    assert (newer["to"], older["to"]) == ([code_of(bins["one"])], [code_of(bins["two"])])
    assert newer["again"] == older["again"] == ["1"]
    assert int(older["ago"][0]) > int(newer["ago"][0])
    places = dict(State.objects.values_list("thing_id", "place_id"))
    assert [places[jug] for jug in jugs[:3]] == [bins["one"], bins["one"], bins["two"]]
    assert places[bins["one"]] == bins["trailer"]
    expect(page.locator("[data-ten]")).to_contain_text("Moved to bin 1.")
    expect(page.get_by_role("status").first).to_contain_text("Moved to bin 2.")
    assert Axe().run(page).violations_count == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_scan_is_taken_back_sent_or_not(phone: Any, open_shop: Shop, bins: dict[str, Any]) -> None:
    """One in the books is reversed, as is one that met a fault first; one that never left leaves no trace."""
    jug, can = (open_shop.package("resin", grams(100), number=f"N-{n}") for n in range(2))
    page = phone("sunniva")
    page.goto("/scan/many/")
    scan(page, code_of(bins["one"]))
    scan(page, code_of(jug))
    all_sent(page)
    page.get_by_role("button", name="Take it back").first.click()
    all_sent(page)
    expect(page.locator("[data-ten]")).to_contain_text("Taken back.")
    page.get_by_label("Count: one piece each").check()
    page.get_by_label("Open").check()
    page.route("**/scan/send/", lambda route: route.abort())
    scan(page, code_of(can))
    expect(page.locator("[data-waits]")).to_contain_text("1")
    page.unroute("**/scan/send/")
    all_sent(page)
    page.route("**/scan/send/", lambda route: route.fulfill(status=502), times=2)
    scan(page, code_of(jug))
    expect(page.locator("[data-waits]")).to_contain_text("1")
    page.get_by_role("button", name="Take it back").first.click()
    all_sent(page)
    steps = list(Event.objects.order_by("clock").values_list("step", flat=True))
    assert steps[-5:] == ["moved", "reversed", "opened", "opened", "reversed"]
    page.context.set_offline(True)
    scan(page, code_of(bins["two"]))
    scan(page, code_of(jug))
    page.get_by_role("button", name="Take it back").first.click()
    page.context.set_offline(False)
    all_sent(page)
    assert Event.objects.filter(step="opened", lines__thing_id=jug).count() == 1, "the one before"


def test_wrong_scans_say_so_and_the_others_go_on(phone: Any, open_shop: Shop, bins: dict[str, Any]) -> None:
    """Misread, too short, resin counted by the piece: each its sentence; a box of blanks is counted."""
    jug = open_shop.package("resin", grams(100))
    box = open_shop.package("blank", pieces(3))
    page = phone("sunniva")
    page.goto("/scan/many/")
    page.get_by_label("Count: one piece each").check()
    for text, says in (
        ("SA8KJ2MX", "misread"),
        ("123", "3 characters"),
        (code_of(jug), "kept in"),
        (f"https://qfb.example/obj/{code_of(box)}", "Counted: one piece."),
    ):
        scan(page, text)
        expect(page.locator("[data-told]")).to_contain_text(says)
    all_sent(page)
    assert open_shop.amount(box) == 1
    assert sorted(ScanFailed.objects.values_list("text", flat=True)) == ["123", "SA8KJ2MX"]
    assert list(Event.objects.filter(step="counted").values_list("lines__thing_id", flat=True)) == [box]
