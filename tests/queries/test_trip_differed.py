"""What of a trip differed from its plan, in sentences: each stands only where it differs by enough."""

from dataclasses import replace

import pytest

from inventory.compute.units import Amount, Base
from inventory.forms.sentences import text
from inventory.queries.trip_differed import differed
from inventory.queries.trip_numbers import MaterialLine, Shown, WeightLine

KG = 1_000_000


def grams(value):
    return None if value is None else Amount(value * 1000, Base.MG)


def line(name="Resin", planned=3200, aboard=3200, gone=3000):
    return MaterialLine(name, grams(planned), grams(aboard), grams(2000), grams(gone))


def weights(listed=(900, 75), leaving=(900, 75)):
    rows = [tuple(grams(each[at] * 1000) for each in (listed, leaving, leaving)) for at in (0, 1)]
    return WeightLine("Wren", *rows)


AS_PLANNED = Shown(
    of={
        "pairs": 5,
        "planned_pairs": 5,
        "left_behind": 2,
        "scanned_late": 2,
        "missing": 0,
        "warmth": {"planned": [4.0, 20.0], "was": [4.0, 20.0]},
    },
    materials=(line(),),
    closings=(),
    weights=(weights(),),
    waste={},
    closed_min=(300, 330),
)


def of(**changes):
    return {"of": dict(AS_PLANNED.of) | changes}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (of(pairs=4), "Laid up: 4 pairs, of 5 booked."),
        ({"materials": (line(gone=3361),)}, "Resin: needed by plan 3.2 kg, gone 3361 g."),
        ({"materials": (line(aboard=3100),)}, "Resin: needed by plan 3.2 kg, aboard 3.1 kg."),
        ({"materials": (line(gone=None),)}, "Came along, and by the books nothing was taken of it: Resin."),
        ({"closed_min": (300, 331)}, "The presses were closed for 331 min; by plan 300 min."),
        ({"weights": (weights(leaving=(921, 75)),)}, "Wren: trailer's mass 900 kg by the list, 921 kg on"),
        ({"weights": (weights(leaving=(900, 69)),)}, "Wren: nose weight 75 kg by the list, 69 kg on the"),
        (
            of(warmth={"planned": [4.0, 20.0], "was": [3.0, 38.0]}),
            "In the trailers it was 3 °C to 38 °C; expected 4 °C to 20 °C.",
        ),
        (of(left_behind=3), "1 thing of its list was not aboard as it left."),
        (of(missing=2), "2 things did not come home."),
    ],
)
def test_trip_that_differs_by_one_thing_says_that_alone(changes, told):
    """As planned it says nothing, though each number is a little off."""
    assert differed(AS_PLANNED) == []
    (sentence,) = differed(replace(AS_PLANNED, **changes))
    assert text(sentence).replace("\xa0", " ").startswith(told)


def test_trip_on_which_nothing_was_built_does_not_name_all_that_was_not_touched():
    """One pair built, and what was not touched is told, name by name, commas and all."""
    lines = (line(gone=None), line("Core, ash", gone=None))
    (none,) = differed(replace(AS_PLANNED, materials=lines, **of(pairs=0)))
    assert str(none).startswith("Laid up: 0 pairs")
    _, told = differed(replace(AS_PLANNED, materials=lines, **of(pairs=1)))
    assert str(told).endswith("nothing was taken of it: Resin; Core, ash.")


def test_trip_says_the_materials_that_took_most_more_and_no_more_than_a_few():
    """Six took more than planned: the four worst, worst first; one that was not planned is none of them."""
    lines = [line(f"M{n}", gone=3400 + 100 * n) for n in range(6)]
    found = differed(replace(AS_PLANNED, materials=(*lines, line("M9", None, None, 9000))))
    assert [sentence.values["material"] for sentence in found] == ["M5", "M4", "M3", "M2"]


def test_older_record_without_numbers_differs_by_nothing():
    """It is read as well as one that has them."""
    assert differed(Shown({}, (), (), (), {}, (0, 0))) == []
