"""The result of a rehearsal: one table of habits, a summary, a plot for each basin."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.text import plural, wrap
from gwlog.units import Reader, to_household, unit_word

if TYPE_CHECKING:
    from gwlog.decisions.simulation import HabitResult, Rehearsal, Scenario

HEAD = ("way", "over allowance", "below roots", "went short", "to sewer", "stress days", "moves", "valve turns")
PLOT_HEIGHT = 12

MUCH_UNMET = 0.1
"""From this share of a basin's demand on that is unmet, the summary speaks of other water."""


def rows(home: Household, result: Rehearsal) -> list[tuple[str, ...]]:
    """The habits side by side in the household's units."""
    read = home.reader
    return [(habit.habit, read.volume(habit.over_allowance_l), read.volume(habit.percolated_l),
             read.volume(habit.unmet_l), read.volume(habit.sewer_l), str(habit.stress_days), str(habit.moves),
             str(habit.valve_turns)) for habit in result.results]


def as_json(result: Rehearsal) -> dict[str, Any]:
    """The rehearsal for programs: totals by habit and the daily series of each basin, litres."""
    return {
        "first": result.first.isoformat(), "last": result.last.isoformat(), "loads": result.loads,
        "volume_l": round(result.litres, 3), "complete": result.complete,
        "habits": [{
            "habit": habit.habit, "over_allowance_l": round(habit.over_allowance_l, 3),
            "percolated_l": round(habit.percolated_l, 3), "unmet_l": round(habit.unmet_l, 3),
            "sewer_l": round(habit.sewer_l, 3), "stress_days": habit.stress_days, "moves": habit.moves,
            "valve_turns": habit.valve_turns, "wilting_days": habit.wilting_days,
            "basins": {name: {"deficit_l": [round(v, 2) for v in s.deficit_l],
                              "graywater_l": [round(v, 2) for v in s.graywater_l],
                              "percolated_l": [round(v, 2) for v in s.percolated_l],
                              "demand_l": round(s.demand_l, 3), "unmet_l": round(s.unmet_l, 3),
                              "wilting_days": s.wilting_days}
                       for name, s in habit.series.items()},
        } for habit in result.results],
    }


def of_json(data: dict[str, Any]) -> Rehearsal:
    """The rehearsal that `as_json` wrote down."""
    from gwlog.decisions.simulation import BasinSeries, HabitResult, Rehearsal

    def habit(data: dict[str, Any]) -> HabitResult:
        series = {}
        for name, basin in data["basins"].items():
            parts: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value
                                     for key, value in basin.items()}
            series[name] = BasinSeries(**parts)
        return HabitResult(**{key: value for key, value in data.items() if key != "basins"}, series=series)

    return Rehearsal(date.fromisoformat(data["first"]), date.fromisoformat(data["last"]), data["loads"],
                     data["volume_l"], tuple(map(habit, data["habits"])), data["complete"])


def summary(home: Household, result: Rehearsal, width: int) -> list[str]:
    """What the table says, in a sentence or two."""
    read = home.reader
    page = [f"{clock.echo_date(result.first, home.system)} to {clock.echo_date(result.last, home.system)}: "
            f"{result.loads} loads, {read.volume(result.litres)}."]
    if not result.complete:
        page.append("Stopped early: only the rows above are complete.")
    if len(result.results) >= 2:
        plan, still = result.results[-1], result.results[0]
        page += wrap(
            f"Compared with never moving the outlet, {plan.habit} {_sunk(read, plan, still)}; plants go short by "
            f"{_short(read.volume(plan.unmet_l), read.volume(still.unmet_l))}.", width)
        for name, series in plan.series.items():
            if series.unmet_l >= MUCH_UNMET * series.demand_l > 0.0 or series.wilting_days:
                page += wrap(f"{name} would lack {read.volume(series.unmet_l)} of the {read.volume(series.demand_l)} "
                             f"that its plants need" + (f" and stand near wilting on "
                             f"{plural(series.wilting_days, 'day')}" if series.wilting_days else "")
                             + ": it needs other water.", width)
    return page


def _sunk(read: Reader, plan: HabitResult, still: HabitResult) -> str:
    saved = still.percolated_l - plan.percolated_l
    return f"saves {read.volume(saved)} from sinking below the roots" if saved >= 0.0 else \
        f"lets {read.volume(-saved)} more sink below the roots"


