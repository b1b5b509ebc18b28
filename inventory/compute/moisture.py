"""Whether wood is dry enough, and not too dry, to be glued up. Knows no stock."""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.compute.reasons import How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import say

PRACTICE = "common practice, no source: 6 to 10 %, strips of one blank within 2 %; the shop's own outrank it"


@dataclass(frozen=True, slots=True)
class Limits:
    """Between what wood is glued, and how far strips of one blank may be apart; % of the dry mass."""

    dry_pct: float = 6.0
    wet_pct: float = 10.0
    apart_pct: float = 2.0

    def __str__(self) -> str:
        """Both ends of what suits."""
        return f"{self.dry_pct:g} to {self.wet_pct:g} %"


def judge(*, read_pct: Mapping[str, float | None], limits: Limits = Limits()) -> Verdict:
    """Does the wood's moisture suit gluing?

    Formula: looked at again below 6 % or above 10 % of dry mass, or when two strips differ by more than 2 %;
        a shop may have limits of its own
    Units: per cent of the dry mass, as a moisture meter shows
    Shapes: a reading for each bundle by its code; None: nobody read it
    Refuses: wood.moisture
    Source: common practice, no source
    Caution: meters differ by species; the wood's and the glue's maker say what they ask.
    """
    found = []
    for code, value in read_pct.items():
        if value is None:
            text = say("The moisture of {code} was not read.", code=code)
            found.append(Reason("wood.unread", text, Level.UNKNOWN, _how({}, limits)))
            continue
        number(value, code="wood.moisture", name="The moisture", unit="%", at_least=1, at_most=60)
        if value > limits.wet_pct:
            text = say("{code} is wet: {value} %. It shrinks after gluing.", code=code, value=value)
            found.append(Reason("wood.wet", text, Level.LOOK, _how({code: value}, limits)))
        elif value < limits.dry_pct:
            text = say("{code} is very dry: {value} %. It swells after gluing.", code=code, value=value)
            found.append(Reason("wood.dry", text, Level.LOOK, _how({code: value}, limits)))
    known = {code: value for code, value in read_pct.items() if value is not None}
    if known and max(known.values()) - min(known.values()) > limits.apart_pct:
        text = say("The strips differ: {low} to {high} %.", low=min(known.values()), high=max(known.values()))
        found.append(Reason("wood.apart", text, Level.LOOK, _how(known, limits)))
    if not found:
        found.append(Reason("wood.suits", say("The moisture suits gluing."), Level.FINE, _how(known, limits)))
    return verdict(*found)


def _how(known: Mapping[str, float], limits: Limits) -> How:
    return How(
        f"{limits}, and within {limits.apart_pct:g} % of each other.",
        PRACTICE,
        tuple(Input(code, value, "%") for code, value in known.items()),
    )
