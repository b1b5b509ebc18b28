"""Backup, restore and erase drills: a second folder, by a process of its own, on the database of the run."""

import json
import os
import subprocess
import sys
import zipfile
from datetime import date

import pytest
from django.db import connection

from inventory.actions import erasing, papers, press
from inventory.errors import Refused
from inventory.formats import backup, bundle
from inventory.models import Guest, Machine, Note, Paper, Tag
from inventory.queries import dossier, erased, exchange
from inventory.queries.books import differences
from tests.architecture.test_docs import ROOT
from tests.formats import snaps
from tests.make import Shop, grams, refused
from tests.management.running import run

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def folder(tmp_path, settings):
    """A data folder of this test's own for the files; the books are the test database's."""
    settings.DATA_FOLDER = tmp_path / "shop"
    settings.DATA_FOLDER.mkdir()
    (settings.DATA_FOLDER / "secret").write_text("not to be kept in any backup")
    return settings.DATA_FOLDER


@pytest.fixture
def shop(folder):
    """A pair of a guest, with a photo, a note, and a shared jug."""
    made = Shop(letter="A")
    made.pair_, made.left, _ = made.pair(guest="Wendeltraud Ås")
    made.guest = Guest.objects.get().id
    Guest.objects.update(contact="w@guest.example")
    cup = made.mix(made.package("resin", number="R-1"), made.package("hardener", number="H-9"))
    made.do(press.lay_up, ski=made.left, inputs=[(cup, grams(100))])
    made.do(press.inspect, ski=made.left, passed=True, why="Wendeltraud likes it")
    kept = papers.keep(snaps.saved(snaps.code()), what="photo", title="Wendeltraud at the press")
    made.do(papers.attach, about=made.pair_, file=kept)
    made.photo = kept.sha256
    return made


@pytest.fixture
def empty(tmp_path):
    """The environment of a second installation: an empty folder, and an empty database of the same kind."""
    known = connection.settings_dict
    url = ""
    name = f"restored_by_a_test_{os.environ.get('PYTEST_XDIST_WORKER', '')}"
    if connection.vendor == "postgresql":
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
            cursor.execute(f'CREATE DATABASE "{name}"')
        host = known["HOST"].replace("/", "%2F")
        url = f"postgres://{known['USER']}@{host}:{known['PORT']}/{name}"
    yield {"SHOP_DATA": str(tmp_path / "second"), "DATABASE_URL": url}
    if connection.vendor == "postgresql":
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')


def second(empty, *words, sure=True):
    """A command on the second installation; its clock is of today, the shop's records are not."""
    answer = ["--clock-is-right"] if sure and words[0] in ("restore", "export") else []
    return subprocess.run(
        [sys.executable, "manage.py", *map(str, words), *answer],
        cwd=ROOT,
        env=os.environ | empty,
        capture_output=True,
        text=True,
        check=False,
    )


def code(thing) -> str:
    return Tag.objects.get(thing_id=thing).code


def test_backup_restored_elsewhere_is_the_same_shop_on_a_new_machine(shop, empty, tmp_path):
    """The ledger's hash, every trace, the papers; another machine, the same letter, right books."""
    file = tmp_path / "monday.zip"
    told = run("backup", file)
    assert told.code == 0, told.err
    done = second(empty, "restore", file)
    assert done.returncode == 0, done.stderr
    assert "the ledger's hash is the same" in done.stdout
    assert second(empty, "check_ledger").returncode == 0
    traced = second(empty, "trace", code(shop.left), "--json")
    assert json.loads(traced.stdout) == json.loads(run("trace", code(shop.left), "--json").out)
    kept = tmp_path / "second" / "papers" / shop.photo[:2] / shop.photo
    assert kept.read_bytes() == papers.read.path(shop.photo).read_bytes()
    assert second(empty, "export", tmp_path / "new.bundle").returncode == 0
    with (tmp_path / "new.bundle").open("rb") as packed:
        header, rows = bundle.read(packed)
    here = Machine.objects.get(here=True)
    assert header.machine != str(here.id)
    machines = {values["id"]: values for kind, values in rows if kind == "machine"}
    assert machines[header.machine]["replaces"] == str(here.id)
    assert machines[header.machine]["letter"] == here.letter


