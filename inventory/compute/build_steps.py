"""The steps of a build card, in order, and who may do each. Knows no table.

The shipped list; a shop has its own, and may be stricter, never laxer. Nobody under 18 does, or is recorded
as doing, a step that meets a hazard below, and a guardian's signature changes nothing about that.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from inventory.errors import Listed, Refused, Sentence, Term, say


class AgeBand(StrEnum):
    """A guest's age, no closer than anyone needs."""

    CHILD = "under 12"
    YOUTH = "12 to 17"
    ADULT = "18 to 64"
    OLDER = "65 and up"


UNDER_AGE = frozenset({AgeBand.CHILD, AgeBand.YOUTH})


class Hazard(StrEnum):
    """What only adults meet."""

    RESIN = "uncured resin or hardener"
    CYANOACRYLATE = "cyanoacrylate"
    SOLVENT = "solvent"
    DUST = "sanding dust"
    ROUTER = "router"
    SAW = "saw"
    PRESS = "press"


class Who(StrEnum):
    """Who may do a step; each is stricter than the one before."""

    ANYONE = "anyone"
    ADULTS = "18 and over only"
    CREW = "the crew only"


class Where(StrEnum):
    """Where a step is done."""

    YARD = "at the yard"
    BENCH = "at the workshop"


@dataclass(frozen=True, slots=True)
class Job:
    """One step of the build card. `event`: the ledger's own step that says it is done, recorded on its own
    page; empty: recorded as `step done`. `asks`: what is read at it, with its unit. `who`: what the shop asks
    for; a hazard asks for adults whatever it says."""

    key: str
    label: str
    where: Where
    hazards: frozenset[Hazard] = frozenset()
    event: str = ""
    asks: str = ""
    caution: Sentence | None = None
    who: Who = Who.ANYONE

    @property
    def adults_only(self) -> bool:
        """True when nobody under 18 does it."""
        return bool(self.hazards) or self.who is Who.ADULTS

    @property
    def crew_only(self) -> bool:
        """True when no guest does it."""
        return self.who is Who.CREW

    @property
    def meets(self) -> list[str]:
        """The hazards by name."""
        return sorted(self.hazards)

    @property
    def least(self) -> Who:
        """Who may do it at the most."""
        return Who.ADULTS if self.hazards and self.who is Who.ANYONE else self.who


@dataclass(frozen=True, slots=True)
class Kept:
    """What a shop says of one step: of a shipped one by its key, or of one of its own."""

    key: str
    label: str
    position: float
    who: Who
    ended: bool = False


def _job(
    key: str,
    label: str,
    *hazards: Hazard,
    at: Where = Where.BENCH,
    event: str = "",
    asks: str = "",
    who: Who = Who.ANYONE,
) -> Job:
    caution = next((_CAUTIONS[hazard] for hazard in hazards if hazard in _CAUTIONS), None)
    return Job(key, Term(label), at, frozenset(hazards), event, asks, caution, who)


_MACHINE = say(
    "Guards on, ears and eyes covered, extraction running; one at the machine, others outside its reach."
)
_CAUTIONS = {
    Hazard.RESIN: say(
        "Gloves that suit it, changed often; a clean-handed recorder. A warm or smoking cup: stop, "
        "keep clear, ventilate, do not carry it."
    ),
    Hazard.CYANOACRYLATE: say(
        "Bonds skin at once, and its vapour stings: eyes covered, ventilate, no cotton."
    ),
    Hazard.SOLVENT: say(
        "No flame and no hot blanket near it; gloves, ventilate; rags into a closed metal bin."
    ),
    Hazard.DUST: say("Respirator on, extraction running; dust of resin and wood is not breathed."),
    Hazard.ROUTER: _MACHINE,
    Hazard.SAW: _MACHINE,
    Hazard.PRESS: say(
        "Stored energy and heat: a named watcher, nobody sleeps there. Before opening: schedule reached, "
        "heat off, vented, gauge zero, cool; each checked."
    ),
}

JOBS: tuple[Job, ...] = (
    _job("blank-glued", "Core blank glued", Hazard.SAW, at=Where.YARD),
    _job("moisture-read", "Moisture read", at=Where.YARD, asks="%"),
    _job("profiled", "Core profiled", Hazard.ROUTER, Hazard.DUST, at=Where.YARD),
    _job("base-cut", "Base cut", Hazard.ROUTER),
    _job("edges-fitted", "Edges fitted", Hazard.CYANOACRYLATE),
    _job("core-shaped", "Core shaped", Hazard.ROUTER, Hazard.DUST),
    _job("sidewalls", "Sidewalls fitted", Hazard.SAW, Hazard.CYANOACRYLATE),
    _job("wiped", "Surfaces abraded and wiped", Hazard.SOLVENT, Hazard.DUST),
    _job("dry-fit", "Dry fit"),
    _job("mix", "Mix", Hazard.RESIN, event="mixed"),
    _job("lay-up", "Lay-up", Hazard.RESIN, event="laid up"),
    _job("press", "Press", Hazard.PRESS, Hazard.RESIN, event="pressed"),
    _job("cool", "Cool", Hazard.PRESS),
    _job("open", "Open the press", Hazard.PRESS),
    _job("judge", "Judge the press cycle", event="judged", who=Who.CREW),
    _job("trim", "Trim", Hazard.SAW, Hazard.DUST),
    _job("grind", "Grind", Hazard.DUST),
    _job("wax", "Wax, cold, edges covered"),
    _job("measure", "Measure", asks="g"),
    _job("inspect", "Inspect", event="inspected", who=Who.CREW),
    _job("hand-over", "Hand over", event="handed over"),
)
FINISH = _job("finish", "Cut out, grind and wax", Hazard.SAW, Hazard.DUST, event="finished")  # in one go
BY_KEY = {job.key: job for job in JOBS}
STEP_APART = 10.0  # between the positions of two shipped steps
POSITIONS = {job.key: number * STEP_APART for number, job in enumerate(JOBS, start=1)}
STEPS_MOST = 28  # what one side of Letter holds
READS = {"%": (2.0, 40.0), "g": (300.0, 6000.0)}  # common practice, no source: what a reading can be


