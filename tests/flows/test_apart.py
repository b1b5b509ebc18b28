"""Laptops that were apart: what merging makes true, and what people must settle. Story: working-apart.md."""

from datetime import timedelta

from inventory.actions import books, places, stock
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from inventory.models import Balance, Disagreement, Event, State
from inventory.queries.books import differences
from tests.make import grams, refused


def test_two_laptops_that_each_drew_80_of_100_fold_to_nothing_left_60_short_and_one_disagreement(laptops):
    """Neither is refused, nothing is clipped: a count settles it."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    a.do(stock.draw, shop.by(), package=jug, amount=grams(80))
    b.do(stock.draw, shop.by(), package=jug, amount=grams(80))
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            balance = Balance.objects.get(thing_id=jug)
            assert (balance.amount, balance.short) == (0, 60_000)
            row = Disagreement.objects.get()
            assert (row.trouble, row.subject, row.amount, row.settled_by) == ("short", jug, 60_000, None)
            assert list(differences()) == []
    assert a.hash() == b.hash()
    a.do(stock.count, shop.by(), thing=jug, amount=grams(7))
    with a.in_hand():
        assert Disagreement.objects.get().settled_by is not None
        assert Balance.objects.get(thing_id=jug).amount == 7_000
        assert list(differences()) == []


def test_a_count_and_a_draw_made_apart_disagree_and_say_so(laptops):
    """The count may or may not have seen the draw: people look again."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    a.do(stock.count, shop.by(), thing=jug, amount=grams(90))
    b.do(stock.draw, shop.by(), package=jug, amount=grams(30))
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert Disagreement.objects.get().trouble == "count apart"
    a.do(stock.count, shop.by(), thing=jug, amount=grams(60))
    with a.in_hand():
        assert Disagreement.objects.get().settled_by is not None


def test_a_draw_that_knew_the_count_does_not_disagree(laptops):
    """The same count and the same draw, after a meeting, are no disagreement."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    a.do(stock.count, shop.by(), thing=jug, amount=grams(90))
    b.merge(a.export(), shop.by())
    b.do(stock.draw, shop.by(), package=jug, amount=grams(30))
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert not Disagreement.objects.exists()
        assert Balance.objects.get(thing_id=jug).amount == 60_000


def test_a_reversed_delivery_that_was_used_apart_is_suspended_and_counts_once_the_use_is_undone(laptops):
    """Otherwise a recall would miss the ski."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
        delivered = Event.objects.get(step="received").act
    b.merge(a.export(), shop.by())
    drawn = b.do(stock.draw, shop.by(), package=jug, amount=grams(30)).token
    a.do(books.undo, shop.by(), token=delivered, reason="wrong lot")
    with a.in_hand():
        assert not Balance.objects.filter(thing_id=jug).exists()
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert Balance.objects.get(thing_id=jug).amount == 70_000
        assert Disagreement.objects.filter(trouble="reversal suspended").exists()
        assert list(differences()) == []
    a.do(books.undo, shop.by(), token=drawn, reason="it was another jug")
    with a.in_hand():
        assert not Balance.objects.filter(thing_id=jug).exists()
        assert not Disagreement.objects.filter(trouble="reversal suspended").exists()
        assert list(differences()) == []


def test_one_act_scanned_on_two_laptops_counts_once(laptops):
    """A phone that sent its queue to both laptops draws once, and its bottle is one bottle with two codes."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    by = shop.by()
    on_a = a.do(stock.split_package, by, package=jug, amount=grams(10))
    on_b = b.do(stock.split_package, by, package=jug, amount=grams(10))
    assert on_a.things == on_b.things
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            assert Balance.objects.get(thing_id=jug).amount == 90_000
            assert Balance.objects.get(thing_id=on_a.thing).amount == 10_000
            from inventory.models import Tag

            assert Tag.objects.filter(thing_id=on_a.thing).count() == 2
            assert list(differences()) == []
    assert a.hash() == b.hash()


def test_undoing_one_copy_of_a_doubled_act_undoes_the_act(laptops):
    """B undid what the phone had also sent to A: after they met, it is undone."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    by = shop.by()
    a.do(stock.draw, by, package=jug, amount=grams(10))
    b.do(stock.draw, by, package=jug, amount=grams(10))
    b.do(books.undo, shop.by(), token=by.token, reason="not this jug")
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert Balance.objects.get(thing_id=jug).amount == 100_000
        assert list(differences()) == []


