"""What a load is made of and what is said of it: plain values with their own checks. Judges nothing.

Distances along the trailer are metres behind the coupling; across it metres right of the middle.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum

from inventory.compute.reasons import Given, How, Reason, Verdict, number
from inventory.compute.units import metres
from inventory.errors import Refused, Sentence, say

WIDEST_M = 1.3
"""Nothing lies further from the middle: road vehicles are at most 2.6 m wide (from memory)."""
LONGEST_M = 20.0
HEAVIEST_KG = 40_000.0


class Quantity(StrEnum):
    """What is held against plates."""

    GROSS = "trailer's mass"
    AXLE = "trailer's axle load"
    NOSE = "nose weight"
    REAR_AXLE = "tow car's rear axle load"
    CAR = "tow car's mass"
    TRAIN = "mass of the train"
    SIDE = "load on the heavier side's wheels"


class Word(StrEnum):
    """The answer for one quantity, mildest first."""

    BELOW = "below its lowest plate"
    WEIGH = "weigh"
    CANNOT_SAY = "cannot say"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Near:
    """A value and how far off it may be either way."""

    value: float
    give_or_take: float

    def __post_init__(self) -> None:
        number(self.value, code="load.number", name="A value")
        number(self.give_or_take, code="load.number", name="A give or take", at_least=0.0)


Reading = Given[Near] | None
"""A value with its basis, or None when nobody knows it."""


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of a trailer's floor. A position not known is None: then what depends on it cannot be said.

    Refuses: load.number, load.zone_outside
    """

    key: str
    behind_m: Reading
    right_m: Reading

    def __post_init__(self) -> None:
        right = self.right_m
        if right is not None and abs(right.value.value) > WIDEST_M:
            template = "Zone {zone} lies {right} from the middle, outside any trailer."
            sentence = say(template, zone=self.key, right=metres(right.value.value))
            raise Refused("load.zone_outside", sentence, say("Measure from the middle of the trailer."))


@dataclass(frozen=True, slots=True)
class Item:
    """Something in a zone, with its mass; None when it was not weighed and nobody knows.

    Refuses: load.number, load.mass
    """

    key: str
    zone: str
    mass_kg: Reading

    def __post_init__(self) -> None:
        code, name = "load.mass", f"The mass of {self.key}"
        within(self.mass_kg, code=code, name=name, unit="kg", at_least=0.0, at_most=HEAVIEST_KG)


@dataclass(frozen=True, slots=True)
class Trailer:
    """The trailer without its load. `axle_m` is the middle of the axles; `floor_m` where the floor begins and
    ends; `track_m` from wheel to wheel across; `empty_right_kg` how much more its right wheels carry, empty.

    Refuses: load.number, load.trailer
    """

    key: str
    empty_kg: Given[Near]
    empty_nose_kg: Given[Near]
    axle_m: Given[Near]
    floor_m: tuple[float, float]
    axles: int = 1
    track_m: Reading = None
    empty_right_kg: Reading = None

    def __post_init__(self) -> None:
        code, key = "load.trailer", self.key
        most = HEAVIEST_KG
        within(self.empty_kg, code=code, name=f"The empty mass of {key}", unit="kg", above=0.0, at_most=most)
        within(self.axle_m, code=code, name=f"The axle of {key}", unit="m", above=0.0, at_most=LONGEST_M)
        within(self.track_m, code=code, name=f"The track of {key}", unit="m", above=0.0, at_most=2 * WIDEST_M)
        empty = self.empty_kg.value.value
        for given in (self.empty_nose_kg, self.empty_right_kg):
            within(
                given, code=code, name=f"A part of the empty mass of {key}", at_least=-empty, at_most=empty
            )
        front, back = (number(end, code=code, name=f"The floor of {key}", unit="m") for end in self.floor_m)
        if not 0.0 <= front < back <= LONGEST_M:
            template = "The floor of {trailer} is said to reach from {front} to {back} behind the coupling."
            sentence = say(template, trailer=key, front=metres(front), back=metres(back))
            raise Refused(
                "load.trailer", sentence, say("Measure both ends from the coupling, front end first.")
            )
        if type(self.axles) is not int or self.axles < 1:
            sentence = say("{trailer} is said to have {axles} axles.", trailer=key, axles=self.axles)
            raise Refused("load.trailer", sentence, say("Count the axles."))


