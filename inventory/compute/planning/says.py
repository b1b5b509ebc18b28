"""The sentences of a season's plan: why each line is ordered as it is, and what each material should be told.

Knows what the plan decided; decides nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.compute.buying import Bought, Purchase, Raised, Season
from inventory.compute.netting import Net
from inventory.compute.planning.facts import Cost, Costs, Material, OrderLine, Price, Unmet
from inventory.compute.reasons import Basis, How, Input, Level, Reason
from inventory.compute.suppliers import Supplier
from inventory.compute.units import Amount, Spoken, at_least, at_most
from inventory.errors import say

SOURCE = (
    "Segment recursion after Wagner and Whitin 1958 (from memory), order dates apart from stock running out; "
    "published examples in the tests"
)
_LINE_RULE = (
    "Uncovered needs from this arrival up to the next one, less what earlier packs left over, rounded up to "
    "packs; ordered on the last day that leaves the lead time."
)
_FOREVER = date.max.toordinal()


@dataclass(frozen=True, slots=True)
class Line:
    """What a line's sentences are made from: one purchase, the one after it, and the workshops by place."""

    material: Material
    supplier: Supplier
    bought: Bought
    at: int
    order_by: int
    season: Season
    workshops: tuple[str, ...]
    put_away: Costs

    @property
    def purchase(self) -> Purchase:
        """The purchase itself."""
        return self.bought.purchases[self.at]

    @property
    def late_for(self) -> tuple[str, ...]:
        """The workshops it serves that it cannot be there for, even if ordered today."""
        arrivals = self.bought.wanted.arrivals
        return tuple(
            self.workshops[place]
            for place, _ in self.purchase.serves
            if arrivals.comes_in[place] < arrivals.earliest
        )


def line(of: Line) -> OrderLine:
    """One order line with its reasons.

    Formula: amount = packs x pack; needed = amount - rest; cents = packs x the price of their number.
    Units: base units; cents; days.
    Source: words for what the plan decided.
    """
    purchase, offer = of.purchase, of.bought.wanted.offer
    how = _line_how(of)
    through = None if purchase.usable_through > _FOREVER else date.fromordinal(purchase.usable_through)
    price = offer.price_cents(purchase.packs)
    return OrderLine(
        of.material.needed.material,
        of.material.needed.base,
        purchase.packs,
        purchase.packs * offer.pack,
        purchase.packs * offer.pack - purchase.rest,
        purchase.rest,
        price,
        purchase.packs * price,
        tuple([of.workshops[place] for place, _ in purchase.serves]),
        through,
        date.fromordinal(of.order_by),
        of.late_for,
        tuple(_line_reasons(of, how)),
        how,
    )


def _line_how(of: Line) -> How:
    needed, purchase, offer = of.material.needed, of.purchase, of.bought.wanted.offer
    inputs = [
        Input("needed", purchase.packs * offer.pack - purchase.rest, needed.base),
        Input("pack", offer.pack, needed.base, Basis.DATA_SHEET),
        Input("lead time", offer.lead_days.value, "days", offer.lead_days.basis),
        Input("put away", of.put_away.put_away_days.value, "days", of.put_away.put_away_days.basis),
    ]
    if offer.life_days is not None:
        inputs.append(Input("life after receipt", offer.life_days.value, "days", offer.life_days.basis))
    return How(_LINE_RULE, SOURCE, tuple(inputs))


