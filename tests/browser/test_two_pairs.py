"""Two pairs built by two people on phones, with a hand scanner and a scale that type like keyboards.

Taps and keys are counted, beyond scans and weights; a third phone sees the bench change by itself.
"""

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from inventory.actions import build_steps
from inventory.models import Tag
from inventory.queries.books import differences
from tests import bench_world
from tests.browser.conftest import tick_all
from tests.press_runs import machine

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST = 60
LEFT_OUT = ("blank-glued", "moisture-read", "profiled", "sidewalls", "dry-fit")


@dataclass
class Hands:
    """One person with a phone: taps, keys, scans and weights, each counted."""

    page: Page
    count: Counter[str] = field(default_factory=Counter)

    def tap(self, name: str, role: str = "button") -> None:
        self.page.get_by_role("main").get_by_role(role, name=name, exact=True).click()  # type: ignore[arg-type]
        self.count["taps"] += 1

    def tick(self) -> None:
        self.count["taps"] += tick_all(self.page)

    def choose(self, name: str) -> None:
        self.page.get_by_role("radio", name=name, exact=True).check()
        self.count["taps"] += 1

    def keys(self, text: str, *, enter: bool = True) -> None:
        self.page.keyboard.type(text)
        self.count["keys"] += len(text) + enter
        if enter:
            self.page.keyboard.press("Enter")

    def at(self, name: str) -> None:
        """The cursor is there without a tap."""
        expect(self.page.locator(f"main [name={name}]")).to_be_focused()

    def scan(self, code: str) -> None:
        self.page.keyboard.type(code)
        self.page.keyboard.press("Enter")
        self.count["scans"] += 1

    def weigh(self, text: str) -> None:
        """A scale, a tape or a bar that types what it shows."""
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")
        self.count["weights"] += 1

    def said(self, words: str) -> None:
        expect(self.page.get_by_role("status")).to_contain_text(words)

    def step(self, *names: str) -> None:
        for name in names:
            self.tap(f"Next: {name}", "link")
            self.tap("It is done")
            self.said("Recorded.")


@pytest.fixture
def codes(open_shop) -> dict[str, str]:
    """Two pairs, what they are built of, and two presses: codes by name."""
    open_shop.at = timezone.now()
    world = bench_world.world(open_shop)
    for step in LEFT_OUT:
        open_shop.do(build_steps.change_step, step=step, changes={"ended": True})
    things = dict(world.packages)
    for name in ("Ida", "Ola"):
        pair, left, right = world.pair(name)
        things |= {name: pair, f"{name} left": left, f"{name} right": right}
        things[f"press {name}"] = machine(world, f"Press {name}")
    return {name: Tag.objects.filter(thing_id=thing).first().code for name, thing in things.items()}


def mix(hands: Hands, codes: dict[str, str]) -> list[str]:
    """Every cup the page asks for, as it asks."""
    hands.tap("Next: Mix", "link")
    hands.at("air_c")
    hands.keys("20")
    hands.keys("45")
    hands.keys("18", enter=False)
    hands.choose("no")
    hands.tap("What to pour")
    expect(hands.page.locator("strong.weigh").first).to_be_visible()
    cups: list[str] = []
    while hands.page.locator("strong.weigh").count():
        hands.at("resin")
        resin, hardener = (text.split()[0] for text in hands.page.locator("strong.weigh").all_inner_texts())
        hands.scan(codes["resin"])
        hands.weigh(f"{resin} g")
        hands.scan(codes["hardener"])
        hands.weigh(f"{hardener} g")
        if cups:
            expect(hands.page.get_by_role("status")).not_to_contain_text(cups[-1])
        hands.said("Mixed. Write")
        told = hands.page.get_by_role("status").inner_text()
        cups.append(told.split("Write ")[1].split(" on")[0])
    return cups


def lay_up(hands: Hands, codes: dict[str, str], name: str, cups: list[str]) -> None:
    """Both skis, one scan a layer; the printed sheet by the code in its artwork."""
    hands.tap("Next: Lay-up", "link")
    for side, own in (("left", cups[: len(cups) // 2]), ("right", cups[len(cups) // 2 :])):
        layers = [codes[key] for key in ("base", "edge", "glass", "blank")]
        for number, code in enumerate((*layers, *own, codes[f"{name} {side}"])):
            hands.at("code")
            expect(hands.page.locator("main .notes .why .chip")).to_have_count(number)
            hands.scan(code)
    hands.said("Laid up.")


def press(hands: Hands, codes: dict[str, str], name: str) -> None:
    """Closed and opened, each thing looked at and ticked; judged by a person, as no log was added."""
    hands.tap("Next: Press", "link")
    hands.at("press")
    hands.scan(codes[f"press {name}"])
    hands.tap("Set points")
    hands.tick()
    hands.tap("It is closed")
    hands.said("Closed.")
    hands.tap("Next: Cool", "link")
    hands.tick()
    hands.tap("All seen: it was opened")
    hands.said("Opened.")
    hands.tap("Next: Judge the press cycle", "link")
    hands.choose("passes")
    hands.keys("ok")
    hands.said("Judged.")


def finish(hands: Hands) -> None:
    """Measured with gauges that type; each ski inspected; handed over."""
    hands.step("Trim", "Grind", "Wax, cold, edges covered")
    hands.tap("Next: Measure", "link")
    for _ in range(2):
        hands.at("mass")
        expect(hands.page.locator("[name=mass]")).to_have_value("")
        for shown in ("1800 g", "1840", "130", "98", "120", "6", "0.05"):
            hands.weigh(shown)
        hands.said("Measured.")
    hands.tap("Next: Inspect", "link")
    for _ in range(2):
        hands.choose("passes")
        hands.keys("ok")
        hands.said("Inspected.")
    hands.tap("Next: Hand over", "link")
    hands.tap("Hand over")
    hands.said("Handed over.")


def build(page: Page, codes: dict[str, str], name: str, watch: Callable[[str], None]) -> Counter[str]:
    hands = Hands(page)
    page.goto(f"/builds/{codes[name]}/card/")
    hands.step("Base cut", "Edges fitted", "Core shaped", "Surfaces abraded and wiped")
    cups = mix(hands, codes)
    watch(cups[-1])
    lay_up(hands, codes, name, cups)
    press(hands, codes, name)
    finish(hands)
    return hands.count


def test_two_pairs_by_two_people_take_few_taps_and_the_bench_follows(phone, codes, capsys) -> None:
    """At most 60 taps and keys a pair beyond scans and weights; the wall sees a cup within five seconds."""
    wall = phone("sunniva")
    wall.goto("/bench/")

    def watch(cup: str) -> None:
        expect(wall.locator(".cups")).to_contain_text(cup, timeout=5_000)

    for who, name in (("odd", "Ida"), ("ragna", "Ola")):
        count = build(phone(who), codes, name, watch)
        with capsys.disabled():
            sys.stdout.write(f"\n{name}'s pair by {who}: {dict(count)}\n")
        assert count["taps"] + count["keys"] <= MOST
    expect(wall.get_by_text("No pair is in work.")).to_be_visible(timeout=5_000)
    assert list(differences()) == []