def test_the_same_act_with_other_content_on_two_laptops_is_a_disagreement(laptops):
    """One token, two amounts: the first in order counts, and people are told."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    by = shop.by()
    a.do(stock.draw, by, package=jug, amount=grams(10))
    b.do(stock.draw, by, package=jug, amount=grams(11))
    a.merge(b.export(), shop.by())
    with a.in_hand():
        row = Disagreement.objects.get()
        assert row.trouble == "same act differs"
        assert Balance.objects.get(thing_id=jug).amount in {90_000, 89_000}
    a.do(books.settle, shop.by(), disagreement=row.id, how="10 g is right")
    with a.in_hand():
        assert Disagreement.objects.get().settled_by is not None
        assert list(differences()) == []


def test_moved_apart_to_two_places_is_settled_by_the_next_move(laptops):
    """Each laptop put the jug elsewhere; whoever finds it says where it is."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package()
        loft, stoat = shop.place(Kind.STORE), shop.place(Kind.TRAILER)
    b.merge(a.export(), shop.by())
    a.do(places.move, shop.by(), things=[jug], to=loft)
    b.do(places.move, shop.by(), things=[jug], to=stoat)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert Disagreement.objects.get().trouble == "moved apart"
    a.do(places.move, shop.by(), things=[jug], to=loft)
    with a.in_hand():
        assert Disagreement.objects.get().settled_by is not None
        assert State.objects.get(thing_id=jug).place_id == loft
        assert list(differences()) == []


def test_used_apart_while_the_other_held_it_is_a_disagreement(laptops):
    """The laptop that did not know could not refuse; after the meeting it says so, and refuses."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package()
    b.merge(a.export(), shop.by())
    a.do(stock.hold, shop.by(), things=[jug], reason="cloudy")
    b.do(stock.draw, shop.by(), package=jug, amount=grams(1))
    b.merge(a.export(), shop.by())
    with b.in_hand():
        assert Disagreement.objects.get().trouble == "used while held"
    with refused("stock.on_hold"):
        b.do(stock.draw, shop.by(), package=jug, amount=grams(1))


def test_opened_twice_apart_is_open_since_the_earlier(laptops):
    """Two openings of one jug are no disagreement: the earlier counts."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package()
    b.merge(a.export(), shop.by())
    b.do(stock.open_package, shop.by(), package=jug)
    first = shop.at
    shop.at += timedelta(days=2)
    a.do(stock.open_package, shop.by(), package=jug)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert State.objects.get(thing_id=jug).opened_at == first
        assert not Disagreement.objects.exists()


def test_a_bundle_with_a_gap_is_refused_and_the_whole_one_is_not(laptops):
    """Numbers of a machine go on where this laptop's knowledge ends."""
    import io

    from inventory.formats import bundle

    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with b.in_hand():
        shop.names.clear()
        jug = shop.package()
    for _ in range(3):
        b.do(stock.draw, shop.by(), package=jug, amount=grams(1))
    whole = b.export()
    header, rows = bundle.read(io.BytesIO(whole))
    numbers = [values["number"] for kind, values in rows if kind == "event" and values["step"] == "drawn"]
    gone = min(numbers) + 1
    kept = [
        row
        for row in rows
        if not (row[0] == "event" and row[1]["step"] == "drawn" and row[1]["number"] == gone)
    ]
    file = io.BytesIO()
    bundle.write(file, header, kept)
    with refused("merge.gap", str(gone + 1)):
        a.merge(file.getvalue(), shop.by())
    a.merge(whole, shop.by())


def test_two_laptops_with_one_letter_refuse_each_other(laptops):
    """Their codes could collide; with letters of their own they merge."""
    found, shop = laptops("AB")
    from uuid import UUID

    from inventory.models import Machine

    with found["B"].in_hand():
        Machine.objects.filter(here=True).update(id=UUID(int=99), letter="A")
    with refused("merge.letter", "A"):
        found["A"].merge(found["B"].export(), shop.by())


def test_a_machine_whose_clock_is_ahead_drags_the_clock_and_the_meeting_says_so(laptops):
    """The order stays the order of knowledge; how far ahead is written down."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    right = shop.at
    shop.at += timedelta(hours=5)
    b.do(stock.draw, shop.by(), package=jug, amount=grams(1))
    shop.at = right
    a.merge(b.export(), shop.by())
    a.do(stock.count, shop.by(), thing=jug, amount=grams(50))
    with a.in_hand():
        met = Event.objects.filter(step="met").order_by("-sort").first()
        (ahead,) = met.facts["ahead"].values()
        assert 4.9 * 3600e6 < ahead < 5.1 * 3600e6
        assert Balance.objects.get(thing_id=jug).amount == 50_000


def test_one_delivery_sent_to_two_laptops_of_which_one_knew_the_lot_is_one_package(laptops):
    """On A the act bears lot and package, on B the package only: after they met it is one package."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        resin = shop.material("resin", Base.MG)
    b.merge(a.export(), shop.by())
    delivery = {"material": resin, "number": "N-1", "packages": [grams(5)]}
    b.do(stock.receive_lot, shop.by(), **delivery)
    by = shop.by()
    on_a = a.do(stock.receive_lot, by, **delivery)
    on_b = b.do(stock.receive_lot, by, **delivery)
    assert on_a.things[-1] == on_b.things[-1]
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    assert a.hash() == b.hash()
    with a.in_hand():
        assert Balance.objects.get(thing_id=on_a.things[-1]).amount == 5_000
        assert list(differences()) == []
