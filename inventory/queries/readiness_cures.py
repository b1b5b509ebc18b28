"""What puts a reason right: the buttons that put something on the loading list, and where it would go.

Reads facts only.
"""

from collections import Counter
from collections.abc import Iterable
from uuid import UUID

from inventory.errors import Sentence, say
from inventory.queries.notes import Cure
from inventory.queries.readiness_facts import Facts, Spot


def zone_like(facts: Facts, alike: Iterable[Spot]) -> UUID | None:
    """Where most of what is alike goes; None when nothing alike comes along."""
    zones = Counter(spot.goes_zone for spot in alike if spot.goes_zone is not None)
    return zones.most_common(1)[0][0] if zones else None


def bring(
    facts: Facts,
    code: str,
    sentence: Sentence,
    alike: Iterable[Spot] = (),
    *,
    why: str = "",
    amount: str = "",
) -> Cure:
    """One click puts a thing on the list, or sets `amount` of a package aside, where what is alike goes."""
    zone = zone_like(facts, alike)
    values = {"zone": str(zone) if zone else "", "why": why}
    if amount:
        values |= {"package": code, "amount": amount}
        page, button = "trips-set-aside", say("Set {amount} aside", amount=amount)
    else:
        values |= {"things": code}
        page, button = "trips-put-on", say("Put {code} on the list", code=code)
    return Cure(sentence, page=page, about=(str(facts.trip.id),), values=values, button=button)


def move_to(code: str, to: str, sentence: Sentence, button: Sentence) -> Cure:
    """One click records that a thing was moved, once it was."""
    return Cure(sentence, page="places-move", values={"things": code, "to": to}, button=button)
