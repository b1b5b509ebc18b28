"""System checks of the shop: what must be there before a server starts."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connections

from inventory.models import guards


@register(Tags.database)
def guards_are_on(
    app_configs: Any, databases: Sequence[str] | None = None, **kwargs: Any
) -> list[CheckMessage]:
    """shop.E001: every table that is only added to has its guards."""
    found: list[CheckMessage] = []
    for alias in databases or []:
        gone = guards.missing(connections[alias])
        if gone:
            found.append(
                Error(
                    f"The books are not protected: {', '.join(gone)} missing.",
                    hint="Run `manage.py migrate`, which puts the guards back.",
                    id="shop.E001",
                )
            )
    return found


@register(Tags.database)
def sqlite_is_set_up(
    app_configs: Any, databases: Sequence[str] | None = None, **kwargs: Any
) -> list[CheckMessage]:
    """shop.E002: SQLite fires delete triggers for REPLACE, and flushes what it answered as saved."""
    found: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        if connection.vendor != "sqlite":
            continue
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA recursive_triggers")
            fires = cursor.fetchone()[0]
            cursor.execute("PRAGMA synchronous")
            flushes = cursor.fetchone()[0]
        if fires != 1 or flushes < 2:
            found.append(
                Error(
                    f"SQLite runs with recursive_triggers={fires}, synchronous={flushes}; they must be 1, 2.",
                    hint="Restore OPTIONS['init_command'] in shop/settings.py.",
                    id="shop.E002",
                )
            )
    return found
