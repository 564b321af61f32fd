"""What looks wrong in the water's data: told with the entry and a way out, never raised.

One line per kind of oddity and basin, naming its first entry and how many more there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime

from gwlog.actions import Action, Hint, Words
from gwlog.clock import echo_day
from gwlog.journal.facts import Basin
from gwlog.reference.climate import ETO_ZONES
from gwlog.reference.codes import PROFILES
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.state import Problem, State
from gwlog.water.growth import SLOWEST_SOIL, spec_of
from gwlog.water.weather import Climate


def oddities(state: State, climate: Climate, starts: Mapping[str, date], now: datetime) -> Iterator[Problem]:
    """Yield the problems of the site, its basins, deliveries, outlets and weather at `now`.

    `starts`: the day on which each basin's balance starts.
    """
    yield from _site(state, climate)
    for basin in state.active_basins().values():
        yield from _basin(basin)
    yield from _deliveries(state, starts, now)
    yield from _outlets(state)
    yield from _weather(state)


def _site(state: State, climate: Climate) -> Iterator[Problem]:
    site = state.site
    if site is None:
        if state.basins:
            yield Problem(0, "No site is described: its climate, time zone and code are guesses.",
                          Hint("Describe it in a site file: ", Action("setup apply", file="SITE.toml")))
        return
    if site.code not in PROFILES:
        yield Problem(site.id, f"The site's code “{site.code}” is not among the profiles; the strictest common "
                      "rules are used.", f"Choose one of: {', '.join(PROFILES)}.")
    if not climate.eto_given:
        what = "no climate" if site.eto_zone is None else f"the evapotranspiration zone {site.eto_zone}"
        yield Problem(site.id, f"The site states {what}: evapotranspiration is estimated from the latitude.",
                      f"Give eto_zone (1 to {len(ETO_ZONES)}) or monthly_eto under climate in the site file.")


def _basin(basin: Basin) -> Iterator[Problem]:
    if basin.soil not in SOILS:
        yield Problem(basin.id, f"“{basin.name}” has the soil “{basin.soil}”, which is not in the code's table; "
                      f"“{SLOWEST_SOIL.name}” is used.", f"Choose one of: {', '.join(SOILS)}.")
    if basin.texture and basin.texture not in TEXTURES:
        yield Problem(basin.id, f"“{basin.name}” has the texture “{basin.texture}”, which is not in the table; "
                      "the soil's usual texture is used.", f"Choose one of: {', '.join(TEXTURES)}.")
    spec = spec_of(basin)
    if basin.start_deficit_ml is not None and basin.start_deficit_ml / 1000.0 > spec.taw_l:
        yield Problem(basin.id, f"“{basin.name}” starts with a deficit of {basin.start_deficit_ml / 1000.0:.0f} L, "
                      f"more than its root zone holds ({spec.taw_l:.0f} L); the lower one is used.",
                      "Correct deficit_l in the site file.")


def _deliveries(state: State, starts: Mapping[str, date], now: datetime) -> Iterator[Problem]:
    found: dict[tuple[str, str], list[int]] = {}
    retired_since = {name: _changes(history) for name, history in state.basin_history.items()}
    for load in state.loads:
        for delivery in load.deliveries:
            history = state.basin_history.get(delivery.basin)
            if delivery.at > now:
                continue
            if history is None:
                kind = "unknown"
            elif delivery.day < starts.get(delivery.basin, date.min):
                kind = "early"
            elif not _active_at(retired_since[delivery.basin], delivery.at):
                kind = "retired"
            else:
                continue
            found.setdefault((kind, delivery.basin), []).append(delivery.load_id)
    for (kind, name), loads in found.items():
        more = f" and {len(loads) - 1} more" if len(loads) > 1 else ""
        if kind == "unknown":
            text = f"Load {loads[0]}{more} went to “{name}”, which is not described."
            way: Words = "Describe the basin, or correct where the outlet lay."
        elif kind == "early":
            text = (f"Load {loads[0]}{more} went to “{name}” before its balance starts "
                    f"({echo_day(starts[name])} {starts[name].year}): that water is not in the balance.")
            way = Hint(f"Correct the load's time, or give “{name}” an earlier start: ",
                       Action("correct", number=loads[0]))
        else:
            text = f"Load {loads[0]}{more} went to “{name}” while that basin was retired."
            way = Hint("Log the move of the outlet that is missing, or correct the load: ",
                       Action("correct", number=loads[0]))
        yield Problem(loads[0], text, way)


def _changes(history: list[Basin]) -> list[tuple[datetime, bool]]:
    return [(basin.happened_at, basin.active) for basin in history]


def _active_at(changes: list[tuple[datetime, bool]], at: datetime) -> bool:
    """Whether the basin was in use at `at`; before its first description it counts as in use."""
    active = True
    for since, in_use in changes:
        if since > at:
            break
        active = in_use
    return active


def _outlets(state: State) -> Iterator[Problem]:
    active = state.active_basins()
    for name, outlet in state.active_outlets().items():
        place = state.outlet_at.get(name)
        if place is not None and place.basin in state.basins and place.basin not in active:
            yield Problem(outlet.id, f"The outlet “{name}” lies at “{place.basin}”, which is retired.",
                          Hint("Move it and log the move: ", Action("move", outlet=name, basin="BASIN")))


def _weather(state: State) -> Iterator[Problem]:
    for day, weather in sorted(state.weather.items()):
        low, high = weather.tmin_c, weather.tmax_c
        if low is not None and high is not None and low > high:
            yield Problem(0, f"On {day.isoformat()} the lowest temperature ({low:.1f} °C) is above the highest "
                          f"({high:.1f} °C); that day takes the normal evapotranspiration.",
                          "Log that day's temperatures again, the right way round.")