@dataclass(frozen=True, slots=True)
class TowCar:
    """The tow car as it will drive, people and cargo in it, without the trailer.

    `overhang_m` is from the rear axle back to the ball.
    Refuses: load.number, load.car
    """

    key: str
    mass_kg: Reading
    rear_axle_kg: Reading
    wheelbase_m: Reading
    overhang_m: Reading

    def __post_init__(self) -> None:
        code, key = "load.car", self.key
        heavy = HEAVIEST_KG
        within(self.mass_kg, code=code, name=f"The mass of {key}", unit="kg", above=0.0, at_most=heavy)
        most = self.mass_kg.value.value if self.mass_kg else HEAVIEST_KG
        rear = f"The rear axle load of {key}"
        within(self.rear_axle_kg, code=code, name=rear, unit="kg", above=0.0, at_most=most)
        far = LONGEST_M
        within(self.wheelbase_m, code=code, name=f"The wheelbase of {key}", unit="m", above=0.0, at_most=far)
        within(self.overhang_m, code=code, name=f"The overhang of {key}", unit="m", at_least=0.0, at_most=far)


@dataclass(frozen=True, slots=True)
class Plates:
    """What the plates, the tyres and the papers say. None: not read. An assumed number counts as not read.

    Where one part carries one plate for two of these (a ball on its bar), give it for both.
    Refuses: load.plate
    """

    trailer_gross_kg: Given[float] | None = None
    car_towed_kg: Given[float] | None = None
    trailer_axle_kg: Given[float] | None = None
    tyres_per_side_kg: Given[float] | None = None
    coupling_nose_kg: Given[float] | None = None
    ball_nose_kg: Given[float] | None = None
    bar_nose_kg: Given[float] | None = None
    car_nose_kg: Given[float] | None = None
    car_rear_axle_kg: Given[float] | None = None
    car_gross_kg: Given[float] | None = None
    train_kg: Given[float] | None = None

    def __post_init__(self) -> None:
        for each in fields(self):
            plate = getattr(self, each.name)
            if plate is not None:
                name = each.name.removesuffix("_kg").replace("_", " ")
                number(plate.value, code="load.plate", name=f"The plate for {name}", unit="kg", above=0.0)


def within(
    reading: Reading,
    *,
    code: str,
    name: str,
    unit: str = "",
    at_least: float | None = None,
    above: float | None = None,
    at_most: float | None = None,
) -> None:
    """Is this value possible? Not known is possible.

    Formula: at_least <= value, above < value, value <= at_most, where given
    Units: those of the value.
    Refuses: the caller's code
    Source: common practice, no source
    """
    if reading is not None:
        number(
            reading.value.value,
            code=code,
            name=name,
            unit=unit,
            at_least=at_least,
            above=above,
            at_most=at_most,
        )


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value in kg and how far off it may be: all doubts at once (`together_kg`), or each by itself.

    `missing` names what is not in it because nobody knows it.
    """

    kg: float
    together_kg: float
    apart_kg: float
    missing: tuple[str, ...] = ()
    weighed: bool = False

    @property
    def low_kg(self) -> float:
        """The least it may be."""
        return self.kg - self.together_kg

    @property
    def high_kg(self) -> float:
        """The most it may be."""
        return self.kg + self.together_kg


@dataclass(frozen=True, slots=True)
class Against:
    """One quantity against its lowest plate. `plates` are all that bear on it, by name; None: not read."""

    quantity: Quantity
    estimate: Estimate
    plates: Mapping[str, float | None]
    lowest: str | None
    word: Word
    reasons: tuple[Reason, ...]
    how: How

    @property
    def lowest_kg(self) -> float | None:
        """What the lowest plate read says."""
        return None if self.lowest is None else self.plates[self.lowest]

    @property
    def room_kg(self) -> float | None:
        """What is left to the lowest plate by what was entered; below zero when it is over."""
        return None if self.lowest_kg is None else self.lowest_kg - self.estimate.kg


@dataclass(frozen=True, slots=True)
class Load:
    """A load against every plate, by what was entered. `right_over_left_kg` is how much more the right wheels
    carry; `spread_m` how far from the axle the cargo lies, None when there is none or places are not known.
    """

    against: tuple[Against, ...]
    right_over_left_kg: Estimate
    spread_m: float | None
    even_spread_m: float
    verdict: Verdict
    cautions: tuple[Sentence, ...]
    how: How

    def of(self, quantity: Quantity) -> Against:
        """The line of one quantity."""
        return next(each for each in self.against if each.quantity is quantity)
