"""The rule of three lines: stay while the load fits, else the driest basin it fits, else the sewer.

It stands in for the search in gardens too large for it, and gives people a plan to compare with.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gwlog.decisions.plan_cost import Bed, PlanBasin, PlanDay, PlanLoad, PlanOutlet, Step
from gwlog.water.rest import TINY_L


def arranged(outlets: Sequence[PlanOutlet], at: Sequence[str], litres: float) -> dict[str, float]:
    """What each basin gets of a load [L] with the outlets so arranged."""
    given: dict[str, float] = {}
    for outlet, basin in zip(outlets, at, strict=True):
        given[basin] = given.get(basin, 0.0) + outlet.share * litres
    return given


def dryness(bed: Bed) -> float:
    """How dry a basin is: deficit over readily available water (1: plants begin to feel it)."""
    return bed.now / bed.basin.spec.raw_l if bed.basin.spec.raw_l > 0.0 else 0.0


def fits(beds: Mapping[str, Bed], given: Mapping[str, float]) -> bool:
    """Whether every basin has room for what it would get."""
    return all(beds[name].fits(litres) for name, litres in given.items())


def over_limit(beds: Mapping[str, Bed], day: PlanDay, litres: float) -> bool:
    """Whether a load would pass what the code lets the whole garden have on a day."""
    if day.limit_l is None:
        return False
    return sum(bed.graywater for bed in beds.values()) + litres > day.limit_l + TINY_L


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
                if best is None or dryness(beds[name]) > best[0]:
                    best = (dryness(beds[name]), name)
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
            bed.close_day(day)
    return tuple(steps)
