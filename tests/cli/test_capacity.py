"""`capacity`: what the garden can use, and by month and year what the graywater gave it, with the money."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.conftest import NOW, Runner

LATER = NOW + timedelta(days=40)


@pytest.fixture
def watered(home: Runner, frozen: Callable[[datetime], None]) -> Runner:
    """Forty days with a load every fourth, and other water for Fig."""
    for number in range(0, 40, 4):
        frozen(NOW + timedelta(days=number))
        assert home("load", "towels").code == 0
    assert home("water", "fig", "10gal", "--way", "hose").code == 0
    frozen(LATER)
    return home


def priced(home: Runner, tmp_path: Path, *lines: str) -> None:
    path = tmp_path / "priced.toml"
    path.write_text(home("setup", "show").out.replace("occupants = 3", "\n".join(("occupants = 3", *lines))),
                    encoding="utf-8")
    answer = home("setup", "apply", str(path))
    assert answer.code == 0, answer.err


def test_months_add_up_to_years_and_basins_to_the_whole(watered: Runner) -> None:
    told = watered("capacity", "--json").json
    gave = told["gave"]
    assert told["schema"] == 1 and len(told["capacity"]["months"]) == 12
    assert [one["month"] for one in gave["months"]] == ["2026-05", "2026-06", "2026-07", "2026-08"]
    (year,) = gave["years"]
    for key in ("graywater_l", "gave_l", "unmet_l", "other_l"):
        assert sum(one[key] for one in gave["months"]) == pytest.approx(year[key], abs=0.01)
        by_basin = sum(one[key] for basin in gave["basins"] for one in basin["months"])
        assert by_basin == pytest.approx(year[key], abs=0.02)
    assert year["graywater_l"] == pytest.approx(10 * 18 * 3.785411784, abs=0.05)
    assert 0 < year["gave_l"] < year["graywater_l"]
    assert year["other_l"] == pytest.approx(37.854, abs=0.001)
    assert gave["price_per_m3"] is None and year["saved"] is None
    assert set(gave["how"]) == {"gave_l", "unmet_l", "other_l", "saved"}


def test_the_page_tells_each_figure_and_how_it_comes_about(watered: Runner) -> None:
    out = watered("capacity").out
    assert "The household makes about" in out and "What the graywater gave, up to yesterday:" in out
    lines = out.splitlines()
    year = next(line for line in lines if line.startswith("2026 "))
    assert "180 gal" in year and "10 gal" in year and year.rstrip().endswith("—")
    for name in ("graywater:", "gave:", "still needed:", "other water:", "saved:"):
        assert any(line.startswith(name) for line in lines), name
    assert "would have had to give" in " ".join(out.split())
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize(("price", "stated", "per_m3"), [
    ("water_price_per_1000_gal = 9", "9.00 USD for 1,000 gal", 2.378), ("water_price_per_ccf = 4", "5.35 USD", 1.413),
    ("water_price_per_m3 = 2", "7.57 USD for 1,000 gal", 2.0),
])
def test_with_a_price_the_money_is_told(watered: Runner, tmp_path: Path, price: str, stated: str,
                                        per_m3: float) -> None:
    priced(watered, tmp_path, price, 'currency = "USD"')
    gave = watered("capacity", "--json").json["gave"]
    assert (gave["price_per_m3"], gave["currency"]) == (per_m3, "USD")
    assert gave["years"][0]["saved"] == pytest.approx(gave["years"][0]["gave_l"] / 1000 * per_m3, abs=0.006)
    out = watered("capacity").out
    assert stated in " ".join(out.split()) and f"{gave['years'][0]['saved']:.2f} USD" in out


def test_a_price_without_a_currency_is_a_bare_number(watered: Runner, tmp_path: Path) -> None:
    priced(watered, tmp_path, "water_price_per_m3 = 2")
    year = next(line for line in watered("capacity").out.splitlines() if line.startswith("2026 "))
    saved = watered("capacity", "--json").json["gave"]["years"][0]["saved"]
    assert year.rstrip().endswith(f"{saved:.2f}")
    assert "In the money of that price: the site file names no currency." in " ".join(watered("capacity").out.split())


def test_a_metric_household_reads_litres_and_the_price_of_a_cubic_metre(watered: Runner, tmp_path: Path) -> None:
    path = tmp_path / "metric.toml"
    path.write_text(watered("setup", "show").out.replace('units = "us"', 'units = "metric"').replace(
        "occupants = 3", 'occupants = 3\nwater_price_per_ccf = 4\ncurrency = "€"'), encoding="utf-8")
    assert watered("setup", "apply", str(path)).code == 0
    out = " ".join(watered("capacity").out.split())
    assert "681 L" in out and "at 1.41 € for a m³" in out and "gal" not in out
    assert "water_price_per_m3 = 1.413" in watered("setup", "show").out


def test_on_the_first_day_nothing_can_be_told_yet(home: Runner, frozen: Callable[[datetime], None]) -> None:
    frozen(datetime(2026, 5, 1, 18, 0, tzinfo=NOW.tzinfo))
    answer = home("capacity")
    assert answer.code == 0, answer.err
    assert "No day has ended yet" in answer.out
    assert home("capacity", "--json").json["gave"]["months"] == []


def test_without_a_household_it_says_what_is_missing(gwlog: Runner) -> None:
    assert gwlog("capacity").code in (1, 2)
