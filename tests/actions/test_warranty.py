"""Warranty terms: a card a season, refused where it cannot be."""

import pytest

from inventory.actions import warranty
from inventory.compute.warranty import Suggests
from inventory.models import WarrantyTerms
from inventory.queries import skis_back
from inventory.queries import warranty as queries
from tests.make import day, refused
from tests.returns import Bench

pytestmark = pytest.mark.django_db
TERMS = {"name": "2026/27", "from_on": day("2026-07-01"), "to_on": day("2027-06-30"), "months": 24}


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("warranty.no_name", {"name": " "}),
        ("warranty.dates_reversed", {"to_on": day("2026-06-30")}),
        ("warranty.months", {"months": -1}),
        ("warranty.months", {"months": 241}),
        ("warranty.cause", {"not_for": ["bad luck"]}),
    ],
)
def test_terms_that_cannot_be_are_refused(shop, code, wrong):
    """Each beside the terms that differ by one fact."""
    with refused(code):
        shop.do(warranty.make_terms, **(TERMS | wrong))
    shop.do(warranty.make_terms, **TERMS)


def test_terms_of_two_seasons_do_not_overlap_and_may_be_changed(shop):
    """One ends before the next begins; an edit of itself is no overlap."""
    terms = shop.do(warranty.make_terms, **TERMS).thing
    with refused("warranty.overlap", "2026/27"):
        shop.do(warranty.make_terms, **(TERMS | {"name": "next", "to_on": day("2028-01-01")}))
    shop.do(warranty.edit_terms, terms=terms, **(TERMS | {"months": 36, "not_for": ["use damage"]}))
    row = WarrantyTerms.objects.get()
    assert (row.months, row.not_for) == (36, ["use damage"])
    with refused("card.unknown"):
        shop.do(warranty.edit_terms, terms=shop.owner, **TERMS)


def test_terms_of_the_season_of_the_hand_over_suggest_for_a_return(shop):
    """Before there are any they cannot say."""
    bench = Bench(shop)
    back = bench.back(bench.pair().left).thing
    assert queries.suggested(skis_back.back(back)).suggests is Suggests.CANNOT_SAY
    shop.do(warranty.make_terms, **TERMS)
    found = queries.suggested(skis_back.back(back))
    assert found.until == day("2028-11-30")
