"""What is in a container by its weight: gross less tare, and by the material's own weight into its unit.

Knows no package and no scale.
"""

from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.mix.ratio import exact
from inventory.compute.reasons import Given, How, Input, number
from inventory.compute.units import LARGEST, Amount, Base, Spoken
from inventory.errors import Refused, say

RULE = "amount = (gross - tare) / weight of one unit, to the nearest whole base unit; pieces only where clear"
SOURCE = "arithmetic; the weight of one unit as its card says"
OFF_MOST = Fraction(1, 4)  # of a piece


@dataclass(frozen=True, slots=True)
class Heavy:
    """What one unit of a material weighs; only the one that its base unit asks for is needed."""

    density_kg_m3: Given[float] | None = None
    areal_g_m2: Given[float] | None = None
    linear_g_m: Given[float] | None = None
    piece_mg: Given[int] | None = None


@dataclass(frozen=True, slots=True)
class Content:
    """What is in a container, by weight."""

    amount: Amount
    net_mg: int
    how: How


def content(*, gross_mg: int, tare_mg: int, base: Base, heavy: Heavy | None = None) -> Content:
    """How much is in a container that weighs so much, empty so much.

    Formula: net = gross - tare; mg as is; ul = net / density, mm2 = net / weight by area, mm = net / weight
        by length, pieces = net / weight of one, within a quarter of a piece of a whole number.
    Units: mg; kg/m3 is mg/ml, g/m2 is ug/mm2, g/m is mg/mm.
    Refuses: weighing.weight, weighing.tare, weighing.unknown, weighing.pieces
    Source: arithmetic.
    """
    most = LARGEST[Base.MG].value
    for value, name in ((gross_mg, "The weight"), (tare_mg, "The empty container's weight")):
        number(value, code="weighing.weight", name=name, unit="mg", at_least=0, at_most=most)
    if tare_mg > gross_mg:
        raise Refused(
            "weighing.tare",
            say(
                "{gross} is less than the empty container's {tare}.",
                gross=Spoken(Amount(gross_mg, Base.MG), exact=True),
                tare=Spoken(Amount(tare_mg, Base.MG), exact=True),
            ),
            say("Weigh again with the container on the scale, and check the empty container's weight."),
        )
    net = gross_mg - tare_mg
    one, line = _one(base, heavy or Heavy())
    number_of = Fraction(net) / one
    amount = round(number_of)
    if base is Base.PIECE and abs(number_of - amount) > OFF_MOST:
        raise Refused(
            "weighing.pieces",
            say(
                "By its weight it would be {pieces} pieces: that cannot be told.",
                pieces=round(float(number_of), 2),
            ),
            say("Count the pieces by hand."),
        )
    inputs = (
        Input("weight", gross_mg / 1000, "g"),
        Input("empty container", tare_mg / 1000, "g"),
        *([line] if line else []),
    )
    return Content(Amount(amount, base), net, How(RULE, SOURCE, inputs))


def _one(base: Base, heavy: Heavy) -> tuple[Fraction, Input | None]:
    """What one base unit weighs in mg, and the line that says so."""
    if base is Base.MG:
        return Fraction(1), None
    given, name, unit, per = {
        Base.UL: (heavy.density_kg_m3, "density", "kg/m³", Fraction(1, 1_000)),
        Base.MM2: (heavy.areal_g_m2, "weight by area", "g/m²", Fraction(1, 1_000)),
        Base.MM: (heavy.linear_g_m, "weight by length", "g/m", Fraction(1)),
        Base.PIECE: (heavy.piece_mg, "weight of one", "mg", Fraction(1)),
    }[base]
    if given is None or given.value <= 0:
        raise Refused(
            "weighing.unknown",
            say(
                "Nobody entered the {what} of this material, so its weight does not say how much it is.",
                what=name,
            ),
            say("Enter it on the material's card, or measure what is there."),
        )
    return exact(given.value) * per, Input(name, given.value, unit, given.basis)
