"""A season's plan: 60 materials from 15 suppliers over 20 workshops, with reasons; its growth; its cost.

Run by `python -m tests.benchmarks.bench_planning`. Gates on ratios in one run: the time to a floor (what the
lots cover, material by material, which any plan has to know), the growth in materials, suppliers and
workshops, and the cost to what an integer programme finds for the same seasons (with lots on hand, any order
of use). All shops are invented. `--seasons 5` looks at more seasons, `--seconds 30` gives each supplier's
programme more time.
"""

import argparse
import gc
import math
import random
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import date, timedelta
from time import perf_counter, process_time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from inventory.compute.choose import KEEPS, Lot
from inventory.compute.demand_facts import Needed, WorkshopNeed
from inventory.compute.netting import net
from inventory.compute.planning import Material, SeasonPlan, plan_season
from inventory.compute.reasons import Given, How
from inventory.compute.suppliers import Offer, Supplier
from inventory.compute.units import Base

LARGEST_RATIO = 12.0
LARGEST_OVER = 0.01
TODAY = date(2026, 1, 5)
HOW = How("invented", "invented")


def generated(
    seed: int, *, materials: int = 60, suppliers: int = 15, workshops: int = 20
) -> tuple[list[Material], list[Supplier]]:
    """An invented shop's season: sizes and prices are guesses, only ratios between plans mean something."""
    source = random.Random(seed)
    load, days = date(2026, 5, 1), []
    for _ in range(workshops):
        days.append((load, load + timedelta(source.choice([2, 3, 4]))))
        load += timedelta(source.choice([5, 7, 7, 9, 12]))
    pairs = [source.randint(5, 10) for _ in days]
    sold_by = [
        Supplier(
            f"S{place}", source.randint(1_200, 9_000), source.choice([None, 30_000, 60_000, 100_000]), 1_000
        )
        for place in range(suppliers)
    ]
    made = []
    for place in range(materials):
        per_pair, share = source.choice([1, 2, 4, 300, 800, 1_500, 6_200]), source.choice([1, 1, 1, 0.5, 0.3])
        amounts = [round(per_pair * count * share * source.uniform(0.8, 1.2)) for count in pairs]
        rows = tuple(
            WorkshopNeed(f"W{at}", *both, amount, 0, amount)
            for at, (both, amount) in enumerate(zip(days, amounts, strict=True))
        )
        total = sum(amounts)
        pack = max(1, int(total * source.choice([0.02, 0.05, 0.1, 0.2, 0.4])))
        price = max(1, int(source.choice([20_000, 60_000, 150_000, 400_000]) * pack / total))
        prices = [(1, price)]
        if source.random() < 0.5:
            prices.append((source.choice([3, 5, 10]), int(price * source.choice([0.95, 0.9, 0.85]))))
        life = Given(source.randint(45, 270)) if source.random() < 0.25 else None
        offer = Offer(
            source.choice(sold_by).code, pack, tuple(prices), Given(14), life, source.choice([1, 1, 1, 2, 3])
        )
        lots = [
            Lot(
                f"L{place}.{at}",
                int(total * source.choice([0.02, 0.1, 0.2])),
                KEEPS if life is None else days[0][1] + timedelta(source.randint(0, 120)),
            )
            for at in range(source.choice([0, 0, 1, 2]))
        ]
        made.append(Material(Needed(f"M{place}", Base.PIECE, rows, 0.9, HOW), tuple(lots), (offer,)))
    return made, sold_by


