"""What looks wrong in the water's data: told with the entry and a way out, never raised.

One line per kind of oddity and basin, naming its first entry and how many more there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta

from gwlog.actions import Action, Hint, Words
from gwlog.clock import echo_date, echo_day, local_day
from gwlog.history import known
from gwlog.journal.facts import Basin, Site
from gwlog.reference.climate import ETO_ZONES
from gwlog.reference.codes import OFFERED, refused
from gwlog.reference.soils import SOILS, TEXTURES
from gwlog.state import LoadRun, Problem, State, Weather, known_weather
from gwlog.text import listed, one_line
from gwlog.units import Reader
from gwlog.water.basin import in_use
from gwlog.water.before import before_of
from gwlog.water.growth import SLOWEST_SOIL, growth_of
from gwlog.water.weather import Climate, DayWeather, Sky

ODD_SUM_DAYS = 60
ODD_SUM_TIMES = 2.0
ODD_SUM_LEAST_MM = 30.0
"""Rain of so many days that is more than so many times their normal is odd, where the normal is at least so much.
Working assumptions."""

WET_DAYS_ONLY = 5
"""So many logged days with rain and none without, while nobody has said what the others had, are the habit of writing
down wet days alone. Working assumption."""

MEASURED_WITHIN, TOLD_FORECASTS = timedelta(days=4), timedelta(days=14)
"""How long measurements may take to come in before an elapsed forecast is told, and for how long it is told. Working
assumption: archives of weather are two to five days late."""

LOOKED_BACK_DAYS = 400
"""How far back odd sums of rain are looked for: an older one has left the balance."""


def oddities(state: State, sky: Sky, starts: Mapping[str, date], now: datetime) -> Iterator[Problem]:
    """Yield the problems of the site, its basins, deliveries, outlets and weather at `now`.

    `starts`: the day on which each basin's balance starts.
    """
    yield from _site(state, sky.climate)
    for basin in state.active_basins().values():
        yield from _basin(basin)
    yield from _deliveries(state, starts, now)
    yield from _outlets(state)
    yield from _soil_readings(state)
    yield from _weather(state)
    yield from _elapsed(state, local_day(now, state.zone))
    yield from _gauges(state, sky)
    yield from _odd_sum(state, sky, local_day(now, state.zone))
    yield from _counted_twice(state, sky, local_day(now, state.zone))


def _site(state: State, climate: Climate) -> Iterator[Problem]:
    site = state.site
    if site is None:
        if state.basins:
            yield Problem(0, "No site is described: its climate, time zone and code are guesses.",
                          Hint("Describe it in a site file: ", Action("setup apply", file="SITE.toml")))
        return
    if (wrong := refused(site.code)) is not None:
        yield Problem(site.id, f"The site's code “{site.code}” is not offered: {wrong}",
                      f"Choose one of: {', '.join(OFFERED)}.")
    elif site.code not in OFFERED:
        yield Problem(site.id, f"The site's code “{site.code}” is not among the profiles; the strictest common "
                      "rules are used.", f"Choose one of: {', '.join(OFFERED)}.")
    yield from _damaged(site)
    if not climate.eto_given:
        what = "no climate" if site.eto_zone is None else f"the evapotranspiration zone {site.eto_zone}"
        yield Problem(site.id, f"The setup states {what}: evapotranspiration is estimated from the latitude.",
                      f"Give eto_zone (1 to {len(ETO_ZONES)}) or monthly_eto under climate in the site file.")


def _damaged(site: Site) -> Iterator[Problem]:
    """What was kept with the site and cannot be read: it is passed over, and said."""
    if site.system_answers:
        from gwlog.reference.codes import system

        for line in system.damaged(site.system_answers):
            key = line.partition(": ")[0]
            yield Problem(site.id, f"The site's answer “{one_line(line)[:60]}” cannot be read; it is passed over.",
                          f"Give {key} under system in the site file: a whole number is accepted.")
    if site.local_rules:
        from gwlog.reference.codes import local_rules

        for line in local_rules.damaged(site.local_rules):
            yield Problem(site.id, f"A rule of the place cannot be read; it does not bind: “{one_line(line)[:80]}”.",
                          "Write it again under local_rule in the site file.")
    if site.as_built:
        from gwlog.reference import as_built

        for line in as_built.damaged(site.as_built):
            yield Problem(site.id, f"What was stated of how the system was built cannot be read; it is passed over: "
                          f"“{one_line(line)[:80]}”.", "Write it again in the site file.")


def _basin(basin: Basin) -> Iterator[Problem]:
    if basin.soil not in SOILS:
        yield Problem(basin.id, f"“{basin.name}” has the soil “{basin.soil}”, which is not in the code's table; "
                      f"“{SLOWEST_SOIL.name}” is used.", f"Choose one of: {', '.join(SOILS)}.")
    if basin.texture and basin.texture not in TEXTURES:
        yield Problem(basin.id, f"“{basin.name}” has the texture “{basin.texture}”, which is not in the table; "
                      "the soil's usual texture is used.", f"Choose one of: {', '.join(TEXTURES)}.")
    spec = growth_of(basin, 0.0).size_on(basin.started)
    if basin.start_deficit_ml is not None and basin.start_deficit_ml / 1000.0 > spec.taw_l:
        yield Problem(basin.id, f"“{basin.name}” starts with {basin.start_deficit_ml / 1000.0:.0f} L missing, "
                      f"more than its root zone holds ({spec.taw_l:.0f} L); the lower one is used.",
                      "Correct deficit_l in the site file.")


def astray(state: State, starts: Mapping[str, date], now: datetime) -> dict[tuple[str, str], list[int]]:
    """Return the loads whose water went where the balance does not know it: the kind and the basin -> their numbers."""
    found: dict[tuple[str, str], list[int]] = {}
    changes = {name: [(basin.happened_at, basin.active) for basin in history]
               for name, history in state.basin_history.items()}
    before = before_of(state)
    loads: Sequence[LoadRun] = state.loads
    if before is not None and all(starts.get(name) == day for name, day in before.starts.items()) and \
            all(name in before.starts or state.basin_history[name][0].happened_at >= before.moment for name in starts):
        loads = known(state.loads)
        found = {key: [first] * count for key, (first, count) in before.astray.items()}
    for load in loads:
        for delivery in load.deliveries:
            history = state.basin_history.get(delivery.basin)
            if delivery.at > now:
                continue
            if history is None:
                kind = "unknown"
            elif delivery.day < starts.get(delivery.basin, date.min):
                kind = "early"
            elif not in_use(changes[delivery.basin], delivery.at):
                kind = "retired"
            else:
                continue
            found.setdefault((kind, delivery.basin), []).append(delivery.load_id)
    return found


def _deliveries(state: State, starts: Mapping[str, date], now: datetime) -> Iterator[Problem]:
    for (kind, name), ids in astray(state, starts, now).items():
        more = f" and {len(ids) - 1} more" if len(ids) > 1 else ""
        if kind == "unknown":
            text = f"Load {ids[0]}{more} went to “{name}”, which is not described."
            way: Words = "Describe the basin, or correct where the outlet was."
        elif kind == "early":
            text = (f"Load {ids[0]}{more} went to “{name}” before its balance starts "
                    f"({echo_date(starts[name], state.zone.system)}): that water is not in the balance.")
            way = Hint(f"Correct the load's time, or give “{name}” an earlier start: ",
                       Action("correct", number=ids[0]))
        else:
            text = f"Load {ids[0]}{more} went to “{name}” while that basin was retired."
            way = Hint("Log the missing move of the outlet, or correct the load: ",
                       Action("correct", number=ids[0]))
        yield Problem(ids[0], text, way)


def _outlets(state: State) -> Iterator[Problem]:
    active = state.active_basins()
    for name, outlet in state.active_outlets().items():
        place = state.outlet_at.get(name)
        if place is not None and place.basin in state.basins and place.basin not in active:
            yield Problem(outlet.id, f"The outlet “{name}” is at “{place.basin}”, which is retired.",
                          Hint("Move it and log the move: ", Action("move", outlet=name, basin="BASIN")))


def _soil_readings(state: State) -> Iterator[Problem]:
    """Readings of which SAR or boron do not count: see water.soil_salt.measured."""
    for name, readings in state.soil_readings.items():
        found = [one for one in readings if one.not_of_paste]
        if found:
            more = f" and {len(found) - 1} more" if len(found) > 1 else ""
            yield Problem(found[0].id, f"Soil reading {found[0].id}{more} of “{name}” gives the "
                          f"{listed(found[0].not_of_paste)} of a {found[0].extract} extract, which is not a saturated "
                          "paste's: only the rest of it counts.",
                          Hint("Withdraw it, and log it again with ESP or without: ",
                               Action("withdraw", number=found[0].id, note="another extract")))


def _weather(state: State) -> Iterator[Problem]:
    before = before_of(state)
    odd = [] if before is None else list(before.odd_weather)
    odd += ((day, one.tmin_c, one.tmax_c) for day, one in sorted(state.weather.known_items().items())
            if one.tmin_c is not None and one.tmax_c is not None and one.tmin_c > one.tmax_c)
    for day, low, high in odd:
        yield Problem(0, f"On {day.isoformat()} the lowest temperature ({low:.1f} °C) is above the highest "
                      f"({high:.1f} °C); that day takes the normal evapotranspiration.",
                      "Log that day's temperatures again, the right way round.")


def _elapsed(state: State, today: date) -> Iterator[Problem]:
    """Forecasts of days that are over and of which nothing was measured: they do not count any more."""
    if state.site is not None and state.site.rain is not None:
        return   # it was said what a day without an entry had
    late = [day for day in sorted(state.forecasts) if MEASURED_WITHIN < today - day <= TOLD_FORECASTS
            and (known_weather(state, day) or Weather()).rain_mm is None
            and state.forecasts[day].weather.rain_mm is not None]
    if late:
        days = f"{echo_date(late[0], state.zone.system)}" + (f" and {len(late) - 1} more" if len(late) > 1 else "")
        yield Problem(0, f"Rain was forecast for {days} and none was measured; a forecast does not count once its day "
                      "is over, so the usual rain counts instead.",
                      Hint("Say what fell: ", Action("rain", amount="AMOUNT", at="DAY")))


def _reader(state: State) -> Reader:
    return Reader("metric" if state.site is not None and state.site.units == "metric" else "us")


def _gauges(state: State, sky: Sky) -> Iterator[Problem]:
    read = _reader(state)
    before = before_of(state)
    for gauge, held in (*(() if before is None else before.uncounted), *sky.uncounted):
        span = f"{echo_day(gauge.first, state.zone.system)} to {echo_date(gauge.last, state.zone.system)}"
        yield Problem(gauge.entry_id, f"The gauge's total of {span} is {read.rain(gauge.rain_mm)}, while the rain "
                      f"logged for these days comes to {read.rain(held)}; the days keep their own.",
                      Hint("Correct the total, or a day that is wrong: ", Action("correct", number=gauge.entry_id)))


def _odd_sum(state: State, sky: Sky, today: date) -> Iterator[Problem]:
    """The stretch of days whose rain goes farthest beyond the usual, if it goes far enough to be a slip."""
    back = timedelta(days=LOOKED_BACK_DAYS)
    logged = [day for day, weather in state.weather.since(today - back).items() if weather.rain_mm is not None]
    logged += [gauge.last for gauge in state.gauges.newest_first(today - back) if gauge.last >= today - back]
    if not logged:
        return
    first = min(logged) - timedelta(days=ODD_SUM_DAYS - 1)
    days = [first + timedelta(days=number) for number in range((today - first).days + 1)]
    believed, usual = [sky.day(day) for day in days], [sky.usual(day)[1] for day in days]
    had = normal = beyond = 0.0
    worst: int | None = None
    for number, (one, norm) in enumerate(zip(believed, usual, strict=True)):
        had, normal = had + one.rain_mm, normal + norm
        if number >= ODD_SUM_DAYS:
            had -= believed[number - ODD_SUM_DAYS].rain_mm
            normal -= usual[number - ODD_SUM_DAYS]
        if number >= ODD_SUM_DAYS - 1 and normal >= ODD_SUM_LEAST_MM and had > ODD_SUM_TIMES * normal \
                and had / normal > beyond:
            beyond, worst = had / normal, number
    if worst is not None:
        start = worst - ODD_SUM_DAYS + 1
        yield _told_sum(state, days[start], believed[start:worst + 1], sum(usual[start:worst + 1]))


def _told_sum(state: State, first: date, believed: Sequence[DayWeather], normal: float) -> Problem:
    read, last = _reader(state), first + timedelta(days=len(believed) - 1)
    filled = sum(not one.rain_measured for one in believed)
    text = (f"From {echo_day(first, state.zone.system)} to {echo_date(last, state.zone.system)} the balance has "
            f"{read.rain(sum(one.rain_mm for one in believed))} of rain, more than twice the usual {read.rain(normal)}")
    if filled:
        return Problem(state.site.id if state.site else 0, f"{text}; {filled} of these {len(believed)} days have no "
                       "entry and take the usual rain besides.",
                       Hint("If rain is logged whenever it falls, say so in the setup, rain = “as logged”: ",
                            Action("setup apply", file="SITE.toml")))
    return Problem(0, f"{text}.", Hint("It may have been so; or an amount was typed in the wrong unit, or twice: ",
                                       Action("entries", kind="weather day")))


def _counted_twice(state: State, sky: Sky, today: date) -> Iterator[Problem]:
    """Where only wet days are written down, the usual rain of the days between comes on top of what fell."""
    if state.site is None or state.site.rain is not None:
        return
    days = [today - timedelta(days=number) for number in range(ODD_SUM_DAYS)]
    logged = [weather.rain_mm for day in days if (weather := state.weather.get(day)) is not None
              and weather.rain_mm is not None]
    besides = sum(sky.usual(day)[1] for day in days if not sky.day(day).rain_measured)
    if len(logged) >= WET_DAYS_ONLY and min(logged) > 0.0 and besides >= ODD_SUM_LEAST_MM:
        read = _reader(state)
        yield Problem(state.site.id, f"Of the last {ODD_SUM_DAYS} days {len(logged)} are logged with rain "
                      f"({read.rain(sum(logged))}) and none without; the others take the usual rain besides, "
                      f"{read.rain(besides)}. If nothing fell on them, that much too much is in the balance.",
                      Hint("Say in the setup what a day without an entry had, rain = “as logged” or “normals where not "
                           "logged”: ", Action("setup apply", file="SITE.toml")))
