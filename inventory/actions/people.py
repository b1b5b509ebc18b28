"""WRITE ways in: which user of this machine is which person. They do not travel."""

from uuid import UUID

from django.contrib.auth.models import User

from inventory.models import Person, SignIn


def give_way_in(*, person: UUID, username: str, password: str) -> None:
    """Let a person sign in on this machine, or give a new password.

    Afterwards: the name and the new password open this machine's doors.
    """
    row = Person.objects.get(id=person)
    user, _ = User.objects.get_or_create(username=username)
    user.set_password(password)
    user.save()
    SignIn.objects.update_or_create(person=row, defaults={"user": user})
