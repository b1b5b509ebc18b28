"""The season's plan: what to order from whom by when, how many packs, what it costs, and why.

Brings demand, lots, offers and suppliers together; knows no database and no clock. Suppliers are planned one
by one: freight ties materials together only within a supplier.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from inventory.compute.buying import Arrivals, Bought, Season, Wanted, buy
from inventory.compute.netting import Net, net
from inventory.compute.ordering import Desk, Ordered
from inventory.compute.planning import says
from inventory.compute.planning.checks import refuse_bad_plan
from inventory.compute.planning.facts import Cost, Costs, Material, MaterialPlan, Order, SeasonPlan, Unmet
from inventory.compute.planning.late import on_its_way
from inventory.compute.reasons import verdict
from inventory.compute.suppliers import Offer, OpenDays, Supplier, stretch

__all__ = [
    "USUAL",
    "Cost",
    "Costs",
    "Material",
    "MaterialPlan",
    "Order",
    "SeasonPlan",
    "Unmet",
    "plan_season",
]

USUAL = Costs()


def plan_season(
    *, today: date, materials: Sequence[Material], suppliers: Sequence[Supplier], costs: Costs = USUAL
) -> SeasonPlan:
    """What to order before and during the season, from whom, by when, at what cost, and why.

    Formula: uncovered needs (see net), but for what is on its way too late (see on_its_way), are bought per
        supplier: best[k] = min over j of best[j] + cost of one
        order for the needs from load day j up to before k: packs at the price of their number, freight,
        handling, holding; then bought through pack by pack, dates left out while that is cheaper, and the
        two simple plans kept when they cost less. Cost = goods + freight + handling + holding a year x price
        x days / 365 - worth of rests. Receive on the last open day up to load day - put away; order the lead
        time in open days before.
    Units: cents of one currency; amounts in each material's base unit; days.
    Shapes: every material with the same workshops, by load day (as `needed` gives them).
    Refuses: planning.days, planning.no_material, planning.workshops, planning.unsorted, planning.repeated,
        planning.unnamed, planning.unknown_supplier, planning.currency, planning.margin, planning.holding,
        planning.carried, planning.put_away, planning.supplier, planning.price, planning.closed,
        planning.weekdays, planning.pack, planning.prices, planning.lead, planning.life
    Source: Wagner and Whitin 1958 (from memory) for the recursion; order dates chosen apart from stock
        running out, as shelf life asks. Holding 15 % a year, 92 % worth of rests, 3 days to put away:
        assumed.
    """
    refuse_bad_plan(today, materials, suppliers, costs)
    return _Plan(today, materials, suppliers, costs).made()


class _Plan:
    """One season being planned: its days as ordinals, and each supplier's days as they are asked for."""

    def __init__(
        self, today: date, materials: Sequence[Material], suppliers: Sequence[Supplier], costs: Costs
    ) -> None:
        self.today, self.materials, self.costs = today, materials, costs
        self.by_code = {one.needed.material: one for one in materials}
        self.suppliers = {supplier.code: supplier for supplier in suppliers}
        rows = materials[0].needed.rows
        self.workshops = tuple(row.workshop for row in rows)
        self.season = Season(
            tuple(row.load_on.toordinal() for row in rows),
            tuple(row.last_on.toordinal() for row in rows),
            max(row.last_on for row in rows).toordinal(),
            costs.holding_a_year.value / 365,
            costs.carried.value,
        )
        self.on_shelf = [load - costs.put_away_days.value for load in self.season.loads]
        self.longest_lead: dict[str, int] = defaultdict(int)
        for offer in (offer for one in materials for offer in one.offers):
            lead = max(self.longest_lead[offer.supplier], offer.lead_days.value)
            self.longest_lead[offer.supplier] = lead
        self.open_days: dict[str, OpenDays] = {}
        self.arrivals: dict[tuple[str, int], Arrivals] = {}

    def made(self) -> SeasonPlan:
        """Net, choose offers, order supplier by supplier, say why."""
        horizon = date.fromordinal(self.season.ends)
        nets = [
            net(needs=one.needed.rows, lots=one.lots, base=one.needed.base, horizon=horizon)
            for one in self.materials
        ]
        sold: dict[str, list[Wanted]] = defaultdict(list)
        unmet: list[tuple[Unmet, ...]] = []
        for material, covered in zip(self.materials, nets, strict=True):
            wanted, lacking = self._chosen(material, covered)
            unmet.append(lacking)
            if wanted is not None:
                sold[wanted.offer.supplier].append(wanted)
        ways = [self._ways(self.suppliers[code], sold[code]) for code in sorted(sold)]
        bought = {one.wanted.material: one for way in ways for one in way[0].bought}
        orders = [order for way in ways for order in self._orders(way[0])]
        orders.sort(key=lambda row: (row.order_by, row.supplier, row.receive_on))
        plans = [
            _material_plan(material, covered, lacking, bought.get(material.needed.material))
            for material, covered, lacking in zip(self.materials, nets, unmet, strict=True)
        ]
        sums = [_cost([way[kind] for way in ways]) for kind in range(3)]
        how = says.plan_how(self.costs, len(self.materials), len(self.suppliers), len(self.workshops))
        told = [row.verdict for row in orders] + [row.verdict for row in plans]
        heavy = [reason for one in told for reason in one.reasons if reason.level]
        currency = next((supplier.currency for supplier in self.suppliers.values()), "")
        answer = verdict(*heavy, says.beside(sums, how, currency))
        return SeasonPlan(tuple(orders), tuple(plans), sums[0], sums[1], sums[2], currency, answer, how)

    def _chosen(self, material: Material, covered: Net) -> tuple[Wanted | None, tuple[Unmet, ...]]:
        """The offer that leaves least unmet, is late for fewest workshops and costs least in one go."""
        rows = [(place, amount) for place, amount in enumerate(covered.uncovered) if amount]
        ways = [self._wanted(material, offer, rows) for offer in material.offers] if rows else []
        wanted = min(ways, key=self._preferred, default=None)
        possible = {place for place, _ in wanted.rows} if wanted else set()
        lacking = [Unmet(self.workshops[place], amount) for place, amount in rows if place not in possible]
        if wanted is None or not possible:
            return None, tuple(lacking)
        waiting = on_its_way(
            rows=wanted.rows,
            lots=material.lots,
            rests=covered.planned.rests,
            ready=lambda place: self._ready_late(wanted.arrivals, place),
        )
        lacking += [Unmet(self.workshops[place], amount, late=True) for place, amount in waiting.items()]
        left = [(place, amount - waiting.get(place, 0)) for place, amount in wanted.rows]
        bought = replace(wanted, rows=tuple((place, amount) for place, amount in left if amount))
        return (bought if bought.rows else None), tuple(lacking)

    def _ready_late(self, arrivals: Arrivals, place: int) -> date | None:
        """When an order of today is ready, if that is too late for a workshop; None: it comes in time."""
        if arrivals.comes_in[place] >= arrivals.earliest:
            return None
        return date.fromordinal(arrivals.earliest + self.costs.put_away_days.value)

    def _wanted(self, material: Material, offer: Offer, rows: Sequence[tuple[int, int]]) -> Wanted:
        """What can be bought from an offer: not what would pass its date even when it comes in last thing."""
        arrivals = self._arrivals(offer)
        life = None if offer.life_days is None else offer.life_days.value - material.margin_days.value
        within = [
            (place, amount)
            for place, amount in rows
            if life is None or self.season.lasts[place] <= arrivals.there(place) + life
        ]
        return Wanted(material.needed.material, offer, tuple(within), arrivals, life)

    def _preferred(self, wanted: Wanted) -> tuple[int, int, float, str, int, int]:
        possible = sum([amount for _, amount in wanted.rows])
        arrivals, offer = wanted.arrivals, wanted.offer
        late = sum([1 for place, _ in wanted.rows if arrivals.comes_in[place] < arrivals.earliest])
        cost = buy(wanted, self.season, [place for place, _ in wanted.rows[:1]]).cost
        return -possible, late, cost, offer.supplier, offer.pack, offer.list_cents

    def _arrivals(self, offer: Offer) -> Arrivals:
        key = offer.supplier, offer.lead_days.value
        if key not in self.arrivals:
            days = self._days(offer.supplier)
            earliest = days.forward(self.today.toordinal(), offer.lead_days.value)
            self.arrivals[key] = Arrivals(tuple(days.back(day, 0) for day in self.on_shelf), earliest)
        return self.arrivals[key]

    def _days(self, code: str) -> OpenDays:
        if code not in self.open_days:
            reach = stretch(self.longest_lead[code], self.suppliers[code])
            days = [self.today.toordinal(), *self.on_shelf]
            self.open_days[code] = OpenDays(self.suppliers[code], min(days) - reach, max(days) + reach)
        return self.open_days[code]

    def _ways(self, supplier: Supplier, wanted: Sequence[Wanted]) -> tuple[Ordered, Ordered, Ordered]:
        """The plan, and the two simple ones it is never dearer than: for each workshop, and at once."""
        desk = Desk(supplier, wanted, self.season)
        in_time, at_once = desk.buy_all(range(len(self.workshops))), desk.buy_all((0,))
        best = min((desk.cheapest(), at_once, in_time), key=lambda way: way.cost)
        return best, in_time, at_once

    def _orders(self, way: Ordered) -> list[Order]:
        """One order for each place of arrival, with its lines."""
        by_place: dict[int, list[says.Line]] = defaultdict(list)
        for one in way.bought:
            for at, purchase in enumerate(one.purchases):
                by_place[purchase.place].append(self._line(way.supplier, one, at))
        return [self._order(way, place, lines) for place, lines in by_place.items()]

    def _line(self, supplier: Supplier, bought: Bought, at: int) -> says.Line:
        wanted = bought.wanted
        ready = self.on_shelf[bought.purchases[at].place]
        order_by = self._days(supplier.code).back(ready, wanted.offer.lead_days.value)
        material = self.by_code[wanted.material]
        return says.Line(material, supplier, bought, at, order_by, self.season, self.workshops, self.costs)

    def _order(self, way: Ordered, place: int, of: Sequence[says.Line]) -> Order:
        lines = tuple([says.line(one) for one in of])
        arrivals = [one.bought.wanted.arrivals for one in of]
        return Order(
            way.supplier.code,
            min([line.order_by for line in lines]),
            date.fromordinal(arrivals[0].comes_in[place]),
            date.fromordinal(max([row.earliest for row in arrivals])),
            lines,
            way.goods_at[place],
            way.freight_at(place),
            way.supplier.order_cents,
            verdict(*[reason for line in lines for reason in line.reasons if reason.level]),
        )


