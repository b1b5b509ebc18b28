"""WRITE skis that come back: logged, looked at, tied, answered, repaired, serviced, sent back.

A return is a chain of events that name it by one id in their facts; free text stands in their notes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.actions import build_steps, papers
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.papers import File
from inventory.actions.refusals import Entry
from inventory.actions.stock import check_in_date, open_by_use
from inventory.compute import skis_back as words
from inventory.compute.build_steps import BY_KEY
from inventory.compute.codes import Code, Kind
from inventory.compute.units import Amount
from inventory.errors import Refused, Sentence, say
from inventory.queries import ledger as read
from inventory.queries import recalls, trace
from inventory.queries import skis_back as queries

_PICK = say("Choose one of the list.")
MOST_DAYS, LONGEST_MM = 5_000, 2_300


@dataclass(frozen=True, slots=True)
class Failed:
    """What was seen, without a guess: the failure's key, where on the ski, how it was used, in own words."""

    failure: str
    observed: str
    came_on: date
    zone: str = ""
    part: str = ""
    from_tip_mm: int | None = None
    days_used: int | None = None


@happening
def log_return(
    act: Act,
    /,
    *,
    skis: Sequence[UUID],
    seen: Failed,
    place: UUID | None = None,
    photos: Sequence[File] = (),
) -> None:
    """Log that one ski or both of a pair came back.

    Afterwards: it lies at the place given and waits to be looked at; the answer's first thing is the return.
    Refused: back.no_ski, back.not_a_ski, back.never_handed_over, back.twice, back.before_handed_over,
    back.future, back.failure, back.where, back.number, back.not_observed, place.rank, thing.unborn.
    """
    if not skis:
        raise Refused(
            "back.no_ski", say("No ski was scanned."), say("Scan the ski, or find it by its guest.")
        )
    _check_seen(act, seen)
    for ski in skis:
        _check_is_out(ski, seen.came_on)
    _record_return(act, list(dict.fromkeys(skis)), seen, place, photos)


@happening
def log_unknown(
    act: Act,
    /,
    *,
    seen: Failed,
    photos: Sequence[File],
    place: UUID | None = None,
    code: Code | None = None,
) -> None:
    """Log a ski that nobody knows: no tag to read, or none of this shop.

    Afterwards: it has a code of its own, lies at the place, and waits to be tied to the ski that it is.
    Refused: back.no_photo, what `log_return` refuses of what was seen, tag.taken, tag.wrong_kind,
    tag.never_printed, place.rank.
    """
    _check_seen(act, seen)
    if not photos:
        raise Refused(
            "back.no_photo",
            say("Nobody can know this ski again without a photo."),
            say("Take a photo of its top sheet and attach it."),
        )
    ski = act.born(Kind.SKI, code=code)
    act.record("found", outputs=[Entry(ski.id, to=place)])
    _record_return(act, [ski.id], seen, place, photos)


def _record_return(
    act: Act, skis: list[UUID], seen: Failed, place: UUID | None, photos: Sequence[File]
) -> None:
    back = act.id("return")
    facts: dict[str, object] = {"return": str(back), "failure": seen.failure, "came_on": str(seen.came_on)}
    facts |= {key: value for key, value in (("zone", seen.zone), ("part", seen.part)) if value}
    if seen.from_tip_mm is not None:
        facts["from_tip_mm"] = seen.from_tip_mm
    if seen.days_used is not None:
        facts["days_used"] = seen.days_used
    observed = [Entry(ski, to=place) for ski in skis]
    act.record("returned", observed=observed, where=place, facts=facts, note=seen.observed.strip())
    _hold_recalled(act, skis)
    for file in photos:
        papers.attach_to(act, skis[0], file)
    act.things.insert(0, back)


def _hold_recalled(act: Act, skis: Iterable[UUID]) -> None:
    """A ski of an open recall is held as it comes here, unless what it is made of is on hold already."""
    for ski in skis:
        recall = recalls.warning(ski)
        if recall is not None and not trace.stopped_by([ski]):
            act.record("held", observed=[Entry(ski)], note=recall.name)


