"""READ where these books are kept, so that a copied or restored folder is known for what it is.

A copy must not go on giving out the numbers of the machine it was copied from. The fingerprint stays here; it
never leaves the laptop.
"""

import hashlib
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.db import connection

from inventory.models import Event, Machine, Revision, Shop

_MADE_UP = 1 << 40  # the bit of an address that is no network card's: drawn anew by every process


def fingerprint() -> str:
    """Of this laptop and its data folder, or of the database on a server that holds the books."""
    parts = _folder() if connection.vendor == "sqlite" else _database()
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _folder() -> list[str]:
    card = uuid.getnode()
    folder = settings.DATA_FOLDER.resolve()
    secret = (folder / "secret").stat().st_ino  # a copy of the folder has a secret file of its own
    return ["" if card & _MADE_UP else f"{card:012x}", str(folder), str(secret)]


def _database() -> list[str]:
    """Which server's data, and which database in it: a restored dump has another number."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT system_identifier::text, oid::text FROM pg_control_system(), pg_database "
            "WHERE datname = current_database()"
        )
        return list(cursor.fetchone())


def here() -> Machine | None:
    """This laptop, once it has its letter."""
    return Machine.objects.filter(here=True).first()


def moved() -> Machine | None:
    """This machine, when its books were founded somewhere else; None when they are where they were."""
    machine = Machine.objects.filter(here=True).first()
    if machine is None or machine.fingerprint in {"", fingerprint()}:
        return None
    return machine


def last_met(letter: str) -> datetime | None:
    """When the books of another laptop with this letter were last merged here; None when they never were."""
    here = Machine.objects.filter(here=True).first()
    others = {
        str(id) for id in Machine.objects.filter(letter=letter, here=False).values_list("id", flat=True)
    }
    if here is None or not others or here.letter == letter:
        return None
    for at, facts in (
        Event.objects.filter(step="met", machine=here.id).order_by("-number").values_list("at", "facts")
    ):
        if others & facts["known"].keys():
            return at
    return None


OFTEN, FIRST = timedelta(days=7), timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Backup:
    """When these books were last backed up and read again whole; when was first and last written here."""

    last: datetime | None
    begun: datetime
    written: datetime

    def current(self, now: datetime) -> bool:
        """True when nothing was written since, or it is at most a week old; a new shop has a day for it."""
        if self.last is None:
            return now - self.begun <= FIRST
        return self.last >= self.written or now - self.last <= OFTEN


def backup() -> Backup | None:
    """How this laptop's books stand with their backups; None without records, and for the demo."""
    here = Machine.objects.filter(here=True).first()
    if here is None or not here.clock or Shop.objects.filter(demo=True).exists():
        return None
    first = Event.objects.filter(machine=here.id, number=1).values_list("clock", flat=True).first()
    begun, written = (datetime.fromtimestamp(clock / 1e6, UTC) for clock in (first or here.clock, here.clock))
    return Backup(here.backed_up_at, begun, written)


def last_recorded() -> datetime | None:
    """When somebody last recorded something on this laptop, by its clock then; None: nobody ever did.

    What a command wrote by itself does not count, nor what was typed in later; a copy goes by what it copied.
    """
    here = Machine.objects.filter(here=True).first()
    own = [id for id in (here.id, here.replaces) if id] if here else []
    found: list[tuple[int, datetime]] = []
    for id in own:
        events = Event.objects.filter(machine=id, who__isnull=False, late=False)
        edits = Revision.objects.filter(machine=id, who__isnull=False)
        for rows in (events, edits):
            found += rows.order_by("-number").values_list("clock", "at")[:1]
    return max(found)[1] if found else None
