"""THE PEN. The only code that writes events, lines, taggings and what is derived from them.

Knows no topic. Every happening is one function in this room, decorated with `happening`: it takes an `Act` to
write with, and its caller passes a `By`: when, who, and the token of the tap. One tap is one transaction; its
token answers again as the first time did.
"""

import functools
import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, is_dataclass
from datetime import timedelta
from typing import Concatenate, ParamSpec
from uuid import UUID

from django.db import transaction

from inventory.actions import derived, refusals
from inventory.actions.by import By, Done
from inventory.actions.refusals import Entry
from inventory.compute import codes, fold
from inventory.compute.codes import Code, Kind
from inventory.compute.steps import STEPS, Role, Step
from inventory.compute.units import Base
from inventory.errors import Refused, say
from inventory.models import Act as ActRow
from inventory.models import Event, Line, Machine, Note, Tagging, Thing
from inventory.queries import ledger as read

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Born:
    """A thing made in this act, with the code it answers to."""

    id: UUID
    kind: Kind
    code: Code


def happening(
    action: Callable[Concatenate["Act", P], None],
) -> Callable[Concatenate[By, P], Done]:
    """Make an action one act: one transaction, this machine locked, its token answered once.

    Refuses: act.other_content, date.future
    """

    @functools.wraps(action)
    def wrapper(by: By, *args: P.args, **kwargs: P.kwargs) -> Done:
        with transaction.atomic():
            machines = read.machines(lock=True)
            content = _content(action.__qualname__, kwargs)
            here = next((machine for machine in machines if machine.here), None) or read.here()
            before = ActRow.objects.filter(token=by.token).first()
            if before is not None:
                return _answer_again(before, content)
            act = Act(by, here, max(machine.clock for machine in machines))
            action(act, *args, **kwargs)
            return act.close(content)

    return wrapper


def _answer_again(before: ActRow, content: str) -> Done:
    if before.content != content:
        raise Refused(
            "act.other_content",
            say("This page was sent before, with something else in it."),
            say("Nothing was written this time. Open the page again and enter what is missing."),
        )
    return Done(before.token, tuple(UUID(thing) for thing in before.answer), again=True)


def _content(name: str, arguments: Mapping[str, object]) -> str:
    text = json.dumps([name, arguments], sort_keys=True, default=_plain)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return asdict(value)
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    if isinstance(value, set | frozenset):
        return sorted(map(str, value))
    return str(value)


