"""WRITE a press at work: closed, read, opened, opened too early, and its log judged.

No press is opened by anything here: a person opens it, and says what was looked at.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from inventory.actions import build_steps, closing, press_order
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.press import check_cycle, hands_of, record_pressed
from inventory.actions.refusals import Entry
from inventory.compute.build_steps import BY_KEY
from inventory.compute.cure import Outcome
from inventory.compute.press import lists as press_lists
from inventory.compute.press.lists import Item
from inventory.compute.reasons import number
from inventory.errors import Refused, say
from inventory.queries import bench, cycles, people, pressing
from inventory.queries import ledger as read
from inventory.queries.cycles import Cycle
from inventory.roles import Right, may

_NOT_YET = ("cure.not_reached", "cure.only_plain", "cure.not_cool")
READINGS_MOST = 50_000  # a day and more at one a second and two probes


@dataclass(frozen=True, slots=True)
class Logged:
    """A logger's readings as its file says: when it begins, seconds after that, °C by probe, kPa."""

    starts: datetime
    at_s: tuple[float, ...]
    probes_c: Mapping[str, tuple[float | None, ...]]
    kpa: tuple[float | None, ...]
    serial: str = ""


@happening
def close_press(
    act: Act,
    /,
    *,
    press: UUID,
    skis: Sequence[UUID],
    mould: UUID | None,
    set_kpa: float,
    set_c: float,
    minutes: float,
    heated: bool,
    watcher: UUID | None,
    checked: Collection[str],
    bay_c: float | None = None,
    doer: UUID | None = None,
) -> None:
    """Close a press on skis, now: it is in order for the set points, and what is looked at before was seen.

    Afterwards: the cycle has a code and runs; the press is closed until somebody opens it; every ski has an
    exposure to cycle, press and mould.
    Refused: press.not_checked, press.not_in_order, press.closed_already, press.ski_elsewhere,
    press.mould_short, press.too_short, press.too_many, press.no_bay, press.no_skis, press.set_point,
    press.not_a_press, press.not_laid_up, stock.on_hold, thing.unborn, step.under_age, step.age_unknown,
    step.doer_unknown, step.other_workshop.
    """
    check_cycle(press, skis, set_kpa=set_kpa, set_c=set_c, minutes=minutes)
    _check_list(press_lists.closing(heated=heated), checked, "press.not_checked")
    _check_free(act, press, skis)
    press_order.check_now(
        press,
        skis,
        mould,
        set_kpa=set_kpa,
        set_c=set_c,
        on=day_of(act),
        heated=heated,
        watcher_named=watcher is not None,
    )
    if not heated and bay_c is None:
        raise Refused(
            "press.no_bay",
            say("Unheated, the bay decides how long it takes; nobody read its temperature."),
            say("Read the bay's thermometer."),
        )
    watches = {} if watcher is None else build_steps.whose_hands(act, BY_KEY["press"], watcher)
    facts: dict[str, object] = {"heated": heated, "checked": sorted(checked)}
    if watches:
        facts["watcher"] = watches["doer"]
    if bay_c is not None:
        facts["bay_c"] = number(
            bay_c, code="press.set_point", name="The bay", unit="°C", at_least=-30, at_most=60
        )
    settings = {"set_kpa": set_kpa, "set_c": set_c, "minutes": minutes}
    cycle = record_pressed(act, press, skis, mould, settings | facts | hands_of(act, "press", doer, skis))
    act.record("press closed", observed=[Entry(press)], by=[cycle])


def _check_list(asked: tuple[Item, ...], checked: Collection[str], code: str) -> None:
    left = press_lists.missing(asked=asked, checked=checked)
    if left:
        raise Refused(
            code,
            say("Nobody checked: {item}", item=str(left[0].sentence)),
            say("Look at it, each by itself; then tick it."),
        )


def _check_free(act: Act, press: UUID, skis: Sequence[UUID]) -> None:
    """Refuse a press that is closed already, and skis that lie in another one."""
    if pressing.closed_now(press) is not None:
        raise Refused(
            "press.closed_already",
            say("{press} is closed already.", press=read.name(press)),
            say("Record its opening first, or undo the closing that was recorded in error."),
        )
    for ski, cycle in cycles.skis_pressed_now(skis, act.by.now).items():
        raise Refused(
            "press.ski_elsewhere",
            say("{ski} lies in {press}, which is closed.", ski=read.name(ski), press=cycle.press_name),
            say("Check the code: a ski is in one press at a time."),
        )


