"""READ people: who signs in as whom."""

from inventory.models import Person


def of_user(user: int) -> Person | None:
    """The person a signed-in user is."""
    return Person.objects.filter(sign_in__user_id=user).first()
