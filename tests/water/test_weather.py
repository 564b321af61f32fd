"""Measured days win, normals stand in, and a climate is found for every site."""

from __future__ import annotations

from datetime import date

import pytest

from gwlog.state import Weather
from gwlog.water.evapotranspiration import hargreaves
from gwlog.water.weather import Climate, Sky, climate_of, normals
from tests.water.household import site

CLIMATE = Climate(tuple(31.0 * n for n in range(1, 13)), tuple(float(n) for n in range(12)))


def test_a_months_normal_is_spread_over_its_own_days_leap_years_too() -> None:
    assert normals(CLIMATE, date(2026, 1, 31)) == (1.0, 0.0)
    assert normals(CLIMATE, date(2023, 2, 10)) == pytest.approx((62.0 / 28, 1.0 / 28))
    assert normals(CLIMATE, date(2024, 2, 29)) == pytest.approx((62.0 / 29, 1.0 / 29))
    for year in (2023, 2024):
        february = [normals(CLIMATE, date(year, 2, day))[0] for day in range(1, 29 + (year == 2024))]
        assert sum(february) == pytest.approx(62.0)


def test_measured_wins_part_by_part_and_the_rest_is_normal() -> None:
    day = date(2026, 6, 5)
    both = Sky(CLIMATE, {day: Weather(4.5, 10.0, 24.0)}, 36.9).day(day)
    assert both == (hargreaves(10.0, 24.0, 36.9, 156), 4.5, True, True)
    rain_only = Sky(CLIMATE, {day: Weather(rain_mm=0.0)}, 36.9).day(day)
    assert rain_only == (186.0 / 30, 0.0, False, True)
    heat_only = Sky(CLIMATE, {day: Weather(tmin_c=10.0, tmax_c=24.0)}, 36.9).day(day)
    assert heat_only[1:] == (5.0 / 30, True, False)
    assert Sky(CLIMATE, {}, 36.9).day(day) == (186.0 / 30, 5.0 / 30, False, False)


@pytest.mark.parametrize("odd", [Weather(1.0, 25.0, 10.0), Weather(1.0, 10.0, None), Weather(1.0, None, 20.0)])
def test_temperatures_that_do_not_make_a_day_give_the_normal_evapotranspiration(odd: Weather) -> None:
    day = date(2026, 6, 5)
    assert Sky(CLIMATE, {day: odd}, 36.9).day(day) == (186.0 / 30, 1.0, False, True)


def test_a_site_states_its_months_or_its_zone_or_is_estimated() -> None:
    stated = climate_of(site(monthly_eto_um=tuple(range(1000, 13000, 1000)), monthly_rain_um=None, eto_zone=3))
    assert stated.monthly_eto_mm == tuple(float(n) for n in range(1, 13))
    assert (stated.monthly_rain_mm, stated.eto_given, stated.rain_given) == ((0.0,) * 12, True, False)

    zone_3 = climate_of(site(monthly_eto_um=None, eto_zone=3))
    assert sum(zone_3.monthly_eto_mm) == pytest.approx(46.31 * 25.4)   # DWR and UC Davis (1999), year of zone 3

    for odd in (site(monthly_eto_um=None, eto_zone=None), site(monthly_eto_um=None, eto_zone=99)):
        guess = climate_of(odd)
        assert not guess.eto_given
        assert 0.9 < sum(guess.monthly_eto_mm) / sum(zone_3.monthly_eto_mm) < 1.1
        assert guess.monthly_eto_mm[6] > 2 * guess.monthly_eto_mm[0]

    south = climate_of(site(monthly_eto_um=None, latitude_udeg=-34_000_000))
    assert south.monthly_eto_mm[0] > 2 * south.monthly_eto_mm[6]
    assert not climate_of(None).eto_given