class Act:
    """What an action writes with. Made by `happening`; never made by hand."""

    def __init__(self, by: By, here: Machine, newest: int) -> None:
        self.by = by
        self.here = here
        self.at = by.at or by.now
        self.clock = max(read.microseconds(by.now), newest + 1) - 1
        self.things: list[UUID] = []
        self._ordinals: dict[str, int] = {}
        self._new: list[Tagging] = []
        if self.at > by.now + timedelta(minutes=5):
            raise Refused(
                "date.future",
                say("{at:%d %b %Y, %H:%M} has not come yet.", at=self.at),
                say("Enter when it happened, or leave the time out."),
            )

    @property
    def token(self) -> UUID:
        """The act's token."""
        return self.by.token

    def tick(self) -> int:
        """The next moment of the ledger's clock, later than any this machine knows."""
        self.clock += 1
        return self.clock

    def id(self, of: str) -> UUID:
        """The id of the next thing or card of a kind: the same on every machine that records this act."""
        self._ordinals[of] = self._ordinals.get(of, 0) + 1
        return codes.derived(self.by.token, self._ordinals[of], of=of)

    def own_id(self) -> UUID:
        """The id of the next row that is this machine's own."""
        return self.id(str(self.here.id))

    def born(self, kind: Kind, *, base: Base | None = None, code: Code | None = None) -> Born:
        """Make a thing and tie a code to it: a tag printed ahead, or a code drawn now.

        The next `record` must have it among its outputs.

        Refuses: tag.taken, tag.wrong_kind, tag.never_printed
        """
        # Of another unit it is another thing, also where a second machine recorded this act otherwise.
        thing = Thing(id=self.id(f"{kind} {base}" if base else kind), kind=kind, base=base or "")
        Thing.objects.bulk_create([thing])
        code = self._draw(kind) if code is None else self._claim(kind, code)
        self._new.append(Tagging(code=code.text, thing_id=thing.id))
        self.things.append(thing.id)
        return Born(thing.id, kind, code)

    def tie(self, thing: UUID, kind: Kind, code: Code | None = None) -> Code:
        """Tie one more code to a thing, by the next `record`: the given one, or one drawn now.

        Refuses as `born`.
        """
        code = self._draw(kind) if code is None else self._claim(kind, code)
        self._new.append(Tagging(code=code.text, thing_id=thing))
        return code

    def print_ahead(self, kind: Kind, count: int) -> list[Code]:
        """Draw codes for tags that have no thing yet, by the next `record`."""
        drawn = [self._draw(kind) for _ in range(count)]
        self._new += [Tagging(code=code.text) for code in drawn]
        return drawn

    def _draw(self, kind: Kind) -> Code:
        while True:
            seed = self.own_id().bytes
            code = codes.make(letter=kind.letter, machine=self.here.letter, seed=seed)
            if not read.printed(code.text) and all(new.code != code.text for new in self._new):
                return code

    def _claim(self, kind: Kind, code: Code) -> Code:
        if code.letter != kind.letter:
            raise Refused(
                "tag.wrong_kind",
                say("{code} is not a tag for a {kind}.", code=code.shown, kind=kind),
                say("Take a tag that begins with {letter}.", letter=kind.letter),
            )
        tag = read.tag_of(code.text)
        taken = any(new.code == code.text for new in self._new)
        if taken or (tag is not None and tag.thing_id is not None):
            raise Refused(
                "tag.taken",
                say("{code} is on another thing already.", code=code.shown),
                say("Scan it to see which; take another tag for this one."),
            )
        if tag is None and code.machine == self.here.letter:
            raise Refused(
                "tag.never_printed",
                say("{code} was never printed here.", code=code.shown),
                say("Read the tag again, or let a code be drawn."),
            )
        return code

    def record(
        self,
        name: str,
        *,
        inputs: Iterable[Entry] = (),
        outputs: Iterable[Entry] = (),
        gains: Iterable[Entry] = (),
        observed: Iterable[Entry] = (),
        parts: Iterable[Entry] = (),
        whole: UUID | None = None,
        contents: Iterable[Entry] = (),
        by: Iterable[UUID] = (),
        where: UUID | None = None,
        facts: Mapping[str, object] | None = None,
        note: str = "",
        reverses: UUID | None = None,
    ) -> UUID:
        """Write one event with its lines and codes, and bring what is derived up to date. Returns its id.

        Refuses: stock.short, stock.wrong_unit, stock.not_positive, stock.not_balanced, stock.on_hold,
        thing.unborn, place.rank
        """
        step = STEPS[name]
        entries = [
            *((Role.INPUT, entry) for entry in inputs),
            *((Role.OUTPUT, entry) for entry in outputs),
            *((Role.GAINS, entry) for entry in gains),
            *((Role.OBSERVED, entry) for entry in observed),
            *((Role.PART, entry) for entry in parts),
            *((Role.WHOLE, Entry(thing)) for thing in [whole] if thing),
            *((Role.CONTENT, entry) for entry in contents),
            *((Role.BY, Entry(thing)) for thing in by),
        ]
        before = self._check(step, entries)
        row = self._event(step, where, facts, note, reverses, before)
        lines = [
            Line(
                event=row,
                position=position,
                thing_id=entry.thing,
                role=role,
                amount=None if entry.amount is None else entry.amount.value,
                basis=entry.basis,
                source_id=before[entry.thing].place if entry.to and entry.thing in before else None,
                to_id=entry.to,
            )
            for position, (role, entry) in enumerate(entries)
        ]
        Event.objects.bulk_create([row])
        Line.objects.bulk_create(lines)
        taggings, self._new = self._new, []
        for tagging in taggings:
            tagging.event = row
        Tagging.objects.bulk_create(taggings)
        shorter = derived.bring_up_to_date(row, lines, before)
        if shorter:
            raise refusals.went_short(shorter)
        derived.tie(taggings)
        return row.id

    def _event(
        self,
        step: Step,
        where: UUID | None,
        facts: Mapping[str, object] | None,
        note: str,
        reverses: UUID | None,
        before: Mapping[UUID, fold.State],
    ) -> Event:
        clock = self.tick()
        self.here.number += 1
        kept = Note.objects.create(id=self.own_id(), text=note).id if note else None
        sort = clock
        if self.by.at is not None:
            births = Event.objects.filter(id__in=[state.born for state in before.values()])
            sort = max(
                # never ahead of the clock: what comes next must sort after it
                [
                    min(read.microseconds(self.at), clock),
                    *(sort + 1 for sort in births.values_list("sort", flat=True)),
                ]
            )
        offset = self.at.utcoffset() or timedelta()
        return Event(
            id=self.own_id(),
            machine=self.here.id,
            number=self.here.number,
            clock=clock,
            sort=sort,
            act=self.by.token,
            type=step.type,
            action=step.action,
            biz_step=step.biz_step,
            step=step.name,
            version=step.version,
            at=self.at,
            offset=int(offset.total_seconds() // 60),
            late=self.by.at is not None,
            where_id=where,
            who=self.by.person,
            reverses=reverses,
            facts=dict(facts or {}),
            note=kept,
        )

    def _check(self, step: Step, entries: list[tuple[Role, Entry]]) -> dict[UUID, fold.State]:
        """Refuse what may never happen; return what was true of the things before."""
        places = {entry.to for _, entry in entries if entry.to}
        things = {entry.thing for _, entry in entries}
        known = read.known(things | places)
        before = {thing: row.state for thing, row in known.items() if row.state is not None}
        newborn = {entry.thing for role, entry in entries if role is Role.OUTPUT}
        for missing in (things | places) - newborn - before.keys():
            raise refusals.unborn(missing)
        for role, entry in entries:
            thing = known[entry.thing]
            refusals.check_amount(role, entry, thing.base, step)
            if entry.to is not None and known[entry.to].kind.rank <= thing.kind.rank:
                raise refusals.rank(thing.kind, known[entry.to].kind)
        if step.balanced:
            refusals.check_balanced(step, entries)
        if self.by.at is None:  # a late record is judged where it sorts, once it is folded in
            refusals.check_left(entries, before)
        if step.name != "written off" and not step.says_only:
            used = {Role.INPUT, Role.GAINS} | ({Role.OBSERVED, Role.BY} if step.carries_on else set())
            refusals.check_holds(entry.thing for role, entry in entries if role in used)
        return before

    def close(self, content: str) -> Done:
        """Remember the answer and where the machine's clock and numbers stand."""
        ActRow.objects.create(
            machine=self.here.id,
            token=self.by.token,
            content=content,
            answer=[str(thing) for thing in self.things],
        )
        self.here.clock = self.clock
        self.here.save(update_fields=["number", "revision", "clock"])
        return Done(self.by.token, tuple(self.things))
