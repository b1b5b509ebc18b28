"""Finished skis: measured beside the spec; pass, rework, reject; what a rejected one gives back."""

import re

import pytest
from django.contrib.auth.models import User

from inventory.actions import finishing, laying, people, press
from inventory.compute.finished import Measured
from inventory.models import Hold
from inventory.queries import bench, build_card, things
from inventory.queries import finishing as queries
from tests import bench_world, press_runs
from tests.make import metres, pieces, refused
from tests.reading import Client

pytestmark = pytest.mark.django_db
GOOD = Measured(1_790_000, 1841.0, 130.4, 98.2, 119.6, 6.5, 0.05)


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


@pytest.fixture
def pressed(world):
    """A pair whose skis were pressed."""
    skis = press_runs.laid_up(world)
    world.shop.do(
        press.record_cycle,
        press=press_runs.machine(world), skis=list(skis), mould=None, set_kpa=275, set_c=70, minutes=120,
    )  # fmt: skip
    return world.pairs[-1]


def test_measures_of_both_skis_stand_beside_the_spec_with_their_own_radius(world, pressed):
    """The radius of the measured widths by the rule of the spec; a deeper sidecut is a smaller one."""
    pair, left, right = pressed
    before = queries.finished_pair(pair)
    assert before.verdict.level == 2
    world.shop.do(finishing.measure_ski, ski=left, measured=GOOD)
    deeper = Measured(1_800_000, 1840.0, 130.0, 96.5, 120.0, 6.0, 0.0)
    world.shop.do(finishing.measure_ski, ski=right, measured=deeper)
    found = queries.finished_pair(pair)
    assert [ski.measured for ski in found.skis] == [GOOD, deeper]
    assert found.skis[1].radius.radius_m < found.spec_radius.radius_m
    off = found.skis[1].radius.radius_m - found.spec_radius.radius_m
    assert found.skis[1].off_m == pytest.approx(off, abs=0.1)
    assert any("waist width differs by 1.7 mm" in str(reason.sentence) for reason in found.verdict.reasons)
    (card,) = build_card.standing([bench_pair(pair)])
    assert all(ski.done["measure"].reading for ski in card.skis)


def test_radius_that_was_ordered_is_never_shown_as_measured(world, pressed):
    """A ski with half of its widths has no radius; with all it is told how far off the ordered one."""
    pair, left, right = pressed
    people.give_way_in(person=world.shop.crew, username="odd", password="a-long-one-for-tests")
    desk = Client()
    desk.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    code = {thing: things.codes_of([thing])[0] for thing in (pair, left, right)}

    def told(page):
        text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", desk.get(page).content.decode()))
        return text[text.lower().find("sidecut radius") :]

    found = queries.finished_pair(pair)
    assert found.spec_radius is not None
    assert [ski.radius for ski in found.skis] == [None, None]
    assert told(f"/finishing/{code[pair]}/pair/").count("not measured") == 2
    world.shop.do(finishing.measure_ski, ski=left, measured=Measured(1_800_000, waist_mm=96.5, tip_mm=130.0))
    assert queries.finished_pair(pair).skis[0].radius is None
    deeper = Measured(1_800_000, 1840.0, 130.0, 96.5, 120.0, 6.0, 0.0)
    world.shop.do(finishing.measure_ski, ski=left, measured=deeper)
    ordered, built = found.spec_radius.radius_m, queries.finished_pair(pair).skis[0].radius.radius_m
    off = f"{float(f'{ordered:.1f}') - float(f'{built:.1f}'):.1f}"
    assert f"{built:.1f} m, {off} m less" in told(f"/finishing/{code[pair]}/pair/")
    assert f"as ordered {ordered:.1f} m. As measured, left: {built:.1f} m, {off} m less." in told(
        f"/thing/{code[left]}/"
    )
    assert "not measured" in told(f"/thing/{code[right]}/")


def bench_pair(pair):
    from inventory.queries import builds

    return builds.pair(pair)


def test_measures_of_what_was_not_pressed_or_not_weighed_or_no_ski_are_refused(world, pressed):
    """The same measures of a pressed ski are kept."""
    pair, left, _ = pressed
    _, bare, _ = world.pair("Una")
    with refused("press.not_pressed"):
        world.shop.do(finishing.measure_ski, ski=bare, measured=GOOD)
    with refused("layup.not_a_ski"):
        world.shop.do(finishing.measure_ski, ski=pair, measured=GOOD)
    with refused("finished.nothing"):
        world.shop.do(finishing.measure_ski, ski=left, measured=Measured(length_mm=1840.0))
    with refused("finished.measure"):
        world.shop.do(finishing.measure_ski, ski=left, measured=Measured(1_800_000, tip_mm=13.0))
    world.shop.do(finishing.measure_ski, ski=left, measured=GOOD)