def test_backup_holds_no_secret_and_no_list_of_erased_people(shop, tmp_path):
    """What is in the file: the books, the papers, and the page that lists them with their hashes."""
    erasing.note_down(who=shop.guest, on=date(2026, 12, 1))
    run("backup", tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as pack:
        names = set(pack.namelist())
        assert b"not to be kept" not in b"".join(pack.read(name) for name in names)
        assert pack.testzip() is None
    assert names == {backup.PAGE, backup.BOOKS, f"files/papers/{shop.photo[:2]}/{shop.photo}"}
    with (tmp_path / "b.zip").open("rb") as file:
        assert backup.read_page(file).ledger == exchange.ledger_hash()


def test_backup_is_not_written_over_a_file(shop, tmp_path):
    """Another name is taken; no half file is left behind."""
    file = tmp_path / "b.zip"
    file.write_text("something else")
    assert run("backup", file).code == 2
    assert file.read_text() == "something else"
    assert Machine.objects.get(here=True).backed_up_at is None
    assert run("backup", tmp_path / "c.zip").code == 0
    assert Machine.objects.get(here=True).backed_up_at is not None  # the day sheet need not worry
    assert {path.name for path in tmp_path.iterdir()} == {"b.zip", "c.zip", "shop"}


@pytest.mark.parametrize("harm", ["cut", "byte", "other", "text"])
def test_restore_of_a_harmed_backup_restores_nothing(shop, empty, tmp_path, harm):
    """Cut short, one byte changed in a paper, another archive, no archive at all."""
    file = tmp_path / "b.zip"
    run("backup", file)
    whole = file.read_bytes()
    if harm == "cut":
        file.write_bytes(whole[: len(whole) // 2])
    elif harm == "byte":
        file.write_bytes(whole[:3000] + bytes([whole[3000] ^ 1]) + whole[3001:])
    elif harm == "other":
        with zipfile.ZipFile(file, "w") as pack:
            pack.writestr("books", "nothing")
    else:
        file.write_text("my backup")
    done = second(empty, "restore", file)
    assert done.returncode == 2
    assert "backup" in done.stderr
    assert not (tmp_path / "second" / "papers").exists()
    assert second(empty, "check_ledger").returncode == 2


def test_restore_into_a_folder_that_holds_something_is_refused(shop, empty, tmp_path):
    """The second restore into one folder; the first was done."""
    run("backup", tmp_path / "b.zip")
    assert second(empty, "restore", tmp_path / "b.zip").returncode == 0
    again = second(empty, "restore", tmp_path / "b.zip")
    assert again.returncode == 2
    assert "holds something already" in again.stderr


def test_guest_erased_after_a_backup_is_erased_again_when_it_is_restored(shop, empty, tmp_path):
    """By the list beside the data folder; without it the restore says so."""
    run("backup", tmp_path / "b.zip")
    erasing.note_down(who=shop.guest, on=date(2026, 12, 1))
    listed = erased.path()
    done = second(empty, "restore", tmp_path / "b.zip", "--erased", listed)
    assert done.returncode == 0, done.stderr
    assert "list of those who were: 1" in done.stdout
    second(empty, "export", tmp_path / "new.bundle")
    with (tmp_path / "new.bundle").open("rb") as packed:
        _, rows = bundle.read(packed)
    text = json.dumps([values for kind, values in rows if kind in {"private", "note"}])
    assert "Wendeltraud" not in text
    assert "w@guest.example" not in text
    assert not (tmp_path / "second" / "papers" / shop.photo[:2] / shop.photo).exists()


def page_says(file, **changes):
    """The same backup with another page."""
    with zipfile.ZipFile(file) as pack:
        entries = {name: pack.read(name) for name in pack.namelist()}
    page = json.loads(entries[backup.PAGE]) | changes
    with zipfile.ZipFile(file, "w") as pack:
        for name, data in (entries | {backup.PAGE: json.dumps(page).encode()}).items():
            pack.writestr(name, data)


def test_restore_asks_about_a_clock_that_stands_before_the_backup_and_restores_with_the_answer(
    shop, empty, tmp_path
):
    """Told before anything is written, by the moment in the file; what is no moment is refused for good."""
    file = tmp_path / "b.zip"
    run("backup", file)
    page_says(file, made="2099-01-01T10:00:00+00:00")
    asked = second(empty, "restore", file, sure=False)
    assert (asked.returncode, "2099" in asked.stderr) == (2, True)
    assert "add --clock-is-right" in asked.stderr
    assert not (tmp_path / "second" / "papers").exists()
    for none in ("yesterday", "2099-01-01T10:00:00", 3):
        page_says(file, made=none)
        with file.open("rb") as packed, pytest.raises(Refused) as refused:
            backup.read_page(packed)
        assert refused.value.code == "backup.damaged"
    page_says(file, made="2099-01-01T10:00:00+00:00")
    assert second(empty, "restore", file).returncode == 0


def test_restore_without_a_list_of_erased_people_says_so(shop, empty, tmp_path):
    """Nobody is silently back."""
    run("backup", tmp_path / "b.zip")
    done = second(empty, "restore", tmp_path / "b.zip")
    assert done.returncode == 0
    assert "No list of erased people was found" in done.stdout
    assert second(empty, "restore", tmp_path / "b.zip", "--erased", tmp_path / "none.txt").returncode == 2


def test_erased_guest_leaves_pair_and_traces_as_they_were(shop):
    """Name, contact, note and photo are gone; what the skis are made of is not; the books are right."""
    before = dossier.dossier(shop.left)
    files = erased.files_of(shop.guest)
    shop.do(erasing.erase_guest, guest=shop.guest)
    assert erasing.drop_files(files) == 1
    row = Guest.objects.get()
    assert (row.name, row.contact, row.age_band, row.consent) == ("", "", "", None)
    assert not papers.read.path(shop.photo).exists()
    assert not Paper.objects.filter(withdrawn=False).exists()
    assert not Note.objects.filter(text__contains="Wendeltraud").exists()
    after = dossier.dossier(shop.left)
    assert after.made_of == before.made_of
    assert [event.step for event in after.events] == [event.step for event in before.events]
    assert any(event.note_erased for event in after.events)
    assert list(differences()) == []


def test_erasing_nobody_is_refused_and_a_guest_twice_changes_nothing_more(shop):
    """A guest that is there is erased once; the second time nothing is left to do."""
    with refused("erased.unknown"):
        shop.do(erasing.erase_guest, guest=shop.pair_)
    shop.do(erasing.erase_guest, guest=shop.guest)
    before = exchange.size()
    shop.do(erasing.erase_guest, guest=shop.guest)
    assert exchange.size() == before


@pytest.mark.parametrize("line", ["nonsense", "01890a5d-ac96-774b-bcce-b302099a8057", "a b c"])
def test_list_of_erased_people_with_a_wrong_line_is_refused(folder, line):
    """A right line is read."""
    erasing.note_down(who=Shop(letter="A").owner, on=date(2026, 12, 1))
    assert len(erased.read(erased.path())) == 1
    with erased.path().open("a") as out:
        out.write(line + "\n")
    with refused("erased.list", "2"):
        erased.read(erased.path())
