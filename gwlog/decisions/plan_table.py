"""One basin's coming days in plain numbers, worked out once and shared by every plan that treats it alike.

What happens to a basin depends only on what that basin gets, not on what the rest of the plan does.
"""

from __future__ import annotations

from collections.abc import Sequence

from gwlog.decisions.plan_cost import (
    FILLED_SHUT_DAYS,
    STRESS_FACTOR,
    WILT_AT,
    WILT_FROM,
    WILT_PRICE,
    PlanBasin,
    PlanDay,
    Weights,
    half_raw,
)
from gwlog.water.rest import TINY_L


class BasinTable:
    """One basin's coming days in plain numbers: demand and rain [L] per day, limits, weights."""

    def __init__(self, basin: PlanBasin, days: Sequence[PlanDay], weights: Weights, rest: bool,
                 within_room: bool) -> None:
        spec = basin.spec
        self.taw, self.raw, self.half = spec.taw_l, spec.raw_l, half_raw(spec)
        most = spec.surge_room_l if basin.most_l is None else min(spec.surge_room_l, basin.most_l)
        self.allowance, self.surge = spec.allowance_l + TINY_L, most + TINY_L
        self.leaching, self.rests, self.within_room = basin.leaching_share, rest, within_room
        self.percolated, self.unmet, self.left = weights.percolated, weights.unmet, weights.left
        self.rain = [day.rain_mm * spec.wetted_m2 for day in days]
        outer = spec.canopy_m2 - spec.wetted_m2
        inner = min(spec.canopy_m2, spec.wetted_m2)
        self.demand = []
        for day in days:
            et = day.eto_mm * spec.plant_factor
            self.demand.append(et * inner + (max(0.0, et - day.rain_mm) * outer if outer > 0.0 else 0.0))
        self.shut_until = 0
        if basin.closed is not None:
            self.shut_until = len(days)
        elif basin.resting_until is not None:
            self.shut_until = sum(day.day < basin.resting_until for day in days)
        self.entries: dict[tuple[int, float, int, float], BasinDay] = {}

    def run(self, day: int, last: int, deficit: float, water: float) -> tuple[float, float]:
        """Cost of the days day..last-1 with `water` on the first and none after; and the deficit at the end."""
        taw, raw, span = self.taw, self.raw, self.taw - self.raw
        demands, rains, per_unmet, per_litre = self.demand, self.rain, self.unmet, self.percolated
        wilting, scale = WILT_FROM * taw, 1.0 / ((WILT_AT - WILT_FROM) * taw) if taw > 0.0 else 0.0
        cost = 0.0
        for number in range(day, last):
            demand = demands[number]
            used = demand
            if deficit > raw:
                used = demand * max(0.0, taw - deficit) / span if span > 0.0 else 0.0
            deficit += used - rains[number] - water
            if deficit < 0.0:
                beyond = -deficit - self.leaching * water
                if beyond > 0.0:
                    cost += per_litre * beyond
                deficit = 0.0
            elif deficit > taw:
                used -= deficit - taw
                deficit = taw
            if used < demand:
                short = demand - used
                cost += per_unmet * short * (1.0 + STRESS_FACTOR * short / demand)
            if deficit > wilting:
                dry = (deficit - wilting) * scale
                cost += per_unmet * WILT_PRICE * dry * dry
            water = 0.0
        return cost, deficit

    def entry(self, day: int, deficit: float, rest: int, water: float = 0.0) -> BasinDay:
        """The shared standing of this basin on a day. `rest`: 0 none, else 1 + the days it stays shut anyway."""
        if rest == 1 and deficit - self.rain[day] >= self.half:
            rest = 0
        key = (day, deficit, rest, water)
        known = self.entries.get(key)
        if known is None:
            known = self.entries[key] = BasinDay(self, day, deficit, rest, water)
        return known


class BasinDay:
    """A basin on one day: its deficit as the day opened, what it got since, and what lies ahead of it.

    `ahead`: cost of this day and of drying out to the horizon, the deficit left there included; reckoned when it is
    first asked for.
    """

    __slots__ = ("ahead", "day", "deficit", "given", "later", "rest", "table", "water")

    ahead: float

    def __init__(self, table: BasinTable, day: int, deficit: float, rest: int, water: float) -> None:
        self.table, self.day, self.deficit, self.rest, self.water = table, day, deficit, rest, water
        self.given: dict[float, BasinDay | None] = {}
        self.later: dict[int, tuple[BasinDay, float]] = {}

    def __getattr__(self, name: str) -> float:
        if name != "ahead":
            raise AttributeError(name)
        table = self.table
        cost, end = table.run(self.day, len(table.demand), self.deficit, self.water)
        self.ahead = cost + table.left * end
        return self.ahead

    def give(self, litres: float) -> BasinDay | None:
        """The same basin with one more load in, or None when a hard limit or its rest forbids it."""
        try:
            return self.given[litres]
        except KeyError:
            pass
        table, after = self.table, None
        water = self.water + litres
        now = self.deficit - table.rain[self.day] - self.water
        open_now = not self.rest and self.day >= table.shut_until
        if table.within_room and litres * (1.0 - table.leaching) > max(0.0, now) + TINY_L:
            open_now = False
        if open_now and litres <= table.surge and water <= table.allowance:
            filled = table.rests and now - litres <= TINY_L
            after = table.entry(self.day, self.deficit, 2 + FILLED_SHUT_DAYS if filled else 0, water)
        self.given[litres] = after
        return after

    def room(self) -> float:
        """What the root zone takes at this moment [L], with its leaching share."""
        return max(0.0, self.deficit - self.table.rain[self.day] - self.water) / (1.0 - self.table.leaching)

    def on(self, day: int) -> BasinDay:
        """The basin as a later day opens, when nothing more comes until then."""
        return self.until(day)[0]

    def until(self, day: int) -> tuple[BasinDay, float]:
        """The same, and what the days up to then cost."""
        known = self.later.get(day)
        if known is None:
            if not self.rest or day == self.day + 1:
                cost, end = self.table.run(self.day, day, self.deficit, self.water)
                known = self.table.entry(day, end, self.rest - 1 if self.rest > 1 else self.rest), cost
            else:   # whether a rest is over is asked every morning
                tomorrow, first = self.until(self.day + 1)
                opened, cost = tomorrow.until(day)
                known = opened, first + cost
            self.later[day] = known
        return known
