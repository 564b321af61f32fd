"""Whether the ground is soaked or frozen, by what was seen, by rain and by cold: the rule of the caution “wet ground”.

Verdict, plan, reminders, cautions and the record all ask here.
"""

from __future__ import annotations

from datetime import date, timedelta

from gwlog.clock import echo_day
from gwlog.journal.facts import Observation
from gwlog.state import State, Weather, known_weather
from gwlog.units import Reader, show

SOAKING_RAIN_MM = 13.0
"""Rain of today and yesterday together from which the ground counts as soaked [mm]: half an inch. Assumption."""

FREEZING_TMAX_C = 0.0
FREEZING_TMIN_C = -3.0
"""A day that stays at or below the first, or a night down to the second, counts as frozen ground. Assumptions."""

DIVERT_WHILE_RAINING = frozenset({"au-wa", "generic"})
"""Profiles that send the water to the sewer when it rains at all (Western Australia greywater code 2010, read)."""

DRIZZLE_MM = 1.0
"""Rain of a day that is no rain for those profiles [mm]. Working assumption."""

WET_SOURCE = "Western Australia greywater code 2010 and WAC 246-274 (read); half an inch is a working assumption"
FROST_SOURCE = "common practice of the trade; the temperatures are working assumptions"


def seen_open(state: State, observed: str) -> Observation | None:
    """What was seen of this kind and is not resolved, None where nothing was."""
    return next((seen for seen in state.open_observations() if seen.observed == observed), None)


def soaked(state: State, day: date, read: Reader, *, code: str | None = None) -> str | None:
    """Why the ground counts as soaked on a local day, by what was seen or by measured rain; None if it does not."""
    seen = seen_open(state, "soaked ground")
    if seen is not None:
        return f"Soaked ground was seen{f' at {seen.basin}' if seen.basin else ''} and is not resolved."
    return soaked_by_rain(state, day, read, code=code)


def soaked_by_rain(state: State, day: date, read: Reader, *, code: str | None = None) -> str | None:
    """The same by rain alone. What was typed for the day itself counts although the day is not over."""
    return rain_soaks(known_weather(state, day), known_weather(state, day - timedelta(days=1)), read, code=code)


def rain_soaks(day: Weather | None, before: Weather | None, read: Reader, *, code: str | None = None) -> str | None:
    """Why the ground counts as soaked by the measured rain of a day and of the day before it."""
    today = _rain(day)
    total = today + _rain(before)
    if total >= SOAKING_RAIN_MM:
        return f"{read.rain(total)} of rain fell since yesterday; the ground is soaked."
    if today > DRIZZLE_MM and code in DIVERT_WHILE_RAINING:
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


def frozen_by_cold(state: State, day: date, read: Reader) -> str | None:
    """The same by the temperatures of that day and the one before alone."""
    return cold_freezes(day, state.weather.get(day), state.weather.get(day - timedelta(days=1)), read)


def cold_freezes(day: date, measured_then: Weather | None, before: Weather | None, read: Reader) -> str | None:
    """Why the ground counts as frozen by the measured temperatures of `day` and of the day before it."""
    for when, measured in ((day, measured_then), (day - timedelta(days=1), before)):
        if measured is None:
            continue
        if measured.tmax_c is not None and measured.tmax_c <= FREEZING_TMAX_C:
            return f"It stayed at or below freezing on {echo_day(when)}; the ground does not take water."
        if measured.tmin_c is not None and measured.tmin_c <= FREEZING_TMIN_C:
            return f"It went down to {_degrees(measured.tmin_c, read)} on {echo_day(when)}; the ground may be frozen."
    return None


def _degrees(celsius: float, read: Reader) -> str:
    return show(celsius, "temperature", read.system)
