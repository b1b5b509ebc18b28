"""Whether a finished ski is what its spec says, and fits its partner: length, widths, camber, flatness, mass.

Knows no table and no ski by name. What was not measured is not known; it certifies nothing.
"""

from dataclasses import dataclass

from inventory.compute.outline.mass import check_mass
from inventory.compute.reasons import Basis, How, Input, Level, Reason, Verdict, number, verdict
from inventory.compute.units import Amount, Base
from inventory.errors import say

PRACTICE = "common practice, no source"
RULE = "each measure against the spec, and against the partner, within the tolerance entered"


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured on one ski; None where nobody did. `flat_mm`: the largest light under a true bar laid
    across the base, above zero where the middle stands out."""

    mass_mg: int | None = None
    length_mm: float | None = None
    tip_mm: float | None = None
    waist_mm: float | None = None
    tail_mm: float | None = None
    camber_mm: float | None = None
    flat_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """What the spec says of one ski, and what it should weigh by its parts; None: not said."""

    length_mm: float
    tip_mm: float | None = None
    waist_mm: float | None = None
    tail_mm: float | None = None
    camber_mm: float | None = None
    mass_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Tolerances:
    """How far a measure may be off, and skis of a pair apart; in mm."""

    length: float = 5.0
    width: float = 1.0
    camber: float = 2.0
    flat: float = 0.1
    pair_length: float = 2.0
    pair_width: float = 0.5
    pair_camber: float = 1.0


MEASURES = (
    ("length_mm", "The length", "length", "pair_length"),
    ("tip_mm", "The tip width", "width", "pair_width"),
    ("waist_mm", "The waist width", "width", "pair_width"),
    ("tail_mm", "The tail width", "width", "pair_width"),
    ("camber_mm", "The camber", "camber", "pair_camber"),
)
BOUNDS = {
    "length_mm": (500.0, 2500.0),
    "tip_mm": (40.0, 250.0),
    "waist_mm": (30.0, 200.0),
    "tail_mm": (40.0, 250.0),
    "camber_mm": (-40.0, 60.0),
    "flat_mm": (-5.0, 5.0),
}


def check(*, measured: Measured) -> None:
    """Refuse what no ski measures: another unit, a slip of the keyboard.

    Formula: none; bounds.
    Units: mm; mg.
    Refuses: finished.measure, finished.mass
    Source: common practice, no source.
    """
    for name, (low, high) in BOUNDS.items():
        value = getattr(measured, name)
        if value is not None:
            words = name.removesuffix("_mm").capitalize()
            number(value, code="finished.measure", name=words, unit="mm", at_least=low, at_most=high)
    if measured.mass_mg is not None:
        grams = measured.mass_mg / 1000
        number(grams, code="finished.mass", name="The mass", unit="g", at_least=300, at_most=6000)


def judge(
    *, asked: Asked, left: Measured | None, right: Measured | None, tolerances: Tolerances = Tolerances()
) -> Verdict:
    """Whether the skis of a pair are within their tolerances, and fit each other.

    Formula: |measured - spec| <= tolerance, |left - right| <= tolerance of the pair, |flatness| <= tolerance;
        each mass within 8 % of what its parts weigh, the pair within 3 %. What is beyond is to be looked at:
        a person decides. What nobody measured is not known.
    Units: mm; mg.
    Refuses: finished.measure, finished.mass
    Source: common practice, no source; a shop's own tolerances outrank them. Mass: `outline.mass.check_mass`.
    Caution: Says nothing of strength, bond or bindings.
    """
    reasons: list[Reason] = []
    for side, found in (("left", left), ("right", right)):
        if found is None:
            sentence = say("The {side} ski was not measured.", side=side)
            reasons.append(Reason("finished.not_measured", sentence, Level.UNKNOWN))
            continue
        check(measured=found)
        for name, words, own, _ in MEASURES:
            limit = getattr(tolerances, own)
            reasons += _against_spec(side, words, getattr(found, name), getattr(asked, name), limit)
        reasons.append(_flatness(side, found.flat_mm, tolerances.flat))
    if left is not None and right is not None:
        for name, words, _, pair in MEASURES:
            limit = getattr(tolerances, pair)
            reasons += _against_partner(words, getattr(left, name), getattr(right, name), limit)
    return verdict(*reasons, *_masses(asked.mass_mg, left, right))


def _how(limit: float, *lines: Input) -> How:
    return How(RULE, PRACTICE, (*lines, Input("tolerance", limit, "mm", Basis.ASSUMED)))


def _against_spec(
    side: str, words: str, found: float | None, asked: float | None, limit: float
) -> list[Reason]:
    if asked is None:
        return []
    if found is None:
        sentence = say("{measure} of the {side} ski was not measured.", measure=words, side=side)
        return [Reason("finished.not_measured", sentence, Level.UNKNOWN)]
    off = round(found - asked, 2)
    values = {"measure": words, "side": side, "found": found, "off": off, "limit": limit}
    how = _how(limit, Input("measured", found, "mm"), Input("spec", asked, "mm"))
    if abs(off) <= limit:
        sentence = say("{measure} of the {side} ski is {found} mm, {off:+} mm off the spec.", **values)
        return [Reason("finished.fits", sentence, Level.FINE, how)]
    sentence = say(
        "{measure} of the {side} ski is {found} mm, {off:+} mm off the spec; {limit} mm may be.", **values
    )
    return [Reason("finished.off", sentence, Level.LOOK, how)]


def _against_partner(words: str, one: float | None, other: float | None, limit: float) -> list[Reason]:
    if one is None or other is None or abs(one - other) <= limit + 1e-9:
        return []
    apart = round(abs(one - other), 2)
    sentence = say(
        "{measure} differs by {apart} mm between the two; {limit} mm may be.",
        measure=words,
        apart=apart,
        limit=limit,
    )
    how = _how(limit, Input("left", one, "mm"), Input("right", other, "mm"))
    return [Reason("finished.pair_apart", sentence, Level.LOOK, how)]


def _flatness(side: str, found: float | None, limit: float) -> Reason:
    if found is None:
        sentence = say("Nobody laid a true bar across the base of the {side} ski.", side=side)
        return Reason("finished.flat_unknown", sentence, Level.UNKNOWN)
    how = _how(limit, Input("measured", found, "mm"))
    if abs(found) <= limit:
        sentence = say("The base of the {side} ski is flat within {limit} mm.", side=side, limit=limit)
        return Reason("finished.flat", sentence, Level.FINE, how)
    if found > 0:
        sentence = say("The base of the {side} ski stands out by {off} mm: grind it.", side=side, off=found)
    else:
        sentence = say("The base of the {side} ski is hollow by {off} mm: grind it.", side=side, off=-found)
    return Reason("finished.not_flat", sentence, Level.LOOK, how)


def _masses(asked_mg: int | None, left: Measured | None, right: Measured | None) -> list[Reason]:
    """The masses against the estimate and against each other; without an estimate only the latter."""
    one, other = (
        None if each is None or each.mass_mg is None else Amount(each.mass_mg, Base.MG)
        for each in (left, right)
    )
    expected = one or other if asked_mg is None else Amount(asked_mg, Base.MG)
    if expected is None:
        return [Reason("finished.not_weighed", say("Neither ski was weighed."), Level.UNKNOWN)]
    reasons = check_mass(estimate=expected, left=one, right=other).reasons
    if asked_mg is not None:
        return list(reasons)
    return [reason for reason in reasons if reason.code not in ("outline.mass_fits", "outline.mass_differs")]
