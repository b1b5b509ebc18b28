"""READ a season's list: what to order from whom by when, why, at what cost, and what other ways would cost.

Brings seats, needs, stock, orders and offers together for `compute.planning`, and puts what came out beside
what people see: the same plan made a week later, without what was decided by hand, and the two simple ones.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from math import ceil
from uuid import UUID

from inventory.compute import demand as rules
from inventory.compute.demand_facts import Needed, Use
from inventory.compute.demand_facts import Workshop as Dated
from inventory.compute.netting import net
from inventory.compute.planning import plan_season
from inventory.compute.planning.facts import Costs, MaterialPlan, Order, OrderLine, SeasonPlan
from inventory.compute.planning.facts import Material as Planned
from inventory.compute.reasons import Basis, Given
from inventory.compute.units import Amount, Base
from inventory.models import Material, Ruling, Season, Shop
from inventory.queries import season as seats
from inventory.queries import shop
from inventory.queries.notes import Note
from inventory.queries.pair_needs import OWN
from inventory.queries.season import Seats, WhatIf
from inventory.queries.season import needs as season_needs
from inventory.queries.season import notes as says
from inventory.queries.season import supply as supplies
from inventory.queries.season.needs import Demand
from inventory.queries.season.supply import Sold, Supply

COVER = {"tight": 0.8, "usual": 0.9, "ample": 0.95, "full": 0.99}
WEEK = timedelta(7)
OF_SHOP = "as on the shop's card"
STEPS = {Base.MG: 1_000, Base.MM: 100, Base.MM2: 10_000, Base.UL: 1_000, Base.PIECE: 1}
NO_LOSS_LEFT = Given(0.0, Basis.ASSUMED, "losses are in the needs already")


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material of the list: its card, what the plan says, what is decided by hand, what a week costs.

    `later_cents`: how much dearer the same plan is when made a week later; `later_late`: the workshops it
    would then be late for. `by_hand_cents`: what the decision costs beside the list's own plan;
    `by_hand_short`: what it leaves short.
    """

    card: Material
    planned: Planned
    plan: MaterialPlan
    lines: tuple[tuple[Order, OrderLine], ...]
    sold: tuple[Sold, ...]
    ruling: Ruling | None
    later_cents: int
    later_late: tuple[str, ...]
    by_hand_cents: int | None
    by_hand_short: int
    a_pair: int  # what a usual pair needs

    @property
    def base(self) -> Base:
        """What it is kept in."""
        return Base(self.card.base)

    def amount(self, value: int) -> Amount:
        """In the material's unit."""
        return Amount(value, self.base)

    @property
    def needed(self) -> Amount:
        """What is planned for."""
        return self.amount(self.plan.planned)

    @property
    def needed_booked(self) -> Amount:
        """What is needed if only the booked come."""
        return self.amount(self.plan.booked)

    @property
    def needed_full(self) -> Amount:
        """What is needed if everything fills."""
        return self.amount(self.plan.full)

    @property
    def hand_short(self) -> Amount:
        """What a decision by hand leaves short."""
        return self.amount(self.by_hand_short)

    @property
    def short(self) -> Amount:
        """What stock and orders leave open."""
        return self.amount(self.plan.short)

    @property
    def bought(self) -> Amount:
        """What the list buys."""
        return self.amount(self.plan.bought)

    @property
    def left(self) -> Amount:
        """What of it stays after the season."""
        return self.amount(self.plan.left)

    @property
    def pack(self) -> Amount | None:
        """What one pack of the chosen offer holds."""
        return None if self.plan.offer is None else self.amount(self.plan.offer.pack)

    @property
    def unpriced(self) -> bool:
        """True when its price is not known."""
        return bool(self.plan.bought) and not any(row.priced for row in self.sold)


@dataclass(frozen=True, slots=True)
class SeasonList:
    """The whole answer. `plan` None: there is nothing to plan for, and the notes say why."""

    season: Season
    what_if: WhatIf
    workshops: tuple[Seats, ...]  # all of the season
    ahead: tuple[Seats, ...]  # those still to come
    pairs: rules.Pairs | None
    plan: SeasonPlan | None
    rows: tuple[MaterialRow, ...]
    supply: Supply | None
    currency: str
    notes: tuple[Note, ...]

    def row(self, key: str) -> MaterialRow | None:
        """One material's row."""
        return next((row for row in self.rows if row.card.key == key), None)

    @property
    def against(self) -> bool:
        """True when something is late or cannot be had, or nothing could be reckoned."""
        short = any(row.plan.unmet or row.by_hand_short for row in self.rows)
        return self.plan is None or short or any(order.late for order in self.orders)

    @property
    def orders(self) -> tuple[Order, ...]:
        """What to order, soonest first."""
        return self.plan.orders if self.plan else ()


