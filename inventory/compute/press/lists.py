"""What a person looks at before a press is closed and before it is opened; each item is a fact when checked.

Knows no press and no person.
"""

from collections.abc import Collection
from dataclasses import dataclass

from inventory.errors import Sentence, say


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to look at."""

    key: str
    sentence: Sentence


CLOSING: tuple[Item, ...] = (
    Item(
        "lies right", say("The skis lie on the mould's marks; film and rubber are flat, nothing hard on top.")
    ),
    Item("hoses", say("Hoses are seated; the relief valve is free.")),
    Item("clear", say("Everyone is clear of the press, and knows that it closes.")),
)
CLOSING_HEATED: tuple[Item, ...] = (
    *CLOSING,
    Item("alarm", say("The alarm is set and the extinguisher stands ready; no solvent is near.")),
)
OPENING: tuple[Item, ...] = (
    Item("reached", say("The schedule is reached by the coldest probe.")),
    Item("heat off", say("The heat is off.")),
    Item("vented", say("It is vented.")),
    Item("gauge zero", say("The gauge itself shows zero.")),
    Item("cool", say("Every probe is below {limit} °C.", limit=40)),
    Item("clear", say("Everyone is clear; nobody leans over or reaches in.")),
)


def closing(*, heated: bool) -> tuple[Item, ...]:
    """What is looked at before closing.

    Formula: none; a list.
    Units: none.
    Refuses: nothing
    Source: common practice, no source; the shop's own risk assessment outranks it.
    """
    return CLOSING_HEATED if heated else CLOSING


def missing(*, asked: tuple[Item, ...], checked: Collection[str]) -> tuple[Item, ...]:
    """What nobody checked yet.

    Formula: asked less checked.
    Units: none.
    Refuses: nothing
    Source: common practice, no source.
    """
    return tuple(item for item in asked if item.key not in checked)
