"""The sentences beside a season's list: what is not known, what to look at, what can still be done."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from uuid import UUID

from inventory.compute.planning.facts import MaterialPlan, Order, OrderLine, SeasonPlan
from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base, at_most
from inventory.errors import Sentence, say
from inventory.models import Material, Ruling, Season
from inventory.queries.coming import Coming
from inventory.queries.notes import Note, counted
from inventory.queries.season import Seats
from inventory.queries.season.needs import Demand
from inventory.queries.season.supply import Sold, Supply


def of_seats(ahead: Sequence[Seats]) -> Iterator[Note]:
    """Seats above those there are, seats nobody counted, workshops without a trip."""
    if not ahead:
        yield Note(say("No workshop of this season is still to come."), Level.UNKNOWN, page="builds-plan")
    for row in ahead:
        about = (str(row.id),)
        if row.over:
            sentence = say(
                "{booked} seats are booked in {name}, beyond the {seats} there are; all are planned for.",
                name=row.label,
                seats=row.capacity,
                booked=row.booked,
            )
            yield Note(sentence, Level.LOOK, page="builds-workshop", about=about)
        if row.capacity is None:
            sentence = say(
                "How many seats {name} has is not known: only what is booked is planned for.", name=row.label
            )
            yield Note(sentence, Level.UNKNOWN, page="builds-change", about=about)
    guessed = sum(not row.load_known for row in ahead)
    if guessed:
        sentence = counted(
            guessed,
            say("For 1 workshop no trip is planned: it is taken to be loaded the day before."),
            say(
                "For {count} workshops no trip is planned: they are taken to be loaded the day before.",
                count=guessed,
            ),
        )
        yield Note(sentence, Level.LOOK, page="trips")


def of_demand(demand: Demand, known: Collection[str], wanted: Iterable[str]) -> Iterator[Note]:
    """Pairs that were taken for usual ones, and materials that have no card."""
    if not demand.usual:
        sentence = say(
            "What a pair needs is not known yet: no pair has a lay-up card and widths; none was built."
        )
        yield Note(sentence, Level.UNKNOWN, page="layups")
    elif demand.unsaid:
        sentence = counted(
            demand.unsaid,
            say("1 booked seat has no pair with a spec yet: it is taken for a usual one."),
            say(
                "{count} booked seats have no pair with a spec yet: they are taken for usual ones.",
                count=demand.unsaid,
            ),
        )
        yield Note(sentence, Level.LOOK, page="bench")
    if demand.again:
        sentence = counted(
            demand.again,
            say("1 ski of a workshop that is over is still to be made: the next one needs so much more."),
            say(
                "{count} skis of workshops that are over are still to be made: the next one needs so much "
                "more.",
                count=demand.again,
            ),
        )
        yield Note(sentence, Level.LOOK, page="bench")
    missing = sorted(set(wanted) - set(known))
    if missing:
        sentence = say("Lay-up cards name materials without a card here: {keys}.", keys=", ".join(missing))
        yield Note(sentence, Level.UNKNOWN, page="materials-make")


def of_supply(cards: Iterable[Material], plan: SeasonPlan, supply: Supply, today: date) -> Iterator[Note]:
    """Prices and lead times nobody knows; orders that are overdue, or that nothing needs any more."""
    plans = {row.material: row for row in plan.materials}
    for card in cards:
        row, sold = plans[card.key], supply.sold.get(card.id, ())
        if sold and not sold[0].priced and row.bought:
            sentence = say(
                "No price of {material} is known: it is planned as if it cost nothing.", material=card.name
            )
            yield Note(sentence, Level.UNKNOWN, page="materials-card", about=(card.key,))
        for each in sold:
            if each.card.lead_days is None and row.offer == each.offer:
                yield _no_lead(card, each)
        rests = {rest.lot: rest.amount for rest in row.net.planned.rests}
        late = sum(each.amount for each in row.unmet if each.late)  # wanted, and said to come too late
        for coming in supply.coming.get(card.id, ()):
            rest = rests.get(coming.key, 0)
            wanted, late = min(rest, late), late - min(rest, late)
            yield from _of_coming(card, coming, rest - wanted, today)


def of_rulings(
    season: Season, cards: Iterable[Material], rulings: Mapping[UUID, Ruling], supply: Supply
) -> Iterator[Note]:
    """Decisions for an offer that cannot be taken any more."""
    for card in cards:
        ruling, sold = rulings.get(card.id), supply.sold.get(card.id, ())
        if ruling is None or ruling.offer_id is None or ruling.offer_id in {each.card.id for each in sold}:
            continue
        sentence = say(
            "The offer that was decided on for {material} has ended or has no price: the list goes by those "
            "that do.",
            material=card.name,
        )
        why = say("Decide anew, or enter its price.")
        yield Note(sentence, Level.LOOK, why=why, page="season-material", about=(str(season.id), card.key))


def _no_lead(card: Material, each: Sold) -> Note:
    sentence = say(
        "How long {supplier} takes for {material} is not known: {days} open days are planned with.",
        supplier=each.offer.supplier,
        material=card.name,
        days=each.lead.planned.value,
    )
    return Note(sentence, Level.UNKNOWN, page="suppliers-card", about=(str(each.card.supplier_id),))


def _of_coming(card: Material, coming: Coming, unneeded: int, today: date) -> Iterator[Note]:
    order = coming.order.order
    values = {"material": card.name, "supplier": order.supplier.name}
    if coming.overdue:
        sentence = say(
            "{amount} of {material} from {supplier} should have come by {day}: ask. A week from today is "
            "planned with.",
            amount=coming.line.left,
            day=order.promised_on or order.sent_on or today,
            **values,
        )
        yield Note(sentence, Level.LOOK, page="orders-order", about=(str(order.id),))
    if unneeded >= coming.line.line.pack:
        sentence = say(
            "{amount} of {material} on order from {supplier} serves no workshop of this season.",
            amount=at_most(Amount(unneeded, Base(card.base))),
            **values,
        )
        why = say("Ask whether it can be left out, or keep it for the next season.")
        yield Note(sentence, Level.LOOK, why=why, page="orders-order", about=(str(order.id),))


def still(
    plan: MaterialPlan,
    lines: Sequence[tuple[Order, OrderLine]],
    sold: Sequence[Sold],
    ahead: Sequence[Seats],
    a_pair: int,
) -> tuple[Sentence, ...]:
    """What can still be done for workshops that an order of this material comes too late for."""
    late = [(order, line, name) for order, line in lines for name in line.late_for]
    if not late:
        return ()
    order, _line, name = late[0]
    workshop = next(each for each in ahead if each.label == name)
    met = next(each for each in plan.net.planned.met if each.need == name)
    there = met.needed - met.short
    found = [_for_the_late(order, workshop)]
    if len(sold) > 1:
        found.append(
            say("Ask another supplier for a faster way: {names}.", names=", ".join(_others(plan, sold)))
        )
    else:
        found.append(say("Nobody else is known to sell it: find another supplier, and enter the offer."))
    if a_pair and there >= a_pair:
        pairs = there // a_pair
        found.append(
            counted(
                pairs,
                say(
                    "What is there in date is enough for 1 usual pair of {name}: build in a smaller round.",
                    name=name,
                ),
                say(
                    "What is there in date is enough for {pairs} usual pairs of {name}: build in a smaller "
                    "round, or move guests to a later workshop.",
                    pairs=pairs,
                    name=name,
                ),
            )
        )
    elif there:
        found.append(say("What is there in date is too little for a usual pair of {name}.", name=name))
    else:
        found.append(say("Nothing in date is left for {name}: earlier workshops take it all.", name=name))
    return tuple(found)


def _for_the_late(order: Order, workshop: Seats) -> Sentence:
    if order.earliest <= workshop.ends_on:
        return say(
            "Ordered today it comes in on {day}, before {name} ends: have it sent to the venue.",
            day=order.earliest,
            name=workshop.label,
        )
    return say(
        "Ordered today it comes in on {day}, after {name} is over: only a faster way helps.",
        day=order.earliest,
        name=workshop.label,
    )


def _others(plan: MaterialPlan, sold: Sequence[Sold]) -> list[str]:
    first = plan.offer.supplier if plan.offer else ""
    return sorted({each.offer.supplier for each in sold} - {first}) or [first]
