"""The eighteen zones: each month a whole number of hundredths of an inch a day, each year the sum of its row.

California DWR and UC Davis, Reference Evapotranspiration Zones, 1999.
"""

from __future__ import annotations

import pytest

from gwlog.errors import BadInput
from gwlog.reference.climate import ETO_ZONES, monthly_eto_mm

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

# daily rates in 0.01 in/day, January first: times the days of the month they give the printed months
DAILY_HUNDREDTHS = {
    1: (3, 5, 8, 11, 13, 15, 15, 13, 11, 8, 4, 2),
    2: (4, 6, 10, 13, 15, 17, 16, 15, 13, 9, 6, 4),
    3: (6, 8, 12, 16, 17, 19, 18, 17, 14, 11, 8, 6),
    4: (6, 8, 11, 15, 17, 19, 19, 18, 15, 11, 8, 6),
    5: (3, 6, 9, 14, 18, 21, 21, 19, 15, 10, 5, 3),
    6: (6, 8, 11, 16, 18, 21, 21, 20, 16, 12, 8, 6),
    7: (2, 5, 8, 13, 17, 21, 24, 21, 16, 9, 4, 2),
    8: (4, 6, 11, 16, 20, 23, 24, 21, 17, 11, 6, 3),
    9: (7, 10, 13, 17, 19, 22, 24, 22, 19, 13, 9, 6),
    10: (3, 6, 10, 15, 19, 24, 26, 23, 17, 10, 5, 3),
    11: (5, 8, 10, 15, 19, 24, 26, 24, 19, 12, 7, 5),
    12: (4, 7, 11, 17, 22, 26, 26, 23, 18, 12, 6, 3),
    13: (4, 7, 10, 16, 21, 26, 29, 25, 19, 12, 6, 3),
    14: (5, 8, 12, 17, 22, 26, 28, 25, 19, 13, 7, 5),
    15: (4, 8, 12, 19, 24, 27, 28, 25, 19, 13, 7, 4),
    16: (5, 9, 13, 19, 25, 29, 30, 27, 21, 14, 8, 5),
    17: (6, 10, 15, 20, 26, 30, 32, 28, 22, 14, 9, 6),
    18: (8, 12, 17, 23, 28, 32, 31, 28, 23, 16, 10, 7),
}

YEARS_IN = {
    1: 32.92, 2: 39.01, 3: 46.31, 4: 46.62, 5: 43.91, 6: 49.68,
    7: 43.33, 8: 49.42, 9: 55.14, 10: 49.12, 11: 53.05, 12: 53.37,
    13: 54.30, 14: 57.04, 15: 57.94, 16: 62.51, 17: 66.47, 18: 71.61,
}


@pytest.mark.parametrize("number", range(1, 19))
def test_every_month_is_a_whole_number_of_hundredths_a_day_times_its_days(number):
    months = ETO_ZONES[number].monthly_in.value
    rates = zip(DAILY_HUNDREDTHS[number], DAYS, strict=True)
    assert [rate * days / 100 for rate, days in rates] == list(months)
    for inches, days in zip(months, DAYS, strict=True):
        assert inches * 100 / days == pytest.approx(round(inches * 100 / days), abs=1e-9)


@pytest.mark.parametrize("number", range(1, 19))
def test_the_year_column_is_the_sum_of_its_row(number):
    zone = ETO_ZONES[number]
    assert sum(zone.monthly_in.value) == pytest.approx(YEARS_IN[number], abs=0.005)
    assert zone.year_in.value == YEARS_IN[number]


def test_there_are_eighteen_zones_with_a_name_each():
    assert list(ETO_ZONES) == list(range(1, 19))
    assert all(zone.number == number and zone.name for number, zone in ETO_ZONES.items())


def test_months_in_millimetres():
    """Zone 3, July: 5.58 in is 141.7 mm."""
    months = monthly_eto_mm(3)
    assert len(months) == 12
    assert months[6] == pytest.approx(141.732)


@pytest.mark.parametrize("number", [0, 19, -1])
def test_a_zone_that_does_not_exist_is_refused_with_what_is_accepted(number):
    with pytest.raises(BadInput, match=rf"zone {number}; 1 to 18"):
        monthly_eto_mm(number)
