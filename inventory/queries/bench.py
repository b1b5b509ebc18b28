"""READ the bench: what a ski went through, who lies in which cycle."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import Q, QuerySet

from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.models import Event, Line, Note, Ski, Tag, Thing


def _steps_of(thing: UUID, step: str) -> QuerySet[Event]:
    """Live events of one step with a line on this thing, newest first."""
    return Event.objects.filter(lines__thing_id=thing, step=step, skipped__isnull=True).order_by(
        "-sort", "-machine", "-id"
    )


WORKS = ("laid up", "layer added", "pressed")
NOT_YET, REJECTED = "not yet", "rejected"


def has_step(thing: UUID, step: str) -> bool:
    """True when this step of the thing is on record and not undone."""
    return _steps_of(thing, step).exists()


def last_verdict(ski: UUID, step: str) -> bool | None:
    """The newest verdict of a step that judges; None when there is none of what was done to the ski last.

    A press verdict counts for the newest cycle only, an inspection until the ski is pressed or laid up again.
    """
    verdicts = _steps_of(ski, step)
    if step == "judged":
        newest = _steps_of(ski, "pressed").first()
        cycles = Line.objects.filter(event=newest, role=Role.BY, thing__kind=Kind.PRESS_CYCLE).values(
            "thing_id"
        )
        verdicts = verdicts.filter(lines__in=Line.objects.filter(role=Role.BY, thing_id__in=cycles))
    else:
        works = Event.objects.filter(lines__thing_id=ski, step__in=WORKS, skipped__isnull=True)
        newest_work = works.order_by("-sort").values_list("sort", flat=True).first()
        verdicts = verdicts.filter(sort__gt=-1 if newest_work is None else newest_work)
    event = verdicts.first()
    return None if event is None else bool(event.facts["passed"])


def rejected(ski: UUID) -> bool:
    """True when the newest inspection rejected the ski, and nothing was done to it since."""
    newest = _steps_of(ski, "inspected").first()
    outcome = newest.facts.get("outcome") if newest else None
    return outcome == "reject" and last_verdict(ski, "inspected") is False


def to_lay_up(workshops: Iterable[UUID]) -> dict[UUID, dict[UUID, str]]:
    """By pair of these workshops its skis, and why each is still to be laid up; empty: it is not.

    It is until it was laid up, and again once an inspection rejected it: another takes its place. Two
    statements.
    """
    own = Ski.objects.filter(pair__workshop_id__in=list(workshops), pair__thing__state__isnull=False)
    pair_of = {ski: pair for ski, pair in own.values_list("thing_id", "pair_id") if pair}
    found: dict[UUID, dict[UUID, str]] = {}
    for ski, pair in pair_of.items():
        found.setdefault(pair, {})[ski] = NOT_YET
    lines = Line.objects.filter(
        thing__ski__in=own, event__step__in=(*WORKS, "inspected"), event__skipped__isnull=True
    ).order_by("event__sort", "event__machine", "event_id")
    laid: set[UUID] = set()
    for ski, step, facts in lines.values_list("thing_id", "event__step", "event__facts"):
        laid |= {ski} if step == "laid up" else set()
        why = REJECTED if facts.get("outcome") == "reject" else "" if ski in laid else NOT_YET
        found[pair_of[ski]][ski] = why
    return found


def why_rejected(ski: UUID) -> str:
    """The words of the inspection that rejected a ski; empty when it is not rejected."""
    newest = _steps_of(ski, "inspected").first()
    if newest is None or newest.note is None or not rejected(ski):
        return ""
    return Note.objects.filter(id=newest.note).values_list("text", flat=True).first() or ""


def takes_more(ski: UUID) -> bool:
    """True before a ski is laid up, and when a verdict since then says that it does not pass."""
    events = Event.objects.filter(
        lines__thing_id=ski, step__in=("laid up", "judged", "inspected"), skipped__isnull=True
    )
    newest = events.order_by("-sort", "-machine", "-id").first()
    if newest is None or newest.step == "laid up":
        return newest is None
    return not newest.facts["passed"] or not has_step(ski, "laid up")


def skis_in(cycle: UUID) -> list[UUID]:
    """The skis of one press cycle."""
    pressed = Event.objects.filter(
        lines__thing_id=cycle, lines__role=Role.BY, step="pressed", skipped__isnull=True
    )
    events = list(pressed.values_list("id", flat=True))  # few; a query in the query is planned badly
    rows = Line.objects.filter(event_id__in=events, role=Role.OBSERVED).order_by("event__sort", "position")
    return list(dict.fromkeys(rows.values_list("thing_id", flat=True)))


def newest_cycle(skis: Iterable[UUID]) -> str:
    """The code of the cycle these skis lay in last; empty before they were pressed."""
    pressed = Event.objects.filter(step="pressed", skipped__isnull=True, lines__thing_id__in=list(skis))
    newest = pressed.order_by("-sort", "-machine", "-id").first()
    cycle = Tag.objects.filter(
        thing__kind=Kind.PRESS_CYCLE, thing__lines__event=newest, thing__lines__role=Role.BY
    )
    return cycle.values_list("code", flat=True).first() or "" if newest else ""


def skis_of(pair: UUID) -> list[UUID]:
    """Left and right ski of a pair."""
    return list(Ski.objects.filter(pair_id=pair).order_by("side").values_list("thing_id", flat=True))


def blanks_in(ski: UUID, *, with_: Iterable[UUID] = ()) -> list[UUID]:
    """Core blanks laid up into this ski, out of a package or glued up here; `with_`: and those to come."""
    gained = Line.objects.filter(thing_id=ski, role=Role.GAINS, event__skipped__isnull=True)
    events = list(gained.values_list("event_id", flat=True))  # few; a query in the query is planned badly
    inputs = Line.objects.filter(event_id__in=events, role=Role.INPUT).values_list("thing_id", flat=True)
    things = [*dict.fromkeys(inputs), *with_]
    blank = Q(package__lot__material__purpose="blank") | Q(kind=Kind.CORE_BLANK)
    found = set(Thing.objects.filter(blank, id__in=things).values_list("id", flat=True))
    return [thing for thing in things if thing in found]
