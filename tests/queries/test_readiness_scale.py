"""What the scale showed, against the plates: over them, at them, not weighed, no plate."""

from dataclasses import replace

import pytest

from inventory.compute.reasons import Level
from inventory.queries.readiness.scale import reasons
from tests.make import grams
from tests.queries.rooms import car, facts, kg, trailer

PLATES = {"gross_mg": kg(1500), "axle_load_mg": kg(1450), "nose_mg": kg(75)}


def said(mass, nose, **more):
    """The sentences, with their levels."""
    one = replace(trailer(**PLATES), **more)
    notes = reasons(facts(trailers=[one], weighed={one.id: (mass, nose)}))
    return {str(note.sentence): note.level for note in notes}


@pytest.mark.parametrize(
    ("mass", "nose", "over"),
    [
        (kg(1500), kg(75), []),  # at its plates
        (kg(1500) + 1, kg(75), ["trailer's mass"]),
        (kg(1500), kg(75) + 1, ["nose weight"]),
        (kg(1500), kg(49), ["axle load"]),  # 1,451 kg are left for the axle
        (kg(1600), None, ["trailer's mass"]),
        (None, kg(90), ["nose weight"]),
    ],
)
def test_what_was_weighed_stands_against_leaving_only_above_a_plate(mass, nose, over):
    """One milligram decides; the axle is what the nose does not carry."""
    found = [sentence for sentence, level in said(mass, nose).items() if level is Level.STOP]
    assert len(found) == len(over)
    assert all(word in sentence for word, sentence in zip(over, found, strict=True))


def test_how_much_over_is_said_with_weight_and_plate():
    one = trailer(**PLATES)
    (note,) = reasons(facts(trailers=[one], weighed={one.id: (None, kg(90))}))
    told = {name: note.sentence.values[name] for name in ("weighed", "over", "plate")}
    assert told == {"weighed": grams(90_000), "over": grams(15_000), "plate": grams(75_000)}


def test_what_the_tow_car_bears_counts_as_a_plate_of_the_trailer():
    """60 kg on the ball, 1,300 kg to draw: the lower plate decides."""
    towed = {"car": car(towed_mg=kg(1300), ball_nose_mg=kg(60))}
    assert Level.STOP not in said(kg(1400), kg(65)).values()
    assert list(said(kg(1400), kg(65), **towed).values()).count(Level.STOP) == 2


def test_nothing_is_said_of_what_was_not_weighed_or_has_no_plate():
    """A room of its own says that a plate was not read."""
    one = trailer()
    assert reasons(facts(trailers=[one], weighed={})) == []
    assert reasons(facts(trailers=[one], weighed={one.id: (None, None)})) == []
