"""Exposures: which delivered skis share a factor, counted season by season, and factors that are one line.

Knows skis, pairs, seasons and factors by their codes; nothing here depends on what a count may mean.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from inventory.compute.chance import Stratum
from inventory.errors import Refused, say


class Unit(StrEnum):
    """What is counted: the ski where left and right of a pair may differ, otherwise the pair."""

    SKI = "ski"
    PAIR = "pair"


@dataclass(frozen=True, slots=True)
class Delivered:
    """One ski that was handed over: its pair, and the season it was delivered in."""

    ski: str
    pair: str
    season: str


@dataclass(frozen=True, slots=True)
class Factor:
    """Something some skis share: a lot, a resin batch, a press cycle, a press, a mould, a day, a person."""

    code: str
    kind: str
    skis: Collection[str]


@dataclass(frozen=True, slots=True)
class Line:
    """Factors that cannot be told apart: the widest one, the others, and the widest one's counts by season.

    `also_by_pair` is there when both skis of a pair came back and the unit is the ski: two skis of one pair
    are not two independent witnesses, so the count by pair has to agree.
    """

    factor: Factor
    bits: int
    unit: Unit
    strata: tuple[Stratum, ...]
    also_by_pair: tuple[Stratum, ...] | None = None
    also: tuple[Factor, ...] = ()

    @property
    def is_season(self) -> bool:
        """True when no season has skis both with and without the factor: nothing is left to compare."""
        return all(row.exposed == row.delivered for row in self.strata)


@dataclass(frozen=True, slots=True)
class _Season:
    """A season's stretch of a bit set, and the returned ones in it."""

    start: int
    mask: int
    delivered: int
    back: int


class Fleet:
    """The delivered skis as places in bit sets, one season after the other, and the returned ones among them.

    Refuses: suspects.no_skis, suspects.unnamed, suspects.repeated, suspects.two_seasons, suspects.unknown_ski
    """

    def __init__(self, delivered: Sequence[Delivered], returned: Collection[str]) -> None:
        _refuse_bad_deliveries(delivered)
        in_order = sorted(delivered, key=lambda row: (row.season, row.pair, row.ski))
        self.ski_place = {row.ski: place for place, row in enumerate(in_order)}
        season_of = {row.pair: row.season for row in in_order}
        pair_place = {pair: place for place, pair in enumerate(season_of)}
        self.pair_of = {row.ski: pair_place[row.pair] for row in in_order}
        self.skis_in_pair = list(Counter(self.pair_of.values()).values())
        _refuse_unknown(returned, self.ski_place, "the returned skis")
        pairs_back = {self.pair_of[ski] for ski in returned}
        self.pairs_returned = len(pairs_back)
        self.both_back = len(returned) > len(pairs_back)
        back = _bits((self.ski_place[ski] for ski in returned), len(in_order))
        self._by_ski = _seasons((row.season for row in in_order), back)
        self._by_pair = _seasons(season_of.values(), _bits(pairs_back, len(pair_place)))

    def line(self, factor: Factor) -> Line:
        """The factor's counts by season, by pair when it never differs between the skis of one pair.

        Refuses: suspects.unnamed, suspects.no_exposure, suspects.repeated, suspects.unknown_ski
        """
        _refuse_bad_factor(factor, self.ski_place)
        bits = _bits(map(self.ski_place.__getitem__, factor.skis), len(self.ski_place))
        pairs = set(map(self.pair_of.__getitem__, factor.skis))
        by_pair = _counts(_bits(pairs, len(self.skis_in_pair)), self._by_pair)
        if sum(map(self.skis_in_pair.__getitem__, pairs)) == len(factor.skis):
            return Line(factor, bits, Unit.PAIR, by_pair)
        return Line(factor, bits, Unit.SKI, _counts(bits, self._by_ski), by_pair if self.both_back else None)


