"""What a weather file does not say and a person is asked: each reading, what it would mean, and the month's normal.

The normals only help to choose; they prove nothing.
"""

from __future__ import annotations

import calendar
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from gwlog.actions import Argument, Hint
from gwlog.errors import SeveralFaults
from gwlog.importers.weather_units import Unit
from gwlog.text import plural
from gwlog.units import System, show
from gwlog.water.evapotranspiration import hargreaves
from gwlog.water.weather import Sky

ODD_DEGREES = 12.0
"""How far a month's mean may be from its normal before that is told [degC]. Working assumption."""
ODD_SHARE = 2.5
"""How many times a month's evaporation may be over or under its normal before that is told. Working assumption."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: what is typed behind the option, and its meaning in words."""

    value: str
    words: str


class Question(SeveralFaults):
    """Something that a file does not prove. `option`: units, format or station; `choices`: what can be answered."""

    def __init__(self, message: str, option: str, choices: Sequence[Choice]) -> None:
        lines = [f"--{option} {one.value}: {one.words}" for one in choices]
        first = Argument(option, choices[0].value) if choices else Argument(option)
        super().__init__(message, lines, hint=Hint("Say which, like ", first, "."))
        self.option = option
        self.choices = tuple(choices)


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures of one kind as they stand in the file: day, what it is, number."""

    rows: Sequence[tuple[date, str, float]]

    def month(self) -> tuple[int, int]:
        """The year and month with the most figures."""
        return Counter((day.year, day.month) for day, _, _ in self.rows).most_common(1)[0][0]

    def of_month(self, what: str, unit: Unit) -> dict[date, float]:
        """That month's figures of one kind by day [mm, degC]; a day's first figure where it has several."""
        year, month = self.month()
        found: dict[date, float] = {}
        for day, kind, number in self.rows:
            if kind == what and (day.year, day.month) == (year, month):
                found.setdefault(day, unit.value(number))
        return found


def reading(figures: Figures, rain: Unit | None, temperature: Unit | None, sky: Sky, system: System) -> str:
    """What a reading of the file means in its best known month, in the household's units."""
    year, month = figures.month()
    parts = []
    if temperature is not None:
        lows, highs = figures.of_month("low", temperature), figures.of_month("high", temperature)
        highs = highs or figures.of_month("temp", temperature)
        told = [f"{name} {_degrees(sum(values.values()) / len(values), system)}"
                for name, values in (("highest", highs), ("lowest", lows)) if values]
        if told:
            parts.append(f"{' and '.join(told)} on the mean")
        drawn = evaporation(lows, highs, sky)
        if drawn is not None:
            parts.append(f"which evaporates {_depth(drawn, system)} a day")
    if rain is not None:
        amounts = figures.of_month("rain", rain)
        if any(amounts.values()):
            parts.append(f"{_depth(sum(amounts.values()), system)} of rain on {plural(len(amounts), 'day')}")
    return f"{calendar.month_name[month]} {year}: {', '.join(parts)}" if parts else ""


def normal(figures: Figures, sky: Sky, system: System) -> str:
    """What that month usually is here, as far as the household's climate says."""
    year, month = figures.month()
    climate = sky.climate_on(date(year, month, 1))
    parts = []
    if climate.monthly_tmean_c is not None:
        parts.append(f"a mean of {_degrees(climate.monthly_tmean_c[month - 1], system)}")
    eto, rain = sky.usual(date(year, month, 1))
    parts.append(f"{_depth(eto, system)} of evaporation a day")
    if climate.rain_given:
        parts.append(f"{_depth(rain * calendar.monthrange(year, month)[1], system)} of rain")
    return f"{calendar.month_name[month]} here usually has {', '.join(parts)}."


def evaporation(lows: Mapping[date, float], highs: Mapping[date, float], sky: Sky) -> float | None:
    """The mean reference evapotranspiration of the days that have both temperatures [mm/day] (FAO-56 eq. 52)."""
    both = [day for day in lows if day in highs and lows[day] <= highs[day]]
    if not both:
        return None
    return sum(hargreaves(lows[day], highs[day], sky.era_on(day).latitude_deg, day.timetuple().tm_yday)
               for day in both) / len(both)


def doubts(lows: Mapping[date, float], highs: Mapping[date, float], sky: Sky, system: System) -> list[str]:
    """What does not look like the climate here, for the month that differs most. It warns and never proves."""
    worst: tuple[float, str] | None = None
    for year, month in sorted({(day.year, day.month) for day in lows if day in highs}):
        few = {day: low for day, low in lows.items() if (day.year, day.month) == (year, month) and day in highs}
        name = f"{calendar.month_name[month]} {year}"
        means = sky.climate_on(date(year, month, 1)).monthly_tmean_c
        mean = sum((low + highs[day]) / 2 for day, low in few.items()) / len(few)
        if means is not None:
            apart = abs(mean - means[month - 1]) / ODD_DEGREES
            words = (f"{name} has a mean of {_degrees(mean, system)} in this file, usually it is "
                     f"{_degrees(means[month - 1], system)} here")
        else:
            drawn, usual = evaporation(few, highs, sky), sky.usual(date(year, month, 1))[0]
            if drawn is None or usual < 1.0:
                continue
            apart = max(max(drawn, 0.05) / usual, usual / max(drawn, 0.05)) / ODD_SHARE
            words = (f"{name} would evaporate {_depth(drawn, system)} a day by this file's temperatures, usually it is "
                     f"{_depth(usual, system)} here")
        if apart > 1.0 and (worst is None or apart > worst[0]):
            worst = apart, words
    return [] if worst is None else [f"Check: {worst[1]}. Are place and units right?"]


def _degrees(celsius: float, system: System) -> str:
    return show(celsius, "temperature", system)


def _depth(mm: float, system: System) -> str:
    return show(mm, "rain", system)
