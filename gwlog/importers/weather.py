"""From a weather file to facts: what the logbook does not hold yet, days that are over as measured, others as forecast.

How files are read stands in weather_reader; what each publisher's layout looks like in weather_layouts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from gwlog import clock, text
from gwlog.decisions.entry_limits import FORECAST_DAYS, weather_day
from gwlog.errors import BadInput
from gwlog.files import read_whole
from gwlog.household import Household
from gwlog.importers.weather_model import Asked, Day
from gwlog.importers.weather_question import doubts
from gwlog.importers.weather_reader import read_file
from gwlog.journal.facts import WeatherDay
from gwlog.state import Weather
from gwlog.water.weather import sky_of

LARGEST = 20_000_000
PREVIEW_ROWS = 5


@dataclass(frozen=True, slots=True)
class Month:
    """One month of a file: how many days it has of it, their rain [mm], mean low and high [degC]."""

    year: int
    month: int
    days: int
    rain_mm: float | None
    low_c: float | None
    high_c: float | None


@dataclass(slots=True)
class WeatherImport:
    """What an import would append, and what it left out.

    `differ`: days that the logbook holds with other figures; the file's count from then on, and what was logged before
    stays in the record. `forecasts`: how many of `days` are forecasts. `rows` and `months`: all that the file holds,
    for a look before it is taken.
    """

    days: list[WeatherDay] = field(default_factory=list)
    known: int = 0
    before: int = 0
    forecasts: int = 0
    elapsed: int = 0
    gaps: list[date] = field(default_factory=list)
    differ: list[date] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    rows: list[tuple[date, Weather]] = field(default_factory=list)
    months: list[Month] = field(default_factory=list)
    layout: str = ""

    @property
    def facts(self) -> list[WeatherDay]:
        """What is to be appended."""
        return self.days


@dataclass(frozen=True, slots=True)
class Answers:
    """What a person said beside the file: units, format, station, and whether unusable rows are left out."""

    units: str | None = None
    format: str | None = None
    station: str | None = None
    leave_out: bool = False


def read_weather_path(path: Path, home: Household, answers: Answers = Answers()) -> WeatherImport:
    """Read a file from disk, as read_weather() does; its name stands as each day's origin."""
    content = read_whole(path, LARGEST, "use a file of daily weather")
    return read_weather(content, home, answers, origin=text.one_line(path.name)[:60])


def read_weather(content: bytes, home: Household, answers: Answers = Answers(), *, origin: str
                 ) -> WeatherImport:
    """Read a file's bytes into weather days that differ from what the logbook holds.

    Raises Question where the file does not prove something, SeveralFaults with every unusable row unless they are to
    be left out, BadInput when no column can be used.
    """
    found = read_file(content, _asked(home, answers))
    result = WeatherImport(faults=found.faults, remarks=found.remarks, layout=found.layout.id)
    _summarize(found.days, result)
    lows = {day: one.values["low"] for day, one in found.days.items() if "low" in one.values}
    highs = {day: one.values["high"] for day, one in found.days.items() if "high" in one.values}
    result.remarks += doubts(lows, highs, sky_of(home.state, clock.local_day(home.now, home.zone)), home.system)
    _compare(found.days, home, origin, result)
    return result


def read_days(content: bytes, home: Household) -> dict[date, WeatherDay]:
    """Read a file's bytes as they are, without comparing them with the logbook; refusals as above."""
    return {day: _fact(day, one, home, "file", None)
            for day, one in read_file(content, _asked(home, Answers())).days.items()}


def _asked(home: Household, answers: Answers) -> Asked:
    sky = sky_of(home.state, clock.local_day(home.now, home.zone))
    return Asked(home.zone, home.now, home.system, sky, answers.units, answers.format, answers.station,
                 answers.leave_out)


def _summarize(days: dict[date, Day], result: WeatherImport) -> None:
    ordered = sorted(days)
    result.rows = [(day, _weather(days[day])) for day in ordered]
    for year, month in sorted({(day.year, day.month) for day in ordered}):
        mine = [one for day, one in result.rows if (day.year, day.month) == (year, month)]
        rain = [one.rain_mm for one in mine if one.rain_mm is not None]
        result.months.append(Month(
            year, month, len(mine), sum(rain) if rain else None,
            _mean(one.tmin_c for one in mine), _mean(one.tmax_c for one in mine)))


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None


def _weather(one: Day) -> Weather:
    return Weather(one.values.get("rain"), one.values.get("low"), one.values.get("high"))


def _fact(day: date, one: Day, home: Household, origin: str, made: datetime | None) -> WeatherDay:
    small = {what: round(value * 1000) for what, value in one.values.items()}
    empty = weather_day(day, home.now, home.zone, origin=origin)
    return replace(empty, rain_um=small.get("rain"), tmin_mdegc=small.get("low"), tmax_mdegc=small.get("high"),
                   forecast_made_at=None if made is None else _utc(made))


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def _compare(read: dict[date, Day], home: Household, origin: str, result: WeatherImport) -> None:
    """Keep what the logbook does not hold yet; count the rest and the days missing in between."""
    begins = clock.local_day(home.state.sites[0].happened_at, home.zone)
    today = clock.local_day(home.now, home.zone)
    farthest = today + timedelta(days=FORECAST_DAYS)
    beyond = [day for day in read if day > farthest]
    if beyond:
        raise BadInput(f"{min(beyond)} is more than {FORECAST_DAYS} days ahead; nothing was taken.",
                       hint="Check how the file writes its dates.")
    measured = []
    for day, one in sorted(read.items()):
        of_forecast = day >= today or (one.made is not None and day >= clock.local_day(one.made, home.zone))
        if day < begins:
            result.before += 1
        elif of_forecast and day < today:
            result.elapsed += 1
        else:
            made = min(one.made or home.now, home.now) if of_forecast else None
            _keep(_fact(day, one, home, origin, made), made, home, result)
            measured.append(day)
    if measured:
        between = [measured[0] + timedelta(days=n) for n in range((measured[-1] - measured[0]).days)]
        held = {*measured, *home.state.weather}
        result.gaps = [day for day in between if day not in held and day < today]


def _keep(found: WeatherDay, made: datetime | None, home: Household, result: WeatherImport) -> None:
    earlier = home.state.forecasts.get(found.day) if made is not None else None
    if earlier is not None and made is not None and earlier.made_at > made:
        result.known += 1   # the logbook has a later forecast
        return
    known = (earlier.weather if earlier is not None else Weather()) if made is not None else \
        home.state.weather.get(found.day, Weather())
    fresh = replace(found, rain_um=_unless_known(found.rain_um, known.rain_mm),
                    tmin_mdegc=_unless_known(found.tmin_mdegc, known.tmin_c),
                    tmax_mdegc=_unless_known(found.tmax_mdegc, known.tmax_c))
    if (fresh.rain_um, fresh.tmin_mdegc, fresh.tmax_mdegc) == (None, None, None):
        result.known += 1
        return
    result.days.append(fresh if made is None else found)
    result.forecasts += made is not None
    pairs = ((fresh.rain_um, known.rain_mm), (fresh.tmin_mdegc, known.tmin_c), (fresh.tmax_mdegc, known.tmax_c))
    if any(new is not None and old is not None for new, old in pairs):
        result.differ.append(found.day)


def _unless_known(found: int | None, known: float | None) -> int | None:
    return None if found is None or (known is not None and round(known * 1000) == found) else found
