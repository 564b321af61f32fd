"""What is forecast counts until its day is over, for what is not measured; from then on it never counted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from gwlog.household import Household, look
from gwlog.journal.facts import WeatherDay
from gwlog.state import Forecast, Weather, believed_weather, fold, forecast_made_at
from tests.conftest import NOW, Runner

ZONE = "America/Los_Angeles"
DAY = timedelta(days=1)
TOMORROW = date(2026, 7, 15)


def said(day: date, at: datetime, made: str | None = None, number: int = 1, **values: int) -> WeatherDay:
    return WeatherDay(id=number, happened_at=at, zone=ZONE, day=day, forecast_made_at=made, **values)


def test_a_day_that_was_logged_before_it_began_is_a_forecast_whatever_the_layout_was() -> None:
    """Entries of earlier layouts have no such column: their moment says it."""
    ahead, late = said(TOMORROW, NOW, rain_um=1000), said(TOMORROW, NOW + DAY, rain_um=2000)
    assert forecast_made_at(ahead) == NOW and forecast_made_at(late) is None
    state = fold([ahead, late], until=NOW + DAY)
    assert state.weather == {TOMORROW: Weather(2.0)} and state.forecasts[TOMORROW] == Forecast(NOW, Weather(1.0))


def test_the_forecast_made_last_counts_part_by_part() -> None:
    newer, older = "2026-07-14T12:00:00Z", "2026-07-13T12:00:00Z"
    state = fold([said(TOMORROW, NOW, newer, 1, rain_um=5000),
                  said(TOMORROW, NOW, older, 2, rain_um=9000, tmax_mdegc=30000)], until=NOW)
    assert believed_weather(state, TOMORROW) == Weather(5.0, None, 30.0)
    assert state.forecasts[TOMORROW].made_at == datetime(2026, 7, 14, 12, tzinfo=UTC)


def test_what_was_measured_of_today_wins_and_the_forecast_fills_the_rest() -> None:
    today = TOMORROW - DAY
    facts = [said(today, NOW - timedelta(hours=3), "2026-07-14T12:00:00Z", 1, rain_um=5000, tmin_mdegc=9000),
             said(today, NOW, None, 2, rain_um=1000)]
    assert believed_weather(fold(facts, until=NOW), today) == Weather(1.0, 9.0, None)
    assert believed_weather(fold(facts, until=NOW + DAY), today) == Weather(1.0)
    assert believed_weather(fold(facts, until=NOW + DAY), today, as_expected=True) == Weather(1.0, 9.0, None)


def test_forecasts_of_long_ago_are_forgotten() -> None:
    facts = [said(TOMORROW + n * DAY, NOW + n * DAY, None, n + 1, rain_um=1000) for n in range(200)]
    assert len(fold(facts, until=NOW + 200 * DAY).forecasts) <= 34


def sky_rain(home: Household, day: date) -> tuple[float, bool]:
    found = home.garden.sky.day(day)
    return found.rain_mm, found.rain_measured


def test_rain_typed_ahead_counts_until_its_day_is_over_and_can_be_made_true(
        home: Runner, tmp_path: Path, frozen: Callable[[datetime], None]) -> None:
    path = tmp_path / "logbook.db"
    assert home("rain", "1in", "--at", "tomorrow").code == 0
    assert sky_rain(look(path, NOW), TOMORROW) == (25.4, False)
    after = look(path, NOW + 2 * DAY)
    assert sky_rain(after, TOMORROW) == (after.garden.sky.usual(TOMORROW)[1], False)
    frozen(NOW + 2 * DAY)
    (entry,) = [fact for fact in after.entries if isinstance(fact, WeatherDay)]
    assert home("correct", str(entry.id), "--rain", "1in").code == 0, "it fell as it was forecast"
    assert sky_rain(look(path, NOW + 2 * DAY), TOMORROW) == (25.4, True)


def test_a_correction_of_a_measured_day_keeps_its_moment(home: Runner, tmp_path: Path,
                                                         frozen: Callable[[datetime], None]) -> None:
    path = tmp_path / "logbook.db"
    assert home("rain", "1in").code == 0
    frozen(NOW + 2 * DAY)
    (entry,) = [fact for fact in look(path, NOW).entries if isinstance(fact, WeatherDay)]
    assert home("correct", str(entry.id), "--rain", "2in").code == 0
    (corrected,) = [fact for fact in look(path, NOW + 2 * DAY).standing.facts if isinstance(fact, WeatherDay)]
    assert corrected.happened_at == entry.happened_at and corrected.rain_um == 50_800
