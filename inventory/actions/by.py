"""What a face hands to an action, and what it gets back. Knows no table; faces import it, never the pen."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID


@dataclass(frozen=True, slots=True)
class By:
    """Who taps, when, and the token of the tap. `at`: the claimed time of a paper record typed in later."""

    token: UUID
    now: datetime
    person: UUID | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """The answer to an act: what was born, in order; the same again for the same token."""

    token: UUID
    things: tuple[UUID, ...] = ()
    again: bool = False

    @property
    def thing(self) -> UUID:
        """The first thing that was born."""
        return self.things[0]