def of_shop(kept: Iterable[Kept]) -> tuple[Job, ...]:
    """A shop's list in its order: the shipped steps as the shop keeps them, and its own."""
    own = {row.key: row for row in kept}
    found: list[tuple[float, Job]] = []
    for key, shipped in BY_KEY.items():
        row = own.pop(key, None)
        if row is None:
            found.append((POSITIONS[key], shipped))
        elif not row.ended:
            label = shipped.label if row.label == shipped.label else row.label
            found.append((row.position, replace(shipped, label=label, who=_stricter(row.who, shipped))))
    found += [
        (row.position, replace(_job(row.key, "", who=row.who), label=row.label))
        for row in own.values()
        if not row.ended
    ]
    return tuple(job for _, job in sorted(found, key=lambda pair: (pair[0], pair[1].key)))


def _stricter(who: Who, shipped: Job) -> Who:
    order = list(Who)
    return max(who, shipped.least, key=order.index)


def check_kept(row: Kept) -> None:
    """Refuse what a shop cannot say of a step: step.no_label, step.loosened, step.needed."""
    if not row.label.strip():
        raise Refused("step.no_label", say("The step has no name."), say("Enter what is done."))
    shipped = BY_KEY.get(row.key)
    if shipped is None:
        return
    if _stricter(row.who, shipped) is not row.who:
        raise Refused(
            "step.loosened",
            say(
                "“{step}” is for {least}, and not for {who}.",
                step=shipped.label,
                least=shipped.least,
                who=row.who,
            ),
            say("Leave it as strict as it came, or make it stricter."),
        )
    if row.ended and shipped.event:
        raise Refused(
            "step.needed",
            say("“{step}” cannot be left out: the books ask for it.", step=shipped.label),
            say("Rename or move it; it stays on the card."),
        )


def check_order(jobs: Sequence[Job]) -> None:
    """Refuse a list that cannot be worked down, `step.order`, or that is too long, `step.too_many`."""
    if len(jobs) > STEPS_MOST:
        raise Refused(
            "step.too_many",
            say("The card would have more than {most} steps; no more fit on one side.", most=STEPS_MOST),
            say("Leave a step out first."),
        )
    wanted = [job.key for job in JOBS if job.event]
    have = [job.key for job in jobs if job.event]
    if have != wanted:
        first, second = next(pair for pair in zip(wanted, have, strict=True) if pair[0] != pair[1])
        raise Refused(
            "step.order",
            say(
                "“{second}” would come before “{first}”.",
                first=BY_KEY[first].label,
                second=BY_KEY[second].label,
            ),
            say("Mix, lay-up, press, judge, inspect and hand over keep their order; move another step."),
        )


def job(key: str, jobs: Iterable[Job] = JOBS) -> Job:
    """The step of this key. Refuses: step.unknown."""
    found = next((each for each in jobs if each.key == key), None)
    if found is None:
        raise Refused(
            "step.unknown",
            say("“{step}” is no step of the build card.", step=key),
            say("Take a step from the card."),
        )
    return found


def check_who(step: Job, band: str) -> None:
    """Refuse a guest at a step that only others do.

    Refuses: step.crew_only, step.under_age, step.age_unknown
    """
    if step.crew_only:
        raise Refused(
            "step.crew_only",
            say("“{step}” is for the crew.", step=step.label),
            say("Record who of the crew did it."),
        )
    if not step.adults_only:
        return
    hazards = Listed(sorted(step.hazards)) or Term("what the shop keeps for adults")
    if not band:
        raise Refused(
            "step.age_unknown",
            say(
                "“{step}” meets {hazards}, and the guest's age band is not known.",
                step=step.label,
                hazards=hazards,
            ),
            say("Enter the age band on the guest's card, or record who of the crew did it."),
        )
    if AgeBand(band) in UNDER_AGE:
        raise _under_age(step)


def check_crew(step: Job, *, under_18: bool) -> None:
    """Refuse someone of the crew under 18 at a step that only adults do: `step.under_age`."""
    if under_18 and step.adults_only:
        raise _under_age(step)


def _under_age(step: Job) -> Refused:
    return Refused(
        "step.under_age",
        say(
            "“{step}” meets {hazards}; nobody under 18 does it or is recorded as doing it.",
            step=step.label,
            hazards=Listed(sorted(step.hazards)) or Term("what the shop keeps for adults"),
        ),
        say("An adult does it and is named; whoever is younger watches from outside the hazard zone."),
    )


def next_job(done: Collection[str], *, jobs: Sequence[Job] = JOBS) -> Job | None:
    """The first step after the last one that is done; one left out before that is not waited for."""
    last = max((at for at, step in enumerate(jobs) if step.key in done), default=-1)
    return jobs[last + 1] if last + 1 < len(jobs) else None