def _material_plan(
    material: Material, covered: Net, unmet: tuple[Unmet, ...], bought: Bought | None
) -> MaterialPlan:
    needed = material.needed
    how = says.material_how(material, needed.how)
    return MaterialPlan(
        needed.material,
        needed.base,
        None if bought is None else bought.wanted.offer,
        sum([row.planned for row in needed.rows]),
        sum([row.booked for row in needed.rows]),
        sum([row.full for row in needed.rows]),
        covered.planned.short,
        covered.booked.short,
        0 if bought is None else sum([one.packs for one in bought.purchases]) * bought.wanted.offer.pack,
        0 if bought is None else bought.left,
        0 if bought is None else bought.lost,
        unmet,
        covered,
        verdict(*says.material_says(material, covered, unmet, bought, how)),
        how,
    )


def _cost(ways: Sequence[Ordered]) -> Cost:
    """The sums over suppliers; holding and worth are rounded to cents a material."""
    bought = [one for way in ways for one in way.bought]
    return Cost(
        sum([len(way.goods_at) for way in ways]),
        sum([one.goods_cents for one in bought]),
        sum([way.freight_cents for way in ways]),
        sum([way.handling_cents for way in ways]),
        sum([round(one.holding_cents) for one in bought]),
        sum([round(one.carried_cents) for one in bought]),
    )
