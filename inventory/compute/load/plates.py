"""One quantity against the plates that bear on it: below, weigh, cannot say, stop. Knows no sum."""

from collections.abc import Mapping
from types import MappingProxyType

from inventory.compute.load.facts import Against, Estimate, Plates, Quantity, Word
from inventory.compute.reasons import Basis, Given, How, Level, Reason
from inventory.errors import Sentence, say

_FIELDS: Mapping[Quantity, Mapping[str, tuple[str, float]]] = MappingProxyType(
    {
        Quantity.GROSS: {
            "trailer's permitted mass": ("trailer_gross_kg", 1.0),
            "what the tow car may tow": ("car_towed_kg", 1.0),
        },
        Quantity.AXLE: {
            "trailer's axles": ("trailer_axle_kg", 1.0),
            "tyres of both sides": ("tyres_per_side_kg", 2.0),
        },
        Quantity.NOSE: {
            "coupling": ("coupling_nose_kg", 1.0),
            "ball": ("ball_nose_kg", 1.0),
            "tow bar": ("bar_nose_kg", 1.0),
            "tow car": ("car_nose_kg", 1.0),
        },
        Quantity.REAR_AXLE: {"tow car's rear axle": ("car_rear_axle_kg", 1.0)},
        Quantity.CAR: {"tow car's permitted mass": ("car_gross_kg", 1.0)},
        Quantity.TRAIN: {"permitted mass of the train": ("train_kg", 1.0)},
        Quantity.SIDE: {"tyres of one side": ("tyres_per_side_kg", 1.0)},
    }
)
_ONLY_GROWS = frozenset({Quantity.GROSS, Quantity.AXLE, Quantity.TRAIN})
"""What is missing can only make these larger, so what is over without it is over."""
_WEIGHT = {
    Word.BELOW: Level.FINE,
    Word.WEIGH: Level.UNKNOWN,
    Word.CANNOT_SAY: Level.UNKNOWN,
    Word.STOP: Level.STOP,
}
_HARDER = list(Word)


def against_plates(*, quantity: Quantity, estimate: Estimate, plates: Plates, how: How) -> Against:
    """Is this quantity over the lowest plate that bears on it?

    Formula: over by more than all doubts at once: stop; within them: weigh; otherwise below. A plate or an
        input not known: cannot say, unless what is known is over already. Nose weight below 0: stop; within
        its doubt of 0: weigh.
    Units: kg.
    Refuses: nothing
    Source: the lowest plate governs: baileyofbristol.co.uk, nose weight (read); the words: common practice,
        no source
    Caution: Below a plate is by what was entered; weigh it.
    """
    bearing = {
        name: _read(getattr(plates, field), times) for name, (field, times) in _FIELDS[quantity].items()
    }
    known = {name: kg for name, kg in bearing.items() if kg is not None}
    lowest = min(known, key=lambda name: known[name], default=None)
    reasons = [_plate_reason(quantity, estimate, bearing, lowest, how)]
    if quantity is Quantity.NOSE and not estimate.missing:
        reasons += _lift_reasons(estimate, how)
    words = [word for word, _ in reasons]
    return Against(
        quantity,
        estimate,
        MappingProxyType(bearing),
        lowest,
        max(words, key=_HARDER.index),
        tuple(reason for _, reason in reasons),
        how,
    )


def _read(plate: Given[float] | None, times: float) -> float | None:
    """What the plate says; a number somebody assumed or learned is no plate."""
    if plate is None or plate.basis in (Basis.ASSUMED, Basis.LEARNED):
        return None
    return plate.value * times


def _plate_reason(
    quantity: Quantity, estimate: Estimate, bearing: Mapping[str, float | None], lowest: str | None, how: How
) -> tuple[Word, Reason]:
    limit = None if lowest is None else bearing[lowest]
    sure = not estimate.missing or quantity in _ONLY_GROWS
    if limit is not None and sure and estimate.low_kg > limit:
        return _over_reason(quantity, estimate, f"{lowest}", limit, how)
    unread = ", ".join(name for name, kg in bearing.items() if kg is None)
    if estimate.missing:
        missing = ", ".join(estimate.missing)
        sentence = say("{quantity}: cannot say; not known: {missing}.", quantity=quantity, missing=missing)
        return _reason(Word.CANNOT_SAY, "load.not_known", sentence, how)
    if limit is None or unread:
        sentence = say(
            "{quantity}: {kg} kg, give or take {give} kg; cannot say, plate not read: {missing}.",
            quantity=quantity,
            kg=round(estimate.kg, 1),
            give=round(estimate.together_kg, 1),
            missing=unread,
        )
        return _reason(Word.CANNOT_SAY, "load.no_plate", sentence, how)
    return _within_reason(quantity, estimate, f"{lowest}", limit, how)


def _over_reason(
    quantity: Quantity, estimate: Estimate, lowest: str, limit: float, how: How
) -> tuple[Word, Reason]:
    sentence = say(
        "{quantity}: {kg} kg, give or take {give} kg, is {over} kg over its lowest plate ({plate}, {limit} "
        "kg). Move something or leave something here.",
        quantity=quantity,
        kg=round(estimate.kg, 1),
        give=round(estimate.together_kg, 1),
        over=round(estimate.kg - limit, 1),
        plate=lowest,
        limit=limit,
    )
    return _reason(Word.STOP, "load.over", sentence, how)


def _within_reason(
    quantity: Quantity, estimate: Estimate, lowest: str, limit: float, how: How
) -> tuple[Word, Reason]:
    if estimate.high_kg > limit:
        sentence = say(
            "{quantity}: {kg} kg is within {give} kg of its lowest plate ({plate}, {limit} kg). Weigh it.",
            quantity=quantity,
            kg=round(estimate.kg, 1),
            give=round(estimate.together_kg, 1),
            plate=lowest,
            limit=limit,
        )
        return _reason(Word.WEIGH, "load.weigh", sentence, how)
    sentence = say(
        "{quantity}: {kg} kg, give or take {give} kg, by what was entered; lowest plate {plate}, {limit} kg.",
        quantity=quantity,
        kg=round(estimate.kg, 1),
        give=round(estimate.together_kg, 1),
        plate=lowest,
        limit=limit,
    )
    return _reason(Word.BELOW, "load.below", sentence, how)


def _lift_reasons(estimate: Estimate, how: How) -> list[tuple[Word, Reason]]:
    if estimate.kg < 0:
        sentence = say(
            "The nose lifts with {kg} kg: the trailer can sway and takes weight off the tow car's rear "
            "wheels. Stop; move load forward.",
            kg=round(-estimate.kg, 1),
        )
        return [_reason(Word.STOP, "load.nose_lifts", sentence, how)]
    if estimate.low_kg < 0:
        sentence = say(
            "The nose may lift: {kg} kg, give or take {give} kg. Weigh it, or move load forward.",
            kg=round(estimate.kg, 1),
            give=round(estimate.together_kg, 1),
        )
        return [_reason(Word.WEIGH, "load.nose_may_lift", sentence, how)]
    return []


def _reason(word: Word, code: str, sentence: Sentence, how: How) -> tuple[Word, Reason]:
    return word, Reason(code, sentence, _WEIGHT[word], how)
