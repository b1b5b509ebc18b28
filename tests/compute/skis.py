"""A ski worked by hand, for the tests of outline and needs."""

from inventory.compute.outline import Outline, Tail, from_spec
from inventory.compute.reasons import Given

WORKED = {
    "length_mm": 1800.0,
    "tip_width_mm": 130.0,
    "waist_width_mm": 98.0,
    "tail_width_mm": 120.0,
    "shovel_mm": Given(250.0),
    "tail_turn_mm": Given(100.0),
    "tail": Tail.BLUNT,
}


def ski(**changes) -> Outline:
    """1800 mm, 130/98/120, shovel 250, tail 100, tail edge by 2 × turn + 0.9 × width; or with changes."""
    return from_spec(**WORKED | changes)