def _cycle(cycle: UUID) -> Cycle:
    found = cycles.one(cycle)
    if found is None:
        raise Refused(
            "press.no_cycle", say("{thing} is no press cycle.", thing=read.name(cycle)), say("Scan its code.")
        )
    return found


@happening
def read_press(act: Act, /, *, cycle: UUID, probes_c: Mapping[str, float], kpa: float | None = None) -> None:
    """Write down what the thermometers and the gauge of a press show now.

    Afterwards: the curve has a point more, and the forecast follows it.
    Refused: press.no_cycle, press.nothing_read, press.opened_before, press.reading.
    """
    row = _cycle(cycle)
    if not probes_c and kpa is None:
        raise Refused(
            "press.nothing_read", say("Nothing was read."), say("Enter a temperature, or the pressure.")
        )
    if row.opened_at is not None and act.at > row.opened_at:
        raise Refused(
            "press.opened_before",
            say(
                "The press was opened at {at:%H:%M}: nothing is read of this cycle any more.",
                at=row.opened_at,
            ),
            say("Enter when it was read, if that was before."),
        )
    for name, celsius in probes_c.items():
        number(celsius, code="press.reading", name=f"Probe {name}", unit="°C", at_least=-60, at_most=400)
    facts: dict[str, object] = {"probes_c": dict(probes_c)}
    if kpa is not None:
        facts["kpa"] = number(
            kpa, code="press.reading", name="The gauge", unit="kPa", at_least=-20, at_most=2000
        )
    act.record("press read", observed=[Entry(cycle)], facts=facts)


@happening
def read_log(act: Act, /, *, cycle: UUID, log: Logged, left_out: Sequence[str] = ()) -> None:
    """Keep a logger's readings with a press cycle. `left_out`: probes set aside on purpose.

    Afterwards: the curve is the log's; an earlier log and what was typed stay on record, and no longer count.
    Refused: press.no_cycle, press.log_long, press.log_elsewhere, press.no_probe.
    """
    row = _cycle(cycle)
    if len(log.at_s) * (len(log.probes_c) + 1) > READINGS_MOST:
        raise Refused(
            "press.log_long",
            say(
                "The log has {count} readings, more than {most} values.",
                count=len(log.at_s),
                most=READINGS_MOST,
            ),
            say("Export the hours of this cycle only, or with a longer interval."),
        )
    for name in left_out:
        if name not in log.probes_c:
            raise Refused(
                "press.no_probe",
                say("The log has no probe {name}.", name=name),
                say("It has: {names}.", names=", ".join(log.probes_c)),
            )
    _check_meets(row, log, act.by.now)
    facts = {
        "log": {
            "from": log.starts.isoformat(),
            "at_s": list(log.at_s),
            "probes_c": {name: list(column) for name, column in log.probes_c.items()},
            "kpa": list(log.kpa),
            "serial": log.serial,
        },
        "left_out": list(left_out),
    }
    act.record("press read", observed=[Entry(cycle)], facts=facts)


def _check_meets(row: Cycle, log: Logged, now: datetime) -> None:
    """Refuse a log of other hours than the cycle's: another cycle's, or a clock that is off."""
    starts_s = (log.starts - row.closed_at).total_seconds()
    first, last = starts_s + log.at_s[0], starts_s + log.at_s[-1]
    ends_s = row.ends_s or (now - row.closed_at).total_seconds()
    if last > 0 and first < ends_s:
        return
    raise Refused(
        "press.log_elsewhere",
        say(
            "The log runs from {first} to {last} min after closing, the cycle to {ends} min.",
            first=round(first / 60),
            last=round(last / 60),
            ends=round(ends_s / 60),
        ),
        say("Check that it is this cycle's log, and the logger's clock and time zone."),
    )


