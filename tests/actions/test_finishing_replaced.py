"""Another ski in the place of a rejected one: the pair goes on, and nothing of the rejected one is lost."""

import pytest
from django.contrib.auth.models import User

from inventory.actions import books, erasing, finishing, people, press
from inventory.compute.codes import Code
from inventory.models import Event, Hold, Note, Ski
from inventory.queries import bench, build_card, builds, day, mixing, recalls, things, trace
from inventory.queries.books import differences
from inventory.queries.skis_back.reach import reach, spread
from tests import bench_world, press_runs
from tests.make import MONDAY, grams, refused
from tests.reading import Client
from tests.returns import Bench

pytestmark = pytest.mark.django_db
RUN = {"mould": None, "set_kpa": 275, "set_c": 70, "minutes": 120}


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


@pytest.fixture
def pressed(world):
    """A pair whose skis were pressed."""
    skis = press_runs.laid_up(world)
    world.shop.do(press.record_cycle, press=press_runs.machine(world), skis=list(skis), **RUN)
    return world.pairs[-1]


def rejected(world, ski, why="the tip is dry"):
    world.shop.do(finishing.inspect_ski, ski=ski, outcome="reject", why=why)


def passes(world, *skis):
    """Verdict and inspection of each."""
    for ski in skis:
        cycle = things.by_code(Code(bench.newest_cycle([ski]))).id
        world.shop.do(press.judge, cycle=cycle, passed=True, why="held 70 °C")
        world.shop.do(finishing.inspect_ski, ski=ski, outcome="pass", why="straight")


def test_another_ski_takes_the_place_of_a_rejected_one_and_the_pair_is_handed_over(world, pressed):
    """The pair keeps its tag; the new ski begins anew; what was in the rejected one is still found in it."""
    shop = world.shop
    pair, left, right = pressed
    (code,) = things.codes_of([pair])
    rejected(world, right)
    (new,) = shop.do(finishing.replace_ski, ski=right).things
    assert bench.skis_of(pair) == [left, new]
    assert (things.codes_of([pair]), len(set(things.codes_of([pair, left, right, new])))) == ([code], 4)
    row = Ski.objects.get(thing_id=right)
    assert (row.pair_id, row.was_of_id, row.side) == (None, pair, "right")
    assert set(Hold.objects.values_list("thing_id", flat=True)) == {right}
    (standing,) = build_card.standing([builds.pair(pair)])
    assert (standing.rejected, standing.failed, standing.at_bench, standing.begun) == (
        [],
        None,
        "laid up",
        True,
    )
    assert not standing.held
    needs, _, _ = mixing._needs([right, new], first_timers=False)
    assert [row.id for row in needs] == [new]
    shop.do(press.lay_up, ski=new, inputs=[(world.cup(new), grams(80))])
    shop.do(press.record_cycle, press=press_runs.machine(world, "Press 2"), skis=[new], **RUN)
    passes(world, left, new)
    shop.do(press.hand_over, pair=pair)
    resin = world.packages["resin"]
    assert {left, right, new} <= set(trace.forward([resin]).things)
    found = reach([resin])
    where = spread(found.skis, found.pairs)
    assert (where.out, where.strays, where.in_work) == ((pair,), (right,), ())
    assert right in recalls.to_hold(found)
    assert {left, new}.isdisjoint(recalls.to_hold(found))
    assert list(differences()) == []


def test_only_a_rejected_ski_of_a_pair_is_replaced_and_once(world, pressed):
    """Passed or to be worked over it is not; rejected it is; then it is of no pair; it is not undone."""
    shop = world.shop
    pair, _, right = pressed
    with refused("layup.not_a_ski"):
        shop.do(finishing.replace_ski, ski=pair)
    for outcome in ("pass", "rework"):
        shop.do(finishing.inspect_ski, ski=right, outcome=outcome, why="seen")
        with refused("finished.replaces_rejected"):
            shop.do(finishing.replace_ski, ski=right)
    rejected(world, right)
    done = shop.do(finishing.replace_ski, ski=right)
    with refused("finished.of_no_pair"):
        shop.do(finishing.replace_ski, ski=right)
    with refused("books.final", "parted"):
        shop.do(books.undo, token=done.token, reason="the other one")
    rejected(world, done.thing)
    shop.do(finishing.replace_ski, ski=done.thing)
    assert len(bench.skis_of(pair)) == 2


def test_ski_of_a_pair_that_was_handed_over_is_not_made_anew(world, pressed):
    """Its return is logged instead; with the hand-over undone it is made anew."""
    shop = world.shop
    pair, left, right = pressed
    passes(world, left, right)
    over = shop.do(press.hand_over, pair=pair)
    rejected(world, right)
    with refused("finished.handed_over"):
        shop.do(finishing.replace_ski, ski=right)
    shop.do(books.undo, token=over.token, reason="not yet")
    shop.do(finishing.replace_ski, ski=right)


