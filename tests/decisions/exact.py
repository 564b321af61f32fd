"""Independent accounts to hold the rotation search against: a cost function and every plan there is, in numpy.

Written from the description of the balance alone; nothing of the planner is imported but its input types.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

import numpy as np

from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet, Weights
from gwlog.water.basin import BasinSpec

FIRST = date(2026, 6, 1)


def basin_costs(basin, days, day_of, litres, weights, rest):
    """Cost of one basin for every subset of the loads (bit k: load k came here); inf where it is forbidden."""
    s = basin.spec
    count = 1 << len(litres)
    member = (np.arange(count)[:, None] >> np.arange(len(litres))[None, :]) & 1
    taw, wetted = s.taw_mm * s.wetted_m2, s.wetted_m2
    outer, inner = max(0.0, s.canopy_m2 - wetted), min(s.canopy_m2, wetted)
    beyond, most = basin.outer_l, s.taw_mm * outer   # roots that only rain reaches: the same for every plan
    deficit = np.full(count, float(basin.deficit_l))
    cost, banned = np.zeros(count), np.zeros(count, bool)
    resting, reopen_day = np.zeros(count, bool), np.zeros(count, int)
    for t, day in enumerate(days):
        rain = day.rain_mm * wetted
        e = day.eto_mm * s.plant_factor
        p = min(0.8, max(0.1, s.raw_mm / s.taw_mm + 0.04 * (5 - e)))
        raw = p * taw
        resting &= ~((deficit - rain >= 0.5 * raw - 1e-6) & (t >= reopen_day))
        shut = basin.closed is not None or (basin.resting_until is not None and day.day < basin.resting_until)
        water = np.zeros(count)
        for k in range(len(litres)):
            if day_of[k] != t:
                continue
            here = member[:, k] == 1
            banned |= here & (resting | shut)
            banned |= here & ((litres[k] > s.area_m2 * s.mulch_mm * 0.5 + 1e-6)
                              | (water + litres[k] > s.allowance_l_per_m2 * s.area_m2 + 1e-6))
            water = water + here * litres[k]
            if rest:
                filled = here & (deficit - rain - water <= 1e-6)
                resting |= filled
                reopen_day = np.where(filled, t + 2, reopen_day)
        demand = e * (inner + outer)
        if outer:
            given = min(1.0, (most - beyond) / (most - p * most)) * e * outer
            after = beyond - day.rain_mm * outer + given
            given -= max(0.0, after - most)
            beyond = min(max(0.0, after), most)
            demand -= given
        ks = np.clip((taw - deficit) / (taw - raw), 0.0, 1.0)
        after = deficit - rain - water + ks * demand
        drained = np.maximum(0.0, -after)
        used = ks * demand - np.maximum(0.0, after - taw)
        deficit = np.clip(after, 0.0, taw)
        cost += weights.percolated * np.maximum(0.0, drained - basin.leaching_share * water)
        short = np.where(demand - used > 1e-12, demand - used, 0.0)
        cost += weights.unmet * short * (1 + 5 * short / max(demand, 1e-12))
        cost += weights.unmet * 60 * np.maximum(0.0, (deficit / taw - 0.90) / 0.05) ** 2
    return np.where(banned, np.inf, cost + weights.left * deficit)


def cost_of(basins, outlet, days, places, weights, rest=True):
    """Cost of one plan: `places` names a basin or None (sewer) for each load in order. One outlet, whole shares."""
    litres = [load.litres for day in days for load in day.loads]
    day_of = [t for t, day in enumerate(days) for _ in day.loads]
    total = weights.sewer * sum(v * early(t, days) for v, t, place in zip(litres, day_of, places, strict=True)
                                if place is None)
    at, moved_on = outlet.at, 0 if outlet.moved else -1
    for t, place in zip(day_of, places, strict=True):
        if place is not None and place != at:
            total += weights.move * (2 if moved_on == t else 1)   # a second walk of a day weighs two
            at, moved_on = place, t
    for basin in basins:
        own = [k for k, place in enumerate(places) if place == basin.spec.name]
        table = basin_costs(basin, days, day_of, litres, weights, rest)
        total += table[sum(1 << k for k in own)] - table[0] + _dry(basin, days, weights)
    return total


def early(t, days):
    """What a litre to the sewer on day t weighs against one at the horizon: a tenth more today."""
    return 1 + 0.1 * (1 - t / len(days))


def _dry(basin, days, weights):
    """Cost of a basin without any load, but for the percolation that rain alone brings about."""
    free = Weights(0.0, weights.unmet, 0.0, 0.0, weights.left)
    return basin_costs(basin, days, [], [], free, False)[0]


def exhaustive(basins, outlet, days, weights, rest=True):
    """Least cost over every assignment of every load to a basin in reach or the sewer (one outlet)."""
    litres = np.array([load.litres for day in days for load in day.loads])
    day_of = [t for t, day in enumerate(days) for _ in day.loads]
    n, ways = len(litres), len(basins) + 1
    plans = np.arange(ways**n)
    at = np.full(len(plans), [b.spec.name for b in basins].index(outlet.at))
    cost = np.zeros(len(plans))
    moved_on = np.full(len(plans), 0 if outlet.moved else -1)
    masks = np.zeros((len(basins), len(plans)), int)
    for k in range(n):
        choice = plans // ways**k % ways
        cost += np.where(choice == len(basins), weights.sewer * litres[k] * early(day_of[k], days), 0.0)
        moved = (choice != len(basins)) & (choice != at)
        cost += weights.move * moved * np.where(moved_on == day_of[k], 2, 1)
        moved_on = np.where(moved, day_of[k], moved_on)
        at = np.where(moved, choice, at)
        for b in range(len(basins)):
            masks[b] |= (choice == b).astype(int) << k
    for b, basin in enumerate(basins):
        table = basin_costs(basin, days, day_of, litres, weights, rest)
        cost += table[masks[b]] - table[0] + _dry(basin, days, weights)
    return float(cost.min())


def instance(seed, *, basins=3, days=7, per_day=2, most=9, wet=0.25):
    """A random garden with one outlet, its weather and its loads."""
    rng = random.Random(seed)
    names = [f"b{n}" for n in range(basins)]
    made = []
    for name in names:
        area = rng.uniform(0.7, 3.0)
        canopy = area * rng.uniform(1.0, 4.0)
        spec = BasinSpec(name, area, canopy, min(canopy, area * rng.uniform(1.0, 3.0)), rng.uniform(60, 150),
                         (taw := rng.uniform(50, 120)), taw * rng.uniform(0.35, 0.6), rng.uniform(0.3, 0.8),
                         rng.choice([32.6, 44.8, 69.3, 101.9, 163.0]))
        made.append(PlanBasin(spec, rng.uniform(0, 0.8) * spec.taw_l,
                              resting_until=FIRST + timedelta(rng.randrange(5)) if rng.random() < 0.2 else None))
    outlet = PlanOutlet("hose", tuple(names), rng.choice(names))
    left = most
    plan_days = []
    for t in range(days):
        count = min(left, rng.randint(0, per_day))
        left -= count
        loads = tuple(PlanLoad("wash", rng.choice([45.0, 68.0, 75.7])) for _ in range(count))
        rain = rng.uniform(1, 15) if rng.random() < wet else 0.0
        plan_days.append(PlanDay(FIRST + timedelta(t), rng.uniform(2, 8), rain, loads))
    return made, outlet, plan_days
