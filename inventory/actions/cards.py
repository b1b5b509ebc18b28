"""WRITE cards: rows that people edit, and the revision of every edit. Knows the ledger's clock, no topic.

An action calls `save` within its act. A person's card keeps field names in its revisions, and no values.
"""

import datetime as dt
from typing import Any
from uuid import UUID

from django.db.models import Field, Model

from inventory.actions.ledger import Act
from inventory.compute.merge import Edit, fold_card
from inventory.models import Revision
from inventory.models.cards import CARDS, NAMES, PRIVATE


def save(act: Act, model: type[Model], id: UUID, **fields: object) -> None:
    """Make or edit one card. An edit that changes nothing leaves no trace."""
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
    act.here.revision += 1
    hidden = name in PRIVATE
    Revision.objects.bulk_create(
        [
            Revision(
                id=act.id(),
                machine=act.here.id,
                number=act.here.revision,
                clock=act.tick(),
                act=act.token,
                card=name,
                card_id=id,
                at=act.at,
                who=act.by.person,
                before={key: None if hidden else before[key] for key in changed if not new},
                after={key: None if hidden else value for key, value in changed.items()},
            )
        ]
    )


def plain(value: object) -> Any:
    """A field's value as JSON holds it."""
    if isinstance(value, UUID | dt.date):
        return str(value)
    return value


def rebuild(name: str, id: UUID, *, private: dict[str, object] | None = None) -> tuple[Any, ...]:
    """Write one card from all its revisions, and return what disagrees.

    `private`: the values of a person's card that count, by field; they are in no revision.
    """
    model = CARDS[name]
    edits = [
        Edit(row.id, row.machine, row.clock, row.before, row.after)
        for row in Revision.objects.filter(card=name, card_id=id)
    ]
    values, _, found = fold_card(id, edits)
    if name in PRIVATE:
        values = dict(private or {})
    row = model._default_manager.filter(pk=id).first() or model(pk=id)
    for key, value in values.items():
        setattr(row, key, _field(model, key).to_python(value))
    row.save()
    return found


def _field(model: type[Model], name: str) -> Field[Any, Any]:
    """The field a revision names; a foreign key by its column."""
    return next(f for f in model._meta.concrete_fields if name in {f.name, f.attname})
