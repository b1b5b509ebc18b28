"""What a computer fails at, as sentences: the errors are the system's and the database's own."""

import errno
import os
import sqlite3
from pathlib import Path

import pytest

from inventory.errors import Refused
from inventory.management import serving, troubles
from tests.make import refused

FOLDER = Path("/data/shop")


@pytest.mark.parametrize(
    ("number", "code"),
    [
        (errno.EACCES, "data.no_right"),
        (errno.EPERM, "data.no_right"),
        (errno.EROFS, "data.no_right"),
        (errno.ENOSPC, "data.no_room"),
        (errno.ENOTDIR, "data.unusable"),
        (errno.ENOENT, "data.unusable"),
    ],
)
def test_error_of_the_data_folder_names_it_and_says_what_to_do(number, code):
    """The same error of another file is no trouble of the data folder."""
    found = troubles.of_the_folder(OSError(number, os.strerror(number), str(FOLDER / "secret")), FOLDER)
    assert isinstance(found, Refused)
    assert found.code == code
    assert str(FOLDER) in str(found.sentence)
    assert troubles.of_the_folder(OSError(number, os.strerror(number), "/elsewhere/x"), FOLDER) is None


@pytest.mark.parametrize(
    ("number", "code"),
    [(errno.ENOENT, "file.missing"), (errno.ENOSPC, "file.no_room"), (errno.EACCES, "file.unusable")],
)
def test_error_of_a_named_file_names_it(number, code):
    """Whatever was asked to be read or written."""
    found = troubles.of_a_file(OSError(number, os.strerror(number), "/media/stick/a.bundle"))
    assert found.code == code
    assert "/media/stick/a.bundle" in str(found.sentence)


def test_full_disk_is_told_from_the_databases_own_words(tmp_path):
    """A real SQLite file that may not grow any further."""
    file = sqlite3.connect(tmp_path / "small.sqlite3")
    file.execute("PRAGMA page_size=1024")
    file.execute("CREATE TABLE t (x)")
    file.execute("PRAGMA max_page_count=4")
    with pytest.raises(sqlite3.OperationalError) as caught:
        file.executemany("INSERT INTO t VALUES (?)", [(b"x" * 900,)] * 20)
    file.close()
    assert troubles.of_the_database(str(caught.value), FOLDER).code == "data.no_room"


def test_file_that_is_no_database_is_told_from_the_databases_own_words(tmp_path):
    """A photo in place of the books; an empty file is a fresh one."""
    (tmp_path / "shop.sqlite3").write_bytes(b"\x89PNG" * 2000)
    file = sqlite3.connect(tmp_path / "shop.sqlite3")
    with pytest.raises(sqlite3.DatabaseError) as caught:
        file.execute("SELECT * FROM sqlite_master")
    file.close()
    assert troubles.of_the_database(str(caught.value), FOLDER).code == "data.damaged"


def test_database_that_may_not_be_written_is_told_from_its_own_words(tmp_path):
    """A real SQLite file opened for reading only."""
    sqlite3.connect(tmp_path / "a.sqlite3").executescript("CREATE TABLE t (x)").connection.close()
    file = sqlite3.connect(f"file:{tmp_path / 'a.sqlite3'}?mode=ro", uri=True)
    with pytest.raises(sqlite3.OperationalError) as caught:
        file.execute("INSERT INTO t VALUES (1)")
    file.close()
    assert troubles.of_the_database(str(caught.value), FOLDER).code == "data.no_right"


def test_any_other_word_of_the_database_is_left_alone():
    """A slip in the program must not look like a trouble of the computer."""
    assert troubles.of_the_database("no such column: x", FOLDER) is None


def test_begin_on_a_nearly_full_disk_is_refused_and_with_room_it_is_not():
    """50 MB is the least; a byte less is refused, and says how much there is."""
    with refused("data.no_room", "49 MB"):
        serving.check_room(FOLDER, troubles.LEAST_FREE - 1)
    serving.check_room(FOLDER, troubles.LEAST_FREE)
