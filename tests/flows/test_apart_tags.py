"""Laptops that were apart: one printed tag on two things. Story: working-apart.md."""

from inventory.actions import books, stock
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind, read
from inventory.compute.units import Base
from inventory.models import Disagreement, Tag
from inventory.queries.books import differences
from tests.laptops import meet, right
from tests.make import grams


@happening
def print_two(act: Act, /) -> None:
    """Two tags for packages, printed ahead."""
    act.print_ahead(Kind.PACKAGE, 2)
    act.record("tags printed")


@happening
def tie_one_more(act: Act, /, *, thing, code: Code) -> None:
    """One more tag on a package."""
    act.tie(thing, Kind.PACKAGE, code)
    act.record("tag replaced", observed=[Entry(thing)])


def printed(a, b, shop):
    """The material and two empty tags that both laptops know."""
    with a.in_hand():
        resin = shop.material("resin", Base.MG)
        shop.do(print_two)
        codes = [read(text) for text in Tag.objects.filter(thing=None).values_list("code", flat=True)]
    meet(a, b, shop)
    return resin, codes


def told(laptop):
    """The things that disagree about a tag."""
    with laptop.in_hand():
        rows = Disagreement.objects.filter(trouble="one code two things", settled_by__isnull=True)
        return list(rows.values_list("subject", flat=True))


def test_one_tag_on_two_things_is_a_disagreement_until_one_of_them_is_undone(laptops):
    """Undoing the second delivery ends it on every laptop; the first keeps the tag."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    resin, (tag, _) = printed(a, b, shop)
    values = {"material": resin, "number": "N", "packages": [grams(5)], "codes": [tag]}
    first = a.do(stock.receive_lot, shop.by(), **values)
    second = b.do(stock.receive_lot, shop.by(), **values)
    meet(a, b, shop)
    right(a, b)
    assert told(a) == told(b) == [second.things[-1]]
    b.do(books.undo, shop.by(), token=second.token, reason="another tag")
    assert told(b) == []
    a.merge(b.export(), shop.by())
    right(a, b)
    assert told(a) == []
    with a.in_hand():
        assert Tag.objects.get(code=tag.text).thing_id == first.things[-1]


def test_one_thing_with_two_tags_of_others_disagrees_about_both(laptops):
    """Each of the two is settled for itself."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    resin, (one, other) = printed(a, b, shop)
    values = {"material": resin, "number": "N"}
    a.do(stock.receive_lot, shop.by(), **values, packages=[grams(5)] * 2, codes=[one, other])
    jug = b.do(stock.receive_lot, shop.by(), **values, packages=[grams(5)], codes=[one]).things[-1]
    b.do(tie_one_more, shop.by(), thing=jug, code=other)
    meet(a, b, shop)
    right(a, b)
    assert told(a) == told(b) == [jug, jug]
    with a.in_hand():
        row = Disagreement.objects.filter(subject=jug).order_by("id").first()
        books.settle(shop.by(), disagreement=row.id, how="a new tag is on it")
        assert list(differences()) == []
    assert told(a) == [jug]
