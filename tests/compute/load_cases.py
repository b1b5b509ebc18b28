"""Loads the tests share: the worked workshop trailer, and readings made short."""

from inventory.compute.load import Item, Near, Plates, TowCar, Trailer, Zone, judge
from inventory.compute.reasons import Basis, Given

CARGO = {  # kg, m behind the coupling
    "press frame": (260.0, 2.55),
    "moulds": (110.0, 2.20),
    "compressor": (45.0, 3.60),
    "cores and base": (70.0, 1.50),
    "glass and edges": (40.0, 1.30),
    "resin": (80.0, 2.90),
    "hardener": (26.0, 2.90),
    "tools": (120.0, 3.30),
    "skis": (32.0, 3.90),
}


def near(value, give_or_take=0.0):
    """A measured reading; None stays None."""
    return None if value is None else Given(Near(value, give_or_take), Basis.MEASURED)


def plate(kg):
    return Given(kg, Basis.DATA_SHEET, "plate")


def trailer(**changes):
    facts = {
        "key": "Stoat",
        "empty_kg": near(680.0),
        "empty_nose_kg": near(75.0),
        "axle_m": near(3.0),
        "floor_m": (1.0, 4.2),
        "track_m": near(1.6),
        "empty_right_kg": near(0.0),
    }
    return Trailer(**(facts | changes))


def car(**changes):
    facts = {
        "key": "tow car",
        "mass_kg": near(2_200.0),
        "rear_axle_kg": near(1_050.0),
        "wheelbase_m": near(2.8),
        "overhang_m": near(1.12),
    }
    return TowCar(**(facts | changes))


def plates(**changes):
    """Every plate far above the worked load."""
    facts = {
        "trailer_gross_kg": plate(2_000.0),
        "car_towed_kg": plate(2_500.0),
        "trailer_axle_kg": plate(1_800.0),
        "tyres_per_side_kg": plate(1_000.0),
        "coupling_nose_kg": plate(300.0),
        "ball_nose_kg": plate(300.0),
        "bar_nose_kg": plate(300.0),
        "car_nose_kg": plate(300.0),
        "car_rear_axle_kg": plate(1_600.0),
        "car_gross_kg": plate(2_800.0),
        "train_kg": plate(5_000.0),
    }
    return Plates(**(facts | changes))


def load(cargo=None, *, along=0.0, across=0.0, mass=0.0, right=0.0, **changes):
    """The worked load, each item in a zone of its own; along, across and mass are gives or takes."""
    cargo = CARGO if cargo is None else cargo
    facts = {
        "trailer": trailer(),
        "zones": [Zone(key, near(behind, along), near(right, across)) for key, (_, behind) in cargo.items()],
        "items": [Item(key, key, near(kg, mass)) for key, (kg, _) in cargo.items()],
        "car": car(),
        "plates": plates(),
    }
    return judge(**(facts | changes))