def test_inspection_passes_asks_for_rework_or_rejects_each_with_a_reason(world, pressed):
    """A rejected ski is on hold; one that was worked over passes at its next inspection."""
    _, left, right = pressed
    with refused("press.no_why"):
        world.shop.do(finishing.inspect_ski, ski=left, outcome="pass", why="")
    with refused("finished.outcome"):
        world.shop.do(finishing.inspect_ski, ski=left, outcome="fine", why="straight")
    world.shop.do(finishing.inspect_ski, ski=left, outcome="rework", why="the edge is proud")
    assert bench.last_verdict(left, "inspected") is False
    assert not Hold.objects.exists()
    world.shop.do(finishing.inspect_ski, ski=left, outcome="pass", why="ground again")
    assert bench.last_verdict(left, "inspected") is True
    with refused("finished.bonded"):
        back = [(world.packages["edge"], metres(1))]
        world.shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="delaminated", back=back)
    world.shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="delaminated")
    assert set(Hold.objects.values_list("thing_id", flat=True)) == {right}


def test_reject_before_the_press_gives_back_no_more_than_went_in_and_no_resin(world):
    """Edge and blank go back into their packages; a cup does not."""
    shop = world.shop
    _, left, _ = world.pair()
    before = {key: shop.amount(world.packages[key]) for key in ("edge", "blank")}
    for what in ("base", "edge", "glass", "blank"):
        shop.do(laying.lay_layer, ski=left, thing=world.packages[what])
    cup = world.cup(left)
    shop.do(laying.lay_layer, ski=left, thing=cup)
    used = before["edge"] - shop.amount(world.packages["edge"])
    reject = {"ski": left, "why": "set before it was closed"}
    with refused("finished.not_rejected"):
        shop.do(
            finishing.inspect_ski, **reject, outcome="rework", back=[(world.packages["blank"], pieces(1))]
        )
    for thing, amount in ((cup, bench_world.grams(1)), (world.packages["blank"], pieces(2))):
        with refused("finished.not_in_it"):
            shop.do(finishing.inspect_ski, **reject, outcome="reject", back=[(thing, amount)])
    back = [(world.packages["edge"], metres(used / 1000)), (world.packages["blank"], pieces(1))]
    shop.do(finishing.inspect_ski, **reject, outcome="reject", back=back)
    assert {key: shop.amount(world.packages[key]) for key in ("edge", "blank")} == before
    with refused("finished.not_in_it"):
        shop.do(finishing.inspect_ski, **reject, outcome="reject", back=back)


def test_pages_measure_inspect_and_show_a_pair(world, pressed):
    """Typed by a gauge, each with Enter; what is wrong is said; a helper does not inspect."""
    _, left, _ = pressed
    people.give_way_in(person=world.shop.crew, username="odd", password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="odd"), "django.contrib.auth.backends.ModelBackend")
    code = things.codes_of([left])[0]
    page = f"/finishing/{code}"

    def text(answer):
        return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))

    assert "Not all is measured" in text(client.get(f"{page}/pair/"))
    assert client.post(f"{page}/measure/", {"mass": "18 g"}).status_code == 409
    assert client.post(f"{page}/measure/", {"mass": "heavy"}).status_code == 422
    sent = {"mass": "1790 g", "length_mm": "1841", "tip_mm": "130.4", "waist_mm": "98.2", "tail_mm": "119.6"}
    assert client.post(f"{page}/measure/", sent).status_code == 302
    assert "1790 g" in text(client.get(f"{page}/pair/"))
    assert client.post(f"{page}/inspect/", {"outcome": "pass", "why": ""}).status_code == 422
    assert client.post(f"{page}/inspect/", {"outcome": "pass", "why": "straight"}).status_code == 302
    assert client.get(f"/finishing/{things.codes_of([world.packages['edge']])[0]}/pair/").status_code == 404


def test_page_of_tolerances_changes_what_is_looked_at_again(world, pressed):
    """1.7 mm between the two waists is beyond the shipped 0.5 mm, and within 2 mm."""
    _, left, right = pressed
    for ski, waist in ((left, 98.2), (right, 96.5)):
        world.shop.do(finishing.measure_ski, ski=ski, measured=Measured(1_790_000, 1841.0, waist_mm=waist))
    people.give_way_in(person=world.shop.owner, username="ragna", password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend")

    def told() -> str:
        return " ".join(str(each.sentence) for each in queries.finished_pair(pressed[0]).verdict.reasons)

    assert "0.5 mm may be" in told()
    assert client.post("/shop/limits/", {"pair_width": "-1"}).status_code == 422
    assert client.post("/shop/limits/", {"dry_pct": "12"}).status_code == 409
    assert "0.5 mm may be" in told()
    assert client.post("/shop/limits/", {"pair_width": "2", "width": "2"}).status_code == 302
    assert "may be" not in told()
    assert 'value="2.0"' in client.get("/shop/limits/").content.decode()