def _short(plan: str, still: str) -> str:
    return f"the same {plan}" if plan == still else f"{plan} instead of {still}"


def plots(home: Household, result: Rehearsal, width: int) -> list[str]:
    """One plot for each basin: the water missing under the plan (×) and under an outlet that never moves (·)."""
    import plotext

    if not result.results:
        return []
    page = []
    plan, still = result.results[-1], result.results[0]
    for name, basin in home.garden.basins.items():
        if name not in plan.series:
            continue
        plotext.clear_figure()
        plotext.theme("clear")
        # the width is given; the terminal, where there is one, is not asked
        plotext.limit_size(False, False)
        plotext.plot_size(max(40, width - 2), PLOT_HEIGHT)
        plotext.plot(_in_units(home, still.series[name].deficit_l), marker="·")
        plotext.plot(_in_units(home, plan.series[name].deficit_l), marker="×")
        plotext.hline(_in_units(home, (basin.raw_l,))[0])
        ticks = list(range(0, len(plan.series[name].deficit_l), max(1, len(plan.series[name].deficit_l) // 6)))
        plotext.xticks(ticks, [f"{result.first + timedelta(days=tick):%d %b}" for tick in ticks])
        page += ["", f"{name}: missing, in {unit_word('volume', home.system)}; × {plan.habit}, · {still.habit}; "
                     f"above the line, {home.reader.volume(basin.raw_l)}, plants go short"]
        page += [line.rstrip() for line in plotext.uncolorize(plotext.build()).split("\n") if line.strip()]
    return page


def _in_units(home: Household, litres: tuple[float, ...]) -> list[float]:
    return [to_household(value, "volume", home.system) for value in litres]


def scenario(home: Household, days: int, file: Path | None = None, first: date | None = None) -> Scenario:
    """What is rehearsed: `days` days from today, or from `first`, a day gone by, through a file's weather or, of days
    gone by, what was logged. Raises BadInput.
    """
    from gwlog.decisions.rehearsed_household import household_scenario

    weather = series(home, file, days, first) if file is not None else None
    if weather is not None:
        days = min(days, len(weather))
    then = None
    if first is not None and first < home.garden.today:
        begun = home.at(clock.day_start(first, home.zone))
        if set(begun.garden.basins) >= set(home.garden.basins) and begun.state.shares():
            then = begun.state, begun.garden
    return household_scenario(home.state, home.garden, home.now, days=days, weather=weather, first=first, then=then)


def first_day(typed: str | None) -> date | None:
    """The day that a rehearsal begins on, as typed. Raises BadInput."""
    if typed is None or not typed.strip():
        return None
    try:
        return date.fromisoformat(typed.strip())
    except ValueError:
        raise BadInput(f"“{typed.strip()[:40]}” is not a date; use one like 2025-01-31.") from None


def series(home: Household, path: Path, days: int, first: date | None = None) -> dict[date, tuple[float, float]]:
    """(ETo, rain) [mm] for the days from `first` (None: today) on, taken from a weather file: those very days where
    it holds the first of them, else from the same day of the year on.

    Raises BadInput when the file has no temperatures or does not reach past that day.
    """
    from gwlog.files import read_whole
    from gwlog.importers.weather import LARGEST, read_days
    from gwlog.state import Weather
    from gwlog.water.weather import Sky

    content = read_whole(path, LARGEST, "a file of daily weather is accepted")
    measured = {day: Weather(_si(found.rain_um), _si(found.tmin_mdegc), _si(found.tmax_mdegc))
                for day, found in read_days(content, home).items()}
    begins = first or home.garden.today
    start = begins if begins in measured else next(
        (day for day in sorted(measured) if (day.month, day.day) == (begins.month, begins.day)), None)
    if start is None:
        raise BadInput(f"{path.name} holds no {clock.short_day(begins, home.system)}, "
                       "the day of the year from which the rehearsal runs.")
    site = home.state.site
    sky = Sky(home.garden.climate, measured, site.latitude_udeg / 1e6 if site else 0.0)
    last = max(measured)
    made = {}
    for number in range(days):
        day = start + timedelta(days=number)
        if day > last:
            break
        weather = sky.day(day)
        made[begins + timedelta(days=number)] = (weather.eto_mm, weather.rain_mm)
    return made


def _si(small: int | None) -> float | None:
    return None if small is None else small / 1000.0
