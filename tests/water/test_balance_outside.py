"""Four years of measured weather: the ledger against an independent implementation of FAO-56, day by day."""

from __future__ import annotations

import csv
import importlib.util
import warnings
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path

import pytest

from gwlog.state import Weather
from gwlog.water.evapotranspiration import hargreaves
from gwlog.water.growth import spec_of
from tests.water.household import at, basin, ledger, pour

ZONE = "America/Los_Angeles"
LATITUDE = 47.45


@lru_cache(maxsize=1)
def seattle() -> dict[date, Weather]:
    """Daily weather of Seattle, 2012-2015: vega_datasets 0.9, _data/seattle-weather.csv (mm, degC)."""
    found = importlib.util.find_spec("vega_datasets")
    assert found is not None and found.origin is not None
    path = Path(found.origin).parent / "_data" / "seattle-weather.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        return {
            date.fromisoformat(row["date"].replace("/", "-")): Weather(
                float(row["precipitation"]), float(row["temp_min"]), float(row["temp_max"]),
            )
            for row in csv.DictReader(lines)
        }


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")
def test_four_years_of_seattle_agree_with_pyfao56_to_a_thousandth_of_a_millimetre() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pandas as pd
        import pyfao56

    weather = seattle()
    days = sorted(weather)
    assert len(days) == 1461
    first, last = days[0], days[-1]
    washdays = [day for day in days if 5 <= day.month <= 9 and day.weekday() in (1, 5) and day.year % 2]

    # a square metre of turf-like planting: Kc 0.8, 130 mm in a metre of soil, half of it readily available
    bed = basin(since=first, area_cm2=10_000, canopy_cm2=10_000, wetted_cm2=10_000, plant_factor_milli=800,
                root_depth_mm=1000, depletion_milli=500, start_deficit_ml=20_000)
    spec = spec_of(bed)
    assert (spec.taw_mm, spec.raw_mm, spec.plant_factor) == (pytest.approx(130.0), pytest.approx(65.0), 0.8)
    ours = ledger([bed], [pour(day, 12.5) for day in washdays], at(last + timedelta(days=1)), weather=weather,
                  latitude=LATITUDE).days
    assert [one.day for one in ours] == days

    theirs = []
    opening = 20.0
    for part in range(0, len(days), 30):   # in short blocks: the library slows with the length of a run
        block = days[part:part + 30]
        sky = pyfao56.Weather()
        sky.rfcrp, sky.wndht = "S", 2.0
        sky.wdata = pd.DataFrame(
            [{"Srad": 20.0, "Tmax": weather[day].tmax_c, "Tmin": weather[day].tmin_c, "Vapr": 1.0, "Tdew": 5.0,
              "RHmax": 80.0, "RHmin": 45.0, "Wndsp": 2.0, "Rain": weather[day].rain_mm, "MorP": "M",
              "ETref": hargreaves(weather[day].tmin_c or 0.0, weather[day].tmax_c or 0.0, LATITUDE,
                                  day.timetuple().tm_yday)} for day in block],
            index=[f"{day:%Y-%j}" for day in block],
        )
        water = pyfao56.Irrigation()
        wash = [day for day in washdays if block[0] <= day <= block[-1]]
        water.idata = pd.DataFrame(
            [{"Depth": 12.5, "fw": 1.0, "ieff": 100.0} for _ in wash], index=[f"{day:%Y-%j}" for day in wash],
        )
        # one crop coefficient all year and no separate evaporation: Kcb constant, a vanishing surface layer
        soil = pyfao56.Parameters(
            Kcbini=0.8, Kcbmid=0.8 + 1e-9, Kcbend=0.8, Lini=100_000, thetaFC=0.25, thetaWP=0.12,
            theta0=0.25 - opening / 1000.0, Zrini=1.0, Zrmax=1.0, pbase=0.5, Ze=0.001, REW=8.0,
        )
        run = pyfao56.Model(f"{block[0]:%Y-%j}", f"{block[-1]:%Y-%j}", soil, sky, irr=water)   # with p of the day
        run.run()
        frame = run.odata
        theirs += list(zip(frame["Dr"], frame["DP"], frame["Ks"], strict=True))
        opening = float(frame["Dr"].iloc[-1])

    assert len(theirs) == len(ours)
    for mine, (depletion, percolation, stress) in zip(ours, theirs, strict=True):
        assert mine.deficit_l == pytest.approx(depletion, abs=0.001), mine.day
        assert mine.percolated_l == pytest.approx(percolation, abs=0.001), mine.day
        assert mine.ks == pytest.approx(stress, abs=0.0001), mine.day
    assert min(one.ks for one in ours) < 0.95            # the four years hold stress
    assert sum(one.percolated_l for one in ours) > 500.0   # and wet winters
