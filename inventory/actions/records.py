"""WRITE the second secret of a pair: whoever has it reads the pair's build record. Kept hashed."""

from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.errors import Refused, say
from inventory.models import OwnerCode, Pair


@happening
def issue_owner_code(act: Act, /, *, pair: UUID, hashed: str) -> None:
    """Give a pair a new second secret; `hashed` as Django hashes a password.

    Afterwards: the new one opens the pair's record, on every laptop that knows; any before opens nothing.
    Refused: record.not_a_pair.
    """
    if not Pair.objects.filter(thing_id=pair).exists():
        raise Refused(
            "record.not_a_pair",
            say("This is no pair: a build record is a pair's."),
            say("Open the pair, or one of its skis, and print its record there."),
        )
    cards.save(act, OwnerCode, pair, hashed=hashed)