def season_list(row: Season, today: date, what_if: WhatIf = WhatIf.AS_SET) -> SeasonList:
    """What to order for a season, as of today."""
    workshops = tuple(seats.workshops(row))
    ahead = tuple(each for each in workshops if each.starts_on >= today)
    card = shop.card()
    currency = card.currency if card else ""
    notes = list(says.of_seats(ahead))
    if not ahead:
        return SeasonList(row, what_if, workshops, ahead, None, None, (), None, currency, tuple(notes))
    materials = Material.objects.in_bulk()
    over = [each.id for each in workshops if each.starts_on < today]
    demand = season_needs.demand([each.id for each in ahead], materials, over)
    dated = _dated(row, ahead, demand, what_if)
    pairs = rules.pairs(workshops=dated, cover=COVER[row.cover])
    needed_keys = set(demand.usual) | {key for need in demand.booked.values() for key in need}
    wanted = {id: row for id, row in materials.items() if row.key in needed_keys}
    notes += says.of_demand(demand, {row.key for row in materials.values()}, needed_keys)
    if not wanted:
        return SeasonList(row, what_if, workshops, ahead, pairs, None, (), None, currency, tuple(notes))
    costs = Costs(put_away_days=seats.put_away(row))
    supply = supplies.supply(
        wanted,
        today=today,
        currency=currency,
        an_order=row.an_order or 0,
        put_away=costs.put_away_days.value,
    )
    made = _Made(row, today, ahead, dated, demand, wanted, supply, costs, card or Shop())
    return SeasonList(
        row,
        what_if,
        workshops,
        ahead,
        pairs,
        made.plan,
        made.rows(),
        supply,
        currency,
        (
            *notes,
            *says.of_supply(made.cards, made.plan, supply, today),
            *says.of_rulings(row, made.cards, made.rulings, supply),
        ),
    )


def _dated(row: Season, ahead: Iterable[Seats], demand: Demand, what_if: WhatIf) -> list[Dated]:
    chance = seats.fill_chance(row)
    if what_if is WhatIf.FULL:
        chance = Given(1.0, Basis.ASSUMED, "what if everything fills")
    return [
        Dated(
            each.label,
            each.load_on,
            each.ends_on,
            min(1000, demand.seats[each.id]),
            0 if what_if is WhatIf.BOOKED else each.open or 0,
            chance,
        )
        for each in ahead
    ]


