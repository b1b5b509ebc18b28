"""Dangerous goods in the United States as materials of trade, 49 CFR 173.6: limits by packaging and in all.

It totals and warns, it never clears. The limit is the packaging's capacity or gross mass, not its content.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from inventory.compute.reasons import Basis, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, Sentence, Term, say

EDITION = Term("49 CFR 173.6 as read in copies of the 2010s: compare with the text in force")
MOST_IN_ALL_KG = 200.0
MOST_IN_ALL = "200 kg (440 lb)"  # as the rule writes it, whoever reads
_MOST_CYLINDER_KG = 100.0
_MOST_GROUP_I = 0.5
_MOST_GROUP_II_III = 30.0
_MOST_DILUTED_L = 1_500.0
_MOST_4_3_L = 0.030
_ALMOST = 1e-9
_BY_PACKAGING = frozenset({"3", "4.1", "5.1", "5.2", "6.1", "8", "9"})
_CYLINDERS = frozenset({"2.1", "2.2"})
_SOURCE = (
    "law.cornell.edu/cfr/text/49/173.6 (read): (a)(1) to (3); 200 kg in all: note to 49 CFR 392.51 at "
    "jjkellercompliancenetwork.com (read); vehicle and trailer together: cautious reading of interpretation "
    "09-0120 (read)"
)
CAUTIONS: tuple[Sentence, ...] = (
    say(
        "This adds up what was entered. It is no legal advice and no classification: read section 14 of each "
        "safety data sheet; the law where you drive, and your carrier, decide."
    ),
    say("Original or equal packagings, closed, tight, secured, marked; the driver is told what is aboard."),
    say("Waste solvent and rags are no materials of trade. Vent the compressor's receiver before driving."),
)


class Group(StrEnum):
    """Packing group."""

    I = "I"  # noqa: E741
    II = "II"
    III = "III"


class Form(StrEnum):
    """What is in the packaging."""

    LIQUID = "liquid"
    SOLID = "solid"


@dataclass(frozen=True, slots=True)
class Packaging:
    """Packagings of one kind, as section 14 of the safety data sheet has their content.

    `hazard` is the class or division ("3", "8", "2.1"), None when not known. `capacity_l` and `gross_kg` are
    of one packaging, gross with its content. `regulated` False where the sheet says that this mode and size
    is not regulated. `never` for waste, self-reactive goods and goods poisonous by inhalation. `diluted` for
    a class 9 mixture of at most 2 %; of another class it changes nothing.
    Refuses: load.packaging
    """

    key: str
    hazard: str | None
    group: Group | None = None
    form: Form = Form.LIQUID
    count: int = 1
    capacity_l: float | None = None
    gross_kg: float | None = None
    regulated: bool = True
    never: bool = False
    diluted: bool = False

    def __post_init__(self) -> None:
        for value, what, unit in ((self.capacity_l, "capacity", "l"), (self.gross_kg, "gross mass", "kg")):
            if value is not None:
                number(value, code="load.packaging", name=f"The {what} of {self.key}", unit=unit, above=0.0)
        if type(self.count) is not int or self.count < 0:
            sentence = say("{key}: {count} is no number of packagings.", key=self.key, count=self.count)
            raise Refused("load.packaging", sentence, say("Count them again."))


@dataclass(frozen=True, slots=True)
class TradeTotal:
    """Gross mass of all materials of trade on tow vehicle and trailer; `at_least` when some is not known."""

    gross_kg: float
    at_least: bool
    limit_kg: float
    edition: str
    verdict: Verdict
    cautions: tuple[Sentence, ...]
    how: How


def trade_total(*, packagings: Sequence[Packaging]) -> TradeTotal:
    """Do the materials of trade stay within the limits by packaging and in all?

    Formula: classes 3, 8, 9, divisions 4.1, 5.1, 5.2, 6.1: capacity of a liquid's packaging, or gross mass of
        a solid's, at most 0.5 l or kg in packing group I, 30 in II and III; a class 9 mixture of at most 2 %:
        1500 l. Division 2.1, 2.2: cylinder at most 100 kg gross. Division 4.3, groups II and III: at most
        30 ml. All together, without the diluted mixture: at most 200 kg gross. Not known is never 0.
    Units: kg gross; litres of capacity.
    Shapes: packagings in any order, keys once each.
    Refuses: load.goods_twice
    Source: law.cornell.edu/cfr/text/49/173.6 (read); 392.51 at jjkellercompliancenetwork.com (read)
    Caution: Totals and warnings only, for the edition named; tow vehicle and trailer together. It is no
        classification and clears no load. Division 6.2, tanks and Dewar vessels are not judged here.
    """
    seen: set[str] = set()
    for each in packagings:
        if each.key in seen:
            sentence = say("{key} is listed twice.", key=each.key)
            raise Refused("load.goods_twice", sentence, say("List it once, with its whole quantity."))
        seen.add(each.key)
    inputs = tuple(Input(each.key, each.gross_kg, "kg gross each", Basis.DATA_SHEET) for each in packagings)
    how = How(
        "limit by packaging; sum of count x gross mass, against 200 kg", f"{EDITION}. {_SOURCE}", inputs
    )
    counted = [each for each in packagings if each.regulated and each.count and not _is_diluted_9(each)]
    gross = math.fsum(each.count * each.gross_kg for each in counted if each.gross_kg is not None)
    unknown = [each.key for each in counted if each.gross_kg is None]
    lines = (reason for each in packagings if each.count for reason in _packaging_reasons(each, how))
    reasons = verdict(_total_reason(gross, unknown, how), *lines)
    return TradeTotal(gross, bool(unknown), MOST_IN_ALL_KG, EDITION, reasons, CAUTIONS, how)


def _total_reason(gross: float, unknown: Sequence[str], how: How) -> Reason:
    values = {
        "gross": round(gross, 3),
        "limit": MOST_IN_ALL,
        "edition": EDITION,
        "unknown": ", ".join(unknown),
    }
    if gross > MOST_IN_ALL_KG + _ALMOST:
        sentence = say(
            "All materials of trade weigh {gross} kg gross, above {limit} for tow vehicle and trailer "
            "together. {edition}.",
            **values,
        )
        return Reason("load.trade_total", sentence, Level.LOOK, how)
    if unknown:
        sentence = say(
            "All materials of trade weigh at least {gross} kg gross of {limit}; not known: {unknown}. "
            "{edition}.",
            **values,
        )
        return Reason("load.trade_total", sentence, Level.UNKNOWN, how)
    sentence = say(
        "All materials of trade weigh {gross} kg gross of {limit}, by what was entered. {edition}.",
        **values,
    )
    return Reason("load.trade_total", sentence, Level.FINE, how)


def _packaging_reasons(packaging: Packaging, how: How) -> Iterator[Reason]:
    """What stands against one kind of packaging; nothing when nothing does."""
    if not packaging.regulated:
        return
    if packaging.never:
        sentence = say(
            "{key} is never a material of trade: waste, self-reactive, or poisonous by inhalation.",
            key=packaging.key,
        )
        yield Reason("load.trade_never", sentence, Level.STOP, how)
        return
    if packaging.hazard is None:
        yield _unknown_reason(packaging, "hazard class", how)
    elif packaging.hazard in _BY_PACKAGING:
        yield from _by_packaging_reasons(packaging, how)
    elif packaging.hazard in _CYLINDERS:
        yield from _limit_reasons(packaging, packaging.gross_kg, _MOST_CYLINDER_KG, "kg gross", how)
    elif packaging.hazard == "4.3" and packaging.group in (Group.II, Group.III):
        yield from _limit_reasons(packaging, packaging.capacity_l, _MOST_4_3_L, "l capacity", how)
    elif packaging.hazard == "4.3" and packaging.group is None:
        yield _unknown_reason(packaging, "packing group", how)
    else:
        sentence = say(
            "{key}, class {hazard}, is not among the materials of trade judged here.",
            key=packaging.key,
            hazard=packaging.hazard,
        )
        yield Reason("load.trade_never", sentence, Level.STOP, how)


def _is_diluted_9(packaging: Packaging) -> bool:
    return packaging.diluted and packaging.hazard == "9"


def _by_packaging_reasons(packaging: Packaging, how: How) -> Iterator[Reason]:
    if _is_diluted_9(packaging):
        yield from _limit_reasons(packaging, packaging.capacity_l, _MOST_DILUTED_L, "l capacity", how)
        return
    if packaging.group is None:
        yield _unknown_reason(packaging, "packing group", how)
        return
    most = _MOST_GROUP_I if packaging.group is Group.I else _MOST_GROUP_II_III
    if packaging.form is Form.LIQUID:
        yield from _limit_reasons(packaging, packaging.capacity_l, most, "l capacity", how)
    else:
        yield from _limit_reasons(packaging, packaging.gross_kg, most, "kg gross", how)


def _limit_reasons(
    packaging: Packaging, size: float | None, most: float, unit: str, how: How
) -> Iterator[Reason]:
    if size is None:
        yield _unknown_reason(packaging, unit, how)
    elif size > most + _ALMOST:
        sentence = say(
            "{key}: {size} {unit}, above {most} for one packaging, however full it is.",
            key=packaging.key,
            size=size,
            unit=unit,
            most=most,
        )
        yield Reason("load.trade_packaging", sentence, Level.LOOK, how)


def _unknown_reason(packaging: Packaging, missing: str, how: How) -> Reason:
    sentence = say("{key}: cannot say; not known: {missing}.", key=packaging.key, missing=missing)
    return Reason("load.trade_not_known", sentence, Level.UNKNOWN, how)