def _bits(places: Iterable[int], size: int) -> int:
    row = bytearray(size // 8 + 1)
    for place in places:
        row[place >> 3] |= 1 << (place & 7)
    return int.from_bytes(row, "little")


def _seasons(seasons: Iterable[str], back: int) -> list[_Season]:
    """One stretch a season, of names that come season after season."""
    out, start = [], 0
    for _, group in groupby(seasons):
        size = sum(1 for _ in group)
        mask = (1 << size) - 1
        out.append(_Season(start, mask, size, back >> start & mask))
        start += size
    return out


def _counts(bits: int, seasons: Sequence[_Season]) -> tuple[Stratum, ...]:
    """The four counts of each season in which the factor occurs."""
    out = []
    for season in seasons:
        here = bits >> season.start & season.mask
        if here:
            both = (here & season.back).bit_count()
            out.append(Stratum(season.delivered, here.bit_count(), season.back.bit_count(), both))
    return tuple(out)


def merged(lines: Sequence[Line], alike: float) -> list[Line]:
    """Lines with (nearly) the same skis as one, led by the widest; returns play no part in who leads.

    Formula: two are one line when (skis in both) / (skis in either) >= alike; the nearest leader wins.
    Units: a fraction.
    Shapes: any number of lines; leaders come out widest first.
    Source: common practice, no source: what cannot be told apart is one line.
    """
    leaders: list[tuple[int, Line, list[Factor]]] = []
    for line in sorted(lines, key=lambda line: -line.bits.bit_count()):
        size = line.bits.bit_count()
        best, nearest = 0.0, None
        for leader in reversed(leaders):
            if size < alike * leader[0]:
                break
            common = (line.bits & leader[1].bits).bit_count()
            overlap = common / (size + leader[0] - common)
            if overlap >= best and line.is_season == leader[1].is_season:
                best, nearest = overlap, leader
        if nearest is not None and best >= alike:
            nearest[2].append(line.factor)
        else:
            leaders.append((size, line, []))
    return [
        Line(line.factor, line.bits, line.unit, line.strata, line.also_by_pair, tuple(also))
        for _, line, also in leaders
    ]


def _refuse_bad_deliveries(delivered: Sequence[Delivered]) -> None:
    if not delivered:
        raise Refused(
            "suspects.no_skis",
            say("There are 0 delivered skis to compare with."),
            say("Choose seasons in which skis were handed over."),
        )
    season_of: dict[str, str] = {}
    for row in delivered:
        if not (row.ski.strip() and row.pair.strip() and row.season.strip()):
            _refuse_unnamed(f"{row.ski} / {row.pair} / {row.season}")
        if season_of.setdefault(row.pair, row.season) != row.season:
            raise Refused(
                "suspects.two_seasons",
                say(
                    "Pair {pair} is delivered in two seasons, {one} and {two}.",
                    pair=row.pair,
                    one=season_of[row.pair],
                    two=row.season,
                ),
                say("Give each pair the season it was handed over in."),
            )
    _refuse_repeated([row.ski for row in delivered], "the delivered skis")


def _refuse_bad_factor(factor: Factor, known: Mapping[str, int]) -> None:
    if not (factor.code.strip() and factor.kind.strip()):
        _refuse_unnamed(f"{factor.kind} / {factor.code}")
    if not factor.skis:
        raise Refused(
            "suspects.no_exposure",
            say("No delivered ski has {kind} {code}.", kind=factor.kind, code=factor.code),
            say("Leave it out: there is nothing to compare."),
        )
    _refuse_unknown(factor.skis, known, f"{factor.kind} {factor.code}")


def _refuse_unknown(skis: Collection[str], known: Mapping[str, int], where: str) -> None:
    _refuse_repeated(skis, where)
    if not known.keys() >= set(skis):
        stray = next(ski for ski in skis if ski not in known)
        raise Refused(
            "suspects.unknown_ski",
            say("Ski {ski} is among {where}, but not among the delivered skis.", ski=stray, where=where),
            say("Count returned and other skis over the same deliveries."),
        )


def _refuse_repeated(names: Collection[str], where: str) -> None:
    if len(set(names)) != len(names):
        twice = next(name for name, times in Counter(names).items() if times > 1)
        raise Refused(
            "suspects.repeated",
            say("{name} is twice among {where}.", name=twice, where=where),
            say("Name each one once."),
        )


def _refuse_unnamed(shown: str) -> None:
    raise Refused(
        "suspects.unnamed",
        say("One of these has no name: {shown}.", shown=shown),
        say("Give ski, pair, season and factor a code each."),
    )


def refuse_repeated_factors(factors: Sequence[Factor]) -> None:
    """Refuse two factors of one kind and code.

    Formula: each kind and code once.
    Units: none.
    Refuses: suspects.repeated
    Source: common practice, no source.
    """
    _refuse_repeated([f"{factor.kind} {factor.code}" for factor in factors], "the factors")
