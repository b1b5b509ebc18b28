"""export and merge between data folders: what is said, how it ends, and what is refused."""

import gzip

import pytest

from inventory.actions import stock
from inventory.models import Balance, Machine, Shop
from inventory.queries import ledger, machine
from inventory.queries.books import differences
from tests.laptops import Laptop
from tests.make import grams
from tests.management.running import run

pytestmark = pytest.mark.django_db


@pytest.fixture
def fresh(laptops):
    """A laptop whose data folder is fresh."""
    laptop = Laptop("C")
    yield laptop
    laptop.put_away()


def test_bundle_carries_one_folder_into_another_and_doubles_nothing(laptops, tmp_path):
    """Exported here, merged there, twice: the second time nothing comes in."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    file = tmp_path / "books.bundle"
    with a.in_hand():
        jug = shop.package(amount=grams(100))
        ran = run("export", file)
    assert ran.code == 0
    assert str(file) in ran.out
    assert "guests' names" in ran.out
    with b.in_hand():
        first, second = run("merge", file), run("merge", file)
        assert Balance.objects.get(thing_id=jug).amount == 100_000
        assert list(differences()) == []
    assert (first.code, second.code) == (0, 0)
    assert "Events that came in: 2;" in first.out
    assert "Nothing disagrees." in first.out
    assert "Events that came in: 0; changes of cards: 0." in second.out


def test_merge_says_what_people_have_to_settle(laptops, tmp_path):
    """Two laptops each drew 80 g of 100 g: one disagreement, and the command still ends with 0."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        laptop.do(stock.draw, shop.by(), package=jug, amount=grams(80))
    with a.in_hand():
        run("export", tmp_path / "a.bundle")
    with b.in_hand():
        ran = run("merge", tmp_path / "a.bundle")
        assert ledger.open_disagreements().count() == 1
    assert ran.code == 0
    assert "to settle them: 1." in ran.out


def test_merge_into_a_fresh_folder_takes_the_shop_and_needs_a_letter(laptops, fresh, tmp_path):
    """Without a letter refused and nothing written; with one the folder becomes a laptop of that shop."""
    found, shop = laptops("A")
    with found["A"].in_hand():
        jug = shop.package(amount=grams(100))
        run("export", tmp_path / "a.bundle")
    with fresh.in_hand():
        without = run("merge", tmp_path / "a.bundle")
        assert not Machine.objects.exists()
        taken = run("merge", tmp_path / "a.bundle", "--letter", "A")
        assert not Machine.objects.exists()
        ran = run("merge", tmp_path / "a.bundle", "--letter", "c")
        assert Shop.objects.get().name == "Quillfeather Ski Bench"
        here = Machine.objects.get(here=True)
        assert (here.letter, here.fingerprint) == ("C", machine.fingerprint())
        assert Balance.objects.get(thing_id=jug).amount == 100_000
        again = run("merge", tmp_path / "a.bundle", "--letter", "d")
    assert (without.code, taken.code, ran.code, again.code) == (2, 2, 0, 2)
    assert "--letter" in without.err
    assert "letter A" in taken.err
    assert "has the letter C already" in again.err


def test_export_of_a_folder_that_is_no_laptop_yet_is_refused(fresh, tmp_path):
    """Nothing to carry: no file is left behind."""
    with fresh.in_hand():
        ran = run("export", tmp_path / "a.bundle")
    assert ran.code == 2
    assert "no machine letter yet" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_export_never_writes_over_a_file(shop, tmp_path):
    """The file that is there stays as it was; beside it the bundle is written."""
    file = tmp_path / "a.bundle"
    file.write_text("mine")
    ran = run("export", file)
    assert (ran.code, file.read_text()) == (2, "mine")
    assert str(file) in ran.err
    assert run("export", tmp_path / "b.bundle").code == 0


def test_export_into_a_folder_that_is_not_there_is_refused(shop, tmp_path):
    """The name is said; nothing is made."""
    ran = run("export", tmp_path / "nowhere" / "a.bundle")
    assert ran.code == 2
    assert "There is no file or folder" in ran.err
    assert "nowhere" in ran.err


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is no bundle"),
        (b"not a bundle at all", "is no bundle"),
        (gzip.compress(b'["header",{"format":"another"}]\n', mtime=0), "is no bundle"),
        (
            gzip.compress(
                b'["header",{"format":"tip-to-tail bundle","version":99,"shop":"","machine":"","made":""}]\n',
                mtime=0,
            ),
            "of version 99",
        ),
        ("cut", "cut short"),
        ("missing", "There is no file"),
    ],
)
def test_merge_of_what_is_no_whole_bundle_is_refused_and_changes_nothing(shop, tmp_path, content, said):
    """Another file, a newer one, half of one, none at all; the whole one is taken."""
    whole, file = tmp_path / "whole.bundle", tmp_path / "a.bundle"
    run("export", whole)
    if content == "cut":
        lines = gzip.decompress(whole.read_bytes()).splitlines(keepends=True)
        file.write_bytes(gzip.compress(b"".join([*lines[:3], lines[-1]]), mtime=0))
    elif content != "missing":
        file.write_bytes(content)
    size = Machine.objects.get().number
    ran = run("merge", file)
    assert (ran.code, ran.out) == (2, "")
    assert said in ran.err
    assert Machine.objects.get().number == size
    assert run("merge", whole).code == 0


def test_merge_and_export_in_a_copied_folder_say_so_first(shop, tmp_path):
    """The books were founded elsewhere: a machine of its own from here on, said once."""
    Machine.objects.update(fingerprint="of another folder")
    first, second = run("export", tmp_path / "a.bundle"), run("export", tmp_path / "b.bundle")
    assert "This data folder was copied or restored" in first.out
    assert "copied" not in second.out
    assert Machine.objects.count() == 2
    assert Machine.objects.get(here=True).letter == "A"


def test_commands_refuse_a_clock_that_was_never_set(shop, tmp_path):
    """1970 after an empty battery: no record may carry that; with the clock set it works."""
    import time_machine

    with time_machine.travel("1970-01-01T00:05:00Z", tick=False):
        ran = run("export", tmp_path / "a.bundle")
    assert ran.code == 2
    assert "1970" in ran.err
    assert "Set the clock" in ran.err
    assert run("export", tmp_path / "a.bundle").code == 0
