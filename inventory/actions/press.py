"""WRITE what happens at the bench: mix, lay up, press, judge, inspect, finish, hand over."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from inventory.actions import build_steps, cards, closing, mixing, press_order
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry, check_holds
from inventory.actions.stock import check_in_date, open_by_use
from inventory.compute.build_steps import FINISH, job
from inventory.compute.codes import Code, Kind
from inventory.compute.cure import Outcome
from inventory.compute.damp import Air
from inventory.compute.reasons import number
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.models import Equipment
from inventory.queries import bench, cycles, people
from inventory.queries import build_steps as lists
from inventory.queries import ledger as read
from inventory.roles import Right, may


@happening
def put_equipment_into_use(
    act: Act, /, *, kind: Kind, name: str, place: UUID | None = None, code: Code | None = None
) -> None:
    """Put a press, a mould or another piece of equipment into use.

    Afterwards: it has a code and may be named in what happens.
    Refused: place.rank, tag.taken, tag.wrong_kind, tag.never_printed.
    """
    thing = act.born(kind, code=code)
    act.record("put into use", outputs=[Entry(thing.id, to=place)])
    cards.save(act, Equipment, thing.id, name=name)


@happening
def record_mix(
    act: Act,
    /,
    *,
    resin: UUID,
    hardener: UUID,
    resin_mg: int,
    hardener_mg: int,
    hardener_per_hundred: float | None = None,
    skis: Sequence[UUID] = (),
    override: str = "",
    doer: UUID | None = None,
    air: Air | None = None,
    scale_step_mg: int | None = None,
    asked: tuple[int, int] | None = None,
    apart: bool = False,
) -> None:
    """Mix resin and hardener, as weighed, in one cup. `doer`: as `build_steps.record_step` takes it.

    The ratio is the one of the hardener's card; it is given only where the card has none. `asked`: what was
    to be poured. `apart`: the cup is off its ratio and set apart: it is on record, and no ski takes it.
    Afterwards: both packages hold that much less, what has a life once opened is open, and the resin batch is
    born with the sum; its working time runs.
    Refused: mix.not_resin, mix.not_hardener, mix.off, mix.above_cup, mix.no_ratio, mix.other_ratio,
    mix.other_resin, mix.ounces, mix.wet, stock.short, stock.on_hold, stock.expired, stock.owner_overrides,
    stock.not_positive, thing.unborn, step.under_age, step.age_unknown, step.doer_unknown,
    step.other_workshop, and what `compute.mix.judge` and `compute.damp` refuse.
    """
    hands = hands_of(act, "mix", doer, skis)
    for package, purpose, code in (
        (resin, "resin", "mix.not_resin"),
        (hardener, "hardener", "mix.not_hardener"),
    ):
        mixing.check_purpose(package, purpose, code)
    check_holds(skis)
    closing.check_open(skis)
    product = mixing.fitting(resin, hardener, hardener_per_hundred)
    mixing.check_air(air)
    if asked is not None:
        mixing.check_unit(resin_mg, hardener_mg, asked)
    judged = mixing.judged(product, resin_mg, hardener_mg, scale_step_mg, apart=apart)
    facts = check_in_date(act, [resin, hardener], override)
    open_by_use(act, [resin, hardener])
    batch = act.born(Kind.RESIN_BATCH, base=Base.MG)
    told = mixing.told(product, judged, skis, air=air, scale_step_mg=scale_step_mg)
    act.record(
        "mixed",
        inputs=[
            Entry(resin, Amount(resin_mg, Base.MG), Basis.WEIGHED),
            Entry(hardener, Amount(hardener_mg, Base.MG), Basis.WEIGHED),
        ],
        outputs=[Entry(batch.id, Amount(resin_mg + hardener_mg, Base.MG), Basis.WEIGHED)],
        facts=facts | told | ({"apart": True} if apart else {}) | hands,
    )


def hands_of(act: Act, step: str, doer: UUID | None, skis: Sequence[UUID]) -> dict[str, object]:
    """Whose hands did it: who is named, else who records it; in the facts only when somebody is named."""
    found = FINISH if step == FINISH.key else job(step, lists.jobs())
    if doer is not None:
        build_steps.of_their_workshop(skis, doer)
    hands = build_steps.whose_hands(act, found, doer)
    return hands if doer is not None else {}


@happening
def lay_up(
    act: Act,
    /,
    *,
    ski: UUID,
    inputs: Sequence[tuple[UUID, Amount]],
    basis: Basis = Basis.FROM_NEEDS,
    override: str = "",
    doer: UUID | None = None,
    printed: Sequence[UUID] = (),
) -> None:
    """Lay up one ski: it takes in a blank, resin and layers. One event a ski, never one for a pair.

    `printed`: the skis whose codes are in the artwork of the top sheets scanned. A ski is laid up once; after
    a verdict that failed, what working it over takes is recorded so too.

    Afterwards: each thing holds that much less, what has a life once opened is open, and the ski is made of
    them.
    Refused: layup.not_a_ski, layup.nothing, layup.other_sheet, layup.second_blank, layup.twice,
    layup.cup_apart, stock.short, stock.on_hold, stock.expired, stock.owner_overrides, stock.wrong_unit,
    stock.not_positive, thing.unborn, step.under_age, step.age_unknown, step.doer_unknown,
    step.other_workshop.
    """
    if read.kinds([ski]).get(ski, (None, ""))[0] is not Kind.SKI:
        raise Refused(
            "layup.not_a_ski", say("{thing} is no ski.", thing=read.name(ski)), say("Scan the ski's tag.")
        )
    closing.check_open([ski])
    for other in printed:
        check_sheet(ski, other)
    if not inputs:
        raise Refused(
            "layup.nothing", say("Nothing was scanned to lay up."), say("Scan the blank and the batch.")
        )
    check_one_blank(ski, [thing for thing, _ in inputs])
    if not bench.takes_more(ski):
        raise Refused(
            "layup.twice",
            say("{ski} is laid up already.", ski=read.name(ski)),
            say(
                "Check that this is the right ski; undo its lay-up if that was recorded in error. What a ski "
                "takes in when it is worked over is recorded after the verdict that asks for it."
            ),
        )
    mixing.refuse_apart([thing for thing, _ in inputs])
    hands = hands_of(act, "lay-up", doer, [ski])
    facts = check_in_date(act, [thing for thing, _ in inputs], override)
    open_by_use(act, [thing for thing, _ in inputs])
    act.record(
        "laid up",
        inputs=[Entry(thing, amount, basis) for thing, amount in inputs],
        gains=[Entry(ski)],
        facts=facts | hands,
    )


def check_sheet(ski: UUID, printed: UUID) -> None:
    """A printed top sheet carries the code of its ski, or of its pair."""
    if printed == ski or ski in bench.skis_of(printed):
        return
    raise Refused(
        "layup.other_sheet",
        say(
            "The top sheet is printed for {printed}; this is {ski}.",
            printed=read.name(printed),
            ski=read.name(ski),
        ),
        say("Put it back, and take the one that carries the code of this ski or of its pair."),
    )


def check_one_blank(ski: UUID, things: Sequence[UUID]) -> None:
    """Refuse a second core blank in one ski: `layup.second_blank`."""
    if len(bench.blanks_in(ski, with_=things)) > 1:
        raise Refused(
            "layup.second_blank",
            say("{ski} would have a second core blank in it.", ski=read.name(ski)),
            say("Check that this is the right ski; undo the first blank if it was scanned in error."),
        )


@happening
def record_cycle(
    act: Act,
    /,
    *,
    press: UUID,
    skis: Sequence[UUID],
    mould: UUID | None,
    set_kpa: float,
    set_c: float,
    minutes: float,
    doer: UUID | None = None,
    beyond: str = "",
) -> None:
    """Write down, from paper, one closing of a press on one or more skis.

    `beyond`: an owner's words of why it ran beyond a rating or an inspection; then its skis go on hold.
    Afterwards: the cycle has a code, and every ski in it an exposure to cycle, press and mould.
    Refused: press.no_skis, press.set_point, press.not_a_press, press.not_laid_up, press.beyond,
    press.owner_says_beyond, press.mould_short, press.too_short, press.too_many, stock.on_hold, thing.unborn,
    step.under_age, step.age_unknown, step.doer_unknown, step.other_workshop.
    """
    check_cycle(press, skis, set_kpa=set_kpa, set_c=set_c, minutes=minutes)
    hands = hands_of(act, "press", doer, skis)
    settings: dict[str, object] = {"set_kpa": set_kpa, "set_c": set_c, "minutes": minutes}
    why = beyond.strip()
    if not why:
        press_order.check_past(press, skis, mould, set_kpa=set_kpa, set_c=set_c, on=day_of(act))
    elif not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "press.owner_says_beyond",
            say("Only an owner records that a press ran beyond what it is rated for."),
            say("Tell an owner what happened. Set the skis apart."),
        )
    record_pressed(act, press, skis, mould, settings | hands | ({"beyond": True} if why else {}), why)
    if why:
        act.record("held", observed=[Entry(ski) for ski in dict.fromkeys(skis)], note=why)


def check_cycle(press: UUID, skis: Sequence[UUID], *, set_kpa: float, set_c: float, minutes: float) -> None:
    """Refuse what is no cycle: no skis, no press, numbers no press has, skis that were not laid up."""
    if not skis:
        raise Refused(
            "press.no_skis", say("No ski was scanned."), say("Scan the skis that lie in the press.")
        )
    closing.check_open(skis)
    number(set_kpa, code="press.set_point", name="The pressure set", unit="kPa", at_least=0, at_most=2000)
    number(set_c, code="press.set_point", name="The temperature set", unit="°C", at_least=-30, at_most=200)
    number(minutes, code="press.set_point", name="The time", unit="min", at_least=0, at_most=10_000)
    if read.kinds([press]).get(press, (None, ""))[0] is not Kind.PRESS:
        raise Refused(
            "press.not_a_press", say("{thing} is no press.", thing=read.name(press)), say("Scan the press.")
        )
    for ski in skis:
        if not bench.has_step(ski, "laid up"):
            raise Refused(
                "press.not_laid_up",
                say("{ski} has not been laid up.", ski=read.name(ski)),
                say("Record its lay-up first."),
            )


def record_pressed(
    act: Act,
    press: UUID,
    skis: Sequence[UUID],
    mould: UUID | None,
    facts: Mapping[str, object],
    note: str = "",
) -> UUID:
    """Write one closing of a press within an act; return the cycle."""
    cycle = act.born(Kind.PRESS_CYCLE)
    act.record("put into use", outputs=[Entry(cycle.id)])
    act.record(
        "pressed",
        observed=[Entry(ski) for ski in dict.fromkeys(skis)],
        by=[cycle.id, press, *([mould] if mould else [])],
        facts=facts,
        note=note,
    )
    return cycle.id


@happening
def judge(act: Act, /, *, cycle: UUID, passed: bool, why: str) -> None:
    """Say whether a press cycle passes, as a person judged it.

    Afterwards: its skis may be handed over, or may not.
    Refused: press.no_cycle, press.no_why, press.log_says_no, thing.unborn, workshop.closed.
    """
    _check_why(why)
    skis = bench.skis_in(cycle)
    if not skis:
        raise Refused(
            "press.no_cycle", say("{thing} is no press cycle.", thing=read.name(cycle)), say("Scan its code.")
        )
    closing.check_open(skis)
    if passed:
        _check_log(act, cycle)
    act.record(
        "judged", observed=[Entry(ski) for ski in skis], by=[cycle], facts={"passed": passed}, note=why
    )


def _check_log(act: Act, cycle: UUID) -> None:
    """Refuse to pass what the log says does not pass: `press.log_says_no`."""
    row = cycles.one(cycle)
    told = None if row is None or row.opened_at is None else cycles.judged(row, act.at)
    if told is not None and told.verdict is not None and told.verdict.outcome is Outcome.DOES_NOT_PASS:
        raise Refused(
            "press.log_says_no",
            told.verdict.verdict.reasons[0].sentence,
            say("Press it again where the maker allows that, or reject it."),
        )


@happening
def inspect(act: Act, /, *, ski: UUID, passed: bool, why: str) -> None:
    """Inspect one ski.

    Afterwards: it may be handed over, or may not.
    Refused: press.no_why, thing.unborn.
    """
    _check_why(why)
    closing.check_open([ski])
    act.record("inspected", observed=[Entry(ski)], facts={"passed": passed}, note=why)


def _check_why(why: str) -> None:
    if not why.strip():
        raise Refused(
            "press.no_why", say("A verdict needs a reason."), say("Say in a few words what was seen.")
        )


@happening
def finish(act: Act, /, *, skis: Sequence[UUID], doer: UUID | None = None) -> None:
    """Skis are cut out, ground and waxed. `doer`: as `build_steps.record_step` takes it.

    Afterwards: they wait for hand over.
    Refused: press.no_skis, press.not_pressed, stock.on_hold, thing.unborn, step.under_age, step.age_unknown,
    step.doer_unknown, step.other_workshop.
    """
    if not skis:
        raise Refused("press.no_skis", say("No ski was scanned."), say("Scan the skis."))
    closing.check_open(skis)
    for ski in skis:
        if not bench.has_step(ski, "pressed"):
            raise Refused(
                "press.not_pressed",
                say("{ski} has not been pressed.", ski=read.name(ski)),
                say("Record its press cycle first."),
            )
    hands = hands_of(act, FINISH.key, doer, skis)
    act.record("finished", observed=[Entry(ski) for ski in skis], facts=hands)


@happening
def hand_over(act: Act, /, *, pair: UUID, doer: UUID | None = None) -> None:
    """Hand a pair over to its guest.

    Afterwards: both skis are with their owner and lie nowhere here.
    Refused: handover.not_a_pair, handover.no_verdict, handover.no_inspection, handover.failed, stock.on_hold,
    step.doer_unknown, step.other_workshop.
    Mounting and setting of bindings belongs to a qualified technician, outside this record.
    """
    skis = bench.skis_of(pair)
    if len(skis) != 2:
        raise Refused(
            "handover.not_a_pair", say("{thing} is no pair.", thing=read.name(pair)), say("Scan the pair.")
        )
    closing.check_open([pair])
    for ski in skis:
        _check_passed(ski, "judged", "handover.no_verdict", "press verdict")
        _check_passed(ski, "inspected", "handover.no_inspection", "inspection")
    hands = hands_of(act, "hand-over", doer, [pair])
    act.record("handed over", observed=[Entry(thing) for thing in (pair, *skis)], facts=hands)


def _check_passed(ski: UUID, step: str, code: str, word: str) -> None:
    passed = bench.last_verdict(ski, step)
    if passed is None:
        raise Refused(
            code,
            say("{ski} has no {word}.", ski=read.name(ski), word=word),
            say("Record the {word}; nothing leaves without it.", word=word),
        )
    if not passed:
        raise Refused(
            "handover.failed",
            say("{ski} did not pass its {word}.", ski=read.name(ski), word=word),
            say("Rework it and inspect again, or reject it."),
        )
