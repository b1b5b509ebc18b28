"""WRITE ways in: which user of this machine is which person, and on which devices. They do not travel."""

from datetime import datetime
from uuid import UUID

from django.contrib.auth.models import User
from django.contrib.sessions.models import Session

from inventory.errors import Refused, say
from inventory.models import Person, SignIn
from inventory.queries import crew


def give_way_in(*, person: UUID, username: str, password: str) -> None:
    """Let a person sign in on this machine, or give a new password.

    Afterwards: the name and the new password open this machine's doors; devices signed in before are out.
    """
    row = Person.objects.get(id=person)
    user, _ = User.objects.get_or_create(username=username)
    user.set_password(password)
    user.save()
    SignIn.objects.update_or_create(person=row, defaults={"user": user})


def end_way_in(*, person: UUID, now: datetime) -> None:
    """Take a person's way in away on this machine.

    Afterwards: the person is signed out everywhere here and cannot sign in; what they recorded stays theirs.
    Refused: people.no_way_in, people.last_owner.
    """
    row = SignIn.objects.filter(person_id=person).select_related("user", "person").first()
    if row is None:
        raise Refused(
            "people.no_way_in",
            say("This person has no way in on this laptop."),
            say("Nothing is to be taken away here; look on the other laptops."),
        )
    if row.person.role == "owner" and not SignIn.objects.filter(person__role="owner").exclude(pk=row.pk):
        raise last_owner(row.person.name)
    Session.objects.filter(session_key__in=crew.keys_of_user(row.user_id, now)).delete()
    row.user.delete()


def sign_out_device(*, device: str, now: datetime) -> None:
    """Sign one device out.

    Afterwards: the next page it asks for is the one to sign in.
    Refused: people.no_device.
    """
    key = crew.key_of(device, now)
    if key is None:
        raise Refused(
            "people.no_device",
            say("This device is signed out already."),
            say("Nothing is to be done; open the list again to see who is still signed in."),
        )
    Session.objects.filter(session_key=key).delete()


def last_owner(name: str) -> Refused:
    """The refusal to leave the shop without an owner."""
    return Refused(
        "people.last_owner",
        say("{name} is the only owner.", name=name),
        say("Make somebody else an owner first."),
    )