def _check_seen(act: Act, seen: Failed) -> None:
    if seen.failure not in words.REASONS:
        raise Refused("back.failure", say("No failure is called {value}.", value=seen.failure), _PICK)
    if seen.zone not in {"", *words.ZONES} or seen.part not in {"", *words.PARTS}:
        raise Refused("back.where", say("A ski has no such place."), _PICK)
    for value, most in ((seen.from_tip_mm, LONGEST_MM), (seen.days_used, MOST_DAYS)):
        if value is not None and not 0 <= value <= most:
            raise Refused(
                "back.number",
                say("{value} cannot be: the most is {most}.", value=value, most=most),
                say("Enter it again, or leave it out."),
            )
    if not seen.observed.strip():
        raise Refused(
            "back.not_observed",
            say("Nothing is said of what was seen."),
            say("Say in a few words what you see, and keep what you suspect for the inspection."),
        )
    if seen.came_on > day_of(act):
        raise Refused(
            "back.future",
            say("{day} has not come yet.", day=seen.came_on),
            say("Enter the day on which it came back."),
        )


def _check_is_out(ski: UUID, came_on: date) -> None:
    """Refuse what is no ski, never left, left later, or is back already."""
    kind = read.kinds([ski]).get(ski, (None, ""))[0]
    if kind is not Kind.SKI:
        raise Refused("back.not_a_ski", say("{thing} is no ski.", thing=read.name(ski)), say("Scan a ski."))
    handed_over = queries.handed_over_on(ski)
    if handed_over is None:
        raise Refused(
            "back.never_handed_over",
            say("{thing} was never handed over.", thing=read.name(ski)),
            say(
                "If it is in work, inspect it at the bench; if it left without a record, hand it over first."
            ),
        )
    if came_on < handed_over:
        raise Refused(
            "back.before_handed_over",
            say(
                "{thing} would be back on {day}, before it was handed over on {left}.",
                thing=read.name(ski),
                day=came_on,
                left=handed_over,
            ),
            say("Check both dates, and that this is the ski."),
        )
    _check_not_here(ski)


def _check_not_here(ski: UUID) -> None:
    before = queries.here_since(ski)
    if before is not None:
        raise Refused(
            "back.twice",
            say("{thing} is back already, since {day}.", thing=read.name(ski), day=before),
            say("Open {ski}, and go on with its return.", ski=read.codes_of([ski]).get(ski, "")),
        )


def _open_return(back: UUID) -> queries.Back:
    row = queries.back(back)
    if row is None:
        raise Refused(
            "back.unknown", say("There is no such return."), say("Open the list of skis back again.")
        )
    if row.gone_on is not None:
        raise Refused(
            "back.gone",
            say("It was sent back to its owner on {day}.", day=row.gone_on),
            say("Log a new return if it came again."),
        )
    return row


@happening
def tie_unknown(act: Act, /, *, back: UUID, ski: UUID) -> None:
    """Say which ski an unknown one is.

    Afterwards: the return is that ski's, and it lies where the unknown one lay; on hold when it is recalled.
    Refused: back.unknown, back.gone, back.known, back.not_a_ski, back.never_handed_over, back.twice,
    back.before_handed_over, thing.unborn.
    """
    row = _open_return(back)
    if not row.unknown:
        raise Refused("back.known", say("This ski is known."), say("Undo its return if it is another one."))
    _check_is_out(ski, row.came_on)
    stray = row.skis[0].id
    act.record(
        "return tied",
        observed=[Entry(stray), Entry(ski, to=row.place)],
        facts={"return": str(back), "stray": str(stray), "ski": str(ski)},
    )
    _hold_recalled(act, [ski])


@happening
def inspect_return(
    act: Act, /, *, back: UUID, checks: Mapping[str, str], cause: str, suspected: str = ""
) -> None:
    """Look a returned ski over, step by step, and say what is suspected, apart from what was observed.

    Afterwards: each step says how it was found; the cause class is a person's, and may be said again later.
    Refused: back.unknown, back.gone, back.check, back.nothing_looked_at, back.cause.
    """
    row = _open_return(back)
    if set(checks) - set(words.CHECKS) or set(checks.values()) - set(words.FOUND):
        raise Refused("back.check", say("The inspection has no such step."), _PICK)
    if not any(checks.values()):
        raise Refused(
            "back.nothing_looked_at",
            say("Every step says that nobody looked."),
            say("Look at one step at least and say how you found it; until then the ski waits."),
        )
    if cause not in words.CAUSES:
        raise Refused("back.cause", say("No cause is called {value}.", value=cause), _PICK)
    act.record(
        "return inspected",
        observed=[Entry(ski.id) for ski in row.skis],
        facts={
            "return": str(back),
            "checks": {key: found for key, found in checks.items() if found},
            "cause": cause,
        },
        note=suspected.strip(),
    )


