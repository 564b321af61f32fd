"""`gwlog plan` and `gwlog rehearse` as people type them, on a real logbook with a month of washing."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from gwlog.decisions.capacity import Capacity, Month
from gwlog.units import Reader
from gwlog.views.plan import MUCH_MORE, capacity_lines
from tests.conftest import Runner


@pytest.fixture
def washing(home: Runner) -> Runner:
    """Towels on Tuesdays and Saturdays for four weeks, diapers planned every Friday."""
    for number in range(1, 5):
        for day in (f"2026-06-{7 * number - 5 + 0:02d}", f"2026-06-{7 * number - 1:02d}"):
            assert home("load", "towels", "--at", f"{day}T09:00").code == 0
    assert home("plan-load", "diapers", "--on", "fri 8am", "--every", "weekly").code == 0
    return home


def test_the_plan_has_turns_sewer_days_totals_and_capacity(washing: Runner) -> None:
    told = washing("plan", "--json").json
    assert {"turns", "sewer", "totals", "capacity"} <= set(told)
    assert told["turns"] and all({"outlet", "basin", "from", "to", "loads", "volume_l", "reason"} == set(t)
                                 for t in told["turns"])
    assert {s["load"] for s in told["sewer"]} == {"diapers"}
    assert [date.fromisoformat(s["date"]).weekday() for s in told["sewer"]] == [4] * len(told["sewer"])
    assert {"percolated_l", "unmet_l", "sewer_l", "moves", "cost"} == set(told["totals"])
    assert len(told["capacity"]["months"]) == 12


def test_the_grid_shows_days_down_basins_across_and_the_sewer_by_shape_and_word(washing: Runner) -> None:
    out = washing("plan").out
    assert "Pomegranate" in out.splitlines()[0] and "sewer" in out.splitlines()[0]
    assert "▼ sewer: diapers" in out
    assert "A Hose" in out


def test_what_if_changes_the_plan_and_logs_nothing(washing: Runner, tmp_path: Path) -> None:
    before = (tmp_path / "logbook.db").stat().st_size
    usual = washing("plan", "--json").json
    more = washing("plan", "--json", "--what-if", "5 loads on saturday").json
    loads = sum(t["loads"] for t in more["turns"]) + len(more["sewer"])
    assert loads > sum(t["loads"] for t in usual["turns"]) + len(usual["sewer"])
    still = washing("plan", "--json", "--what-if", "no outlet moves before 2026-07-27").json
    assert still["totals"]["moves"] == 0
    assert (tmp_path / "logbook.db").stat().st_size == before


def test_a_heavy_walk_means_fewer_moves(washing: Runner) -> None:
    easy = washing("plan", "--json", "--weights", "move=0").json["totals"]["moves"]
    heavy = washing("plan", "--json", "--weights", "move=100000").json["totals"]["moves"]
    assert heavy == 0 <= easy


@pytest.mark.parametrize(("words", "named"), [
    (("plan", "--weights", "move=-1"), "-1"), (("plan", "--weights", "move=nan"), "nan"),
    (("plan", "--weights", "walk=3"), "walk"), (("plan", "--weights", "move"), "move"),
    (("plan", "--days", "0"), "0"), (("plan", "--days", "9999"), "9999"),
    (("plan", "--what-if", "snow on sunday"), "snow on sunday"),
    (("plan", "--what-if", "-3 loads on sunday"), "-3 loads"),
    (("rehearse", "--from", "next year"), "next year"), (("rehearse", "--from", "2031-01-01"), "2031-01-01"),
    (("rehearse", "--days", "-5"), "-5"), (("rehearse", "--weather", "/nowhere.csv"), "/nowhere.csv"),
])
def test_bad_input_is_named(home: Runner, words: tuple[str, ...], named: str) -> None:
    answer = home(*words)
    assert (answer.code, answer.out) == (2, "")
    assert named in answer.err


def test_an_empty_history_is_told(home: Runner) -> None:
    assert "No load is planned" in home("plan").out


def test_rehearse_sets_five_habits_side_by_side(washing: Runner) -> None:
    answer = washing("rehearse", "--days", "30", "--json")
    assert answer.code == 0, answer.err
    told = answer.json
    assert len(told["habits"]) == 5
    assert told["complete"] is True and told["loads"] > 0
    for habit in told["habits"]:
        assert {"over_allowance_l", "percolated_l", "unmet_l", "sewer_l", "stress_days", "moves", "valve_turns"} <= \
            set(habit)
        assert len(habit["basins"]["Fig"]["deficit_l"]) == 30
    assert told["habits"][0]["moves"] == 0


def test_rehearse_shows_a_table_and_a_plot_for_each_basin(washing: Runner) -> None:
    out = washing("rehearse", "--days", "20").out
    assert out.count(": missing, in gal") == 3
    assert "the plan" in out and "stress" in out
    assert "\x1b" not in out and "[0m" not in out


def test_rehearse_runs_through_a_weather_file(washing: Runner, tmp_path: Path) -> None:
    rows = "".join(f"2020-07-{day:02d},{'30' if day == 20 else '0'},14,28\n" for day in range(1, 32))
    (tmp_path / "weather.csv").write_text("date,rain_mm,tmin_c,tmax_c\n" + rows, encoding="utf-8")
    told = washing("rehearse", "--weather", str(tmp_path / "weather.csv"), "--json").json
    assert (told["first"], told["last"]) == ("2026-07-14", "2026-07-31")
    wet = told["habits"][0]["basins"]["Fig"]["deficit_l"]
    assert wet[6] < wet[5], "30 mm of rain on the 20th lower the deficit"


def test_rehearse_tells_each_basins_demand_unmet_need_and_wilting_days(washing: Runner) -> None:
    for habit in washing("rehearse", "--days", "30", "--json").json["habits"]:
        unmet = [basin["unmet_l"] for basin in habit["basins"].values()]
        assert sum(unmet) == pytest.approx(habit["unmet_l"], abs=0.01)
        assert all(0 <= basin["unmet_l"] <= basin["demand_l"] for basin in habit["basins"].values())
        assert sum(basin["wilting_days"] for basin in habit["basins"].values()) == habit["wilting_days"]


def test_rehearse_runs_a_year_gone_by_through_its_own_weather(washing: Runner, tmp_path: Path) -> None:
    days = [date(2018, 1, 1) + timedelta(days=n) for n in range(40)]
    rows = "".join(f"{day},{'25' if day.day == 20 else '0'},4,19\n" for day in days)
    (tmp_path / "weather.csv").write_text("date,rain_mm,tmin_c,tmax_c\n" + rows, encoding="utf-8")
    told = washing("rehearse", "--from", "2018-01-01", "--weather", str(tmp_path / "weather.csv"), "--json").json
    assert (told["first"], told["last"]) == ("2018-01-01", "2018-02-09")
    assert told["loads"] == 12, "six weeks of what is expected now: one load of towels and one of diapers a week"
    fig = told["habits"][0]["basins"]["Fig"]["deficit_l"]
    assert len(fig) == 40 and fig[19] < fig[18]


def test_rehearse_from_a_logged_day_takes_the_loads_that_came(washing: Runner) -> None:
    told = washing("rehearse", "--from", "2026-06-01", "--days", "28", "--json").json
    assert (told["first"], told["loads"]) == ("2026-06-01", 8)


def test_the_plan_tells_what_is_short_of_water(washing: Runner) -> None:
    told = washing("plan", "--json").json
    assert told["short"], "two loads a week in June are not enough for the three basins"
    for one in told["short"]:
        assert set(one) == {"basin", "from", "other_water_l"}
        assert one["other_water_l"] > 0 and told["loads"]
    first = told["short"][0]["basin"]
    out = washing("plan").out
    assert f"{first} lacks water from" in out and f"gwlog water {first}" in " ".join(out.split())
    assert f"{first} lacks water from" in " ".join(washing("today").out.split())
    assert any(one["kind"] == "other water" for one in washing("today", "--json").json["reminders"])
    assert "more than the household makes" in " ".join(out.split())
    lacks, rest = (told["capacity"][part] for part in ("lacks_l_per_year", "rest_l_per_year"))
    told_of_sewer = "has to go to the sewer: the garden cannot use all of it" in " ".join(out.split())
    assert told_of_sewer == (lacks < MUCH_MORE * rest)


@pytest.mark.parametrize(("uses_l", "told"), [(150.0, False), (101.0, True)])
def test_the_sewer_is_not_spoken_of_where_the_garden_lacks_far_more(uses_l: float, told: bool) -> None:
    # the household makes 100 L a week; in one month the garden can use 10 L less, in eleven uses_l
    months = tuple(Month(n, uses, 100.0, max(0.0, 1 - uses / 100.0))
                   for n, uses in enumerate([90.0, *[uses_l] * 11], start=1))
    home: Any = SimpleNamespace(reader=Reader("metric"))
    page = " ".join(capacity_lines(home, Capacity(months, 100.0, 0.1 / 12, (), ())))
    assert ("has to go to the sewer" in page) == told and "the garden could use about" in page


def test_a_garden_full_of_water_is_called_full(home: Runner) -> None:
    home("rain", "9in", "--at", "2 days ago")
    home("rain", "0.5in", "--at", "yesterday")
    home("plan-load", "towels", "--on", "today 15:00")
    reasons = [load["reason"] for load in home("plan", "--json").json["sewer"]]
    assert any("not even" in reason and "lacks water" in reason for reason in reasons), reasons
    assert not any("only 0 gal" in reason or "can take the most" in reason for reason in reasons)
