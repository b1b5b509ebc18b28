"""WRITE cards of materials and suppliers."""

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.units import Base
from inventory.errors import Refused, say
from inventory.models import Material, Supplier


@happening
def make_material(act: Act, /, *, key: str, name: str, base: Base, purpose: str = "") -> None:
    """Make the card of a material.

    Afterwards: lots of it can be received.
    Refused: material.key_taken.
    """
    if Material.objects.filter(key=key).exists():
        raise Refused(
            "material.key_taken",
            say("There is a material {key} already.", key=key),
            say("Open its card, or choose another key."),
        )
    material = act.id("material")
    cards.save(act, Material, material, key=key, name=name, base=base.value, purpose=purpose)
    act.things.append(material)


@happening
def make_supplier(act: Act, /, *, name: str) -> None:
    """Make the card of a supplier.

    Afterwards: lots can be said to come from there.
    """
    supplier = act.id("supplier")
    cards.save(act, Supplier, supplier, name=name)
    act.things.append(supplier)