class _Made:
    """One season's plan and the plans beside it."""

    def __init__(
        self,
        season: Season,
        today: date,
        ahead: Sequence[Seats],
        dated: Sequence[Dated],
        demand: Demand,
        cards: Mapping[UUID, Material],
        supply: Supply,
        costs: Costs,
        shop: Shop,
    ) -> None:
        self.season, self.today, self.ahead, self.dated = season, today, ahead, dated
        self.demand, self.supply, self.costs, self.shop = demand, supply, costs, shop
        self.cards = sorted(cards.values(), key=lambda card: (card.name, card.key))
        self.rulings = seats.rulings(season)
        self.horizon = max(row.last_on for row in dated)
        self.own = [self._planned(card) for card in self.cards]
        self.ruled = [
            self._ruled(planned, self.rulings.get(card.id))
            for card, planned in zip(self.cards, self.own, strict=True)
        ]
        self.plan = self._plan(self.ruled, today)
        self.later = self._plan(self.ruled, today + WEEK)

    def _plan(self, materials: Sequence[Planned], today: date) -> SeasonPlan:
        return plan_season(
            today=today, materials=materials, suppliers=self.supply.suppliers, costs=self.costs
        )

    def _planned(self, card: Material, cover: str = "") -> Planned:
        return Planned(
            self._needed(card, cover),
            supplies.lots(card, self.supply, self.costs.put_away_days),
            tuple(row.offer for row in self.supply.sold.get(card.id, ())),
        )

    def _needed(self, card: Material, cover: str) -> Needed:
        usual = self.demand.usual.get(card.key, Given(Fraction(0)))
        base = Base(card.base)
        booked = tuple(
            _whole(self.demand.booked[each.id].get(card.key, Fraction(0)), base) for each in self.ahead
        )
        use = Use(
            card.key,
            base,
            booked,
            Given(_whole(usual.value, base), usual.basis, usual.source),
            loss=NO_LOSS_LEFT,
            spare_pairs=Given(0 if self._no_spare(card) else self.shop.spare_pairs, Basis.ASSUMED, OF_SHOP),
            reserve_percent=Given(
                0 if card.purpose in OWN else self.shop.reserve_percent, Basis.ASSUMED, OF_SHOP
            ),
        )
        return rules.needed(workshops=self.dated, use=use, cover=COVER[cover or self.season.cover])

    def _no_spare(self, card: Material) -> bool:
        """What is printed for one guest, or worn by hands, has no spare pair."""
        return card.purpose in OWN or card.key in self.demand.by_hands

    def _ruled(self, planned: Planned, ruling: Ruling | None) -> Planned:
        """The material as people decided it: cover, supplier, packs in all."""
        if ruling is None:
            return planned
        card = next(card for card in self.cards if card.key == planned.needed.material)
        if ruling.cover:
            planned = self._planned(card, ruling.cover)
        sold = self.supply.sold.get(card.id, ())
        chosen = [row for row in sold if ruling.offer_id in (None, row.card.id)] or sold
        planned = replace(planned, offers=tuple(row.offer for row in chosen))
        if ruling.packs is None or not planned.offers:
            return planned
        return self._packs(planned, ruling.packs)

    def _packs(self, planned: Planned, packs: int) -> Planned:
        """No more than so many packs: later needs are left open; at least so many, in one go."""
        if not packs:
            return replace(planned, needed=_only(planned, self.horizon, 0), offers=())
        pack = planned.offers[0].pack
        offers = tuple(replace(offer, least_packs=max(packs, 1)) for offer in planned.offers)
        return replace(planned, needed=_only(planned, self.horizon, packs * pack), offers=offers)

    def rows(self) -> tuple[MaterialRow, ...]:
        """Every material with all that is said of it."""
        without = self._plan(self.own, self.today) if self.rulings else self.plan
        found = []
        for card, planned in zip(self.cards, self.ruled, strict=True):
            found.append(self._row(card, planned, without))
        return tuple(found)

    def _row(self, card: Material, planned: Planned, without: SeasonPlan) -> MaterialRow:
        ruling = self.rulings.get(card.id)
        own = _of(without, card.key)
        plan = _of(self.plan, card.key)
        lines, later_lines = _lines(self.plan, card.key), _lines(self.later, card.key)
        now_late = {name for _, line in lines for name in line.late_for}
        then_late = {name for _, line in later_lines for name in line.late_for}
        decided = ruling is not None and (ruling.cover or ruling.offer_id or ruling.packs is not None)
        return MaterialRow(
            card,
            planned,
            plan,
            lines,
            self.supply.sold.get(card.id, ()),
            ruling if decided else None,
            _goods(later_lines) - _goods(lines),
            tuple(each.label for each in self.ahead if each.label in then_late - now_late),
            _goods(lines) - _goods(_lines(without, card.key)) if decided else None,
            max(0, own.planned - plan.planned) if decided else 0,
            _whole(self.demand.usual[card.key].value, Base(card.base))
            if card.key in self.demand.usual
            else 0,
        )


def _whole(amount: Fraction, base: Base) -> int:
    """Rounded up to whole grams, decimetres, square decimetres, millilitres, pieces."""
    step = STEPS[base]
    return ceil(amount / step) * step


def _only(planned: Planned, horizon: date, most: int) -> Needed:
    """The need cut so that no more than `most` is left open: what comes last is given up first."""
    rows = planned.needed.rows
    open_ = net(needs=rows, lots=planned.lots, base=planned.needed.base, horizon=horizon).uncovered
    excess = max(0, sum(open_) - most)
    kept = []
    for row, lacking in zip(reversed(rows), reversed(open_), strict=True):
        less = min(excess, lacking)
        excess -= less
        kept.append(replace(row, planned=row.planned - less))
    return replace(planned.needed, rows=tuple(reversed(kept)))


def _of(plan: SeasonPlan, key: str) -> MaterialPlan:
    return next(row for row in plan.materials if row.material == key)


def _lines(plan: SeasonPlan, key: str) -> tuple[tuple[Order, OrderLine], ...]:
    return tuple((order, line) for order in plan.orders for line in order.lines if line.material == key)


def _goods(lines: Iterable[tuple[Order, OrderLine]]) -> int:
    return sum(line.cents for _, line in lines)
