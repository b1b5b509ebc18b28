"""The steps of a build card, in order, and who may do each. Knows no table.

The shipped list; a shop may be stricter. Nobody under 18 does, or is recorded as doing, a step that meets a
hazard below, and a guardian's signature changes nothing about that.
"""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from inventory.errors import Refused, Sentence, say


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


class Where(StrEnum):
    """Where a step is done."""

    YARD = "at the yard"
    BENCH = "at the workshop"


@dataclass(frozen=True, slots=True)
class Job:
    """One step of the build card. `event`: the ledger's own step that says it is done, recorded on its own
    page; empty: recorded as `step done`. `asks`: what is read at it, with its unit."""

    key: str
    label: str
    where: Where
    hazards: frozenset[Hazard] = frozenset()
    event: str = ""
    asks: str = ""
    caution: Sentence | None = None

    @property
    def adults_only(self) -> bool:
        """True when nobody under 18 does it."""
        return bool(self.hazards)


def _job(
    key: str, label: str, *hazards: Hazard, at: Where = Where.BENCH, event: str = "", asks: str = ""
) -> Job:
    caution = next((_CAUTIONS[hazard] for hazard in hazards if hazard in _CAUTIONS), None)
    return Job(key, label, at, frozenset(hazards), event, asks, caution)


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
    _job("trim", "Trim", Hazard.SAW, Hazard.DUST),
    _job("grind", "Grind", Hazard.DUST),
    _job("wax", "Wax, cold, edges covered"),
    _job("measure", "Measure", asks="g"),
    _job("hand-over", "Hand over", event="handed over"),
)
BY_KEY = {job.key: job for job in JOBS}
READS = {"%": (2.0, 40.0), "g": (300.0, 6000.0)}  # common practice, no source: what a reading can be


def job(key: str) -> Job:
    """The step of this key. Refuses: step.unknown."""
    found = BY_KEY.get(key)
    if found is None:
        raise Refused(
            "step.unknown",
            say("{step} is no step of the build card.", step=key),
            say("Take a step from the card."),
        )
    return found


def check_who(step: Job, band: str) -> None:
    """Refuse a guest at a step that only adults do: `step.under_age`; `step.age_unknown` when the age is."""
    if not step.adults_only:
        return
    hazards = ", ".join(sorted(step.hazards))
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
        raise Refused(
            "step.under_age",
            say(
                "“{step}” meets {hazards}; nobody under 18 does it or is recorded as doing it.",
                step=step.label,
                hazards=hazards,
            ),
            say("An adult does it, with the guest watching from outside the hazard zone."),
        )


def next_job(done: Collection[str], *, jobs: tuple[Job, ...] = JOBS) -> Job | None:
    """The first step after the last one that is done; one left out before that is not waited for."""
    last = max((at for at, step in enumerate(jobs) if step.key in done), default=-1)
    return jobs[last + 1] if last + 1 < len(jobs) else None
