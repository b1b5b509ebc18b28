"""How numbers were got, on pages of their own: gathered, a tap away from the sentence, none left out."""

import re

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import people
from inventory.compute.reasons import Basis, How, Input, Level
from inventory.errors import say
from inventory.templatetags.sums import Sum, gathered
from tests import away, make
from tests.returns import TIP, Bench
from tests.views.markup import drawn, read


def sum_of(name: str, rule: str, *values: float) -> Sum:
    inputs = tuple(Input(f"part {at}", value, "g", Basis.MEASURED) for at, value in enumerate(values))
    return Sum(say("{name} is enough.", name=name), Level.FINE, How(rule, "arithmetic", inputs), name)


def test_sums_of_one_rule_are_rows_and_what_they_share_is_said_once():
    """Glue and resin differ in their second part; only that is a column, and the rule stands once."""
    given = [sum_of("glue", "a + b", 7, 30), sum_of("resin", "a + b", 7, 41)]
    (group,) = gathered(given)
    assert group.rows
    assert [line["name"] for line in group.shared] == ["part 0"]
    assert [[value["value"] for value in values] for _, values in group.lines] == [["30"], ["41"]]
    text = drawn("{% load sums %}{% sums given %}", given=given)
    read(text)
    assert (text.count("a + b"), text.count("arithmetic")) == (1, 1)
    assert all(f'id="{name}"' in text for name in ("glue", "resin"))


def test_several_rules_on_the_same_values_stand_above_one_table_of_them():
    """A trailer's axle and nose come of one load; another load is apart."""
    given = [sum_of("axle", "a + b", 7, 30), sum_of("nose", "a x b", 7, 30), sum_of("other", "a - b", 1, 2)]
    assert [[each.place for each in group.sums] for group in gathered(given)] == [["axle", "nose"], ["other"]]
    text = drawn("{% load sums %}{% sums given %}", given=given)
    read(text)
    assert text.count("part 1") == 2
    assert all(rule in text for rule in ("a + b", "a x b", "a - b"))


@pytest.mark.django_db
def test_trip_leads_from_each_reason_to_its_sum_and_to_what_is_fine_supposing_alike(client):
    """Every place that a sentence names is on the other page, once; what is supposed goes along and back."""
    shop = away.plan(make.Shop(at=timezone.now()))
    shop.pair("Ida Ås", 1840, shop.names["workshop"])
    people.give_way_in(person=shop.helper, username="helper", password="a-long-one-for-tests")
    client.force_login(User.objects.get(), "django.contrib.auth.backends.ModelBackend")
    trip = f"/trips/{shop.names['trip']}"
    for search in ("", "?guests=2"):
        page = client.get(f"{trip}/trip/{search}").content.decode()
        checked = client.get(f"{trip}/checked/{search}").content.decode()
        read(checked)
        named = set(re.findall(rf'href="{trip}/checked/{re.escape(search)}#([^"]+)"', page))
        there = re.findall(r'<(?:li|tr|h2) id="([^"]+)"', checked)
        assert len(there) == len(set(there))
        assert named
        assert named <= set(there)
        assert set(re.findall(r'href="#([^"]+)"', checked)) - {"main"} <= set(there)
        assert f'href="{trip}/trip/{search}"' in checked
        assert ("Only supposed" in checked) is bool(search)


@pytest.mark.django_db
def test_suspects_lead_to_every_line_that_is_no_verdict_and_how_it_was_got(client):
    """One of four pairs back: nothing can be judged, and each such line is on the other page."""
    shop = make.Shop(at=timezone.now())
    bench = Bench(shop)
    built = [bench.pair(f"TH-{number % 2}", guest=f"G{number}") for number in range(4)]
    bench.back(built[0].left, came_on=timezone.localdate())
    people.give_way_in(person=shop.helper, username="helper", password="a-long-one-for-tests")
    client.force_login(User.objects.get(), "django.contrib.auth.backends.ModelBackend")
    page = client.get("/skis-back/suspects/").content.decode()
    (link,) = re.findall(r'href="(/skis-back/chance/[^"]+)"', page)
    said = int(re.search(r">(\d+) more things that a returned ski has", page)[1])
    first = client.get(link.replace("&amp;", "&")).content.decode()
    read(first)
    assert first.count('class="suspect"') == min(said, 25)
    assert "Rule:" in first
    assert "No line of these counts" in client.get(f"/skis-back/chance/?failure={TIP}").content.decode()
    assert client.get("/skis-back/chance/?failure=gremlins&page=words").status_code == 200
