"""READ people: who signs in as whom."""

from uuid import UUID

from django.contrib.auth.models import User

from inventory.models import Guest, Person
from inventory.roles import Role


def of_user(user: int) -> Person | None:
    """The person a signed-in user is."""
    return Person.objects.filter(sign_in__user_id=user).first()


def role_of(person: UUID | None) -> Role | None:
    """As what a person works; None for nobody."""
    row = Person.objects.filter(id=person).first() if person else None
    return Role(row.role) if row else None


def owners() -> list[Person]:
    """Every owner, by name."""
    return list(Person.objects.filter(role=Role.OWNER).order_by("name"))


def sign_in_taken(name: str) -> bool:
    """True when somebody signs in with this name on this laptop."""
    return User.objects.filter(username__iexact=name).exists()


def guests_named(words: str) -> list[Guest]:
    """Guests whose name has all these words, with their pairs; at most twenty."""
    rows = Guest.objects.prefetch_related("pairs__thing__tags", "pairs__workshop")
    parts = words.replace("\0", "").split()
    if not parts or len(words) > 60:
        return []
    for part in parts:
        rows = rows.filter(name__icontains=part)
    return list(rows.order_by("name")[:20])
