"""READ finished skis: what was measured, what the spec and the parts say, and the radius as built."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from uuid import UUID

from django.db.models import Q
from django.utils.translation import gettext_lazy

from inventory.compute import build_spec, finished, layup
from inventory.compute.finished import Asked, Measured
from inventory.compute.outline.mass import estimate_mass, mass_part
from inventory.compute.outline.sidecut import Radius
from inventory.compute.reasons import Basis, Given, Verdict
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import Line, Material, Pair, Ski
from inventory.queries import builds, layups, shop
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import chunks, codes_of

LABELS = {
    "length_mm": gettext_lazy("Length"),
    "tip_mm": gettext_lazy("Tip width"),
    "waist_mm": gettext_lazy("Waist width"),
    "tail_mm": gettext_lazy("Tail width"),
    "camber_mm": gettext_lazy("Camber"),
    "flat_mm": gettext_lazy("Base under a bar"),
}
_WEIGHT = {Base.MM2: "areal_g_m2", Base.MM: "linear_g_m", Base.PIECE: "piece_mg"}


@dataclass(frozen=True, slots=True)
class OnSki:
    """One ski: what was measured last, and the radius that its measured widths make beside the ordered one.

    `radius` is None until tip, waist and tail were measured: what was ordered stands in for nothing.
    """

    id: UUID
    code: str
    side: str
    measured: Measured | None
    ordered: Radius | None
    radius: Radius | None

    @property
    def off_m(self) -> float | None:
        """By how much the radius is off the ordered one, both to the 0.1 m they are told to."""
        if self.radius is None or self.ordered is None:
            return None
        return round(round(self.radius.radius_m, 1) - round(self.ordered.radius_m, 1), 1)

    @property
    def apart_m(self) -> float:
        """The same without its sign."""
        return abs(self.off_m or 0.0)

    @property
    def mass_g(self) -> float | None:
        """Its mass in grams."""
        mass = self.measured.mass_mg if self.measured else None
        return None if mass is None else mass / 1000


@dataclass(frozen=True, slots=True)
class Finished:
    """A pair as built beside its spec."""

    pair: Pair
    asked: Asked
    skis: tuple[OnSki, ...]
    verdict: Verdict
    spec_radius: Radius | None

    @property
    def mass_g(self) -> float | None:
        """What one ski should weigh, in grams."""
        return None if self.asked.mass_mg is None else self.asked.mass_mg / 1000

    @property
    def rows(self) -> list[tuple[str, float | None, list[tuple[str, float | None]]]]:
        """Each measure by the spec and on each ski."""
        found: list[tuple[str, float | None, list[tuple[str, float | None]]]] = []
        for name, label in LABELS.items():
            values = [(ski.side, getattr(ski.measured, name, None)) for ski in self.skis]
            found.append((str(label), getattr(self.asked, name, None), values))
        return found


def finished_pair(pair: UUID) -> Finished | None:
    """A pair with what was measured on its skis; None for what is no pair."""
    row = builds.pair(pair)
    if row is None:
        return None
    own = skis_of(row)
    asked = Asked(row.length_mm, row.tip_mm, row.waist_mm, row.tail_mm, row.camber_mm, _estimate(row))
    by_side = {ski.side: ski.measured for ski in own}
    found = finished.judge(
        asked=asked, left=by_side.get("left"), right=by_side.get("right"), tolerances=shop.tolerances()
    )
    return Finished(row, asked, own, found, _radius(row))


def skis_of(row: Pair) -> tuple[OnSki, ...]:
    """Both skis of a pair as measured, each with its radius beside the ordered one."""
    skis = sorted(row.skis.all(), key=lambda ski: ski.side)
    measured = measures([ski.thing_id for ski in skis])
    codes = codes_of(ski.thing_id for ski in skis)
    ordered = _radius(row)
    found = []
    for ski in skis:
        own = measured.get(ski.thing_id)
        radius = _radius(row, own) if own else None
        found.append(OnSki(ski.thing_id, codes.get(ski.thing_id, ""), ski.side, own, ordered, radius))
    return tuple(found)


def measures(skis: Sequence[UUID]) -> dict[UUID, Measured]:
    """What was measured last on each of these skis."""
    found: dict[UUID, Measured] = {}
    for part in chunks(skis):
        rows = Line.objects.filter(
            thing_id__in=part, role=Role.OBSERVED, event__step="step done", event__skipped__isnull=True
        )
        for thing, facts in rows.order_by("event__sort").values_list("thing_id", "event__facts"):
            if facts.get("job") == "measure" and "measured" in facts:
                found[thing] = _measured(facts["measured"])
    return found


def _measured(facts: Mapping[str, float]) -> Measured:
    mass = facts.get("mass_mg")
    rest = {name: facts.get(name) for name in finished.BOUNDS}
    return Measured(mass_mg=None if mass is None else int(mass), **rest)


def _radius(row: Pair, measured: Measured | None = None) -> Radius | None:
    """The radius of the spec, or of the measured widths, by the measuring rule."""
    spec = builds.spec(row)
    if spec is None:
        return None
    if measured is not None:
        if measured.tip_mm is None or measured.waist_mm is None or measured.tail_mm is None:
            return None
        spec = replace(
            spec,
            length_mm=measured.length_mm or spec.length_mm,
            tip_mm=measured.tip_mm,
            waist_mm=measured.waist_mm,
            tail_mm=measured.tail_mm,
        )
    try:
        return build_spec.shaped(spec=spec).radius
    except Refused:
        return None


def _estimate(row: Pair) -> int | None:
    """What one ski should weigh by its parts; None while a weight is not entered."""
    try:
        shaped = builds.shaped(row)
        if shaped is None or row.layup is None or not row.layup.layers:
            return None
        stuff = layups.known(row.layup.layers)
        needs = layup.needed(outline=shaped.outline, rows=row.layup.layers, known=stuff).materials
        cards = {card.key: card for card in Material.objects.filter(key__in=stuff)}
        parts = []
        for need in needs:
            amount = Amount(ceil(need.exact_pair.net / Fraction(2)), need.base)
            name = _WEIGHT.get(need.base, "")
            value = getattr(cards[need.material], name) if name else None
            if name == "piece_mg" and value is not None:
                value = value / 1000
            weight = None if value is None else Given(float(value), Basis.DATA_SHEET, "the material's card")
            parts.append(mass_part(name=need.material, amount=amount, weight=weight))
        return estimate_mass(parts=parts).mass.value
    except Refused:
        return None


def replaced(thing: UUID) -> list[Named]:
    """Of a pair the rejected skis that others took the place of; of such a ski the pair it was of."""
    rows = Ski.objects.filter(Q(was_of_id=thing) | Q(thing_id=thing, was_of__isnull=False))
    ids = [ski if pair == thing else pair for ski, pair in rows.values_list("thing_id", "was_of_id") if pair]
    return sorted(named(ids).values(), key=lambda each: each.code)
