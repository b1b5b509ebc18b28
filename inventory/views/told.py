"""What happened to a thing, in the trade's own words. Has no address; the markup is in thing/events.html."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext_lazy as _

from inventory.compute.build_steps import BY_KEY
from inventory.compute.steps import Basis, Role
from inventory.queries import build_card, build_steps
from inventory.queries.dossier.facts import Happened, Part

_TOOK_PART = {
    Role.INPUT: _("used"),
    Role.OUTPUT: _("new"),
    Role.GAINS: _("built into"),
    Role.PART: _("beside"),
    Role.WHOLE: _("of"),
    Role.CONTENT: _("moved"),
    Role.CONTAINER: _("into"),
    Role.OBSERVED: _("also"),
    Role.BY: _("with"),
}
_KNOWN_BY = {
    Basis.WEIGHED: _("weighed"),
    Basis.COUNTED: _("counted"),
    Basis.FROM_NEEDS: _("reckoned, not weighed"),
}
_FEW = 3
_SAYS_NOTHING = frozenset(
    {Role.OBSERVED, Role.OUTPUT, Role.CONTENT, Role.GAINS, Role.PART}
)  # of the thing itself


@dataclass(frozen=True, slots=True)
class TookPart:
    """One thing that took part: as what, and how its amount is known."""

    part: Part
    word: object
    known: object


@dataclass(frozen=True, slots=True)
class Told:
    """One event as a page tells it. `doer`: whose hands, where somebody else recorded it. `others`: what took
    part beside many of the same; a page folds it."""

    event: Happened
    what: object
    doer: str
    parts: tuple[TookPart, ...]
    others: tuple[TookPart, ...] = ()


def told(events: Sequence[Happened], thing: UUID) -> list[Told]:
    """Events of a thing's page: the step of the build card by its name, who did it, what took part."""
    if not events:
        return []
    labels = {job.key: job.label for job in (*BY_KEY.values(), *build_steps.jobs())}
    doers = build_card.names({str(event.facts["doer"]) for event in events if event.facts.get("doer")})
    return [
        Told(
            event,
            labels.get(str(event.facts.get("job", "")), "") or event.step,
            _doer(event, doers),
            *_near_and_others(event, thing),
        )
        for event in events
    ]


def _near_and_others(event: Happened, thing: UUID) -> tuple[tuple[TookPart, ...], tuple[TookPart, ...]]:
    """What took part; apart from it the many that took part in one way, none of them the page's own thing."""
    ways = Counter(part.role for part in event.parts if part.thing.id != thing)
    near: list[TookPart] = []
    others: list[TookPart] = []
    for part in event.parts:
        if not _speaks_of_itself(part, thing):
            many = part.thing.id != thing and ways[part.role] > _FEW
            took = TookPart(part, _TOOK_PART[part.role], _KNOWN_BY.get(part.basis, ""))
            (others if many else near).append(took)
    return tuple(near), tuple(others)


def _doer(event: Happened, doers: Mapping[str, str]) -> str:
    name = doers.get(str(event.facts.get("doer", "")), "")
    return "" if name == event.who else name


def _speaks_of_itself(part: Part, thing: UUID) -> bool:
    """True for a line that only says that the page's own thing was there."""
    silent = part.thing.id == thing and part.role in _SAYS_NOTHING
    return silent and part.amount is None and part.to is None
