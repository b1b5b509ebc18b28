"""READ what is in stock, as sums see it: packages with their last day; what is below its lowest stock."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils import timezone

from inventory.compute import expiry
from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base, at_most
from inventory.errors import say
from inventory.models import Material, Package
from inventory.queries import trace
from inventory.queries.notes import Note


@dataclass(frozen=True, slots=True)
class Held:
    """One package in stock, as the sums see it."""

    thing: UUID
    material: UUID
    amount: int
    through: date | None
    held: bool

    def serves(self, day: date) -> bool:
        """True when it may be used on that day."""
        return not self.held and (self.through is None or self.through >= day)


def stock() -> list[Held]:
    """Every package that holds something: one statement for all, one for the holds."""
    holds = trace.on_hold()
    fields = ("thing_id", "lot_id", "lot__material_id", "expires_on", "extended_through")
    rows = Package.objects.filter(thing__balance__amount__gt=0, thing__state__isnull=False).values_list(
        *fields, "thing__balance__amount", "thing__state__opened_at", "lot__material__opened_life_days"
    )
    found = []
    for thing, lot, material, expires_on, extended, amount, opened_at, life in rows:
        through = expiry.last_day(
            expires_on=expires_on,
            opened_on=timezone.localtime(opened_at).date() if opened_at else None,
            opened_life_days=life,
            extended_through=extended,
        )
        found.append(Held(thing, material, amount, through, bool({thing, lot} & holds)))
    return found


def below_lowest(held: Iterable[Held], materials: Mapping[UUID, Material] | None = None) -> list[Note]:
    """Materials of which less can be used than the shop wants to have."""
    if materials is None:
        materials = Material.objects.in_bulk()
    wanted = {id: row for id, row in materials.items() if row.lowest_stock}
    there = dict.fromkeys(wanted, 0)
    for each in held:
        if each.material in there and not each.held:
            there[each.material] += each.amount
    found = []
    for id, row in sorted(wanted.items(), key=lambda item: item[1].name):
        lowest = row.lowest_stock or 0
        if there[id] < lowest:
            sentence = say(
                "{material}: {there} is left, below the lowest stock of {lowest}.",
                material=row.name,
                there=at_most(Amount(there[id], Base(row.base))),
                lowest=Amount(lowest, Base(row.base)),
            )
            found.append(Note(sentence, Level.LOOK, page="materials-card", about=(row.key,)))
    return found
