"""What every test may use: a shop with one machine, moments, and a database that can be emptied."""

import functools
import gc
import os
from collections.abc import Iterator
from datetime import UTC, datetime

import hypothesis
import pytest
from django.db import connections

# No time limit for one example: the machine may be busy. With CI set every run tries the same examples.
hypothesis.settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
hypothesis.settings.load_profile("house")

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's driver runs a loop of its own


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes long, by a browser, comes first: the processes end together. The rest stays shuffled."""
    items.sort(key=lambda item: not item.get_closest_marker("browser"))


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Side by side, who drives no browser leaves the processor to who does: a page has seconds to answer."""
    if not item.get_closest_marker("browser") and "PYTEST_XDIST_WORKER" in os.environ:
        _step_back()


@functools.cache
def _step_back() -> None:
    os.nice(5)


@pytest.hookimpl(trylast=True)
def pytest_collection_finish() -> None:
    """What was loaded until now stays: the collector of garbage need not walk through it again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def _emptying_takes_the_guards_off() -> Iterator[None]:
    """Tests that really commit empty the tables afterwards; the guards forbid that, and come off for it."""
    from django.db.backends.base.operations import BaseDatabaseOperations

    from inventory.models import guards

    flush = BaseDatabaseOperations.execute_sql_flush

    def without_guards(self: BaseDatabaseOperations, sql_list: list[str]) -> None:
        guards.take_off(self.connection)
        flush(self, sql_list)
        guards.put_on(self.connection)

    BaseDatabaseOperations.execute_sql_flush = without_guards
    yield
    BaseDatabaseOperations.execute_sql_flush = flush


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """SQLite in a file, as in the shop: threads and processes see the same books, and lock each other."""
    settings = connections["default"].settings_dict
    if settings["ENGINE"].endswith("sqlite3"):
        settings["TEST"]["NAME"] = str(tmp_path_factory.mktemp("books") / "test.sqlite3")


@pytest.fixture(autouse=True)
def _quick_passwords(settings: object) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # type: ignore[attr-defined]


@pytest.fixture
def client() -> object:
    """Whose pages are compared in plain words: `reading.Client`."""
    from tests import reading

    return reading.Client()


@pytest.fixture
def now() -> datetime:
    return datetime(2026, 12, 1, 9, 0, tzinfo=UTC)


@pytest.fixture
def shop(db: None) -> object:
    """An empty shop on machine A, with an owner at work."""
    from tests import make

    return make.Shop(letter="A")


@pytest.fixture
def laptops(django_db_setup: None, django_db_blocker: object) -> Iterator[object]:
    """Opens shops on several laptops: `laptops("ABC")` gives them by letter, and the shop."""
    from tests import laptops as room

    opened: list[object] = []

    def open_(letters: str) -> object:
        found, shop = room.open_shop(letters)
        opened.extend(found.values())
        return found, shop

    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        yield open_
        for laptop in opened:
            laptop.put_away()  # type: ignore[attr-defined]
