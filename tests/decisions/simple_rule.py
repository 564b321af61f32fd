"""The rule of three lines: stay while the load fits, else the driest basin it fits, else the sewer.

Something to hold the search against: it must never cost more than this.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gwlog.decisions.plan_cost import (
    Bed,
    PlanBasin,
    PlanDay,
    PlanLoad,
    PlanOutlet,
    Step,
    arranged,
    fits,
    over_limit,
)


def driest_fit(beds: Mapping[str, Bed], outlets: Sequence[PlanOutlet], at: tuple[str, ...], litres: float,
               *, stay: bool = True) -> tuple[str, ...] | None:
    """The arrangement for a load by the simple rule, None for the sewer.

    `stay`: prefer the present one while it fits. Each outlet whose basin has no room is moved to the driest
    basin in its reach that has; the first basin in the garden's order among equals.
    """
    if stay and fits(beds, arranged(outlets, at, litres)):
        return at
    new = list(at)
    for number, outlet in enumerate(outlets):
        rest = {o.name: b for o, b in zip(outlets, new, strict=True) if o.name != outlet.name}
        best: tuple[float, str] | None = None
        for name in (new[number], *(n for n in beds if n != new[number] and n in outlet.reach)):
            others = sum(outlets[k].share * litres for k, o in enumerate(outlets)
                         if k < number and rest[o.name] == name)
            if beds[name].fits(outlet.share * litres + others):
                if stay and name == at[number]:
                    best = (float("inf"), name)
                    break
                if best is None or beds[name].dryness() > best[0]:
                    best = (beds[name].dryness(), name)
        if best is None:
            return None
        new[number] = best[1]
    return tuple(new) if fits(beds, arranged(outlets, new, litres)) else None


def place(beds: Mapping[str, Bed], outlets: Sequence[PlanOutlet], at: tuple[str, ...], load: PlanLoad,
          day: PlanDay) -> tuple[str, ...] | None:
    """The simple rule for one load on a day, within what the day allows."""
    if load.must_sewer is not None or over_limit(beds, day, load.litres):
        return None
    chosen = driest_fit(beds, outlets, at, load.litres)
    if chosen is None or (chosen != at and not day.may_move):
        return None
    return chosen if day.arrangements is None or chosen in day.arrangements else None


def simple_rule(basins: Sequence[PlanBasin], outlets: Sequence[PlanOutlet], days: Sequence[PlanDay],
                *, rest: bool = True) -> tuple[Step, ...]:
    """Plan every load by the simple rule; the hard limits and the rests hold as in the search."""
    beds = {basin.name: Bed(basin) for basin in basins}
    at = tuple(outlet.at for outlet in outlets)
    steps = []
    for number, day in enumerate(days):
        for bed in beds.values():
            bed.open_day(day, bed.basin.used_today_l if number == 0 else 0.0)
        for load in day.loads:
            chosen = place(beds, outlets, at, load, day)
            if chosen is not None:
                at = chosen
                for name, litres in arranged(outlets, at, load.litres).items():
                    beds[name].give(litres, rest=rest)
            steps.append(Step(number, load, chosen))
        for bed in beds.values():
            bed.close_day()
    return tuple(steps)
