"""WRITE steps of the build card: what was done to which ski, and by whom."""

from collections.abc import Sequence
from uuid import UUID

from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute import build_steps
from inventory.compute.build_steps import READS, Job
from inventory.compute.codes import Kind
from inventory.compute.reasons import number
from inventory.errors import Refused, say
from inventory.models import Guest, Person
from inventory.queries import bench, builds
from inventory.queries import ledger as read


@happening
def record_step(
    act: Act,
    /,
    *,
    things: Sequence[UUID],
    step: str,
    doer: UUID | None = None,
    reading: float | None = None,
    note: str = "",
) -> None:
    """Record a step of the build card for skis, or for both of a pair.

    `doer`: the guest or the person of the crew whose hands did it; the one who records it when left out.
    Afterwards: the card says it is done, when, and by whom.
    Refused: step.unknown, step.own_page, step.no_ski, step.under_age, step.age_unknown, step.doer_unknown,
    step.no_reading, step.reading, stock.on_hold, thing.unborn.
    """
    job = build_steps.job(step)
    if job.event:
        raise Refused(
            "step.own_page",
            say("“{step}” is recorded on a page of its own.", step=job.label),
            say("Record it there; the card then shows it as done."),
        )
    skis = _skis(things)
    facts: dict[str, object] = {"job": job.key, **whose_hands(act, job, doer), **_reading(job, reading)}
    act.record("step done", observed=[Entry(ski) for ski in skis], facts=facts, note=note)


def _skis(things: Sequence[UUID]) -> list[UUID]:
    kinds = read.kinds(things)
    found: list[UUID] = []
    for thing in things:
        kind = kinds.get(thing, (None, ""))[0]
        if kind not in (Kind.SKI, Kind.PAIR):
            raise Refused(
                "step.no_ski",
                say("{thing} is neither ski nor pair.", thing=read.name(thing)),
                say("Scan the tag of a ski, or of its pair."),
            )
        found += bench.skis_of(thing) if kind is Kind.PAIR else [thing]
    if not found:
        raise Refused("step.no_ski", say("No ski was scanned."), say("Scan the skis."))
    return list(dict.fromkeys(found))


def of_their_workshop(skis: Sequence[UUID], doer: UUID | None) -> None:
    """Refuse a guest who is in no workshop of these skis: `step.other_workshop`. No ski named, none asked."""
    if not skis or doer is None or not Guest.objects.filter(id=doer).exists():
        return
    if doer not in builds.guests_beside(skis):
        raise Refused(
            "step.other_workshop",
            say("That guest is not in the workshop of {thing}.", thing=read.name(skis[0])),
            say("Choose a guest of that workshop, or someone of the crew."),
        )


def whose_hands(act: Act, job: Job, doer: UUID | None) -> dict[str, object]:
    """Whose hands, by id: a name stands on the card of guest or person only.

    Refused: step.under_age, step.age_unknown, step.doer_unknown.
    """
    if doer is None:
        return {"doer": str(act.by.person), "doer_is": "crew"} if act.by.person else {}
    guest = Guest.objects.filter(id=doer).first()
    if guest is not None:
        build_steps.check_who(job, guest.age_band)
        return {"doer": str(doer), "doer_is": "guest"}
    if not Person.objects.filter(id=doer).exists():
        raise Refused(
            "step.doer_unknown",
            say("There is no such guest and no such person of the crew."),
            say("Choose one of the list."),
        )
    return {"doer": str(doer), "doer_is": "crew"}


def _reading(job: Job, reading: float | None) -> dict[str, object]:
    if not job.asks:
        return {}
    if reading is None:
        raise Refused(
            "step.no_reading",
            say("“{step}” has no reading.", step=job.label),
            say("Enter what was read, in {unit}.", unit=job.asks),
        )
    low, high = READS[job.asks]
    number(reading, code="step.reading", name="The reading", unit=job.asks, at_least=low, at_most=high)
    return {"reading": reading, "unit": job.asks}
