"""Whether the ground is soaked or frozen, by what was seen, by rain and by cold: the rule of the caution “wet ground”.

Verdict, plan, reminders, cautions, manual and the record all ask here. Measured temperatures win; without them the
climate's monthly means carry the frost index.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from gwlog.clock import echo_day, local_day
from gwlog.history import Lookup
from gwlog.journal.facts import Observation
from gwlog.state import LoadRun, State, Weather, believed_weather, known_weather
from gwlog.units import Reader, show
from gwlog.values import replace
from gwlog.water.before import FrostStart, before_of

if TYPE_CHECKING:
    from gwlog.water.frost import Frost

SOAKING_RAIN_MM = 13.0
"""Rain of today and yesterday together from which the ground counts as soaked [mm]: half an inch. Assumption."""

FREEZING_TMAX_C = 0.0
FREEZING_TMIN_C = -3.0
"""A day that stays at or below the first, or a night down to the second, counts as frozen ground. Assumptions."""

DRIZZLE_MM = 1.0
"""Rain of a day that is no rain for profiles that send it to the sewer when it rains [mm]. Working assumption."""

WET_SOURCE = "Western Australia greywater code 2010 and WAC 246-274 (both from memory); half an inch is a working " \
             "assumption"
FROST_SOURCE = "Molnau and Bissell 1983, continuous frost index (read in the USGS Soil-Water-Balance code); a " \
               "single frosty day by common practice of the trade, its temperatures are working assumptions"


def seen_open(state: State, observed: str) -> Observation | None:
    """What was seen of this kind and is not resolved, None where nothing was."""
    return next((seen for seen in state.open_observations() if seen.observed == observed), None)


def soaked(state: State, day: date, read: Reader, *, when_raining: bool = False) -> str | None:
    """Why the ground counts as soaked on a local day, by what was seen or by measured rain; None if it does not."""
    seen = seen_open(state, "soaked ground")
    if seen is not None:
        return f"Soaked ground was seen{f' at {seen.basin}' if seen.basin else ''} and is not resolved."
    return soaked_by_rain(state, day, read, when_raining=when_raining)


def soaked_by_rain(state: State, day: date, read: Reader, *, when_raining: bool = False,
                   as_expected: bool = False) -> str | None:
    """The same by rain alone. What was typed for the day itself counts although the day is not over.

    `as_expected`: by what was forecast of the day, although it is over.
    """
    return rain_soaks(known_weather(state, day, as_expected=as_expected), known_weather(state, day - timedelta(days=1)),
                      read, when_raining=when_raining)


def rain_soaks(day: Weather | None, before: Weather | None, read: Reader, *, when_raining: bool = False) -> str | None:
    """Why the ground counts as soaked by the measured rain of a day and of the day before it."""
    today = _rain(day)
    total = today + _rain(before)
    if total >= SOAKING_RAIN_MM:
        return f"{read.rain(total)} of rain fell since yesterday; the ground is soaked."
    if today > DRIZZLE_MM and when_raining:
        return f"{read.rain(today)} of rain today; the code sends the water to the sewer when it rains."
    return None


def _rain(measured: Weather | None) -> float:
    return (measured.rain_mm or 0.0) if measured is not None else 0.0


def frozen(state: State, day: date, read: Reader) -> str | None:
    """Why the ground counts as frozen on a local day, by what was seen or measured; None if it does not."""
    seen = seen_open(state, "frozen ground")
    if seen is not None:
        return f"Frozen ground was seen{f' at {seen.basin}' if seen.basin else ''} and is not resolved."
    return frozen_by_cold(state, day, read)


def frozen_by_cold(state: State, day: date, read: Reader, *, as_expected: bool = False) -> str | None:
    """The same by the temperatures of that day and the one before, else by the frost index of the year before it.

    `as_expected`: by what was forecast of the day, although it is over.
    """
    cold = cold_freezes(day, believed_weather(state, day, as_expected=as_expected),
                        believed_weather(state, day - timedelta(days=1)), read)
    return cold or index_freezes(frost_on(state, day))


def frost_on(state: State, day: date) -> Frost | None:
    """The frost index of a local day; None where no temperature is known that could freeze the ground."""
    global _reckoned
    known = next((found for of, found in _reckoned if of is state), None)
    if known is None:
        known = {}
        _reckoned = ((state, known), *_reckoned[:MOST_RECKONED - 1])
    if day not in known:
        first, last = day - AROUND, day + AROUND
        around = (first + timedelta(days=n) for n in range((last - first).days + 1))
        # in one go: another thread may ask meanwhile
        known.update({**dict.fromkeys(around), **frost_between(state, first, last)})
    return known[day]


AROUND = timedelta(days=30)
"""Who asks of one day asks of those around it: they are reckoned together."""

MOST_RECKONED = 4
_reckoned: tuple[tuple[State, dict[date, Frost | None]], ...] = ()
"""What was reckoned of the states looked at last; a state that was folded does not change."""


def frost_between(state: State, first: date, last: date, start: FrostStart | None = None) -> dict[date, Frost]:
    """The frost index of each local day; empty where no temperature is known that could freeze the ground.

    It begins anew when frozen ground that was seen is over. `start`: how it stood on the day before `first`.
    """
    from gwlog.water.frost import CARRIED_DAYS, carried
    from gwlog.water.weather import sky_of

    if not any(min(site.monthly_tmean_mdegc) < 0 for site in state.sites if site.monthly_tmean_mdegc):
        back = CARRIED_DAYS if start is None else 0
        days = (first + timedelta(days=number) for number in range(-back, (last - first).days + 1))
        if not (start is not None and start.froze) and not any(
                freezing(believed_weather(state, day)) for day in days):
            return {}
    return dict(carried(sky_of(state, first), first, last, thawed_on(state),
                        None if start is None else (start.degree_days, start.lately)))


def thawed_on(state: State) -> set[date]:
    """The local days on which frozen ground that was seen was over."""
    resolved = state.resolved.known_items()
    return {local_day(resolved[seen.id].happened_at, state.zone) for seen in state.observations.known_values()
            if seen.observed == "frozen ground" and seen.id in resolved}


def freezing(measured: Weather | None) -> bool:
    low, high = (None, None) if measured is None else (measured.tmin_c, measured.tmax_c)
    return low is not None and high is not None and low + high < 0.0


def index_freezes(frost: Frost | None) -> str | None:
    """Why the ground counts as frozen by the frost index alone."""
    from gwlog.water.frost import FROZEN_ABOVE

    if frost is None or frost.degree_days <= FROZEN_ABOVE:
        return None
    return f"By {_told_by(frost)} the ground is frozen: the frost index stands at {frost.degree_days:.0f}, and above " \
           f"{FROZEN_ABOVE:.0f} the ground takes no water."


def _told_by(frost: Frost) -> str:
    return "the temperatures of the last weeks" if frost.measured else "the usual temperatures of the season"


def may_be_frozen(state: State, day: date, read: Reader) -> str | None:
    """A caution where the ground is not known to be frozen, but may be; None where nothing speaks for it."""
    if frozen(state, day, read) is not None or (frost := frost_on(state, day)) is None:
        return None
    from gwlog.water.frost import FROZEN_ABOVE, THAWED_BELOW

    if frost.degree_days >= THAWED_BELOW:
        return f"By {_told_by(frost)} the ground may be frozen: the frost index stands at " \
               f"{frost.degree_days:.0f}, between {THAWED_BELOW:.0f} and {FROZEN_ABOVE:.0f}. {LOOK_FIRST}"
    usual = _usual_mean(state, day)
    if frost.measured == 0 and usual is not None and usual < 0.0:
        return f"In {day:%B} the usual mean is {_degrees(usual, read)}, below freezing, and no temperatures are " \
               f"imported. {LOOK_FIRST}"
    return None


LOOK_FIRST = "Look before a load goes out; where the ground is frozen, log it as seen and send the wash to the sewer."


def _usual_mean(state: State, day: date) -> float | None:
    from gwlog.water.weather import sky_of

    means = sky_of(state, day).climate_on(day).monthly_tmean_c
    return None if means is None else means[day.month - 1]


class FrozenThen:
    """Whether the ground counted as frozen when past loads ran, reckoned once for all of them."""

    def __init__(self, state: State, read: Reader, *, at_hand: bool = False) -> None:
        self._state, self._read = state, read
        self._usually = replace(state, weather=Lookup(), forecasts={})
        self._index: dict[date, Frost] | None = None
        self._before = before_of(state) if at_hand else None

    def at(self, run: LoadRun) -> str | None:
        """Why, by what was known when the load ran: the days' temperatures, or the usual ones.

        The index counts where temperatures of the day were known by then, or where the usual ones freeze the ground
        too: what was imported afterwards is not held against anybody.
        """
        day, before = run.weather
        cold = cold_freezes(run.day, day, before, self._read)
        if cold is not None:
            return cold
        if self._index is None:
            self._index = self._of_loads()
        words = index_freezes(self._index.get(run.day))
        if words is None or any(one is not None and one.tmin_c is not None for one in (day, before)):
            return words
        return words if self._usual(run.day) else None

    def _of_loads(self) -> dict[date, Frost]:
        from gwlog.water.frost import Frost

        before, loads = self._before, self._state.loads
        days = [one.day for one in (loads if before is None else loads.known)]
        if before is None or before.frost is None:
            return frost_between(self._state, min(days), max(days)) if days else {}
        known = frost_between(self._state, before.day, max(days), before.frost) if days else {}
        known.update({one.run.day: Frost(*one.frost) for one in before.judged if one.frost is not None})
        return known

    def _usual(self, day: date) -> bool:
        return index_freezes(frost_on(self._usually, day)) is not None


def cold_freezes(day: date, measured_then: Weather | None, before: Weather | None, read: Reader) -> str | None:
    """Why the ground counts as frozen by the measured temperatures of `day` and of the day before it."""
    for when, measured in ((day, measured_then), (day - timedelta(days=1), before)):
        if measured is None:
            continue
        if measured.tmax_c is not None and measured.tmax_c <= FREEZING_TMAX_C:
            return f"It stayed at or below freezing on {echo_day(when, read.system)}; the ground does not take water."
        if measured.tmin_c is not None and measured.tmin_c <= FREEZING_TMIN_C:
            return f"It went down to {_degrees(measured.tmin_c, read)} on " \
                   f"{echo_day(when, read.system)}; the ground may be frozen."
    return None


def _degrees(celsius: float, read: Reader) -> str:
    return show(celsius, "temperature", read.system)
