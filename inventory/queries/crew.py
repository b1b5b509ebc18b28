"""READ who works here, and on which devices somebody is signed in to this laptop. Devices do not travel.

A device is known by a handle made from its session's key; the key itself opens the shop and stays here.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session

from inventory.models import Person, SignIn
from inventory.roles import Role

DEVICE = "device"  # the session's own words about its device


@dataclass(frozen=True, slots=True)
class Worker:
    """One person, and the name they sign in with here; empty: no way in on this laptop."""

    id: UUID
    name: str
    role: str
    sign_in: str
    under_18: bool = False
    licence: str = ""
    size: str = ""


@dataclass(frozen=True, slots=True)
class Device:
    """Where somebody is signed in. `since` and `until` are moments; `shared`: a phone of several people."""

    handle: str
    person: str
    role: str
    what: str
    since: datetime | None
    until: datetime
    shared: bool


def workers() -> list[Worker]:
    """Everybody who works here, by name; who was erased no longer does."""
    names = dict(SignIn.objects.values_list("person_id", "user__username"))
    rows = Person.objects.exclude(name="").order_by("name", "id")
    return [
        Worker(row.id, row.name, row.role, names.get(row.id, ""), row.under_18, row.licence, row.size)
        for row in rows
    ]


def worker(id: UUID) -> Worker | None:
    """One person."""
    return next((row for row in workers() if row.id == id), None)


def other_owners(person: UUID) -> int:
    """How many owners there are beside this person."""
    return Person.objects.filter(role=Role.OWNER).exclude(id=person).count()


def handle(key: str) -> str:
    """What stands for a session's key on a page."""
    return hashlib.sha256(key.encode()).hexdigest()[:24]


def devices(now: datetime) -> list[Device]:
    """Where somebody is signed in now, by name, newest first."""
    people = {str(row.user_id): row.person for row in SignIn.objects.select_related("person")}
    found = []
    for session, data in _open(now):
        person = people.get(str(data.get(SESSION_KEY)))
        if person is None:
            continue
        said = data.get(DEVICE) or {}
        since = datetime.fromisoformat(said["since"]) if said.get("since") else None
        found.append(
            Device(
                handle(session.session_key),
                person.name,
                person.role,
                said.get("what", ""),
                since,
                session.expire_date,
                bool(said.get("shared")),
            )
        )
    return sorted(found, key=lambda row: (row.person, -(row.since or row.until).timestamp()))


def key_of(wanted: str, now: datetime) -> str | None:
    """The session's key that a handle stands for; None when it has ended."""
    return next((row.session_key for row, _ in _open(now) if handle(row.session_key) == wanted), None)


def keys_of_user(user: int, now: datetime) -> list[str]:
    """Every open session of a user."""
    return [row.session_key for row, data in _open(now) if str(data.get(SESSION_KEY)) == str(user)]


def _open(now: datetime) -> Iterator[tuple[Session, dict[str, Any]]]:
    for session in Session.objects.filter(expire_date__gt=now):
        yield session, session.get_decoded()