def _line_reasons(of: Line, how: How) -> Iterator[Reason]:
    purchase, base = of.purchase, of.material.needed.base
    offer = of.bought.wanted.offer
    arrivals = of.bought.wanted.arrivals
    if of.late_for:
        sentence = say(
            "Had to be ordered by {order_by}; ordered today it comes in on {earliest}, too late for "
            "{workshops}.",
            order_by=date.fromordinal(of.order_by),
            earliest=date.fromordinal(arrivals.earliest),
            workshops=", ".join(of.late_for),
        )
        yield Reason("planning.late", sentence, Level.STOP, how)
    sentence = say(
        "Needed for {first} to {last} beyond the lots on hand and on the way: {amount}.",
        amount=at_least(Amount(purchase.packs * offer.pack - purchase.rest, base)),
        first=of.workshops[purchase.serves[0][0]],
        last=of.workshops[purchase.serves[-1][0]],
    )
    if purchase.serves[0][0] == purchase.serves[-1][0]:
        sentence = say(
            "Needed for {only} beyond the lots on hand and on the way: {amount}.",
            amount=at_least(Amount(purchase.packs * offer.pack - purchase.rest, base)),
            only=of.workshops[purchase.serves[0][0]],
        )
    yield Reason("planning.covers", sentence, Level.FINE, how)
    if purchase.rest:
        values = {"pack": Spoken(Amount(offer.pack, base)), "rest": at_most(Amount(purchase.rest, base))}
        sentence = say("{packs} packs of {pack} are {rest} more than that.", packs=purchase.packs, **values)
        if purchase.packs == 1:
            sentence = say("1 pack of {pack} is {rest} more than that.", **values)
        yield Reason("planning.packs", sentence, Level.FINE, how)
    if purchase.raised is not None:
        yield _raised(of, purchase.raised, how)
    if of.at + 1 < len(of.bought.purchases):
        yield _split(of, of.bought.purchases[of.at + 1], how)


def _raised(of: Line, raised: Raised, how: How) -> Reason:
    """Why there are more packs than the need asks."""
    offer, packs = of.bought.wanted.offer, of.purchase.packs
    if raised is Raised.LEAST_PACKS:
        sentence = say("The least order of it is {packs} packs.", packs=packs)
        return Reason("planning.least_packs", sentence, Level.FINE, how)
    if raised is Raised.LEAST_ORDER:
        sentence = say(
            "More packs bring the order up to {supplier}'s least order of {cents}.",
            supplier=of.supplier.code,
            cents=Price(of.supplier.least_cents, of.supplier.currency),
        )
        return Reason("planning.least_order", sentence, Level.FINE, how)
    sentence = say(
        "From {packs} packs on a pack costs {cents} instead of {list}: ordering more in one go costs less.",
        packs=packs,
        cents=Price(offer.price_cents(packs), of.supplier.currency),
        list=Price(offer.list_cents, of.supplier.currency),
    )
    return Reason("planning.price_break", sentence, Level.FINE, how)


def _split(of: Line, later: Purchase, how: How) -> Reason:
    """Why the next purchase of the material is not ordered with this one."""
    place = later.serves[0][0]
    if of.season.lasts[place] > of.purchase.usable_through:
        sentence = say(
            "Not in one go: what comes in for {first} is usable through {through}, and {workshop} goes on to "
            "{last}.",
            first=of.workshops[of.purchase.place],
            through=date.fromordinal(of.purchase.usable_through),
            workshop=of.workshops[place],
            last=date.fromordinal(of.season.lasts[place]),
        )
        return Reason("planning.shelf_life", sentence, Level.FINE, how)
    sentence = say(
        "From {workshop} on it comes with a later order: that costs less than keeping it until then.",
        workshop=of.workshops[place],
    )
    return Reason("planning.later", sentence, Level.FINE, how)


def material_says(
    material: Material, net: Net, unmet: Sequence[Unmet], bought: Bought | None, how: How
) -> Iterator[Reason]:
    """What a material should be told beside its order lines.

    Formula: a reason each for what is unmet, not counted, expiring, lost, or enough.
    Units: base units in usual ones.
    Source: words for what the plan decided.
    """
    base = material.needed.base
    yield from _unmet_says(material, unmet, how)
    undated = [lot.key for lot in material.lots if lot.last_day is None and lot.amount]
    if undated and net.planned.short:
        sentence = say("Not counted, as their last day is unknown: {lots}.", lots=", ".join(undated))
        yield Reason("planning.undated", sentence, Level.LOOK, how)
    held = [lot.key for lot in material.lots if lot.held and lot.amount]
    if held and net.planned.short:
        sentence = say("Not counted, as they are on hold: {lots}.", lots=", ".join(held))
        yield Reason("planning.held", sentence, Level.LOOK, how)
    for rest in net.planned.expiring:
        sentence = say(
            "{lot} passes its date on {day} with {amount} unused.",
            amount=at_most(Amount(rest.amount, base)),
            lot=rest.lot,
            day=rest.last_day,
        )
        yield Reason("planning.expires", sentence, Level.LOOK, how)
    if bought is not None and bought.lost:
        sentence = say(
            "{amount} of what is ordered passes its date unused: packs are larger than the need.",
            amount=at_most(Amount(bought.lost, base)),
        )
        yield Reason("planning.lost", sentence, Level.LOOK, how)
    if not net.planned.short:
        sentence = say("The lots on hand and on the way are enough, in date, for every workshop.")
        yield Reason("planning.enough", sentence, Level.FINE, how)