@happening
def answer_return(
    act: Act, /, *, back: UUID, answer: str, reason: str, cost: int | None = None, pair: UUID | None = None
) -> None:
    """Say what the shop does about a return: repair, replace, refuse, nothing; with the reason.

    `cost`: in the currency's smallest unit. `pair`: the one that replaces it.

    Afterwards: the owner can be told; the newest answer counts.
    Refused: back.unknown, back.gone, back.answer, back.no_reason, back.number, back.not_a_pair.
    """
    row = _open_return(back)
    if answer not in words.ANSWERS:
        raise Refused("back.answer", say("There is no answer {value}.", value=answer), _PICK)
    if not reason.strip():
        raise Refused("back.no_reason", say("The answer has no reason."), say("Say why, in a few words."))
    if cost is not None and cost < 0:
        raise Refused("back.number", say("{value} is no cost.", value=cost), say("Enter it again."))
    if pair is not None and read.kinds([pair]).get(pair, (None, ""))[0] is not Kind.PAIR:
        raise Refused(
            "back.not_a_pair", say("{thing} is no pair.", thing=read.name(pair)), say("Scan the pair's tag.")
        )
    facts: dict[str, object] = {"return": str(back), "answer": answer}
    facts |= {"cost": cost} if cost is not None else {}
    facts |= {"pair": str(pair)} if pair else {}
    act.record(
        "return answered", observed=[Entry(ski.id) for ski in row.skis], facts=facts, note=reason.strip()
    )


@happening
def repair_return(
    act: Act,
    /,
    *,
    back: UUID,
    ski: UUID,
    inputs: Sequence[tuple[UUID, Amount]],
    done: str,
    override: str = "",
) -> None:
    """Repair one returned ski: it takes in what was used.

    Afterwards: each thing holds that much less, and a trace from it finds the ski.
    Refused: back.unknown, back.gone, back.other_ski, back.no_reason, stock.short, stock.on_hold,
    stock.expired, stock.owner_overrides, stock.wrong_unit, stock.not_positive, thing.unborn, step.under_age.
    """
    row = _open_return(back)
    build_steps.whose_hands(act, BY_KEY["lay-up"], None)  # a repair is uncured resin again
    if ski not in {one.id for one in row.skis}:
        raise Refused(
            "back.other_ski",
            say("{thing} is not of this return.", thing=read.name(ski)),
            say("Open the return of that ski."),
        )
    if not done.strip():
        raise _nothing_said(say("Nothing is said of what was repaired."))
    facts = check_in_date(act, [thing for thing, _ in inputs], override)
    open_by_use(act, [thing for thing, _ in inputs])
    act.record(
        "repaired",
        inputs=[Entry(thing, amount) for thing, amount in inputs],
        gains=[Entry(ski)],
        facts=facts | {"return": str(back)},
        note=done.strip(),
    )


@happening
def service(act: Act, /, *, back: UUID, done: Sequence[str], more: str = "") -> None:
    """Service skis that are here: base, edges, wax, re-glued. No warranty is meant by it.

    Afterwards: the skis' pages say so.
    Refused: back.unknown, back.gone, back.no_service.
    """
    row = _open_return(back)
    if not done or set(done) - set(words.SERVICES):
        raise Refused("back.no_service", say("No service was chosen."), say("Tick what was done."))
    act.record(
        "serviced",
        observed=[Entry(ski.id) for ski in row.skis],
        facts={"return": str(back), "done": [key for key in words.SERVICES if key in done]},
        note=more.strip(),
    )


@happening
def send_back(act: Act, /, *, back: UUID) -> None:
    """Give the skis of a return back to their owner.

    Afterwards: they lie nowhere here, and the return is over.
    Refused: back.unknown, back.gone, back.untied, back.unanswered, stock.on_hold.
    """
    row = _open_return(back)
    if row.unknown:
        raise Refused(
            "back.untied", say("Nobody knows whose ski this is."), say("Tie it to the ski that it is first.")
        )
    if not row.answer and not row.services:
        raise Refused(
            "back.unanswered",
            say("Nothing was done and nothing was answered yet."),
            say("Say what the shop does about it, or what was serviced."),
        )
    act.record("sent back", observed=[Entry(ski.id) for ski in row.skis], facts={"return": str(back)})


def _nothing_said(sentence: Sentence) -> Refused:
    return Refused("back.no_reason", sentence, say("Say it in a few words."))
