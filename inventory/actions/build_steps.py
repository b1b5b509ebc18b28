"""WRITE steps of the build card: what was done to which ski, and by whom; and the shop's list of them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from inventory.actions import cards, closing
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute import build_steps
from inventory.compute.build_steps import READS, Job, Kept, Who
from inventory.compute.codes import Kind, derived
from inventory.compute.reasons import number
from inventory.errors import Refused, say
from inventory.models import BuildStep, Guest, Person
from inventory.queries import bench, builds, cycles
from inventory.queries import build_steps as lists
from inventory.queries import ledger as read

_AT_THE_PRESS = ("cool", "open")


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
    Refused: step.unknown, step.own_page, step.no_ski, step.crew_only, step.under_age, step.age_unknown,
    step.doer_unknown, step.no_reading, step.reading, step.in_the_press, stock.on_hold, thing.unborn.
    """
    job = build_steps.job(step, lists.jobs())
    if job.event:
        raise Refused(
            "step.own_page",
            say("“{step}” is recorded on a page of its own.", step=job.label),
            say("Record it there; the card then shows it as done."),
        )
    skis = _skis(things)
    closing.check_open(skis)
    if job.key in _AT_THE_PRESS:
        _check_opened(act, job, skis)
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


def _check_opened(act: Act, job: Job, skis: Sequence[UUID]) -> None:
    """Refuse to tick what the press's own page records while the ski lies in a closed press."""
    for ski, cycle in cycles.skis_pressed_now(skis, act.by.now).items():
        raise Refused(
            "step.in_the_press",
            say(
                "{ski} lies in {press}, which is closed: “{step}” is recorded there.",
                ski=read.name(ski),
                press=cycle.press_name,
                step=job.label,
            ),
            say("Open the page of the cycle; it asks what has to be looked at before."),
        )


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

    Refused: step.crew_only, step.under_age, step.age_unknown, step.doer_unknown.
    """
    doer = doer or act.by.person
    if doer is None:
        return {}
    guest = Guest.objects.filter(id=doer).first()
    if guest is not None:
        build_steps.check_who(job, guest.age_band)
        return {"doer": str(doer), "doer_is": "guest"}
    person = Person.objects.filter(id=doer).first()
    if person is None:
        raise Refused(
            "step.doer_unknown",
            say("There is no such guest and no such person of the crew."),
            say("Choose one of the list."),
        )
    build_steps.check_crew(job, under_18=person.under_18)
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


@happening
def add_step(act: Act, /, *, label: str, who: str, after: str = "") -> None:
    """Put a step of the shop's own on the build card, after another one; without one, first.

    Afterwards: every pair's card has it, of pairs in work too.
    Refused: step.no_label, step.unknown, step.too_many.
    """
    id = act.id("build step")
    jobs = lists.jobs()
    _keep(act, id, Kept(f"own-{id.hex[-10:]}", label, _position(after, jobs), Who(who)))


@happening
def change_step(act: Act, /, *, step: str, changes: Mapping[str, object]) -> None:
    """Rename a step, say who may do it, move it after another (`after`; empty: first), or leave it out.

    Afterwards: the build card says so. What was recorded stays; who may do a shipped step never becomes laxer
    than it came.
    Refused: step.unknown, step.no_label, step.loosened, step.needed, step.order, step.too_many.
    """
    row = lists.one(step)
    if row is None:
        build_steps.job(step, ())
        return
    fields = {key: value for key, value in changes.items() if key != "after"}
    if "who" in fields:
        fields["who"] = Who(str(fields["who"]))
    if "after" in changes:
        others = [job for job in lists.jobs() if job.key != step]
        fields["position"] = _position(str(changes["after"]), others)
    id = lists.card_of(step) or derived(UUID(int=0), 0, of=f"build step {step}")  # the same on every laptop
    _keep(act, id, replace(row, **fields))  # type: ignore[arg-type]


def _keep(act: Act, id: UUID, row: Kept) -> None:
    build_steps.check_kept(row)
    cards.save(
        act,
        BuildStep,
        id,
        key=row.key,
        label=row.label.strip(),
        position=row.position,
        who=row.who.value,
        ended=row.ended,
    )
    build_steps.check_order(lists.jobs())


def _position(after: str, jobs: Sequence[Job]) -> float:
    """Between the step named and the one that follows it."""
    places = lists.positions()
    if after:
        at = jobs.index(build_steps.job(after, jobs))
        if at + 1 == len(jobs):
            return places[after] + build_steps.STEP_APART
        return (places[after] + places[jobs[at + 1].key]) / 2
    return min((places[job.key] for job in jobs), default=0.0) - build_steps.STEP_APART
