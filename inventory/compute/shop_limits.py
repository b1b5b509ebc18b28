"""A shop's own tolerances of finished skis and moisture limits of wood. Knows no table."""

from collections.abc import Mapping
from dataclasses import asdict

from inventory.compute.finished import Tolerances
from inventory.compute.moisture import Limits
from inventory.compute.reasons import number
from inventory.errors import Refused, say

SHIPPED: Mapping[str, float] = asdict(Tolerances()) | asdict(Limits())
MOST = dict.fromkeys(asdict(Tolerances()), 50.0) | {"flat": 2.0} | dict.fromkeys(asdict(Limits()), 30.0)


def checked(own: Mapping[str, float | None]) -> dict[str, float]:
    """What a shop says of its limits; what is left empty is as shipped.

    Formula: above 0 and at most 50 mm, flatness 2 mm, moisture 30 %; dry below wet.
    Units: mm; per cent of the dry mass.
    Refuses: limits.number, limits.dry_wet, limits.unknown
    Source: common practice, no source.
    """
    for name in own:
        if name not in SHIPPED:
            raise Refused(
                "limits.unknown", say("{name} is no limit.", name=name), say("Open the page again.")
            )
    given = {name: value for name, value in own.items() if value is not None}
    for name, value in given.items():
        words = name.replace("_", " ").capitalize()
        number(value, code="limits.number", name=words, above=0, at_most=MOST[name])
    whole = {**SHIPPED, **given}
    if whole["dry_pct"] >= whole["wet_pct"]:
        raise Refused(
            "limits.dry_wet",
            say(
                "Wood would be too dry at {dry} % and too wet at {wet} %.",
                dry=whole["dry_pct"],
                wet=whole["wet_pct"],
            ),
            say("Enter a lower limit for dry than for wet."),
        )
    return given


def tolerances(own: Mapping[str, float]) -> Tolerances:
    """How far a finished ski may be off, by the shop or as shipped."""
    return Tolerances(**{name: own.get(name, value) for name, value in asdict(Tolerances()).items()})


def moisture(own: Mapping[str, float]) -> Limits:
    """Between what wood is glued, by the shop or as shipped."""
    return Limits(**{name: own.get(name, value) for name, value in asdict(Limits()).items()})
