"""Tags printed ahead and replaced: which codes lead where, and what is refused.

Outside: python-stdnum's ISO 7064 MOD 37-2 checks the codes that are drawn.
"""

import pytest
from stdnum.iso7064 import mod_37_2

from inventory.actions import books, places, stock, tags
from inventory.actions.press import put_equipment_into_use
from inventory.compute.codes import Code, Kind, make
from inventory.models import Event, Tag, Tagging
from inventory.queries import equipment, ledger, stock_list, things
from inventory.queries.books import differences
from inventory.queries.dossier import thing_of
from inventory.queries.dossier.names import named
from inventory.queries.places import tree
from inventory.queries.tags import blank, tagged_by
from tests.make import grams, refused

pytestmark = pytest.mark.django_db


def test_print_ahead_draws_codes_that_are_on_nothing_yet(shop):
    """Twenty codes for bins: all different, all checked, of this laptop, each without a thing."""
    done = shop.do(tags.print_ahead, kind=Kind.BIN, count=20)
    codes = tagged_by(done.token)
    assert len(set(codes)) == 20
    assert {code[:2] for code in codes} == {"BA"}
    for code in codes:
        mod_37_2.validate(code)
        with refused("tag.blank", Code(code).shown):
            thing_of(code)
    assert [code.text for code in blank()] == sorted(codes)
    assert Event.objects.get(step="tags printed").facts == {"kind": "bin", "count": 20}


def test_name_of_a_thing_with_several_tags_is_its_newest_everywhere_and_the_one_before_once_taken_back(shop):
    """The worn tag still leads there; sentences, lists and pages call the thing by the tag that is read."""
    box, press = (
        shop.place(Kind.BIN, "Bin 7"),
        shop.do(put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing,
    )
    package = shop.package()

    def called(thing):
        listed = [row.code for row in equipment.listed() if row.thing == thing]
        listed += [row.code for row in stock_list.rows_of([thing])]
        listed += [Code(row.code).shown for row in tree() if row.id == thing]
        return {
            ledger.name(thing).split()[-1],
            named([thing])[thing].code,
            *(Code(code).shown for code in things.codes_of([thing])),
            *(Code(code.replace("-", "")).shown for code in listed),
        }

    for thing in (box, press, package):
        (first,) = called(thing)
        for _ in range(4):  # codes are drawn at random: by chance alone the newest would be the smallest
            before = called(thing)
            done = shop.do(tags.replace, thing=thing)
            (tie,) = Tagging.objects.filter(event__act=done.token)
            assert called(thing) == {Code(tie.code).shown} != {first}
        shop.do(books.undo, token=done.token, reason="the wrong thing")
        assert called(thing) == before


@pytest.mark.parametrize("count", [0, -1, 201])
def test_print_ahead_of_none_or_too_many_is_refused(shop, count):
    """Two hundred at once are printed; none, or one more, are not."""
    with refused("tag.count", str(count).replace("-", "−")):
        shop.do(tags.print_ahead, kind=Kind.BIN, count=count)
    shop.do(tags.print_ahead, kind=Kind.BIN, count=200)
    assert Tagging.objects.filter(thing=None).count() == 200


def test_print_ahead_sent_twice_prints_once(shop):
    """The same token: the same codes."""
    by = shop.by()
    first = shop.do(tags.print_ahead, by=by, kind=Kind.BIN, count=3)
    again = shop.do(tags.print_ahead, by=by, kind=Kind.BIN, count=3)
    assert again.again
    assert tagged_by(first.token) == tagged_by(again.token)
    assert len(blank()) == 3


def test_a_tag_printed_ahead_is_tied_once_to_its_kind(shop):
    """A bin takes it; a second bin cannot, nor can a package."""
    code = Code(tagged_by(shop.do(tags.print_ahead, kind=Kind.BIN, count=1).token)[0])
    jug = shop.package()
    with refused("tag.wrong_kind", code.shown):
        shop.do(stock.split_package, package=jug, amount=grams(1), into=code)
    bin_ = shop.do(places.make_place, kind=Kind.BIN, name="bin 1", code=code).thing
    assert thing_of(code.text) == bin_
    with refused("tag.taken", code.shown):
        shop.do(places.make_place, kind=Kind.BIN, name="bin 2", code=code)
    assert blank() == []


def test_replace_gives_one_more_code_and_the_old_one_answers(shop):
    """Three tags in a row lead to one jug; nothing else about it changes."""
    jug = shop.package(amount=grams(500))
    old = Tag.objects.get(thing_id=jug).code
    for _ in range(2):
        done = shop.do(tags.replace, thing=jug, why="worn")
        assert thing_of(tagged_by(done.token)[0]) == jug
    assert thing_of(old) == jug
    assert Tag.objects.filter(thing_id=jug).count() == 3
    assert shop.amount(jug) == 500_000
    assert list(differences()) == []


def test_replace_by_a_tag_printed_ahead_ties_that_one(shop):
    """Its own kind's; one of another kind, one in use and one never printed are refused."""
    jug, can = shop.package(), shop.package(number="N-2")
    spare = Code(tagged_by(shop.do(tags.print_ahead, kind=Kind.PACKAGE, count=1).token)[0])
    with refused("tag.taken"):
        shop.do(tags.replace, thing=jug, code=Code(Tag.objects.get(thing_id=can).code))
    with refused("tag.wrong_kind"):
        shop.do(
            tags.replace,
            thing=jug,
            code=Code(tagged_by(shop.do(tags.print_ahead, kind=Kind.BIN, count=1).token)[0]),
        )

    with refused("tag.never_printed"):
        shop.do(tags.replace, thing=jug, code=make(letter="P", machine="A", seed=b"never"))
    shop.do(tags.replace, thing=jug, code=spare)
    assert thing_of(spare.text) == jug


def test_replace_of_a_held_thing_is_done(shop):
    """A hold is for using; a worn tag is replaced all the same."""
    jug = shop.package()
    shop.do(stock.hold, things=[jug], reason="thick")
    done = shop.do(tags.replace, thing=jug)
    assert thing_of(tagged_by(done.token)[0]) == jug


def test_replace_taken_back_frees_the_new_code_only(shop):
    """Tied to the wrong thing: the old code still leads there, the new one to nothing."""
    jug = shop.package()
    old = Tag.objects.get(thing_id=jug).code
    done = shop.do(tags.replace, thing=jug)
    new = tagged_by(done.token)[0]
    shop.do(books.undo, token=done.token, reason="wrong jug")
    assert thing_of(old) == jug
    with refused("tag.blank"):
        thing_of(new)
    assert list(differences()) == []


def test_a_tag_printed_by_one_laptop_and_used_by_another_leads_to_the_thing_on_both(laptops):
    """Printed on A, tied on B before they met again."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    b.merge(a.export(), shop.by())
    with a.in_hand():
        code = Code(tagged_by(shop.do(tags.print_ahead, kind=Kind.BIN, count=1).token)[0])
    b.do(places.make_place, shop.by(), kind=Kind.BIN, name="bin 1", code=code)
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            assert thing_of(code.text)
            assert list(differences()) == []
    assert a.hash() == b.hash()
