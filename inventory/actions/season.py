"""WRITE seasons, and what people decide otherwise than the list."""

from collections.abc import Mapping
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.codes import derived
from inventory.errors import Refused, say
from inventory.models import Material, Offer, Ruling, Season

MOST_DAYS = 800
MOST_PACKS = 10_000


@happening
def make_season(
    act: Act,
    /,
    *,
    name: str,
    starts_on: date,
    ends_on: date,
    facts: Mapping[str, object] | None = None,
) -> None:
    """Make a season: every workshop between its two days belongs to it. `facts`: how it is planned for.

    Afterwards: its list says what to order by when.
    Refused: season.no_name, season.days, season.fill.
    """
    season = act.id("season")
    cards.save(act, Season, season, name=name, starts_on=starts_on, ends_on=ends_on, **(facts or {}))
    _check(season)
    act.things.append(season)


@happening
def edit_season(act: Act, /, *, season: UUID, changes: Mapping[str, object]) -> None:
    """Change a season's days, or how it is planned for.

    Afterwards: its card says so, and the list is reckoned from it.
    Refused: card.unknown, season.no_name, season.days, season.fill.
    """
    cards.edit(act, Season, season, changes)
    _check(season)


def _check(season: UUID) -> None:
    row = Season.objects.get(id=season)
    if not row.name.strip():
        raise Refused("season.no_name", say("The season has no name."), say("Enter one, such as Winter 27."))
    if not 0 <= (row.ends_on - row.starts_on).days <= MOST_DAYS:
        raise Refused(
            "season.days",
            say("A season from {first} to {last} cannot be.", first=row.starts_on, last=row.ends_on),
            say("Enter the first day first, and the last one within {most} days.", most=MOST_DAYS),
        )
    if row.fill_percent is not None and row.fill_percent > 100:
        raise Refused(
            "season.fill",
            say("{percent} % of the open seats cannot fill.", percent=row.fill_percent),
            say("Enter 0 to 100."),
        )


@happening
def rule(
    act: Act,
    /,
    *,
    season: UUID,
    material: UUID,
    cover: str = "",
    offer: UUID | None = None,
    packs: int | None = None,
) -> None:
    """Decide by hand for one material: how sure it has to be, from whom it comes, how many packs in all.

    Afterwards: the list follows it, and says what that costs. All left out: the list decides again.
    Refused: card.unknown, season.other_offer, season.packs.
    """
    cards.there(Season, season)
    cards.there(Material, material)
    if offer is not None and not Offer.objects.filter(id=offer, material_id=material, ended=False).exists():
        raise Refused(
            "season.other_offer",
            say("That is no offer of this material."),
            say("Choose one of the offers, or make the offer first."),
        )
    if packs is not None and not 0 <= packs <= MOST_PACKS:
        raise Refused(
            "season.packs",
            say("{packs} packs cannot be.", packs=packs),
            say("Enter 0 to {most}, or leave it to the list.", most=MOST_PACKS),
        )
    # the same card on every laptop, so that two decisions made apart become one disagreement
    ruling = derived(season, 1, of=f"ruling {material}")
    cards.save(
        act,
        Ruling,
        ruling,
        season_id=season,
        material_id=material,
        cover=cover,
        offer_id=offer,
        packs=packs,
    )
