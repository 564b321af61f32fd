"""Monthly reference evapotranspiration from temperatures: FAO-56's own example, the year's course, what is refused."""

from __future__ import annotations

import pytest

from gwlog.water.monthly import DAYS, middle_day, monthly_eto_mm

# FAO-56 example 20: Lyon, July, 45.72 N, Tmax 26.6, Tmin 14.8: ETo 5.0 mm/day
LYON_LOW, LYON_HIGH = [14.8] * 12, [26.6] * 12


def test_a_july_in_lyon() -> None:
    assert monthly_eto_mm(LYON_LOW, LYON_HIGH, 45.72)[6] / 31 == pytest.approx(5.0, abs=0.05)


# FAO-56 annex 2, table 2.5: the day of the year in the middle of a month, J = integer(30.4 M - 15)
@pytest.mark.parametrize(("month", "day"), [(1, 15), (2, 45), (7, 197), (12, 349)])
def test_middle_days(month: int, day: int) -> None:
    assert middle_day(month) == day


def test_the_other_half_of_the_earth_has_its_summer_half_a_year_later() -> None:
    north = [month / days for month, days in zip(monthly_eto_mm([10] * 12, [20] * 12, 37), DAYS, strict=True)]
    south = [month / days for month, days in zip(monthly_eto_mm([10] * 12, [20] * 12, -37), DAYS, strict=True)]
    assert north.index(max(north)) in (5, 6) and south.index(max(south)) in (11, 0)


def test_eleven_months_or_a_month_upside_down_are_refused() -> None:
    with pytest.raises(ValueError, match="twelve"):
        monthly_eto_mm([10] * 11, [20] * 12, 37)
    with pytest.raises(ValueError, match="above"):
        monthly_eto_mm([21, *[10] * 11], [20] * 12, 37)
