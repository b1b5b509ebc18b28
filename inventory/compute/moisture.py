"""Whether wood is dry enough, and not too dry, to be glued up. Knows no stock."""

from collections.abc import Mapping

from inventory.compute.reasons import How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import say

DRY_PCT, WET_PCT = 6.0, 10.0
APART_PCT = 2.0
PRACTICE = "common practice, no source: 6 to 10 %, strips of one blank within 2 %"


def judge(*, read_pct: Mapping[str, float | None]) -> Verdict:
    """Does the wood's moisture suit gluing?

    Formula: looked at again below 6 % or above 10 % of dry mass, or when two strips differ by more than 2 %
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
            found.append(Reason("wood.unread", text, Level.UNKNOWN, _how({})))
            continue
        number(value, code="wood.moisture", name="The moisture", unit="%", at_least=1, at_most=60)
        if value > WET_PCT:
            text = say("{code} is wet: {value} %. It shrinks after gluing.", code=code, value=value)
            found.append(Reason("wood.wet", text, Level.LOOK, _how({code: value})))
        elif value < DRY_PCT:
            text = say("{code} is very dry: {value} %. It swells after gluing.", code=code, value=value)
            found.append(Reason("wood.dry", text, Level.LOOK, _how({code: value})))
    known = {code: value for code, value in read_pct.items() if value is not None}
    if known and max(known.values()) - min(known.values()) > APART_PCT:
        text = say("The strips differ: {low} to {high} %.", low=min(known.values()), high=max(known.values()))
        found.append(Reason("wood.apart", text, Level.LOOK, _how(known)))
    if not found:
        found.append(Reason("wood.suits", say("The moisture suits gluing."), Level.FINE, _how(known)))
    return verdict(*found)


def _how(known: Mapping[str, float]) -> How:
    return How(
        "6 to 10 %, and within 2 % of each other.",
        PRACTICE,
        tuple(Input(code, value, "%") for code, value in known.items()),
    )
