"""WRITE cards of materials, and of who sells them."""

from collections.abc import Mapping
from uuid import UUID

from inventory.actions import cards, material_facts
from inventory.actions.ledger import Act, happening
from inventory.compute.units import Base
from inventory.errors import Refused, say
from inventory.models import Material, Supplier
from inventory.queries.cards import values


@happening
def make_material(
    act: Act,
    /,
    *,
    key: str,
    name: str,
    base: Base,
    purpose: str = "",
    facts: Mapping[str, object] | None = None,
) -> None:
    """Make the card of a material. `facts`: whatever else its card has fields for.

    Afterwards: lots of it can be received.
    Refused: material.key_taken, and what `material_facts.check` refuses.
    """
    if Material.objects.filter(key=key).exists():
        raise Refused(
            "material.key_taken",
            say("There is a material {key} already.", key=key),
            say("Open its card, or choose another key."),
        )
    make(act, {"key": key, "name": name, "base": base.value, "purpose": purpose} | dict(facts or {}))


def make(act: Act, given: dict[str, object]) -> None:
    """Make a material's card within an act."""
    id = act.id("material")
    material_facts.check(values(Material(id=id)) | given)
    cards.save(act, Material, id, **given)
    act.things.append(id)


@happening
def edit_material(act: Act, /, *, material: UUID, changes: Mapping[str, object]) -> None:
    """Change fields of a material's card.

    Afterwards: the card says so, and its history says what it said before.
    Refused: card.unknown, material.base_in_use, and what `material_facts.check` refuses.
    """
    before = cards.there(Material, material)
    assert isinstance(before, Material)  # noqa: S101 - for the type checker
    material_facts.check(values(before) | dict(changes))
    if changes.get("base", before.base) != before.base and before.lots.exists():
        raise Refused(
            "material.base_in_use",
            say(
                "{name} is kept in {base}, and lots of it are in the books.",
                name=before.name,
                base=before.base,
            ),
            say("Make another material for what is kept in another unit."),
        )
    cards.save(act, Material, material, **changes)


@happening
def make_supplier(act: Act, /, *, name: str, facts: Mapping[str, object] | None = None) -> None:
    """Make the card of a supplier. `facts`: whatever else its card has fields for.

    Afterwards: lots and offers can be said to come from there.
    """
    supplier = act.id("supplier")
    cards.save(act, Supplier, supplier, name=name, **(facts or {}))
    act.things.append(supplier)
