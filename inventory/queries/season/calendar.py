"""READ the days of a season that people want in their own calendars: orders, dates that pass, trips, artwork.

No guest is named; a pair goes by its code.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.compute.units import Amount, at_most
from inventory.errors import Sentence, say
from inventory.models import Artwork, Season, Trip
from inventory.queries import artwork, builds
from inventory.queries import orders as order_queries
from inventory.queries.ledger import codes_of
from inventory.queries.season import Seats
from inventory.queries.season import plan as season_plan


@dataclass(frozen=True, slots=True)
class Dated:
    """One thing on one day or on several in a row. `key` is the same for the same thing tomorrow."""

    key: str
    first: date
    last: date
    title: Sentence


def dates(row: Season, today: date) -> list[Dated]:
    """Everything from today to the end of the season, in the order of its days."""
    answer = season_plan.season_list(row, today)
    found = [*_to_write(answer, today), *_orders(row, today), *_passing(answer, row), *_trips(row, today)]
    found += _artwork(answer.ahead, today)
    return sorted((each for each in found if each.last >= today), key=lambda each: (each.first, each.key))


def _to_write(answer: season_plan.SeasonList, today: date) -> Iterator[Dated]:
    """What is late stands on today."""
    ids = answer.supply.supplier_ids if answer.supply else {}
    for order in answer.orders:
        key = f"write-{ids[order.supplier].hex}-{order.receive_on:%Y%m%d}"
        on = max(order.order_by, today)
        yield Dated(key, on, on, _by(order.supplier, order.order_by, today))


def _by(supplier: str, by: date, today: date) -> Sentence:
    if by < today:
        return say("Order from {supplier}: it was to be sent by {day}", supplier=supplier, day=by)
    return say("Order from {supplier} by today", supplier=supplier)


def _orders(season: Season, today: date) -> Iterator[Dated]:
    for row in order_queries.orders(season.id):
        order = row.order
        if row.stage is order_queries.Stage.WRITING and order.order_by:
            on = max(order.order_by, today)
            title = say("Send the order to {supplier} by today", supplier=order.supplier.name)
            if on > order.order_by:
                title = say(
                    "Send the order to {supplier}: it was to be sent by {day}",
                    supplier=order.supplier.name,
                    day=order.order_by,
                )
            yield Dated(f"send-{order.id.hex}", on, on, title)
        elif row.waited_for and order.promised_on:
            title = say("The order from {supplier} is promised for today", supplier=order.supplier.name)
            yield Dated(f"comes-{order.id.hex}", order.promised_on, order.promised_on, title)


def _passing(answer: season_plan.SeasonList, season: Season) -> Iterator[Dated]:
    """One entry for all packages of a material that pass on one day."""
    if answer.supply is None:
        return
    for row in answer.rows:
        days: dict[date, int] = {}
        for package in answer.supply.stock.get(row.card.id, ()):
            through = package.usable.through
            if through is not None and through <= season.ends_on:
                days[through] = days.get(through, 0) + package.left.value
        for through, amount in days.items():
            title = say(
                "Last day of {amount} of {material}",
                amount=at_most(Amount(amount, row.base)),
                material=row.card.name,
            )
            yield Dated(f"passes-{row.card.id.hex}-{through:%Y%m%d}", through, through, title)


def _trips(season: Season, today: date) -> Iterator[Dated]:
    rows = Trip.objects.filter(cancelled=False, back_on__gte=today, leaves_on__lte=season.ends_on)
    for row in rows.order_by("leaves_on"):
        loads = row.loads_on or row.leaves_on
        if loads < row.leaves_on:
            yield Dated(f"loads-{row.id.hex}", loads, loads, say("Load for {trip}", trip=row.name))
        yield Dated(f"trip-{row.id.hex}", row.leaves_on, row.back_on, say("Trip to {trip}", trip=row.name))


def _artwork(ahead: tuple[Seats, ...], today: date) -> Iterator[Dated]:
    """The next step of each pair's artwork on the day it is due, or today, by step, day and workshop."""
    names = {each.id: each.label for each in ahead}
    pairs = {pair.thing_id: pair for pair in builds.pairs() if pair.workshop_id in names}
    groups: dict[tuple[date, str, UUID], list[UUID]] = {}
    for art in Artwork.objects.filter(pair_id__in=list(pairs)):
        pair = pairs[art.pair_id]
        stages = artwork.path(pair, art, today).stages
        due = next((each for each in stages if each.on is None and each.by is not None), None)
        if due is not None and due.by is not None and pair.workshop_id is not None:
            groups.setdefault((due.by, due.stage.value, pair.workshop_id), []).append(art.pair_id)
    codes = codes_of(thing for things in groups.values() for thing in things)
    for (by, stage, workshop), things in groups.items():
        told = ", ".join(sorted(codes.get(thing, "") for thing in things))
        values = {"workshop": names[workshop], "stage": stage, "pairs": told, "day": by}
        title = say("Artwork for {workshop}, {stage}: {pairs}", **values)
        if by < today:
            title = say("Artwork for {workshop}, {stage}, due since {day}: {pairs}", **values)
        on = max(by, today)
        yield Dated(f"art-{workshop.hex}-{by:%Y%m%d}-{stage.replace(' ', '-')}", on, on, title)
