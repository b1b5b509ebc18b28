"""WRITE warranty terms: one card a season."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.skis_back import CAUSES
from inventory.errors import Refused, say
from inventory.models import WarrantyTerms
from inventory.queries import warranty as queries

MOST_MONTHS = 240


@happening
def make_terms(
    act: Act,
    /,
    *,
    name: str,
    from_on: date,
    to_on: date,
    months: int,
    not_for: Sequence[str] = (),
    source: str = "",
) -> None:
    """Make the terms of one season.

    Afterwards: the page of a return of that season shows what they suggest.
    Refused: warranty.no_name, warranty.dates_reversed, warranty.months, warranty.cause, warranty.overlap.
    """
    terms = act.id("warranty terms")
    _save(act, terms, name, from_on, to_on, months, not_for, source)
    act.things.append(terms)


@happening
def edit_terms(
    act: Act,
    /,
    *,
    terms: UUID,
    name: str,
    from_on: date,
    to_on: date,
    months: int,
    not_for: Sequence[str] = (),
    source: str = "",
) -> None:
    """Change the terms of one season; what was answered before stays as it was answered.

    Afterwards: its card says so, and its history what it said before.
    Refused: card.unknown, and what making them refuses.
    """
    cards.there(WarrantyTerms, terms)
    _save(act, terms, name, from_on, to_on, months, not_for, source)


def _save(
    act: Act,
    terms: UUID,
    name: str,
    from_on: date,
    to_on: date,
    months: int,
    not_for: Sequence[str],
    source: str,
) -> None:
    if not name.strip():
        raise Refused("warranty.no_name", say("The terms have no name."), say("Say for which season."))
    if to_on < from_on:
        raise Refused(
            "warranty.dates_reversed",
            say("The last day, {last}, comes before the first, {first}.", last=to_on, first=from_on),
            say("Swap the dates."),
        )
    if not 0 <= months <= MOST_MONTHS:
        raise Refused(
            "warranty.months",
            say("{months} months cannot be.", months=months),
            say("Enter 0 to {most}.", most=MOST_MONTHS),
        )
    if set(not_for) - set(CAUSES):
        raise Refused("warranty.cause", say("No cause has that name."), say("Choose causes of the list."))
    other = queries.overlapping(from_on, to_on, terms)
    if other is not None:
        raise Refused(
            "warranty.overlap",
            say("The terms {name} cover some of these days.", name=other.name),
            say("Let one season end before the next begins."),
        )
    cards.save(
        act,
        WarrantyTerms,
        terms,
        name=name.strip(),
        from_on=from_on,
        to_on=to_on,
        months=months,
        not_for=[cause for cause in CAUSES if cause in not_for],
        source=source.strip(),
    )
