"""A dossier told in words, line by line, for a terminal: what the screen is handed. Knows no table."""

from collections.abc import Iterator
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.compute.units import Amount, at_least
from inventory.errors import Sentence, say
from inventory.forms import reader
from inventory.forms.sentences import day, moment, text
from inventory.queries.dossier.facts import Dossier, Exposure, Happened, Label, Link, Named
from inventory.queries.dossier.tree import Branch, measured, tree

_INDENT = "  "


def amount(value: Amount | None) -> str:
    """An amount with its unit; pieces are counted."""
    return "" if value is None else reader.told(value)


def lines(dossier: Dossier) -> Iterator[str]:
    """The whole dossier: what it is and where, what stops it, and then each part under its heading."""
    yield str(dossier.thing)
    yield from (f"{_INDENT}{text(sentence)}" for sentence in _now(dossier))
    sections = (
        (say("Made of"), _tree(dossier, forward=False)),
        (say("Went through"), map(_exposure, dossier.exposures)),
        (say("Applied to"), map(str, dossier.exposed)),
        (say("Went into"), _tree(dossier, forward=True)),
        (say("What happened, newest first"), _happened(dossier)),
    )
    for heading, found in sections:
        told = list(found)
        if told:
            yield ""
            yield text(heading)
            yield from (f"{_INDENT}{line}" for line in told)


def _now(dossier: Dossier) -> Iterator[Sentence]:
    if dossier.label:
        yield say("By its label: {label}.", label=label(dossier.label))
    if dossier.whole:
        yield say("One ski of {pair}.", pair=dossier.whole)
    for part in dossier.parts:
        yield say("Its skis: {ski}.", ski=part)
    if not dossier.born:
        yield say("It is not in the books: what recorded it was undone.")
    yield from _left(dossier)
    yield from _where(dossier)
    for stop in dossier.holds:
        yield say(
            "Must not be used: {thing} is on hold since {at}. {reason}",
            thing=stop.on,
            at=moment(stop.at),
            reason=_quoted(stop.reason),
        )
    for doubt in dossier.doubts:
        yield say("People must settle this: {trouble}.", trouble=doubt.trouble)


def _left(dossier: Dossier) -> Iterator[Sentence]:
    if dossier.left is not None:
        yield say("{amount} is left.", amount=amount(dossier.left))
    if dossier.short is not None:
        yield say(
            "{amount} more was taken than there was. Count it.", amount=reader.told(at_least(dossier.short))
        )
    if dossier.opened_at:
        yield say("Open since {at}.", at=moment(dossier.opened_at))


def _where(dossier: Dossier) -> Iterator[Sentence]:
    if dossier.handed_over_at:
        yield say("Handed over on {at}.", at=moment(dossier.handed_over_at))
    elif dossier.place:
        yield say("It lies in {path}.", path=dossier.place_in_words)


def label(row: Label) -> str:
    """What a lot's or a package's label says beside its material, in one line."""
    number = say("number {number}", number=row.number) if row.number else say("number unknown")
    parts = [text(number), row.supplier]
    if row.expires_on:
        parts.append(text(say("to {date}", date=day(row.expires_on))))
    return ", ".join(part for part in parts if part)


def _tree(dossier: Dossier, *, forward: bool) -> Iterator[str]:
    """Each step under the one it follows from."""

    def below(branches: tuple[Branch, ...], depth: int) -> Iterator[str]:
        for branch in branches:
            yield _INDENT * depth + (_link(branch.link, branch.thing) if branch.link else str(branch.thing))
            yield from below(branch.below, depth + 1)

    yield from below(tree(dossier, forward=forward), 0)


def _link(link: Link, far: Named) -> str:
    what = say("{amount} of {thing}", amount=amount(link.amount), thing=far) if link.amount else far
    if far is link.made and link.amount:
        what = say("{amount} into {thing}", amount=amount(link.amount), thing=far)
    more = [label(link.label)] if link.label and far.kind is Kind.LOT else []
    more += [text(say("of {pair}", pair=link.pair))] if link.pair else []
    return "; ".join([text(what), *more, f"{link.step} {moment(link.at)}"])


def _exposure(exposure: Exposure) -> str:
    facts = map(str, measured(exposure))
    by = ", ".join(map(str, exposure.by))
    told = [
        moment(exposure.at),
        str(exposure.thing),
        f"{exposure.step}: {by}",
        ", ".join(facts),
        _quoted(exposure.note),
    ]
    return "; ".join(part for part in told if part)


def _quoted(note: str) -> str:
    return f"“{note}”" if note else ""


def _happened(dossier: Dossier) -> Iterator[str]:
    for event in dossier.events:
        yield _event(event, dossier.thing.id)
        if event.undone:
            undone = event.undone
            yield _INDENT + text(
                say(
                    "undone {at} by {who}: {why}", at=moment(undone.at), who=undone.who or "-", why=undone.why
                )
            )
        if event.twin:
            yield _INDENT + text(say("recorded by another laptop too; that record counts"))
    if dossier.more_events:
        yield text(say("Older events are left out."))


def _event(event: Happened, thing: UUID) -> str:
    own = [part for part in event.parts if part.thing.id == thing]
    others = [part.thing for part in event.parts if part.thing.id != thing and part.role is not Role.BY]
    told = [moment(event.at), event.step]
    told += [amount(part.amount) for part in own if part.amount]
    told += [text(say("to {place}", place=part.to)) for part in own if part.to]
    told += [text(say("with {things}", things=", ".join(map(str, others[:6]))))] if others else []
    told += [_quoted(event.note), text(say("by {who}", who=event.who)) if event.who else ""]
    return "; ".join(part for part in told if part)