class Programme:
    """One supplier's season as an integer programme, with nothing of the planner's own way of thinking."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.whole: list[int] = []
        self.most: list[float] = []
        self.rows: list[tuple[list[tuple[int, float]], float, float]] = []

    def unknown(self, cost: float, *, whole: bool = False, most: float = np.inf) -> int:
        self.cost.append(cost)
        self.whole.append(int(whole))
        self.most.append(most)
        return len(self.cost) - 1

    def row(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append((terms, low, high))

    def solved(self, seconds: float) -> tuple[float, float]:
        """The cheapest found, and what no plan can cost less than."""
        flat = [(at, place, value) for at, (terms, _, _) in enumerate(self.rows) for place, value in terms]
        at, place, value = zip(*flat, strict=True)
        matrix = coo_matrix((value, (at, place)), shape=(len(self.rows), len(self.cost))).tocsr()
        limits = LinearConstraint(
            matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
        )
        options = {"time_limit": seconds, "mip_rel_gap": 0.0005}
        answer = milp(
            self.cost,
            constraints=limits,
            integrality=self.whole,
            bounds=Bounds(0, self.most),
            options=options,
        )
        found = math.inf if answer.x is None else answer.fun
        return found, answer.mip_dual_bound or 0.0  # none at all when time ran out before the first bound


def programme(supplier: Supplier, materials: Sequence[Material]) -> Programme:
    """All ways to buy: any arrival at a load day, any use of lots, packs, breaks, freight, holding, rests."""
    made = Programme()
    days = [(row.load_on, row.last_on) for row in materials[0].needed.rows]
    ends = max(last for _, last in days)
    order = [made.unknown(supplier.freight_cents + supplier.order_cents, whole=True, most=1) for _ in days]
    free = [made.unknown(-supplier.freight_cents, whole=True, most=1) for _ in days]
    goods: list[list[tuple[int, float]]] = [[] for _ in days]
    for material in materials:
        _add_material(made, material, (days, ends, order, goods))
    for at in range(len(days)):
        from_cents = supplier.free_from_cents
        made.row([(free[at], 1), (order[at], -1)], -np.inf, 0)
        if from_cents is None:
            made.row([(free[at], 1)], 0, 0)
        else:
            made.row([*goods[at], (free[at], -from_cents)], 0, np.inf)
    return made


def _add_material(made: Programme, material: Material, shared: tuple) -> None:
    days, ends, order, goods = shared
    offer = material.offers[0]
    a_day = offer.list_cents / offer.pack * 0.15 / 365
    used: list[list[tuple[int, float]]] = [[] for _ in days]
    for lot in material.lots:
        drawn = [(at, made.unknown(0)) for at, (_, last) in enumerate(days) if lot.last_day >= last]
        for at, unknown in drawn:
            used[at].append((unknown, 1))
        if drawn:
            made.row([(unknown, 1) for _, unknown in drawn], 0, lot.amount)
    total = sum(row.planned for row in material.needed.rows)
    for start, (load, _) in enumerate(days):
        there = load - timedelta(3)
        through = date.max if offer.life_days is None else there + timedelta(offer.life_days.value)
        served = []
        for at in range(start, len(days)):
            if days[at][1] <= through:
                served.append(made.unknown(a_day * (days[at][0] - there).days))
                used[at].append((served[-1], 1))
        worth = 0.92 * offer.lowest_cents / offer.pack if offer.life_days is None else 0
        rest = made.unknown(a_day * max(0, (min(through, ends) - there).days) - worth)
        packs = _add_packs(made, offer, total, order[start], goods[start])
        made.row([*[(one, offer.pack) for one in packs], *[(one, -1) for one in served], (rest, -1)], 0, 0)
    for terms, row in zip(used, material.needed.rows, strict=True):
        made.row(terms, row.planned, row.planned)


def _add_packs(
    made: Programme, offer: Offer, total: int, order: int, goods: list[tuple[int, float]]
) -> list[int]:
    """Packs at each price break: none, or from its number of packs up to before the next."""
    most = math.ceil(total / offer.pack) + max(offer.least_packs, offer.prices[-1][0])
    packs, chosen = [], []
    for at, (start, cents) in enumerate(offer.prices):
        end = offer.prices[at + 1][0] - 1 if at + 1 < len(offer.prices) else most
        start = max(start, offer.least_packs)
        if start <= end:
            packs.append(made.unknown(cents, whole=True, most=end))
            chosen.append(made.unknown(0, whole=True, most=1))
            made.row([(packs[-1], 1), (chosen[-1], -start)], 0, np.inf)
            made.row([(packs[-1], 1), (chosen[-1], -end)], -np.inf, 0)
            goods.append((packs[-1], cents))
    made.row([*[(one, 1) for one in chosen], (order, -1)], -np.inf, 0)
    return packs


def fastest(job: Callable[[], object], times: int = 5) -> float:
    """The least time of some, collecting no garbage meanwhile, as `timeit` does."""
    took = []
    gc.collect()
    gc.disable()
    for _ in range(times):
        start = process_time()
        job()
        took.append(process_time() - start)
    gc.enable()
    return min(took)


def planned(materials: list[Material], suppliers: list[Supplier]) -> SeasonPlan:
    return plan_season(today=TODAY, materials=materials, suppliers=suppliers)


def covered(materials: list[Material]) -> None:
    horizon = max(row.last_on for row in materials[0].needed.rows)
    for one in materials:
        net(needs=one.needed.rows, lots=one.lots, base=one.needed.base, horizon=horizon)


def speed_holds() -> bool:
    materials, suppliers = generated(1)
    took, floor = fastest(lambda: planned(materials, suppliers)), fastest(lambda: covered(materials))
    sys.stdout.write(
        f"season plan 60 x 15 x 20 with reasons: {1000 * took:.0f} ms, floor {1000 * floor:.1f} ms, "
        f"ratio {took / floor:.1f}\n"
    )
    return took <= LARGEST_RATIO * floor


def copies(made: tuple[list[Material], list[Supplier]], times: int) -> tuple[list[Material], list[Supplier]]:
    """The same shop several times over, under other codes: exactly that many times the work."""
    materials, suppliers = [], []
    for at in range(times):
        suppliers += [replace(one, code=f"{one.code}.{at}") for one in made[1]]
        for one in made[0]:
            offers = tuple(replace(offer, supplier=f"{offer.supplier}.{at}") for offer in one.offers)
            needed = replace(one.needed, material=f"{one.needed.material}.{at}")
            materials.append(replace(one, needed=needed, offers=offers))
    return materials, suppliers


def growth_holds() -> bool:
    """At most n^1.1 in materials with their suppliers, n^2 in workshops, each with a tenth to spare."""
    shop = generated(2)
    ok = True
    for name, small, large, power in (
        ("materials and suppliers", shop, copies(shop, 4), 1.1),
        ("workshops", generated(2, workshops=10), generated(2, workshops=40), 2.0),
    ):
        took = [fastest(lambda made=made: planned(*made)) for made in (small, large)]
        found = math.log(took[1] / took[0]) / math.log(4)
        sys.stdout.write(
            f"growth in {name}: {1000 * took[0]:.0f} to {1000 * took[1]:.0f} ms for 4 times as many, "
            f"n^{found:.2f} (at most n^{power})\n"
        )
        ok = ok and took[1] <= took[0] * 4**power * 1.1
    return ok


def cheapest(supplier: Supplier, sold: list[Material], seconds: float) -> tuple[float, float]:
    """The cheapest orders of one supplier that are known, and what they cannot cost less than."""
    best, bound = programme(supplier, sold).solved(seconds)
    return min(best, planned(sold, [supplier]).cost.total_cents), bound


def cost_holds(seasons: int, seconds: float) -> bool:
    ok = True
    for seed in range(1, seasons + 1):
        materials, suppliers = generated(seed)
        plan = planned(materials, suppliers)
        began = perf_counter()
        by = [(one, [each for each in materials if each.offers[0].supplier == one.code]) for one in suppliers]
        with ProcessPoolExecutor() as pool:
            jobs = [pool.submit(cheapest, one, sold, seconds) for one, sold in by if sold]
            found, least = (sum(each) for each in zip(*(job.result() for job in jobs), strict=True))
        over = plan.cost.total_cents / found - 1
        sys.stdout.write(
            f"season {seed}: plan {plan.cost.total_cents / 100:.0f}, "
            f"for each workshop {plan.in_time.total_cents / 100:.0f}, "
            f"at once {plan.at_once.total_cents / 100:.0f}; programme {found / 100:.0f} "
            f"(not below {least / 100:.0f}, {perf_counter() - began:.0f} s): {100 * over:.2f} % over\n"
        )
        ok = ok and over <= LARGEST_OVER and plan.cost.total_cents >= least - 100 * len(materials)
    return ok


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=1)
    asked.add_argument("--seconds", type=float, default=4.0)
    given = asked.parse_args()
    held = [speed_holds(), growth_holds(), cost_holds(given.seasons, given.seconds)]
    return 0 if all(held) else 1


if __name__ == "__main__":
    sys.exit(main())
