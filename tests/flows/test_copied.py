"""A copied or restored data folder becomes a machine of its own. Story: working-apart.md."""

from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db.models import AutoField

from inventory.actions import exchange, stock
from inventory.models import Balance, Disagreement, Event, Machine, Tag
from inventory.queries import machine
from inventory.queries.books import differences
from tests import make
from tests.laptops import Laptop
from tests.make import grams, refused


@pytest.fixture
def shelf(laptops) -> Iterator[list[Laptop]]:
    """Where copies are put, and put away afterwards."""
    found: list[Laptop] = []
    yield found
    for laptop in found:
        laptop.put_away()


def copied(laptop: Laptop, letter: str, shelf: list[Laptop]) -> Laptop:
    """The books of one laptop, row by row, in a database of their own: what a copied folder holds."""
    with laptop.in_hand():
        rows = {
            model: list(model._default_manager.all())
            for model in apps.get_app_config("inventory").get_models()
        }
    other = Laptop(letter)
    shelf.append(other)
    with other.in_hand():
        for model in sorted(rows, key=_depth):
            for row in rows[model]:
                if isinstance(model._meta.pk, AutoField):  # the database numbers these rows itself
                    row.pk = None
            model._default_manager.bulk_create(rows[model])
    return other


def _depth(model: type) -> int:
    """Models after those they point to."""
    ahead = [f.related_model for f in model._meta.fields if f.is_relation and f.related_model is not model]
    ours = [found for found in ahead if found._meta.app_label == "inventory"]
    return 1 + max(map(_depth, ours), default=0)


def go_on(laptop: Laptop, shop: make.Shop, *, letter: str = "") -> None:
    """The copy notices that it is one."""
    with laptop.in_hand():
        exchange.carry_on(shop.by(), id=make.token(), fingerprint=f"of {laptop.letter}", letter=letter)


def check(*laptops: Laptop) -> None:
    """All have the same books, and each folds them right."""
    assert len({laptop.hash() for laptop in laptops}) == 1
    for laptop in laptops:
        with laptop.in_hand():
            assert list(differences()) == []


def test_copy_and_original_that_both_go_on_merge_without_losing_or_doubling(laptops, shelf):
    """Each draws; both count; what was written before the copy counts as seen, so nothing disagrees."""
    found, shop = laptops("A")
    a = found["A"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
        shop.do(stock.count, thing=jug, amount=grams(90))
    c = copied(a, "C", shelf)
    go_on(c, shop)
    c.do(stock.draw, shop.by(), package=jug, amount=grams(20))
    a.do(stock.draw, shop.by(), package=jug, amount=grams(10))
    a.merge(c.export(), shop.by())
    c.merge(a.export(), shop.by())
    check(a, c)
    for laptop in (a, c):
        with laptop.in_hand():
            assert Balance.objects.get(thing_id=jug).amount == 60_000
            assert not Disagreement.objects.exists()


def test_copy_carries_on_the_letter_and_numbers_of_its_own(laptops, shelf):
    """The same letter on its codes; its first event is number 1, and says whose books it began with."""
    found, shop = laptops("A")
    c = copied(found["A"], "C", shelf)
    with c.in_hand():
        old = Machine.objects.get(here=True).id
    go_on(c, shop)
    with c.in_hand():
        here = Machine.objects.get(here=True)
        assert (here.letter, here.replaces, here.number) == ("A", old, 1)
        first = Event.objects.get(machine=here.id)
        assert (first.step, first.facts["began_with"]) == ("met", str(old))
        jug = shop.package()
        assert Tag.objects.get(thing_id=jug).code[1] == "A"


def test_copy_that_did_not_say_so_is_found_out_and_refused(laptops, shelf):
    """Two folders that give out the same numbers: the merge refuses; with the rule it does not."""
    found, shop = laptops("A")
    a = found["A"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    silent, said = copied(a, "C", shelf), copied(a, "D", shelf)
    go_on(said, shop)
    for number, laptop in enumerate((a, silent, said), 1):
        laptop.do(stock.draw, shop.by(), package=jug, amount=grams(number))
    with refused("merge.copied", "A"):
        a.merge(silent.export(), shop.by())
    a.merge(said.export(), shop.by())


def test_copy_of_a_copy_merges_with_the_first(laptops, shelf):
    """However often a letter was handed on, the line is known from the machines themselves."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    c = copied(a, "C", shelf)
    go_on(c, shop)
    d = copied(c, "D", shelf)
    go_on(d, shop)
    with d.in_hand():
        jug = shop.package(number="N-9", amount=grams(50))
    a.merge(d.export(), shop.by())
    b.merge(d.export(), shop.by())
    a.do(stock.draw, shop.by(), package=jug, amount=grams(5))
    for laptop in (b, d):
        laptop.merge(a.export(), shop.by())
    a.merge(d.export(), shop.by())
    check(a, b, d)


def test_two_copies_of_one_folder_refuse_each_other_and_copies_with_letters_do_not(laptops, shelf):
    """Neither carries on for the other; a further laptop made by copying gets a letter of its own."""
    found, shop = laptops("A")
    first, second, third = (copied(found["A"], letter, shelf) for letter in "CDE")
    go_on(first, shop)
    go_on(second, shop)
    go_on(third, shop, letter="E")
    with refused("merge.letter", "A"):
        first.merge(second.export(), shop.by())
    first.merge(third.export(), shop.by())
    with third.in_hand():
        assert Machine.objects.get(here=True).letter == "E"


def test_copy_with_a_letter_that_is_taken_is_refused_and_stays_as_it_was(laptops, shelf):
    """Nothing half done: the folder still is what it was."""
    found, shop = laptops("AB")
    c = copied(found["A"], "C", shelf)
    with c.in_hand():
        before = list(Machine.objects.order_by("id").values())
        with refused("machine.letter_taken", "B"):
            exchange.carry_on(shop.by(), id=make.token(), fingerprint="f", letter="b")
        assert list(Machine.objects.order_by("id").values()) == before


def test_restored_folder_learns_from_others_what_it_wrote_after_the_backup(laptops, shelf):
    """The laptop broke; its backup lacks a draw that the other laptop has seen: nothing of it is lost."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    backup = copied(a, "C", shelf)
    a.do(stock.draw, shop.by(), package=jug, amount=grams(30))
    b.merge(a.export(), shop.by())
    go_on(backup, shop)
    backup.do(stock.draw, shop.by(), package=jug, amount=grams(5))
    backup.merge(b.export(), shop.by())
    b.merge(backup.export(), shop.by())
    check(backup, b)
    with b.in_hand():
        assert Balance.objects.get(thing_id=jug).amount == 65_000


def test_books_that_were_founded_here_have_not_moved_and_founded_elsewhere_they_have(db):
    """The fingerprint is of this laptop and folder, or of the database: asked twice it is the same."""
    from inventory.actions.shop import found_machine

    assert machine.moved() is None
    found_machine(id=make.token(), letter="A", fingerprint=machine.fingerprint())
    assert machine.moved() is None
    Machine.objects.update(fingerprint="of another folder")
    assert machine.moved().letter == "A"
