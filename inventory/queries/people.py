"""READ people: who signs in as whom."""

from uuid import UUID

from inventory.models import Person
from inventory.roles import Role


def of_user(user: int) -> Person | None:
    """The person a signed-in user is."""
    return Person.objects.filter(sign_in__user_id=user).first()


def role_of(person: UUID | None) -> Role | None:
    """As what a person works; None for nobody."""
    row = Person.objects.filter(id=person).first() if person else None
    return Role(row.role) if row else None
