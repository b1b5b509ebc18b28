"""One press closed by two laptops that were apart."""

from inventory.actions import pressing
from inventory.compute.fold import Trouble
from inventory.models import Disagreement
from inventory.queries import disagreements
from tests import bench_world, press_runs
from tests import laptops as room


def closes(laptop, shop, world, on, skis):
    """One laptop records that it closed the press on these skis."""
    return laptop.do(pressing.close_press, shop.by(), **press_runs.closing(world, on, skis)).things[0]


def ready(found, shop):
    """A press and two pairs laid up, known to both laptops."""
    with found["A"].in_hand():
        world = bench_world.world(shop)
        on = press_runs.machine(world)
        pairs = [press_runs.laid_up(world, name) for name in ("Ida", "Ola")]
    room.meet(found["A"], found["B"], shop)
    return world, on, pairs


def test_press_when_two_laptops_closed_it_at_once_is_a_disagreement_that_both_see(laptops) -> None:
    """Neither cycle is lost; people settle which press it was."""
    found, shop = laptops("AB")
    world, on, (first, second) = ready(found, shop)
    closes(found["A"], shop, world, on, first)
    closes(found["B"], shop, world, on, second)
    room.meet(found["A"], found["B"], shop)
    for laptop in found.values():
        with laptop.in_hand():
            row = Disagreement.objects.get()
            assert (row.trouble, row.subject) == (Trouble.CLOSED_APART, on)
            assert len(disagreements.open_ones()[0].sides) == 2
    room.right(*found.values())


def test_press_when_it_was_opened_before_the_other_laptop_closed_it_disagrees_with_nobody(laptops) -> None:
    """Closed and opened on one, then closed on the other: one after the other, though neither knew."""
    found, shop = laptops("AB")
    world, on, (first, second) = ready(found, shop)
    cycle = closes(found["A"], shop, world, on, first)
    found["A"].do(pressing.open_press, shop.by(), cycle=cycle, checked=press_runs.SEEN)
    closes(found["B"], shop, world, on, second)
    room.meet(found["A"], found["B"], shop)
    for laptop in found.values():
        with laptop.in_hand():
            assert not Disagreement.objects.exists()
    room.right(*found.values())
