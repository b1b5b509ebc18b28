"""Whether the tables of these books are the ones this program knows. Knows no topic."""

from typing import Any

from django.core.management import call_command
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from inventory.errors import Refused, say


def there(connection: Any) -> bool:
    """True when there are tables to read, and of this version."""
    return MigrationRecorder(connection).has_table() and not _waiting(connection)


def check(connection: Any) -> None:
    """Refuse books that are not there, or of another version.

    Refuses: data.no_books, data.newer, data.older
    """
    refuse_newer(connection)
    if not MigrationRecorder(connection).has_table():
        raise Refused(
            "data.no_books",
            say("There are no books in this data folder yet."),
            say("Set the shop up with manage.py serve, or merge a bundle with manage.py merge."),
        )
    if _waiting(connection):
        raise Refused(
            "data.older",
            say("The books in this data folder are of an older version of the program."),
            say("Run manage.py serve once: it brings them up to date."),
        )


def refuse_newer(connection: Any) -> None:
    """Refuse books that a newer program wrote.

    Refuses: data.newer
    """
    known = MigrationExecutor(connection).loader.disk_migrations
    applied = MigrationRecorder(connection).applied_migrations()
    unknown = sorted(name for app, name in applied if app == "inventory" and (app, name) not in known)
    if unknown:
        raise Refused(
            "data.newer",
            say(
                "The books in this data folder were written by a newer version of the program ({what}).",
                what=unknown[-1],
            ),
            say("Bring the program on this laptop up to date; nothing was changed."),
        )


def bring_up_to_date(connection: Any) -> bool:
    """Make the tables, or bring older ones up to date; True when there was something to do.

    Refuses: data.newer
    """
    refuse_newer(connection)
    if not _waiting(connection):
        return False
    call_command("migrate", verbosity=0, interactive=False)
    return True


def _waiting(connection: Any) -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
