"""WRITE cards: rows that people edit, and the revision of every edit. Knows the ledger's clock, no topic.

An action calls `save` within its act. A person's card keeps field names in its revisions, and no values.
"""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any
from uuid import UUID

from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.models import Field, ForeignKey, Model

from inventory.actions.ledger import Act
from inventory.compute.fold import Disagreement
from inventory.compute.merge import Edit, fold_card
from inventory.errors import Refused, say
from inventory.models import Revision
from inventory.models.cards import CARDS, NAMES, PRIVATE, plain


def save(act: Act, model: type[Model], id: UUID, **fields: object) -> None:
    """Make or edit one card. An edit that changes nothing leaves no trace. Refuses: card.number"""
    wrong = next(
        (value for value in fields.values() if isinstance(value, float) and not isfinite(value)), None
    )
    if wrong is not None:
        raise Refused("card.number", say("{value} is no number.", value=wrong), say("Enter it again."))
    _check_whole(model, fields)
    row = model._default_manager.filter(pk=id).first()
    new = row is None
    if row is None:
        row = model(pk=id)
    name = NAMES[model]
    before = {} if new else {key: plain(getattr(row, key)) for key in fields}
    after = {key: plain(value) for key, value in fields.items()}
    changed = {key: value for key, value in after.items() if new or before[key] != value}
    if not changed:
        return
    for key in changed:
        setattr(row, key, fields[key])
    row.save(force_insert=new)
    kept = {key: before[key] for key in changed if not new}
    Revision.objects.bulk_create([_revision(act, name, id, kept, changed)])


def make_many(act: Act, model: type[Model], rows: Sequence[tuple[UUID, Mapping[str, object]]]) -> None:
    """Make many new cards at once, each with its revision: two statements for hundreds of them.

    Refuses: card.number
    """
    for _, fields in rows:
        _check_whole(model, fields)
    name = NAMES[model]
    made = [model(pk=id, **fields) for id, fields in rows]
    revisions = [
        _revision(act, name, id, {}, {key: plain(value) for key, value in fields.items()})
        for id, fields in rows
    ]
    model._default_manager.bulk_create(made, batch_size=500)
    Revision.objects.bulk_create(revisions, batch_size=500)


def _check_whole(model: type[Model], fields: Mapping[str, object]) -> None:
    """Refuse a whole number that its column cannot hold: `card.number`."""
    for name, value in fields.items():
        if isinstance(value, bool) or not isinstance(value, int):
            continue
        kind = model._meta.get_field(name).get_internal_type()
        low, high = BaseDatabaseOperations.integer_field_ranges.get(kind, (value, value))
        if not low <= value <= high:
            raise Refused(
                "card.number", say("{value} is no number.", value=f"{value:.3e}"), say("Enter it again.")
            )


def _revision(act: Act, card: str, id: UUID, before: Mapping[str, Any], after: Mapping[str, Any]) -> Revision:
    """The next revision of this machine; of a person's card it names the fields only."""
    act.here.revision += 1
    hidden = card in PRIVATE
    return Revision(
        id=act.own_id(),
        machine=act.here.id,
        number=act.here.revision,
        clock=act.tick(),
        act=act.token,
        card=card,
        card_id=id,
        at=act.at,
        who=act.by.person,
        before={key: None if hidden else value for key, value in before.items()},
        after={key: None if hidden else value for key, value in after.items()},
    )


def there(model: type[Model], id: UUID) -> Model:
    """A card that is there. Refuses: card.unknown"""
    row = model._default_manager.filter(pk=id).first()
    if row is None:
        raise Refused(
            "card.unknown",
            say("There is no such card."),
            say("Open the list again; the card may be of a laptop whose books are not merged yet."),
        )
    return row


def edit(act: Act, model: type[Model], id: UUID, changes: Mapping[str, object]) -> Model:
    """Change fields of a card that is there; return it as it was. Refuses: card.unknown, card.number"""
    row = there(model, id)
    save(act, model, id, **changes)
    return row


def rebuild(name: str, id: UUID, *, theirs: set[str], values: dict[str, object]) -> tuple[Disagreement, ...]:
    """Write one card from all its revisions, and return what disagrees.

    A person's card has no values in its revisions: each field is taken from the bundle when the revision that
    counts was among `theirs`, and stays as it is here otherwise.
    """
    model = CARDS[name]
    edits = [
        Edit(row.id, row.machine, row.clock, row.before, row.after)
        for row in Revision.objects.filter(card=name, card_id=id)
    ]
    folded, by, found = fold_card(id, edits)
    if name in PRIVATE:
        folded = {key: values[key] for key, edit in by.items() if str(edit) in theirs and key in values}
    row = model._default_manager.filter(pk=id).first() or model(pk=id)
    for key, value in folded.items():
        setattr(row, key, _field(model, key).to_python(value))
    row.save()
    return found


def _field(model: type[Model], name: str) -> "Field[Any, Any]":
    """The field a revision names; a foreign key by its column."""
    found = next(f for f in model._meta.concrete_fields if name in {f.name, f.attname})
    return found.target_field if isinstance(found, ForeignKey) else found
