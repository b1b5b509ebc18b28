"""What a material's card may not say, whoever fills it in. Writes nothing.

Only what cannot be true is refused; what is empty stays unknown.
"""

import math
import re
from collections.abc import Mapping
from typing import Any

from inventory.compute.cure import schedule as cure_schedule
from inventory.compute.mix import ratio as mix_ratio
from inventory.compute.reasons import Given
from inventory.errors import Refused, say
from inventory.models import Material

GOODS = ("un_number", "goods_class", "packing_group", "transport_category", "limited_quantity")
MIXING = ("hardener_per_hundred", "largest_cup_mg", "pot_life_min", "pot_life_at_c", "pot_life_cup_mg")
_WEIGHTS = {
    "density_kg_m3": ("The density", "kg/m³", 25_000),
    "areal_g_m2": ("The weight by area", "g/m²", 50_000),
    "linear_g_m": ("The weight by length", "g/m", 100_000),
    "piece_mg": ("The weight of one", "mg", 10**12),
    "length_mm": ("The length", "mm", 10**8),
    "width_mm": ("The width", "mm", 10_000),
    "thickness_mm": ("The thickness", "mm", 1_000),
    "pot_life_min": ("The pot life", "min", 100_000),
    "pot_life_cup_mg": ("The cup it was tested in", "mg", 10**9),
    "container_ul": ("The largest container", "µl", 10**9),
    "container_mg": ("The empty container", "mg", 10**9),
}
_LIVES = {
    "shelf_life_months": ("The shelf life", "months", 600),
    "opened_life_days": ("Once opened", "d", 9_999),
}
_CLASS = re.compile(r"[1-9](\.[1-6][A-S]?)?")
_SHEET = say("Read it on the product's own sheet and enter it again.")
_SECTION = say("Read section 14 of the safety data sheet, and enter what stands there.")


def check(card: Mapping[str, Any]) -> None:
    """Refuse a card that cannot be true.

    Refuses: material.no_name, material.number, material.storage_band, material.goods, material.goods_apart,
    material.no_resin, material.no_ratio, and what `compute.mix.ratio` and `compute.cure.schedule` refuse
    """
    if not str(card["name"]).strip():
        raise Refused("material.no_name", say("The material has no name."), say("Enter what you call it."))
    for field, (name, unit, most) in (_WEIGHTS | _LIVES).items():
        _check_number(card[field], name, unit, most)
    _check_band(card)
    _check_goods(card)
    _check_mixing(card)


def _check_number(value: Any, name: str, unit: str, most: float) -> None:
    if value is None:
        return
    if not math.isfinite(value) or not 0 < value <= most:
        raise Refused(
            "material.number",
            say("{name} is {value} {unit}, which cannot be.", name=name, value=value, unit=unit),
            _SHEET,
        )


def _check_band(card: Mapping[str, Any]) -> None:
    for field in ("stored_from_c", "stored_to_c", "pot_life_at_c"):
        if card[field] is not None and not -60 <= card[field] <= 150:
            raise Refused(
                "material.number",
                say(
                    "{name} is {value} {unit}, which cannot be.",
                    name="A temperature",
                    value=card[field],
                    unit="°C",
                ),
                _SHEET,
            )
    low, high = card["stored_from_c"], card["stored_to_c"]
    if low is not None and high is not None and low >= high:
        raise Refused(
            "material.storage_band",
            say("It would be stored from {low} °C to {high} °C: the wrong way round.", low=low, high=high),
            _SHEET,
        )


def _check_goods(card: Mapping[str, Any]) -> None:
    """Section 14, as far as it can be seen to be misread."""
    given = [card[field] for field in GOODS if card[field] not in ("", None)]
    if card["regulated"] is False and given:
        raise Refused(
            "material.goods_apart",
            say("It is said to be no dangerous good, and there is {what} as well.", what=given[0]),
            _SECTION,
        )
    category = card["transport_category"]
    wrong = (
        ("UN number", card["un_number"], not card["un_number"] or re.fullmatch(r"\d{4}", card["un_number"])),
        ("class", card["goods_class"], not card["goods_class"] or _CLASS.fullmatch(card["goods_class"])),
        ("packing group", card["packing_group"], card["packing_group"] in ("", "I", "II", "III")),
        ("transport category", category, category is None or category in range(5)),
    )
    for what, value, fits in wrong:
        if not fits:
            raise Refused("material.goods", say("{value} is no {what}.", value=value, what=what), _SECTION)


def _check_mixing(card: Mapping[str, Any]) -> None:
    resin = card["resin_id"]
    if (
        resin is not None
        and not Material.objects.filter(id=resin, purpose="resin").exclude(id=card["id"]).exists()
    ):
        raise Refused(
            "material.no_resin",
            say("What it is to be mixed with is no resin."),
            say("Choose a material that is used as resin, and enter the mix on the hardener's card."),
        )
    if resin is None and card["hardener_per_hundred"] is not None:
        raise Refused(
            "material.no_ratio",
            say("There is a mix ratio, and no resin that it is for."),
            say("Choose the resin that this hardener goes with."),
        )
    if card["hardener_per_hundred"] is not None:
        mix_ratio.check_ratio(Given(card["hardener_per_hundred"]))
    if card["largest_cup_mg"] is not None:
        mix_ratio.check_largest_cup(Given(card["largest_cup_mg"]))
    if card["cure_points"]:
        points = tuple(cure_schedule.SchedulePoint(celsius, hours) for celsius, hours in card["cure_points"])
        cure_schedule.schedule_through(points=Given(points))