@happening
def open_press(act: Act, /, *, cycle: UUID, checked: Collection[str], doer: UUID | None = None) -> None:
    """Record that a press was opened, everything that is looked at before having been seen.

    Afterwards: the cycle has ended, the press is free, and its skis have cooled and were taken out.
    Refused: press.no_cycle, press.opened_before, press.not_seen, press.too_early, step.under_age,
    step.age_unknown, step.doer_unknown, step.other_workshop.
    Caution: stand at the side, never at the ends; nobody leans over or reaches in.
    """
    row = _closed(cycle)
    _check_list(press_lists.OPENING, checked, "press.not_seen")
    told = cycles.judged(row, act.at).opening
    if told is not None and False in (told.schedule_reached, told.cool):
        raise Refused(
            "press.too_early",
            next(reason.sentence for reason in told.verdict.reasons if reason.code in _NOT_YET),
            say("Leave it closed until the log says so. What happened all the same an owner records."),
        )
    build_steps.of_their_workshop(row.skis, doer)
    hands = build_steps.whose_hands(act, BY_KEY["open"], doer)
    _record_opened(act, row, {"checked": sorted(checked)} | hands)


def _closed(cycle: UUID) -> Cycle:
    row = _cycle(cycle)
    if row.opened_at is not None:
        raise Refused(
            "press.opened_before",
            say("The press was opened at {at:%H:%M}.", at=row.opened_at),
            say("Nothing is left to record; undo that opening if it was recorded in error."),
        )
    return row


def _record_opened(act: Act, row: Cycle, facts: Mapping[str, object], note: str = "") -> None:
    skis = [Entry(ski) for ski in row.skis]
    if row.press is not None:
        act.record("press opened", observed=[Entry(row.press)], by=[row.id], facts=facts, note=note)
    hands = {key: value for key, value in facts.items() if key in ("doer", "doer_is")}
    steps = ("open",) if facts.get("early") else ("cool", "open")
    for step in steps:
        act.record("step done", observed=skis, facts={"job": step} | hands)


@happening
def opened_early(act: Act, /, *, cycle: UUID, why: str) -> None:
    """Record that a press was opened before its schedule: it happened, and an owner says why.

    Afterwards: the cycle has ended, and its skis are on hold until an owner lifts it.
    Refused: press.no_cycle, press.opened_before, press.owner_says, press.no_why.
    """
    row = _closed(cycle)
    if not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "press.owner_says",
            say("Only an owner records that a press was opened early."),
            say("Tell an owner what happened. Set the skis apart."),
        )
    if not why.strip():
        raise Refused(
            "press.no_why", say("A verdict needs a reason."), say("Say in a few words what was seen.")
        )
    _record_opened(act, row, {"early": True}, why)
    act.record("held", observed=[Entry(ski) for ski in row.skis], note=why)


@happening
def judge_by_log(act: Act, /, *, cycle: UUID) -> None:
    """Judge a press cycle by its log, as the page shows it.

    Afterwards: its skis have a press verdict with the log's reasons.
    Refused: press.no_cycle, press.not_opened, press.no_log, press.cannot_judge, workshop.closed.
    """
    row = _cycle(cycle)
    closing.check_open(row.skis)
    if row.opened_at is None:
        raise Refused(
            "press.not_opened",
            say("The press is closed: a cycle is judged once it has ended."),
            say("Record the opening first."),
        )
    told = cycles.judged(row, act.at)
    if told.verdict is None:
        raise Refused(
            "press.no_log",
            told.refused.sentence if told.refused else say("There is no log to judge by, or no schedule."),
            say("Add the log; without one a person judges, with a reason."),
        )
    if told.verdict.outcome is Outcome.CANNOT_BE_JUDGED:
        raise Refused(
            "press.cannot_judge",
            told.verdict.verdict.reasons[0].sentence,
            say("Fetch what is missing. Without it a person decides, with a reason, or the ski is rejected."),
        )
    passed = told.verdict.outcome is Outcome.PASSES
    facts: dict[str, Any] = {
        "passed": passed,
        "by_log": True,
        "share": round(told.verdict.progress.cautious_share, 4),
        "reasons": [reason.code for reason in told.verdict.verdict.reasons],
    }
    why = " ".join(str(reason.sentence) for reason in told.verdict.verdict.reasons)
    act.record(
        "judged", observed=[Entry(ski) for ski in bench.skis_in(cycle)], by=[cycle], facts=facts, note=why
    )
