"""What the scale has answered of a trailer, so that what is only reckoned need not stand against it.

Reads facts only. It answers as long as all that comes along was on it, nothing was moved since, and value and
doubt together are not above the lowest plate. It never says that a load will do.
"""

from collections.abc import Mapping
from types import MappingProxyType

from inventory.compute.load import Against, Near, Quantity, Word
from inventory.compute.reasons import Basis, Given
from inventory.queries.readiness.facts import Facts
from inventory.queries.readiness.masses import MG_IN_KG, NOSE_KG, Loaded, loaded

# How far off a scale is taken to be where nobody said with the weighing. Mass: a road scale that counts by
# 20 kg may be off by one count in service (OIML R 76-1, 3.5, from memory). Nose weight: common practice, no
# source.
SCALE_KG: Mapping[Quantity, float] = MappingProxyType({Quantity.GROSS: 20.0, Quantity.NOSE: NOSE_KG})

# What has to be read for each. What the wheels of one side carry no reading tells.
_RESTS_ON: Mapping[Quantity, frozenset[Quantity]] = MappingProxyType(
    {
        Quantity.GROSS: frozenset({Quantity.GROSS}),
        Quantity.NOSE: frozenset({Quantity.NOSE}),
        Quantity.AXLE: frozenset({Quantity.GROSS, Quantity.NOSE}),
        Quantity.REAR_AXLE: frozenset({Quantity.NOSE}),
        Quantity.CAR: frozenset({Quantity.NOSE}),
        Quantity.TRAIN: frozenset({Quantity.GROSS}),
    }
)


def read(quantity: Quantity, mg: int, doubt_mg: int | None) -> Given[Near]:
    """What the scale showed and how far off it may be; as is usual where nobody said."""
    if doubt_mg is None:
        return Given(Near(mg / MG_IN_KG, SCALE_KG[quantity]), Basis.ASSUMED)
    return Given(Near(mg / MG_IN_KG, doubt_mg / MG_IN_KG), Basis.MEASURED)


def stand(facts: Facts, found: Loaded) -> dict[Quantity, Given[Near]]:
    """The readings that are of the load as it will leave."""
    on = facts.weighed.get(found.trailer.id)
    if on is None or on.moved or not all(each.aboard for each in found.loads):
        return {}
    return {
        quantity: read(quantity, mg, doubt_mg)
        for quantity, mg, doubt_mg, since in (
            (Quantity.GROSS, on.mass_mg, on.mass_doubt_mg, on.mass_since),
            (Quantity.NOSE, on.nose_mg, on.nose_doubt_mg, on.nose_since),
        )
        if mg is not None and not since
    }


def judged(facts: Facts, found: Loaded) -> dict[Quantity, Against]:
    """Each quantity that can be told from the readings that stand, with their doubt, against its plates."""
    readings = stand(facts, found)
    by_scale = loaded(facts, found.trailer, found.loads, readings) if readings else found
    if not readings or by_scale.load is None:
        return {}
    return {
        line.quantity: line
        for line in by_scale.load.against
        if line.quantity in _RESTS_ON and _RESTS_ON[line.quantity] <= readings.keys()
    }


def answered(facts: Facts, found: Loaded) -> dict[Quantity, Against]:
    """Those of them that are above no plate that was read, however far off the scale may be."""
    return {quantity: line for quantity, line in judged(facts, found).items() if _is_below(line)}


def _is_below(line: Against) -> bool:
    """A plate that was not read is another question."""
    if line.word is Word.BELOW:
        return True
    of, limit = line.estimate, line.lowest_kg
    if line.word is not Word.CANNOT_SAY or of.missing or limit is None:
        return False
    return of.high_kg <= limit and (line.quantity is not Quantity.NOSE or of.low_kg >= 0)