def _unmet_says(material: Material, unmet: Sequence[Unmet], how: How) -> Iterator[Reason]:
    if not unmet:
        return
    late = [each for each in unmet if each.late]
    if late:
        sentence = say(
            "{amount} for {workshops} is on its way and comes too late; what is ordered now comes no sooner. "
            "Ask for it earlier, or find it nearer.",
            amount=at_least(Amount(sum(each.amount for each in late), material.needed.base)),
            workshops=", ".join(each.workshop for each in late),
        )
        yield Reason("planning.on_its_way_late", sentence, Level.STOP, how)
    unmet = [each for each in unmet if not each.late]
    if not unmet:
        return
    amount = at_least(Amount(sum(each.amount for each in unmet), material.needed.base))
    workshops = ", ".join(each.workshop for each in unmet)
    if material.offers:
        sentence = say(
            "{amount} for {workshops} cannot be ordered: fresh goods pass their date before the last use.",
            amount=amount,
            workshops=workshops,
        )
        yield Reason("planning.life_too_short", sentence, Level.STOP, how)
    else:
        sentence = say(
            "{amount} for {workshops} is short, and nobody offers it.", amount=amount, workshops=workshops
        )
        yield Reason("planning.no_offer", sentence, Level.STOP, how)


def material_how(material: Material, how: How) -> How:
    """The need's own sum, with the lots and the margin that were looked at beside it.

    Formula: that of the need.
    Units: those of the need.
    Source: that of the need.
    """
    return How(
        "Through each workshop: booked amounts, the pairs of open seats that cover, and spare pairs, over "
        "(1 - loss), rounded up once; a workshop's need is what it adds. Lots first expired, first out; what "
        "they leave open is bought.",
        how.source,
        (
            *how.inputs,
            Input("lots on hand and on the way", len(material.lots)),
            Input("offers", len(material.offers)),
            Input("margin", material.margin_days.value, "days", material.margin_days.basis),
        ),
    )


def plan_how(costs: Costs, materials: int, suppliers: int, workshops: int) -> How:
    """How the whole plan was made.

    Formula: that of plan_season.
    Units: parts of the price; days.
    Source: that of plan_season.
    """
    return How(
        "Supplier by supplier: for each stretch of load days one order; least cost over all ways to cut the "
        "season into stretches, bought through pack by pack; never dearer than the two simple plans.",
        SOURCE,
        (
            Input("materials", materials),
            Input("suppliers", suppliers),
            Input("workshops", workshops),
            Input("holding a year", costs.holding_a_year.value, "of the price", costs.holding_a_year.basis),
            Input("worth after the season", costs.carried.value, "of the price", costs.carried.basis),
            Input("put away", costs.put_away_days.value, "days", costs.put_away_days.basis),
        ),
    )


def beside(sums: Sequence[Cost], how: How, currency: str = "") -> Reason:
    """What the plan costs, beside the two simple ones.

    Formula: total = goods + freight + handling + holding - worth of rests, each whole cents.
    Units: cents.
    Shapes: the plan, the one for each workshop, the one at once.
    Source: words for what the plan decided.
    """
    sentence = say(
        "This plan costs {plan} in {orders} orders; for each workshop what it lacks would cost "
        "{in_time}, everything at once {at_once}.",
        plan=Price(sums[0].total_cents, currency),
        orders=sums[0].orders,
        in_time=Price(sums[1].total_cents, currency),
        at_once=Price(sums[2].total_cents, currency),
    )
    return Reason("planning.beside", sentence, Level.FINE, how)
