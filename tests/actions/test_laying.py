"""Layer by layer: in order, of the right material, size, side and guest; each refusal beside what passes."""

import pytest

from inventory.actions import builds, laying, materials, press, stock
from inventory.models import Event, Note, Pair
from inventory.queries import bench, build_card
from inventory.queries import laying as queries
from inventory.queries.ledger import name
from tests import bench_world, press_runs
from tests.make import grams, metres, pieces, refused

pytestmark = pytest.mark.django_db
ORDER = ("base", "edge", "glass", "blank")


@pytest.fixture
def world(shop):
    return bench_world.world(shop)


def lay(world, ski, what, **more):
    thing = world.packages.get(what, what)
    return world.shop.do(laying.lay_layer, ski=ski, thing=thing, **more)


def test_layers_in_order_are_each_on_record_and_the_last_one_makes_it_laid_up(world):
    """A scan a layer; from needs, pieces counted; the cup; the printed sheet by the ski's code."""
    _, left, right = world.pair()
    for what in ORDER:
        lay(world, left, what)
        assert not bench.has_step(left, "laid up")
    assert queries.partly([left, right]) == {left: 4}
    first = world.cup(left, resin_g=100, hardener_g=30)
    lay(world, left, first)
    assert queries.state(left).layers[4].laid[0].amount.value == min(
        130_000, queries.state(left).layers[4].need.value
    )
    second = world.cup(left)
    lay(world, left, second)
    lay(world, left, left)  # the code in the artwork
    state = queries.state(left)
    assert state.whole
    assert state.next is None
    assert [laid.basis for layer in state.layers for laid in layer.laid] == [
        "from needs", "from needs", "from needs", "counted", "from needs", "from needs", "counted",
    ]  # fmt: skip
    assert bench.blanks_in(left) == [world.packages["blank"]]
    assert queries.partly([left, right]) == {}
    with refused("layup.whole"):
        lay(world, left, "base")
    press_runs.closed(world, press_runs.machine(world), (left,))


def test_layer_out_of_order_or_of_another_material_is_refused_at_the_scan(world):
    """Glass before edge; a material the card does not name; with a reason it is taken instead."""
    _, left, _ = world.pair()
    lay(world, left, "base")
    with refused("layup.layer_missed", "Layer 2, Edge"):
        lay(world, left, "glass")
    with refused("layup.layer_missed", "Layer 2, Edge"):
        lay(world, left, world.cup(left))
    with refused("layup.layer_missed", "Layer 2, Edge"):
        lay(world, left, left)
    other = world.shop.package("rubber", metres(40), "R-1")
    with refused("layup.other_material", "layer 2 is Edge"):
        lay(world, left, other)
    lay(world, left, other, instead="the edge ran out", amount=metres(3.4), weighed=True)
    event = Event.objects.filter(step="layer added").order_by("-sort").first()
    assert event.facts["instead"] is True
    assert "ran out" not in str(event.facts)
    assert Note.objects.get(id=event.note).text == "the edge ran out"
    lay(world, left, "glass")


def test_layer_on_hold_of_another_guests_sheet_or_of_the_wrong_side_is_refused(world):
    """Said at the scan; the own one passes."""
    pair, left, right = world.pair()
    other, *_ = world.pair("Ola")
    world.shop.do(stock.hold, things=[world.packages["base"]], reason="scratched")
    with refused("stock.on_hold"):
        lay(world, left, "base")
    spare = world.shop.package("base", metres(40), "base-2")
    lay(world, left, spare)
    for what in ORDER[1:]:
        lay(world, left, what)
    lay(world, left, world.cup(left))
    lay(world, left, world.cup(left))
    for wrong in (right, other):
        with refused("layup.other_sheet", name(wrong)):
            lay(world, left, wrong)
    lay(world, left, pair)
    assert bench.has_step(left, "laid up")


def test_layer_of_a_blank_too_short_or_a_second_one_is_refused(world):
    """A blank of 1720 mm in a ski of 1840; one of 1900 passes."""
    shop = world.shop
    _, left, _ = world.pair()
    for what in ORDER[:3]:
        lay(world, left, what)
    blank = shop.names["blank"]
    shop.do(materials.edit_material, material=blank, changes={"length_mm": 1720.0})
    with refused("layup.too_short", "1720.0 mm"):
        lay(world, left, "blank")
    shop.do(materials.edit_material, material=blank, changes={"length_mm": 1900.0})
    lay(world, left, "blank")


def test_layer_from_an_empty_cup_or_one_set_apart_is_refused_and_from_the_next_is_not(world):
    """Nothing is left; or it is off its ratio."""
    shop = world.shop
    _, left, _ = world.pair()
    for what in ORDER:
        lay(world, left, what)
    empty = world.cup(left)
    shop.do(stock.write_off, thing=empty, amount=grams(169), reason="set")
    with refused("layup.cup_empty"):
        lay(world, left, empty)
    with refused("layup.cup_apart"):
        lay(world, left, world.cup(left, hardener_g=36.7, apart=True))
    lay(world, left, world.cup(left))


def test_lay_up_ended_without_all_layers_needs_a_reason_and_says_which_are_missing(world):
    """What is left out stays readable."""
    _, left, _ = world.pair()
    with refused("layup.nothing"):
        world.shop.do(laying.end_lay_up, ski=left, why="no edge")
    lay(world, left, "base")
    with refused("layup.no_why"):
        world.shop.do(laying.end_lay_up, ski=left, why=" ")
    world.shop.do(laying.end_lay_up, ski=left, why="a trial")
    assert queries.state(left).left_out == (2, 3, 4, 5, 6)


def test_lay_up_of_a_ski_without_a_card_or_widths_says_what_to_do(world):
    """No card: in one go. No widths: the amount has to be entered."""
    shop = world.shop
    _, bare, _ = shop.pair("Una")
    with refused("layup.no_card"):
        lay(world, bare, "base")
    shop.do(press.lay_up, ski=bare, inputs=[(world.packages["blank"], pieces(1))])
    pair, left, _ = shop.pair("Eva")
    shop.do(builds.specify, pair=pair, changes={"layup_id": world.layup})
    with refused("layup.no_need"):
        lay(world, left, "base")
    lay(world, left, "base", amount=metres(1.9), weighed=True)


def test_card_after_layered_lay_up_shows_who_mixed_and_waits_for_the_press(world):
    """The same card as after a lay-up in one go."""
    pair, left, right = world.pair()
    for ski in (left, right):
        for what in (*ORDER, world.cup(ski), world.cup(ski), ski):
            lay(world, ski, what)
    (card,) = build_card.standing([Pair.objects.prefetch_related("skis").get(thing_id=pair)])
    assert card.waits.key == "press"
    assert {ski.done["mix"].who for ski in card.skis} == {"Ragna Quill"}
