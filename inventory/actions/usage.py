"""WRITE what a trip was like once it is over, and the usage factors that a person accepts or drops."""

from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.codes import derived
from inventory.errors import Refused, say
from inventory.models import Trip, TripRecord, UsageFactor
from inventory.queries import road, trip_numbers
from inventory.queries import usage as read

_MOST = 2000


@happening
def record_trip(
    act: Act, /, *, trip: UUID, saved_us: str = "", failed: str = "", next_time: str = ""
) -> None:
    """Say what a trip was like, once it is home and counted. No names.

    Afterwards: planned and used stand side by side as they are now, what its counted packages teach is
    kept, and the next trip to the same place shows what to change.
    Refused: usage.not_home, card.unknown.
    """
    row = cards.there(Trip, trip)
    assert isinstance(row, Trip)  # noqa: S101 - for the type checker
    standing = road.standing(trip)
    if standing.home_at is None:
        raise Refused(
            "usage.not_home",
            say("The trip to {name} is not home.", name=row.name),
            say("Say that it is home, count what was opened, then record it."),
        )
    found = read.taught(row)
    teaches = [
        {
            "layup": str(each.layup),
            "material": str(each.material),
            "net": each.net,
            "used": each.used,
            "pairs": each.pairs,
        }
        for each in found
        if each.why_not is None
    ]
    cards.save(
        act,
        TripRecord,
        trip,
        saved_us=saved_us.strip()[:_MOST],
        failed=failed.strip()[:_MOST],
        next_time=next_time.strip()[:_MOST],
        taught=teaches,
        numbers=trip_numbers.numbers(row),
    )


@happening
def accept_factor(act: Act, /, *, layup: UUID, material: UUID) -> None:
    """Accept the usage factor that the recorded trips suggest.

    Afterwards: the needs of pairs of this lay-up are reckoned with it; its history says what stood before.
    Refused: usage.no_factor.
    """
    offered = next(
        (row for row in read.offers() if (row.layup.id, row.material.id) == (layup, material)), None
    )
    factor = offered.offered.factor if offered else None
    if offered is None or factor is None:
        raise Refused(
            "usage.no_factor",
            say("Fewer than two recorded trips say how much of it is used."),
            say("Count what was opened after each trip, and record the trip."),
        )
    cards.save(
        act,
        UsageFactor,
        factor_id(layup, material),
        layup_id=layup,
        material_id=material,
        lowest=factor.lowest,
        expected=factor.expected,
        highest=factor.highest,
        pairs=offered.offered.pairs,
        trips=offered.offered.trips,
        ended=False,
    )


@happening
def drop_factor(act: Act, /, *, layup: UUID, material: UUID) -> None:
    """Take an accepted factor back.

    Afterwards: the needs are reckoned with what is usual again. It may be accepted again.
    Refused: card.unknown.
    """
    cards.edit(act, UsageFactor, factor_id(layup, material), {"ended": True})


def factor_id(layup: UUID, material: UUID) -> UUID:
    """The factor of a material in a lay-up: the same on every laptop."""
    return derived(layup, 0, of=f"factor {material}")
