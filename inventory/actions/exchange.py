"""WRITE what another machine brings: its whole books, merged into these. Nothing is lost or doubled.

A data folder that was copied or restored goes on as another machine.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.actions import cards, derived, erasing
from inventory.actions.by import By, Done
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.actions.shop import found_machine
from inventory.compute import fold, merge
from inventory.errors import Refused, say
from inventory.formats.bundle import Header, Row
from inventory.models import Machine, Person, Shop
from inventory.queries import ledger as read
from inventory.queries import lots
from inventory.queries.exchange import TRAVELS, fits, plain_rows

_NEW = ("thing", "act", "event", "line", "tagging", "revision", "note")


@happening
def meet(act: Act, /, *, header: Header, rows: list[Row]) -> None:
    """Merge another machine's books into these.

    Afterwards: every event, card and note of both is here; what is derived is folded again; where two truths
    differ there is a disagreement. A lot that both received apart is said to be one lot, so that a trace and
    a hold of either reach what the other became. The meeting is an event that says what each machine is
    known to.
    Refused: merge.other_shop, merge.letter, merge.gap, merge.changed, merge.copied, merge.unfit.
    """
    brought: dict[str, list[dict[str, Any]]] = {kind: [] for kind in (*TRAVELS, "private")}
    for kind, values in rows:
        if not fits(kind, values):
            raise _unfit(kind)
        brought[kind].append(values)
    _check_shop(header)
    ahead = _welcome(act, brought["machine"])
    held = {"event": read.highest_numbers(), "revision": read.highest_revisions()}
    for kind, numbers in held.items():
        merge.check_gapless(numbers, _numbers(brought[kind]))
    new = {kind: _insert(kind, brought[kind], held.get(kind, {})) for kind in _NEW}
    _go_on_after_own(act)
    names = _names(brought["private"])
    _rebuild_cards(new["revision"], brought)
    erasing.erase_notes(UUID(row["id"]) for row in brought["note"] if row["erased"])
    erasing.erase_again(act, names)
    things = {UUID(line["thing_id"]) for line in new["line"]}
    codes = {tagging["code"] for tagging in new["tagging"]}
    derived.follow(derived.recompute_skips(), things=things, codes=codes)
    act.record("met", facts={"known": _known(), "ahead": ahead})
    for twins in lots.twins():
        entries = [Entry(lot) for lot in twins]
        act.record("one lot", inputs=entries, gains=entries)


def _unfit(kind: str) -> Refused:
    return Refused(
        "merge.unfit",
        say("One {kind} of the bundle is not what these books can keep.", kind=kind[:20]),
        say("Nothing was merged. Have the other laptop write the bundle again, with the same program."),
    )


def _go_on_after_own(act: Act) -> None:
    """Number on after what the bundle knew of this very laptop: its books were put back to an older state."""
    act.here.number = max(act.here.number, read.highest_numbers().get(act.here.id, 0))
    act.here.revision = max(act.here.revision, read.highest_revisions().get(act.here.id, 0))


def carry_on(by: By, *, id: UUID, fingerprint: str, letter: str = "") -> Done:
    """Go on in a copied or restored data folder as a new machine.

    Afterwards: the old machine is another one, known to here; what is written from now on has numbers of its
    own, so that the folder that was copied may go on too and both can be merged. Without `letter` the new
    machine carries on the old one's; with one it is a further laptop of the shop.
    Refused: machine.none, machine.letter, machine.letter_taken.
    """
    with transaction.atomic():
        read.machines(lock=True)
        old = read.here()
        Machine.objects.filter(id=old.id).update(here=False, fingerprint="")
        if letter:
            found_machine(id=id, letter=letter, fingerprint=fingerprint)
        else:
            Machine.objects.create(
                id=id,
                letter=old.letter,
                name=old.name,
                here=True,
                replaces=old.id,
                fingerprint=fingerprint,
            )
        return take_over(by, machine=old.id)


@happening
def take_over(act: Act, /, *, machine: UUID) -> None:
    """Say which machine's books this one began with: the first event of a machine in a copied folder.

    Afterwards: what was written there before counts as seen here.
    """
    act.record("met", facts={"known": _known(), "ahead": {}, "began_with": str(machine)})


def _known() -> dict[str, int]:
    return {str(machine): number for machine, number in read.highest_numbers().items()}


def _check_shop(header: Header) -> None:
    shop = Shop.objects.first()
    if shop is not None and str(shop.id) != header.shop:
        raise Refused(
            "merge.other_shop",
            say("The bundle is of another shop's books."),
            say("Choose a bundle that a laptop of {shop} wrote.", shop=shop.name),
        )


def _welcome(act: Act, brought: list[dict[str, Any]]) -> dict[str, int]:
    """Write the machines the bundle knows; return by how many microseconds each is ahead of this one."""
    known = {machine.id: machine for machine in read.machines()}
    ahead: dict[str, int] = {}
    replaces = {id: machine.replaces for id, machine in known.items() if machine.replaces}
    replaces |= {UUID(row["id"]): UUID(row["replaces"]) for row in brought if row["replaces"]}
    for values in brought:
        id = UUID(values["id"])
        if id == act.here.id:
            continue
        machine = known.get(id) or Machine(id=id, letter=values["letter"], name=values["name"])
        machine.replaces = replaces.get(id)
        _check_letter(machine, known.values(), replaces)
        for field in ("number", "revision", "clock"):
            setattr(machine, field, max(getattr(machine, field), values[field]))
        machine.ahead = max(machine.clock - read.microseconds(act.by.now), 0)
        if machine.ahead:
            ahead[str(id)] = machine.ahead
        machine.save()
        known[id] = machine
        act.clock = max(act.clock, machine.clock)
    return ahead


def _check_letter(machine: Machine, known: Iterable[Machine], replaces: Mapping[UUID, UUID]) -> None:
    """Two machines have one letter only when one carries on for the other, however often it was handed on."""
    for other in known:
        carried_on = other.id in _before(machine.id, replaces) or machine.id in _before(other.id, replaces)
        if other.id != machine.id and other.letter == machine.letter and not carried_on:
            raise Refused(
                "merge.letter",
                say("Two laptops both print codes with the letter {letter}.", letter=machine.letter),
                say(
                    "If one carries on for the other, say so on it first; otherwise give one another letter."
                ),
            )


def _before(machine: UUID, replaces: Mapping[UUID, UUID]) -> set[UUID]:
    """The machines this one carries on for."""
    found: set[UUID] = set()
    while machine in replaces and replaces[machine] not in found:
        machine = replaces[machine]
        found.add(machine)
    return found


def _numbers(rows: Iterable[dict[str, Any]]) -> dict[UUID, list[int]]:
    found: dict[UUID, list[int]] = {}
    for row in rows:
        found.setdefault(UUID(row["machine"]), []).append(row["number"])
    return found


# What makes a row the same row on every machine.
_KEY = {
    "thing": ("id",),
    "act": ("machine", "token"),
    "event": ("id",),
    "line": ("event_id", "position"),
    "tagging": ("event_id", "code"),
    "revision": ("id",),
    "note": ("id",),
}


def _insert(kind: str, brought: list[dict[str, Any]], held: Mapping[UUID, int]) -> list[dict[str, Any]]:
    """Write the rows that are not here yet and return them; refuse one that is here with other content.

    `held`: the highest number here of each machine, where rows are numbered.
    """
    model, fields = TRAVELS[kind]
    key = _KEY[kind]
    have = {tuple(row[name] for name in key): row for row in plain_rows(kind)}
    new = []
    for row in brought:
        mine = have.get(tuple(row[name] for name in key))
        if mine is None:
            _check_copied(row, held)
            new.append(row)
            have[tuple(row[name] for name in key)] = row
        elif mine != row and kind != "note":
            raise Refused(
                "merge.changed",
                say("One {kind} of the bundle is here with other content.", kind=kind),
                say("Nothing was merged. Check both laptops' books with manage.py check_ledger."),
            )
    model._default_manager.bulk_create(
        [model(**{name: _value(name, row[name]) for name in fields}) for row in new], batch_size=500
    )
    return new


def _check_copied(row: dict[str, Any], held: Mapping[UUID, int]) -> None:
    """Refuse a record whose number its machine gave to another record that is here."""
    if "number" in row and row["number"] <= held.get(UUID(row["machine"]), 0):
        letter = next((known.letter for known in read.machines() if str(known.id) == row["machine"]), "?")
        raise Refused(
            "merge.copied",
            say(
                "Laptop {letter} gave number {number} to two records: its folder was copied, and both wrote.",
                letter=letter,
                number=row["number"],
            ),
            say("Nothing was merged. Go on with one of the two, and enter there what only the other has."),
        )


def _names(private: Iterable[Mapping[str, Any]]) -> dict[UUID, set[str]]:
    """What each of the crew is called here and there, while it is still known."""
    found = {id: {name} for id, name in Person.objects.values_list("id", "name")}
    for row in private:
        if row["card"] == "person":
            found.setdefault(UUID(row["id"]), set()).add(str(row["values"].get("name") or ""))
    return found


def _value(name: str, value: Any) -> Any:
    return datetime.fromisoformat(value) if name == "at" else value


def _rebuild_cards(new: list[dict[str, Any]], brought: dict[str, list[dict[str, Any]]]) -> None:
    """Fold every card that the bundle has news of."""
    private = {(row["card"], row["id"]): row["values"] for row in brought["private"]}
    theirs = {row["id"] for row in brought["revision"]}
    settlements = read.settlements()
    for card, id in sorted({(row["card"], row["card_id"]) for row in new}):
        found = cards.rebuild(card, UUID(id), theirs=theirs, values=private.get((card, id), {}))
        troubles = [fold.Trouble.CARD_EDITED_TWICE]
        derived.write_disagreements(UUID(id), troubles, fold.settle_by_people(found, settlements))
