"""The rotation as a mixed-integer linear programme, solved by HiGHS through scipy: an exact answer over 14 days.

One outlet, no rests. Beyond the RAW the stress coefficient makes the day's use the lesser of two lines, for which a
binary variable chooses; the convex prices of unmet need and of a basin near wilting are bounded from below by
tangents, so that what the solver proves is a bound on the true cost.
"""

from __future__ import annotations

import random
from datetime import timedelta

import numpy as np

from gwlog.decisions.plan_cost import PlanBasin, PlanDay, PlanLoad, PlanOutlet
from gwlog.water.basin import BasinSpec
from tests.decisions.exact import FIRST, early

DAYS = 14
LOAD_L = 68.0


def garden(seed, basins=3):
    """Deep-rooted basins that stay within their RAW for a fortnight; seven to ten loads."""
    rng = random.Random(seed)
    made = []
    for n in range(basins):
        canopy = rng.uniform(2.0, 5.0)
        spec = BasinSpec(f"b{n}", rng.uniform(1.2, 2.5), canopy, canopy, 200.0, 200.0, 190.0, rng.uniform(0.4, 0.8),
                         rng.choice([44.8, 69.3, 101.9]))
        made.append(PlanBasin(spec, rng.uniform(0.1, 0.5) * 190.0 * canopy / 2))
    days = [PlanDay(FIRST + timedelta(t), rng.uniform(3, 7), rng.choice([0.0, 0.0, 0.0, 6.0]),
                    (PlanLoad("wash", LOAD_L),) * rng.choice([0, 0, 1, 1, 1])) for t in range(DAYS)]
    return made, PlanOutlet("hose", tuple(b.name for b in made), "b0"), days


def dry_garden(seed, basins=2):
    """Basins that pass their RAW and come near wilting within ten days; a load on about every other day."""
    rng = random.Random(seed)
    made = []
    for n in range(basins):
        canopy = rng.uniform(2.0, 4.0)
        taw = rng.uniform(50, 90)
        spec = BasinSpec(f"b{n}", rng.uniform(1.2, 2.5), canopy, canopy, 200.0, taw, taw * rng.uniform(0.4, 0.6),
                         rng.uniform(0.5, 0.9), 101.9)
        made.append(PlanBasin(spec, rng.uniform(0.4, 0.9) * spec.taw_l))
    days = [PlanDay(FIRST + timedelta(t), rng.uniform(6, 9), 0.0,
                    (PlanLoad("wash", LOAD_L),) * rng.choice([0, 1])) for t in range(10)]
    return made, PlanOutlet("hose", tuple(b.name for b in made), "b0"), days


TANGENTS = 24
STRESS, WILT_FROM, WILT_AT, WILT_PRICE = 5.0, 0.90, 0.95, 60.0


