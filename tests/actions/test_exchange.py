"""Merging a bundle that somebody changed and signed anew: refused whole; the one as written is taken."""

import io

import pytest

from inventory.formats import bundle
from inventory.models import Event, Line
from tests.laptops import right
from tests.make import grams, refused

CHANGED = {
    "half a milligram": ("line", {"amount": 1.5}),
    "more than a database holds": ("line", {"amount": 2**70}),
    "no amount but text": ("line", {"amount": "5"}),
    "a role nobody knows": ("line", {"role": "eaten"}),
    "a letter of two": ("machine", {"letter": "AB"}),
    "an id that is none": ("machine", {"id": "zz"}),
    "a time that is none": ("event", {"at": "yesterday"}),
    "a number that is true": ("event", {"number": True}),
    "a field too many": ("event", {"skipped": 1}),
}


def packed(laptop, change):
    """The laptop's bundle with rows changed and the end mark made to fit."""
    header, rows = bundle.read(io.BytesIO(laptop.export()))
    file = io.BytesIO()
    bundle.write(file, header, change(rows))
    return file.getvalue()


@pytest.mark.parametrize("what", CHANGED)
def test_bundle_with_a_row_that_the_books_cannot_keep_is_refused_and_as_written_is_not(laptops, what):
    """Nothing of it is written: SQLite by itself would keep a part of a milligram."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        shop.package(amount=grams(100))
    of, values = CHANGED[what]
    bad = packed(a, lambda rows: [(kind, row | values if kind == of else row) for kind, row in rows])
    with refused("merge.unfit", of):
        b.merge(bad, shop.by())
    b.merge(a.export(), shop.by())
    right(b)


@pytest.mark.parametrize("more", [("picture", {"id": 1}), ("line", [1]), ("private", {"card": "user"})])
def test_bundle_with_a_row_of_no_kind_that_travels_is_refused(laptops, more):
    """A kind nobody knows, a row that is a list, a card that is no person's."""
    found, shop = laptops("AB")
    with refused("merge.unfit", more[0]):
        found["B"].merge(packed(found["A"], lambda rows: [*rows, more]), shop.by())


def test_bundle_that_holds_every_row_twice_is_merged_once(laptops):
    """The same row again is the same row."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        shop.package(amount=grams(100))
        events, lines = Event.objects.exclude(step="met").count(), Line.objects.count()
    b.merge(packed(a, lambda rows: [row for row in rows for _ in range(2)]), shop.by())
    right(b)
    with b.in_hand():
        assert (Event.objects.exclude(step="met").count(), Line.objects.count()) == (events, lines)
    assert a.hash() == b.hash()
