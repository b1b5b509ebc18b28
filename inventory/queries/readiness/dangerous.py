"""The dangerous goods of a trip, as the rules for the road count them: by tow car and trailer together.

Adds up what was entered. Judges no trip; classifies nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from inventory.compute.load import adr as load_adr
from inventory.compute.load import trade as load_trade
from inventory.compute.load.adr import AdrTotal, Category, Goods, Measure
from inventory.compute.load.trade import Form, Group, Packaging, TradeTotal
from inventory.compute.units import Base
from inventory.errors import Term
from inventory.models import Material
from inventory.queries.readiness.facts import Facts, Packed, TrailerOf, mass_mg
from inventory.queries.readiness.masses import HARM_PURPOSES, MG_IN_KG

UL_IN_L = 1_000_000
SP_375 = ("3077", "3082")
SP_375_MOST_L = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Good:
    """One material aboard one combination, all its packages together. `lacks`: what its card does not say."""

    material: Material
    packages: tuple[Packed, ...]
    lacks_adr: tuple[str, ...] = ()
    lacks_trade: tuple[str, ...] = ()

    @property
    def left(self) -> int:
        """All that is in them, in the material's base unit."""
        return sum(each.left for each in self.packages)


@dataclass(frozen=True, slots=True, eq=False)
class Combination:
    """A trailer and what draws it, as one on the road; with its goods and their sums by either rule."""

    trailer: TrailerOf
    goods: tuple[Good, ...]
    adr: AdrTotal
    trade: TradeTotal

    @property
    def name(self) -> str:
        """Trailer and tow car by name."""
        car = self.trailer.car
        return f"{self.trailer.name} + {car.name}" if car else self.trailer.name


def combinations(facts: Facts) -> list[Combination]:
    """Every trailer with its tow car; a car's own goods count with its trailer."""
    return [_combination(facts, trailer) for trailer in facts.trailers]


def _combination(facts: Facts, trailer: TrailerOf) -> Combination:
    ours = {trailer.id} | ({trailer.car.thing_id} if trailer.car else set())
    by_material: dict[UUID, list[Packed]] = {}
    for each in facts.aboard:
        if each.spot.goes_in in ours and counts(facts.materials[each.material]):
            by_material.setdefault(each.material, []).append(each)
    goods = tuple(
        _good(facts.materials[id], packages)
        for id, packages in sorted(by_material.items(), key=lambda row: facts.materials[row[0]].name)
    )
    keys = _keys(goods)
    return Combination(
        trailer,
        goods,
        load_adr.adr_total(
            combination=trailer.name,
            goods=[_adr(good, key) for good, key in zip(goods, keys, strict=True)],
        ),
        load_trade.trade_total(packagings=[_trade(good, key) for good, key in zip(goods, keys, strict=True)]),
    )


def counts(material: Material) -> bool:
    """True for a dangerous good, and for what is usually one as long as nobody read section 14."""
    if material.regulated is None:
        return material.purpose in HARM_PURPOSES
    return material.regulated


def _keys(goods: Sequence[Good]) -> list[str]:
    """Names, each once: two cards may be called alike."""
    names = [good.material.name for good in goods]
    return [
        name if names.count(name) == 1 else f"{name} ({good.material.key})"
        for name, good in zip(names, goods, strict=True)
    ]


def _good(material: Material, packages: Iterable[Packed]) -> Good:
    found = tuple(packages)
    return Good(material, found, tuple(_lacks_adr(material, found)), tuple(_lacks_trade(material)))


def _lacks_adr(material: Material, packages: Sequence[Packed]) -> Iterable[str]:
    if material.regulated is None:
        yield Term("whether it is a dangerous good")
    if material.transport_category is None:
        yield Term("transport category")
    if quantity(material, packages) is None:
        yield Term("density") if Base(material.base) is Base.MG else Term("weight of one")


def _lacks_trade(material: Material) -> Iterable[str]:
    if material.regulated is None:
        yield Term("whether it is a dangerous good")
    if not material.goods_class:
        yield Term("class")
    if not material.packing_group and not material.goods_class.startswith("2"):
        yield Term("packing group")
    if _is_liquid(material) and material.container_ul is None:
        yield Term("what its largest container can hold")
    if material.container_mg is None:
        yield Term("what that container weighs empty")
    if mass_mg(material, 1_000_000) is None:
        yield Term("density") if Base(material.base) is Base.UL else Term("weight of one")


def _is_gas(material: Material) -> bool:
    return material.goods_class.startswith("2")


def _is_liquid(material: Material) -> bool:
    return Base(material.base) in (Base.MG, Base.UL) and not _is_gas(material)


def _measure(material: Material) -> Measure:
    if Base(material.base) is Base.PIECE:
        return Measure.ARTICLE_KG
    if _is_gas(material):
        return Measure.WATER_LITRES if Base(material.base) is Base.UL else Measure.NET_KG
    return Measure.LITRES


def quantity(material: Material, packages: Sequence[Packed]) -> float | None:
    """All of it in what the rules count it by; None where the card lacks a density or a weight."""
    left = sum(each.left for each in packages)
    base, measure = Base(material.base), _measure(material)
    if measure in (Measure.LITRES, Measure.WATER_LITRES):
        if base is Base.UL:
            return left / UL_IN_L
        density = material.density_kg_m3
        return left / MG_IN_KG / density * 1000 if density else None
    mass = mass_mg(material, left)
    return None if mass is None else mass / MG_IN_KG


def _adr(good: Good, key: str) -> Goods:
    row = good.material
    largest = None if row.container_ul is None else row.container_ul / UL_IN_L
    small = row.un_number in SP_375 and largest is not None and largest <= SP_375_MOST_L
    category = (
        None if row.transport_category is None or row.regulated is None else Category(row.transport_category)
    )
    return Goods(
        key=key,
        category=category,
        quantity=quantity(row, good.packages),
        measure=_measure(row),
        un=int(row.un_number) if row.un_number.isdecimal() else None,
        hardener=row.purpose == "hardener",
        provision_375=small and row.purpose != "hardener",
        largest_inner=largest,
    )


def _trade(good: Good, key: str) -> Packaging:
    row, count = good.material, len(good.packages)
    content = mass_mg(row, good.left)
    gross = None
    if content is not None and row.container_mg is not None:
        gross = max(1.0, content + count * row.container_mg) / MG_IN_KG / count
    return Packaging(
        key=key,
        hazard=row.goods_class or None,
        group=Group(row.packing_group) if row.packing_group in tuple(Group) else None,
        form=Form.LIQUID if _is_liquid(row) else Form.SOLID,
        count=count,
        capacity_l=None if row.container_ul is None else row.container_ul / UL_IN_L,
        gross_kg=gross,
        never=row.purpose == "waste",
    )
