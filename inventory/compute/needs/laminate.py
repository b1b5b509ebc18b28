"""Resin and fibre in a laminate: shares by mass and volume, thickness, resin taken up. Knows no product."""

from dataclasses import dataclass

from inventory.compute.reasons import Given, How, Input, number


@dataclass(frozen=True, slots=True)
class Share:
    """A share of fibre, by mass or by volume."""

    share: float
    how: How


@dataclass(frozen=True, slots=True)
class Ply:
    """A cured ply's thickness."""

    thick_mm: float
    how: How


@dataclass(frozen=True, slots=True)
class Uptake:
    """Resin that fabric takes up, with the fabric's own mass."""

    resin_mg: float
    fabric_mg: float
    how: How


def fibre_share_by_mass(
    *, share_by_volume: float, fibre_kg_per_m3: Given[float], resin_kg_per_m3: Given[float]
) -> Share:
    """What share of a laminate's mass is fibre, when its share of the volume is known?

    Formula: w = V ρf / (V ρf + (1 − V) ρm)
    Units: shares 0 to 1, densities in kg/m3
    Refuses: needs.share, needs.density
    Source: definition; worked with E-glass 2540 and epoxy 1150 kg/m3 (densities from memory)
    """
    volume = _share(share_by_volume, "The fibre's share of the volume")
    fibre, resin = _densities(fibre_kg_per_m3, resin_kg_per_m3)
    mass = volume * fibre / (volume * fibre + (1 - volume) * resin)
    return Share(mass, _how("w = V ρf / (V ρf + (1 − V) ρm)", volume, fibre_kg_per_m3, resin_kg_per_m3))


def fibre_share_by_volume(
    *, share_by_mass: float, fibre_kg_per_m3: Given[float], resin_kg_per_m3: Given[float]
) -> Share:
    """What share of a laminate's volume is fibre, when its share of the mass is known?

    Formula: V = (w / ρf) / (w / ρf + (1 − w) / ρm)
    Units: shares 0 to 1, densities in kg/m3
    Refuses: needs.share, needs.density
    Source: definition; a weighed carbon sample gives 0.56 (composites site, read)
    """
    mass = _share(share_by_mass, "The fibre's share of the mass")
    fibre, resin = _densities(fibre_kg_per_m3, resin_kg_per_m3)
    volume = (mass / fibre) / (mass / fibre + (1 - mass) / resin)
    return Share(
        volume, _how("V = (w / ρf) / (w / ρf + (1 − w) / ρm)", mass, fibre_kg_per_m3, resin_kg_per_m3)
    )


def ply_thickness(
    *, fabric_g_per_m2: Given[float], fibre_kg_per_m3: Given[float], share_by_volume: float
) -> Ply:
    """How thick is one cured ply of this fabric?

    Formula: t = fabric weight / (ρf × V)
    Units: g/m2, kg/m3, mm
    Refuses: needs.weight, needs.density, needs.share
    Source: definition
    """
    weight = _weight(fabric_g_per_m2)
    volume = _share(share_by_volume, "The fibre's share of the volume")
    fibre = _density(fibre_kg_per_m3, "The fibre's density")
    inputs = (
        Input("fabric", weight, "g/m²", fabric_g_per_m2.basis),
        Input("density of the fibre", fibre, "kg/m³", fibre_kg_per_m3.basis),
        Input("fibre's share of the volume", volume),
    )
    return Ply(weight / (fibre * volume), How("t = fabric weight / (ρf × V)", "definition", inputs))


def uptake(
    *,
    area_mm2: float,
    fabric_g_per_m2: Given[float],
    plies: int,
    fibre_share: Given[float],
    cut_factor: Given[float],
) -> Uptake:
    """How much resin do these plies of fabric take up?

    Formula: fabric = weight × plies × area × cut factor; resin = fabric × (1 − w) / w
    Units: mm2, g/m2, fibre share of the mass 0 to 1, mg
    Refuses: needs.weight, needs.share, needs.layer
    Source: definition; w 0.50 by hand, 0.55 pressed (common practice, no source)
    """
    weight = _weight(fabric_g_per_m2)
    share = _share(fibre_share.value, "The fibre's share of the mass")
    cut = number(cut_factor.value, code="needs.layer", name="The cut factor", at_least=1, at_most=3)
    number(area_mm2, code="needs.layer", name="The area", unit="mm²", at_least=0, at_most=1e9)
    number(plies, code="needs.layer", name="The number of plies", at_least=1, at_most=20)
    fabric = weight * plies * area_mm2 * cut / 1_000
    inputs = (
        Input("fabric", weight, "g/m²", fabric_g_per_m2.basis),
        Input("plies", plies),
        Input("area", area_mm2, "mm²"),
        Input("cut factor", cut, "", cut_factor.basis),
        Input("fibre's share of the mass", share, "", fibre_share.basis),
    )
    how = How("resin = weight × plies × area × cut factor × (1 − w) / w", "definition", inputs)
    return Uptake(fabric * (1 - share) / share, fabric, how)


def _weight(given: Given[float]) -> float:
    """A weight that a fabric can have."""
    name = "The fabric's weight"
    return number(given.value, code="needs.weight", name=name, unit="g/m²", at_least=5, at_most=5_000)


def _density(given: Given[float], name: str) -> float:
    return number(given.value, code="needs.density", name=name, unit="kg/m³", at_least=100, at_most=20_000)


def _share(value: float, name: str) -> float:
    """A share strictly between nothing and all."""
    return number(value, code="needs.share", name=name, above=0.0, at_most=0.999)


def _densities(fibre: Given[float], resin: Given[float]) -> tuple[float, float]:
    return _density(fibre, "The fibre's density"), _density(resin, "The resin's density")


def _how(rule: str, share: float, fibre: Given[float], resin: Given[float]) -> How:
    inputs = (
        Input("share", share),
        Input("density of the fibre", fibre.value, "kg/m³", fibre.basis),
        Input("density of the resin", resin.value, "kg/m³", resin.basis),
    )
    return How(rule, "definition", inputs)
