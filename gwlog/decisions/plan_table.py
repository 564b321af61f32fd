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
from gwlog.values import NamedTuple
from gwlog.water.basin import root_zone_room
from gwlog.water.rest import TINY_L


class _Day(NamedTuple):
    """A day as it is reckoned with: demand, rain, TAW, RAW, the span between them [L], the share of water that reaches
    the roots, the deficit from which wilting has its price [L], and the scale of that price [1/L].
    """

    demand: float
    rain: float
    taw: float
    raw: float
    span: float
    share: float
    wilting: float
    scale: float


class BasinTable:
    """One basin's coming days in plain numbers: what each brings, limits, weights."""

    def __init__(self, basin: PlanBasin, days: Sequence[PlanDay], weights: Weights, rest: bool,
                 within_room: bool) -> None:
        spec = basin.spec
        numbers, outer = [], basin.outer_l
        for number, day in enumerate(days):
            numbers.append(basin.numbers(day, outer, 0.0 if number else basin.other_today_l))
            outer = numbers[-1].outer_l
        self.taw = numbers[0].taw_l if numbers else spec.taw_l
        self.half = [half_raw(one) for one in numbers]
        self.rain = [one.rain_l for one in numbers]
        self.share = [one.share for one in numbers]
        self.days = [_Day(one.demand_l, one.rain_l, one.taw_l, one.raw_l, one.taw_l - one.raw_l, one.share,
                          WILT_FROM * one.taw_l, 1.0 / ((WILT_AT - WILT_FROM) * one.taw_l) if one.taw_l > 0.0 else 0.0)
                     for one in numbers]
        most = spec.surge_room_l if basin.most_l is None else min(spec.surge_room_l, basin.most_l)
        self.allowance, self.surge = spec.allowance_l + TINY_L, most + TINY_L
        self.leaching, self.rests, self.within_room = basin.leaching_share, rest, within_room
        self.percolated, self.unmet, self.left = weights.percolated, weights.unmet, weights.left
        self.shut_until = 0
        if basin.closed is not None:
            self.shut_until = len(days)
        elif basin.resting_until is not None:
            self.shut_until = sum(day.day < basin.resting_until for day in days)
        self.entries: dict[tuple[int, float, int, float], BasinDay] = {}

    def run(self, day: int, last: int, deficit: float, water: float) -> tuple[float, float]:
        """Cost of the days day..last-1 with `water` on the first and none after; and the deficit at the end."""
        per_unmet, per_litre = self.unmet, self.percolated
        cost = 0.0
        for demand, rain, taw, raw, span, share, wilting, scale in self.days[day:last]:
            used = demand
            if deficit > raw:
                used = demand * max(0.0, taw - deficit) / span if span > 0.0 else 0.0
            reached = water * share
            deficit += used - rain - reached
            if deficit < 0.0:
                beyond = -deficit - self.leaching * reached
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
        if rest == 1 and deficit - self.rain[day] >= self.half[day]:
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
        cost, end = table.run(self.day, len(table.days), self.deficit, self.water)
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
        share = table.share[self.day]
        now = self.deficit - table.rain[self.day] - self.water * share
        open_now = not self.rest and self.day >= table.shut_until
        if table.within_room and litres * share * (1.0 - table.leaching) > max(0.0, now) + TINY_L:
            open_now = False
        if open_now and litres <= table.surge and water <= table.allowance:
            filled = table.rests and now - litres * share <= TINY_L
            after = table.entry(self.day, self.deficit, 2 + FILLED_SHUT_DAYS if filled else 0, water)
        self.given[litres] = after
        return after

    def room(self) -> float:
        """What the root zone takes at this moment [L], with its leaching share."""
        table, share = self.table, self.table.share[self.day]
        return root_zone_room(max(0.0, self.deficit - table.rain[self.day] - self.water * share), table.leaching, share)

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
