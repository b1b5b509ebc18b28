"""Lay-up cards: what is kept, what cannot be computed is refused, and what a pair needs by one."""

from typing import Any
from uuid import UUID

import pytest

from inventory.actions import builds, layups, materials
from inventory.compute.units import Base
from inventory.models import LayupCard, Material
from inventory.queries import builds as read
from inventory.queries import layups as queries
from tests.make import Shop, refused

WORKED = {
    "length_mm": 1800,
    "tip_mm": 130.0,
    "waist_mm": 98.0,
    "tail_mm": 120.0,
    "shovel_mm": 250.0,
    "tail_turn_mm": 100.0,
    "camber_mm": 4.0,
}


def row(material: str, kind: str = "sheet", plies: int = 1, extent: str = "whole ski", **more: Any) -> dict:
    return {"material": material, "kind": kind, "plies": plies, "extent": extent} | more


def stock_up(shop: Shop) -> None:
    for key, base in (
        ("glass", Base.MM2),
        ("base", Base.MM2),
        ("edge", Base.MM),
        ("blank", Base.PIECE),
        ("resin", Base.MG),
        ("hardener", Base.MG),
        ("felt", Base.MM2),
    ):
        shop.material(key, base)
    resin, hardener = (Material.objects.get(key=key).id for key in ("resin", "hardener"))
    shop.do(
        materials.edit_material, material=hardener, changes={"resin_id": resin, "hardener_per_hundred": 30.0}
    )


def card(shop: Shop, *rows: dict) -> UUID:
    return shop.do(layups.make_layup, name="Triax, two plies", layers=rows).thing


def test_needed_when_the_worked_pair_is_laid_up_by_a_card_agrees(shop: Shop) -> None:
    """Pair of 1800 mm, 130/98/120: 614.7 g of resin, 184.4 g of hardener at 30 per hundred, 6.20 m of edge,
    two blanks. Source: worked by hand from plan area 0.38295 m² and 750 g/m² twice at a fibre share of 0.55.
    """
    stock_up(shop)
    mix = {"hardener": "hardener"}
    layup = card(
        shop,
        row("base"),
        row("edge", "strip", extent="edge, partial"),
        row("resin", "taken up by fabric", 2, g_m2=750.0, **mix),
        row("resin", "spread on", 2, g_m2=120.0, **mix),
        row("resin", "spread on", 2, g_m2=100.0, **mix),
        row("glass"),
        row("blank", "piece"),
        row("glass"),
    )
    pair, *_ = shop.pair()
    shop.do(builds.specify, pair=pair, changes=WORKED | {"layup_id": layup})
    found = read.pair(pair)
    drawn = queries.drawn(found, read.shaped(found))
    assert drawn.refused is None
    needs = {line.name: line.need for line in drawn.needs}
    assert needs["Resin"].pair.expected.value / 1000 == pytest.approx(614.7, abs=0.7)
    assert needs["Hardener"].pair.expected.value / 1000 == pytest.approx(184.4, abs=0.3)
    assert needs["Edge"].net_pair.value == pytest.approx(6200, abs=5)
    assert needs["Blank"].net_pair.value == 2
    assert [name for name, _ in drawn.side.layers] == ["Base", "Glass", "Blank", "Glass"]
    assert [line.number for line in drawn.layers] == list(range(1, 9))


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("layup.material", {"material": "gold"}),
        ("layup.kind", {"kind": "wound"}),
        ("layup.extent", {"extent": "both sidewalls"}),
        ("layup.extent", {"extent": "half way"}),
        ("layup.unit", {"kind": "strip"}),
        ("layup.number", {"plies": 0}),
        ("layup.number", {"extent": "about the middle"}),
        ("layup.number", {"extent": "about the middle", "from_mm": 9000}),
    ],
)
def test_make_layup_when_one_fact_of_a_layer_is_wrong_is_refused(
    shop: Shop, code: str, wrong: dict[str, object]
) -> None:
    """The right layer stands beside each; nothing is kept of the wrong card."""
    stock_up(shop)
    card(shop, row("glass"))
    with refused(code):
        card(shop, row("glass") | wrong)
    assert LayupCard.objects.count() == 1


def test_make_layup_when_the_hardeners_ratio_is_not_known_is_refused(shop: Shop) -> None:
    """Known once the hardener's card says it."""
    shop.material("resin", Base.MG)
    shop.material("hardener", Base.MG)
    wet = row("resin", "spread on", g_m2=120.0, hardener="hardener")
    with refused("layup.ratio", "Hardener"):
        card(shop, wet)
    stock_up(shop)
    card(shop, wet)


def test_drawn_when_nothing_is_known_of_a_loss_says_so_until_the_card_does(shop: Shop) -> None:
    """The drawing stands either way."""
    stock_up(shop)
    layup = card(shop, row("felt"))
    pair, *_ = shop.pair()
    shop.do(builds.specify, pair=pair, changes=WORKED | {"layup_id": layup})
    found = read.pair(pair)
    drawn = queries.drawn(found, read.shaped(found))
    assert drawn.refused is not None
    assert drawn.refused.code == "needs.no_factor"
    shop.do(layups.change_layup, layup=layup, changes={"layers": [row("felt", loss=1.1)]})
    found = read.pair(pair)
    (line,) = queries.drawn(found, read.shaped(found)).needs
    assert line.need.pair.expected.value == pytest.approx(382_950 * 1.1, rel=1e-3)


def test_layers_when_added_and_dropped_keep_their_order(shop: Shop) -> None:
    """Above the layer named, or uppermost; a number that is not there is refused."""
    stock_up(shop)
    layup = card(shop, row("base"), row("glass"))
    shop.do(layups.add_layer, layup=layup, layer=row("felt"), after=1)
    shop.do(layups.add_layer, layup=layup, layer=row("glass", plies=2))
    assert [each["material"] for each in LayupCard.objects.get(id=layup).layers] == [
        "base",
        "felt",
        "glass",
        "glass",
    ]
    shop.do(layups.drop_layer, layup=layup, number=2)
    assert [each["plies"] for each in LayupCard.objects.get(id=layup).layers] == [1, 1, 2]
    with refused("layup.no_layer", "4"):
        shop.do(layups.drop_layer, layup=layup, number=4)


def test_make_layup_when_it_has_no_name_or_too_many_layers_is_refused(shop: Shop) -> None:
    """Forty layers are kept."""
    stock_up(shop)
    with refused("layup.no_name"):
        shop.do(layups.make_layup, name=" ")
    card(shop, *[row("glass")] * 40)
    with refused("layup.too_many", "41"):
        card(shop, *[row("glass")] * 41)
