"""The lay-up as plain layers: what each is measured by, and how far along the ski it reaches. Knows no stock.

A material is a key that the caller chose; one material may be in several layers (resin in the glass, resin
on the faces) as long as all of them measure it the same way.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from inventory.compute.outline import Outline, Piece, piece
from inventory.compute.reasons import Basis, Given, number
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Whole:
    """From the end of the tail to the tip."""


@dataclass(frozen=True, slots=True)
class Contact:
    """From heel line to shoulder line, and as far beyond both."""

    beyond_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Centred:
    """A length about the middle of the contact length, such as under a binding."""

    length_mm: float


@dataclass(frozen=True, slots=True)
class Between:
    """From one place to another, from the end of the tail."""

    start_mm: float
    end_mm: float


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle for one ski, cut before it is shaped: its width, and what is added at each end."""

    width_mm: float
    end_mm: float = 0.0


Reach = Whole | Contact | Centred | Between


class Course(StrEnum):
    """Where edge or sidewall runs; both sides of the ski are meant."""

    EDGE = "edge, contact length and a little beyond"
    EDGE_WRAP = "edge all round"
    SIDEWALL = "sidewalls"


class Per(StrEnum):
    """What a number of pieces is for."""

    SKI = "ski"
    PAIR = "pair"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A layer by area: base, glass, top sheet."""

    material: str
    reach: Reach | Blank = field(default_factory=Whole)
    plies: int = 1


@dataclass(frozen=True, slots=True)
class Strip:
    """A layer by length: edge, sidewall, rubber foil."""

    material: str
    along: Course | Reach
    strands: int = 1


@dataclass(frozen=True, slots=True)
class Pieces:
    """A number or a fixed amount: a core blank, inserts, cups, millilitres of glue."""

    material: str
    each: Amount = field(default_factory=lambda: Amount(1, Base.PIECE))
    per: Per = Per.SKI


@dataclass(frozen=True, slots=True)
class Spread:
    """A mass by area on a face: glue on a base, on each face of a core.

    `share` is the part of that mass that is this material (resin 100/130 of a mix at 30 per hundred).
    """

    material: str
    grams_per_m2: Given[float]
    faces: int = 1
    reach: Reach = field(default_factory=Whole)
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Soak:
    """Resin taken up by fabric, which is cut larger than the ski by `cut_factor`."""

    material: str
    fabric_g_per_m2: Given[float]
    fibre_share: Given[float]
    plies: int = 1
    cut_factor: Given[float] = field(default_factory=lambda: Given(1.0, Basis.ASSUMED, "cut to the outline"))
    reach: Reach = field(default_factory=Whole)
    share: float = 1.0


Layer = Sheet | Strip | Pieces | Spread | Soak


def reached(*, outline: Outline, reach: Reach) -> Piece:
    """What part of the ski does a layer cover?

    Formula: whole; heel line − beyond to shoulder line + beyond; centred on the contact length; from, to
    Units: mm, mm2; places from the end of the tail
    Refuses: needs.reach
    Source: definition
    """
    start, end = _ends(outline, reach)
    length = outline.length_mm
    for name, place in (("The start of the layer", start), ("The end of the layer", end)):
        number(place, code="needs.reach", name=name, unit="mm", at_least=0, at_most=length)
    if end <= start:
        text = say("The layer ends at {end} mm and starts at {start} mm.", end=end, start=start)
        raise Refused("needs.reach", text, say("Enter from where to where it reaches, from the tail."))
    return piece(outline=outline, start_mm=start, end_mm=end)


def _ends(outline: Outline, reach: Reach) -> tuple[float, float]:
    if isinstance(reach, Contact):
        beyond = number(
            reach.beyond_mm, code="needs.reach", name="The reach beyond the lines", unit="mm", at_least=0
        )
        return outline.heel_mm - beyond, outline.shoulder_mm + beyond
    if isinstance(reach, Centred):
        half = number(reach.length_mm, code="needs.reach", name="The layer's length", unit="mm", above=0) / 2
        middle = (outline.heel_mm + outline.shoulder_mm) / 2
        return middle - half, middle + half
    if isinstance(reach, Between):
        return reach.start_mm, reach.end_mm
    return 0.0, outline.length_mm