def test_day_sheet_counts_a_rejected_ski_as_one_to_replace_and_not_as_waiting_for_a_step(world, pressed):
    """Pressed, the pair waits for the verdict; rejected, for another ski; with one, for its lay-up."""

    def told():
        return [str(note.sentence) for note in day._bench(world.shop.at.date())]

    _, _, right = pressed
    assert told() == ["1 pair waits for the verdict on its press cycle."]
    rejected(world, right)
    assert told() == ["1 pair has a rejected ski and waits for another in its place."]
    world.shop.do(finishing.replace_ski, ski=right)
    assert told() == ["1 pair waits to be laid up."]


def test_words_about_a_rejected_ski_are_erased_with_its_guest(world, pressed):
    """Though it is of no pair any more."""
    pair, _, right = pressed
    rejected(world, right, why="Ida dropped it")
    world.shop.do(finishing.replace_ski, ski=right)
    noted = Event.objects.filter(step="inspected").values_list("note", flat=True)
    assert Note.objects.filter(id__in=list(noted), text="Ida dropped it").exists()
    world.shop.do(erasing.erase_guest, guest=builds.pair(pair).guest_id)
    assert not Note.objects.filter(id__in=list(noted), text="Ida dropped it").exists()


def test_two_laptops_that_each_made_a_ski_for_one_place_have_three_until_one_is_taken_out(laptops):
    """Nothing is lost; the one that is rejected goes, and no further one is made."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        pair, _, right = shop.pair()
        shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="cracked")
    b.merge(a.export(), shop.by())
    on_a = a.do(finishing.replace_ski, shop.by(), ski=right).thing
    on_b = b.do(finishing.replace_ski, shop.by(), ski=right).thing
    for one, other in ((a, b), (b, a)):
        one.merge(other.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            assert {on_a, on_b} < set(bench.skis_of(pair))
            assert right not in bench.skis_of(pair)
            assert list(differences()) == []
    assert a.hash() == b.hash()
    with a.in_hand():
        shop.do(finishing.inspect_ski, ski=on_b, outcome="reject", why="one too many")
        assert shop.do(finishing.replace_ski, ski=on_b).things == ()
        assert len(bench.skis_of(pair)) == 2
        assert on_b not in bench.skis_of(pair)


def test_owner_is_told_of_a_ski_that_one_laptop_took_out_while_another_handed_the_pair_over(laptops):
    """The pair stands on the recall's list by it; before they met, the ski was of no pair."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        bench_ = Bench(shop)
        built = bench_.pair("TH-1", right="TH-2", over=False)
    b.merge(a.export(), shop.by())
    with b.in_hand():
        shop.do(finishing.inspect_ski, ski=built.right, outcome="reject", why="cracked")
        shop.do(finishing.replace_ski, ski=built.right)
        found_on_b = reach([bench_.jug("TH-2")])
        assert spread(found_on_b.skis, found_on_b.pairs).strays == (built.right,)
    with a.in_hand():
        bench_.hand_over(built)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        ahead = recalls.ahead([bench_.jug("TH-2")], MONDAY.date())
        assert [row.pair.id for row in ahead.owners] == [built.pair]
        assert spread([built.right]).out == (built.pair,)


def test_page_of_a_rejected_ski_makes_another_and_leads_back_to_the_card(world, pressed):
    """The card offers it once a ski is rejected; of one that is not, the page refuses; helpers may not."""
    pair, left, right = pressed
    for name in ("crew", "helper"):
        people.give_way_in(person=getattr(world.shop, name), username=name, password="a-long-one-for-tests")
    client = Client()
    client.force_login(User.objects.get(username="crew"), "django.contrib.auth.backends.ModelBackend")
    own, one, other = things.codes_of([pair, left, right])
    page = f"/finishing/{other}/replace/"
    assert page not in client.get(f"/builds/{own}/card/").content.decode()
    rejected(world, right)
    assert page in client.get(f"/builds/{own}/card/").content.decode()
    assert "the tip is dry" in client.get(page).content.decode()
    assert b"is not rejected" in client.post(f"/finishing/{one}/replace/", {}).content
    answer = client.post(page, {}, follow=True)
    assert answer.redirect_chain[0][0] == f"/builds/{own}/card/"
    assert "takes its place" in answer.content.decode()
    assert "Rejected" not in client.get("/bench/").content.decode()
    told = {thing: client.get(f"/thing/{thing}/").content.decode() for thing in (own, one, other)}
    assert ["Rejected" in told[thing] for thing in (own, one, other)] == [True, False, True]
    assert Code(other).shown in told[own]
    assert Code(own).shown in told[other]
    assert client.get(page).status_code == 404
    client.force_login(User.objects.get(username="helper"), "django.contrib.auth.backends.ModelBackend")
    assert client.get(f"/finishing/{one}/replace/").status_code == 403
