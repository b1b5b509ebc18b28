"""READ in sentences what of a trip differed from its plan: for its record, and for whoever plans the next.

Of numbers that are read already; asks no table. It says what was found, and judges nobody.
"""

from collections.abc import Iterator

from inventory.compute.load import Quantity
from inventory.compute.units import Amount, Base
from inventory.errors import Sentence, say
from inventory.queries.notes import counted
from inventory.queries.readiness.by_scale import SCALE_KG
from inventory.queries.readiness.masses import MG_IN_KG, told
from inventory.queries.trip_numbers import MaterialLine, Shown, WeightLine

MORE, LONGER = 1.05, 1.1  # of what was planned: common practice, no source
MOST = 4  # materials that are told one by one


def differed(numbers: Shown) -> list[Sentence]:
    """What whoever plans the next one should know first; nothing where all was as planned or not recorded."""
    return [
        *_pairs(numbers),
        *_materials(numbers.materials, built=bool(numbers.of.get("pairs"))),
        *_presses(numbers),
        *(sentence for line in numbers.weights for sentence in _weights(line)),
        *_warmth(numbers),
        *_things(numbers),
    ]


def _pairs(numbers: Shown) -> Iterator[Sentence]:
    laid, booked = numbers.of.get("pairs") or 0, numbers.of.get("planned_pairs")
    if booked is not None and laid != booked:
        yield say("Laid up: {laid} pairs, of {booked} booked.", laid=laid, booked=booked)


def _materials(lines: tuple[MaterialLine, ...], *, built: bool) -> Iterator[Sentence]:
    more = [(_share(line), line) for line in lines if _share(line) > MORE]
    for _, line in sorted(more, key=lambda row: -row[0])[:MOST]:
        yield say(
            "{material}: needed by plan {planned}, gone {gone}.",
            material=line.name,
            planned=_told(line.planned),
            gone=_told(line.gone),
        )
    for line in [line for line in lines if _value(line.aboard) < _value(line.planned)][:MOST]:
        yield say(
            "{material}: needed by plan {planned}, aboard {aboard}.",
            material=line.name,
            planned=_told(line.planned),
            aboard=_told(line.aboard) or 0,
        )
    idle = [line.name for line in lines if _value(line.aboard) and not _value(line.gone)]
    if idle and built:
        names = "; ".join(idle)  # many a name has a comma
        yield say("Came along, and by the books nothing was taken of it: {materials}.", materials=names)


def _value(amount: Amount | None) -> int:
    return 0 if amount is None else amount.value


def _share(line: MaterialLine) -> float:
    return _value(line.gone) / _value(line.planned) if _value(line.planned) else 0.0


def _told(amount: Amount | None) -> object:
    return amount.value if amount is not None and amount.base is Base.PIECE else amount


def _presses(numbers: Shown) -> Iterator[Sentence]:
    planned, was = numbers.closed_min
    if planned and was and not 1 / LONGER <= was / planned <= LONGER:
        yield say("The presses were closed for {was} min; by plan {planned} min.", was=was, planned=planned)


def _weights(line: WeightLine) -> Iterator[Sentence]:
    """As it left; what is further apart than a scale alone may be."""
    for quantity, (listed, leaving, _) in (
        (Quantity.GROSS, line.masses),
        (Quantity.NOSE, line.noses),
    ):
        if listed is None or leaving is None:
            continue
        if abs(listed.value - leaving.value) > SCALE_KG[quantity] * MG_IN_KG:
            yield say(
                "{trailer}: {quantity} {listed} by the list, {shown} on the scale.",
                trailer=line.name,
                quantity=quantity,
                listed=told(listed.value / MG_IN_KG),
                shown=told(leaving.value / MG_IN_KG),
            )


def _warmth(numbers: Shown) -> Iterator[Sentence]:
    warmth = numbers.of.get("warmth") or {}
    low, high = warmth.get("planned") or (None, None)
    if not warmth.get("was") or low is None or high is None:
        return
    coldest, warmest = warmth["was"]
    values = {"coldest": coldest, "warmest": warmest, "low": low, "high": high}
    if coldest < low or warmest > high:
        yield say(
            "In the trailers it was {coldest} °C to {warmest} °C; expected {low} °C to {high} °C.",
            **values,
        )


def _things(numbers: Shown) -> Iterator[Sentence]:
    behind = (numbers.of.get("left_behind") or 0) - (numbers.of.get("scanned_late") or 0)
    missing = numbers.of.get("missing") or 0
    if behind > 0:
        yield counted(
            behind,
            say("1 thing of its list was not aboard as it left."),
            say("{count} things of its list were not aboard as it left.", count=behind),
        )
    if missing:
        yield counted(
            missing,
            say("1 thing did not come home."),
            say("{count} things did not come home.", count=missing),
        )