def least_cost(basins, outlet, days, weights):
    """(objective found, proven lower bound) of the exact programme, the percolation of rain alone left out."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # a second to import, for whoever collects the tests

    day_of = [t for t, day in enumerate(days) for _ in day.loads]
    k, b, t = len(day_of), len(basins), len(days)
    names = [basin.spec.name for basin in basins]
    sizes = {"x": k * b, "at": k * b, "move": k, "deficit": t * b, "drain": t * b, "beyond": t * b, "full": t * b,
             "use": t * b, "stressed": t * b, "need": t * b, "wilt": t * b}
    base, offset = {}, 0
    for name, size in sizes.items():
        base[name] = offset
        offset += size
    rows, low, high = [], [], []

    def need(parts, least, most):
        row = np.zeros(offset)
        for name, index, factor in parts:
            row[base[name] + index] += factor
        rows.append(row)
        low.append(least)
        high.append(most)

    for load in range(k):
        need([("at", load * b + n, 1) for n in range(b)], 1, 1)
        for n in range(b):
            need([("x", load * b + n, 1), ("at", load * b + n, -1)], -np.inf, 0)
            before = [("at", (load - 1) * b + n, -1)] if load else []
            was = 0 if load else float(names[n] == outlet.at)
            need([("move", load, -1), ("at", load * b + n, 1), *before], -np.inf, was)
    for n, basin in enumerate(basins):
        s = basin.spec
        for day in range(t):
            loads = [("x", load * b + n, LOAD_L) for load in range(k) if day_of[load] == day]
            e, rain = days[day].eto_mm * s.plant_factor, days[day].rain_mm * s.wetted_m2
            demand = e * s.wetted_m2
            raw_l = min(0.8, max(0.1, s.raw_mm / s.taw_mm + 0.04 * (5 - e))) * s.taw_l   # FAO-56 table 22, note
            earlier = [("deficit", (day - 1) * b + n, -1)] if day else []
            opening = 0.0 if day else basin.deficit_l
            change = opening - rain
            here = day * b + n
            need([("deficit", here, 1), ("drain", here, -1), ("use", here, -1), *loads, *earlier], change, change)
            # use = min(demand, demand (TAW - yesterday's deficit) / (TAW - RAW)), by a binary that says which
            slope = demand / (s.taw_l - raw_l)
            line = [("deficit", (day - 1) * b + n, slope)] if day else []
            top = slope * s.taw_l - (0.0 if day else slope * basin.deficit_l)
            need([("use", here, 1)], -np.inf, demand)
            need([("use", here, 1), *line], -np.inf, top)
            need([("use", here, 1), ("stressed", here, demand)], demand, np.inf)
            need([("use", here, 1), *line, ("stressed", here, -slope * s.taw_l)], top - slope * s.taw_l, np.inf)
            for tangent in range(TANGENTS + 1):   # of short (1 + 5 short / demand), and of the square near wilting
                short = demand * tangent / TANGENTS
                grade = 1 + 2 * STRESS * short / demand if demand else 0.0
                value = short * (1 + STRESS * short / demand) if demand else 0.0
                need([("need", here, 1), ("use", here, grade)], value - grade * short + grade * demand, np.inf)
                dry = 2.0 * tangent / TANGENTS
                per_l = 2 * WILT_PRICE * dry / ((WILT_AT - WILT_FROM) * s.taw_l)
                at = (WILT_FROM + dry * (WILT_AT - WILT_FROM)) * s.taw_l
                need([("wilt", here, 1), ("deficit", here, -per_l)], WILT_PRICE * dry**2 - per_l * at, np.inf)
            need([("beyond", here, 1), ("drain", here, -1),
                  *[(v, i, f * basin.leaching_share) for v, i, f in loads]], 0, np.inf)
            need([("deficit", here, 1), ("full", here, s.taw_l)], -np.inf, s.taw_l)
            need([("drain", here, 1), ("full", here, -1e3)], -np.inf, 0)
            if loads:
                need(loads, 0, s.allowance_l)
    cost = np.zeros(offset)
    price = weights.sewer * LOAD_L * np.array([early(day, days) for day in day_of])
    cost[base["x"]:base["x"] + k * b] = -np.repeat(price, b)
    cost[base["move"]:base["move"] + k] = weights.move
    cost[base["beyond"]:base["beyond"] + t * b] = weights.percolated
    for part in ("need", "wilt"):
        cost[base[part]:base[part] + t * b] = weights.unmet
    last = base["deficit"] + (t - 1) * b
    cost[last:last + b] = weights.left
    whole = np.zeros(offset)
    whole[:base["deficit"]] = 1
    whole[base["full"]:base["full"] + t * b] = 1
    whole[base["stressed"]:base["stressed"] + t * b] = 1
    most = np.full(offset, np.inf)
    most[whole == 1] = 1
    found = milp(cost, constraints=LinearConstraint(np.array(rows), low, high), bounds=Bounds(0, most),
                 integrality=whole, options={"mip_rel_gap": 1e-3, "time_limit": 20})
    constant = price.sum() - weights.percolated * _rain_alone(basins, days)
    return found.fun + constant, found.mip_dual_bound + constant


def _rain_alone(basins, days):
    total = 0.0
    for basin in basins:
        deficit = basin.deficit_l
        for day in days:
            deficit += (day.eto_mm * basin.spec.plant_factor - day.rain_mm) * basin.spec.wetted_m2
            total += max(0.0, -deficit)
            deficit = max(0.0, deficit)
    return total
