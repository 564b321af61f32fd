"""The demo household: the same story every time, its mistakes told, nothing odd in its log, on any day of a year."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from pathlib import Path

import pytest

import demo_seed
from gwlog import clock
from gwlog.errors import BAD_INPUT, BadInput
from gwlog.household import Household
from gwlog.journal import reader, store
from gwlog.journal.facts import (
    Fact,
    Mulch,
    Observation,
    OutletMove,
    ValveSwitch,
    WashLoad,
    WeatherDay,
    Withdrawal,
)
from gwlog.views import today as page

WINTER, SPRING, SUMMER, AUTUMN = date(2024, 2, 29), date(2026, 5, 10), date(2025, 8, 15), date(2025, 11, 20)
DAYS = (WINTER, SPRING, SUMMER, AUTUMN)
SCRIPT = Path(demo_seed.__file__)


@lru_cache
def entries(today: date) -> list[Fact]:
    return [fact for batch in demo_seed.story(today) for fact in batch.facts]


@lru_cache
def household(today: date) -> Household:
    """The household on the morning of `today`, without a file."""
    morning = clock.attach(datetime.combine(today, time(10)), demo_seed.ZONE)
    return Household(Path("unwritten.db"), morning, entries(today))


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The summer's demo logbook, written by the script's own main()."""
    where = tmp_path_factory.mktemp("demo") / "new" / "logbook.db"
    assert demo_seed.main(["--logbook", str(where), "--today", SUMMER.isoformat()]) == 0
    return where


# --- the same every time ------------------------------------------------------------------------------------


def test_the_same_day_and_seed_tell_the_same_story() -> None:
    assert [fact for batch in demo_seed.story(SUMMER) for fact in batch.facts] == entries(SUMMER)


def test_another_seed_tells_another_story() -> None:
    other = [fact for batch in demo_seed.story(SUMMER, seed=2) for fact in batch.facts]
    assert [f for f in other if isinstance(f, WeatherDay)] != [f for f in entries(SUMMER) if isinstance(f, WeatherDay)]


def test_the_file_holds_the_story_and_its_seal_holds(written: Path) -> None:
    assert reader.read(written) == entries(SUMMER)
    answer = subprocess.run([sys.executable, "-m", "gwlog", "--logbook", str(written), "verify"],
                            capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stderr
    assert str(len(entries(SUMMER))) in answer.stdout.replace(",", "")
    assert [path.name for path in written.parent.iterdir() if not path.name.startswith("logbook.db")] == []


# --- what is in it ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("today", DAYS)
def test_fourteen_months_without_an_odd_entry(today: date) -> None:
    home = household(today)
    assert home.problems == ()
    loads = home.state.loads
    assert 418 <= (loads[-1].day - loads[0].day).days <= 434
    assert loads[-1].day >= today - timedelta(days=2)
    assert 400 <= len(loads) <= 520


@pytest.mark.parametrize("today", DAYS)
def test_the_mistakes_are_there_and_told(today: date) -> None:
    home = household(today)
    rules = {reason.rule for one in home.exceptions for reason in one.reasons}
    assert rules == {"chlorine bleach", "soiled"}
    assert all(one.followed_up for one in home.exceptions)
    corrected = {type(fact) for fact in home.entries if fact.corrects_id is not None}
    assert WashLoad in corrected
    assert any(isinstance(fact, Withdrawal) and fact.note for fact in home.entries)
    late = [f for f in home.entries if isinstance(f, WashLoad) and f.recorded_at - f.happened_at > timedelta(days=1)]
    assert 5 <= len(late) <= 60


@pytest.mark.parametrize("today", DAYS)
def test_ponding_was_seen_and_resolved_and_the_fig_lost_its_mulch(today: date) -> None:
    state = household(today).state
    ponding = [seen for seen in state.observations.values() if seen.observed == "ponding"]
    assert ponding and all(seen.id in state.resolved for seen in ponding)
    shut = [(seen.happened_at, state.resolved[seen.id].happened_at) for seen in ponding]
    assert not [d for run in state.loads for d in run.deliveries
                if d.basin == "Rose border" and any(start < d.at < end for start, end in shut)]
    thin = [one for one in state.mulch["Fig by the wall"] if one.action == "measured" and one.depth_mm < 51]
    assert thin and any(one.action == "added" and one.happened_at > thin[-1].happened_at
                        for one in state.mulch["Fig by the wall"])


@pytest.mark.parametrize("today", DAYS)
def test_a_valve_stood_forgotten_for_days(today: date) -> None:
    state = household(today).state
    found = [fact for fact in household(today).entries
             if isinstance(fact, ValveSwitch) and fact.note and "turned it back" in fact.note]
    assert found
    before = [at for at, position, _ in state.valve_log if position == "sewer" and at < found[-1].happened_at]
    assert found[-1].happened_at - before[-1] > timedelta(days=4)


def test_rain_was_typed_wrong_once_and_corrected() -> None:
    mended = next(fact for fact in entries(SUMMER) if isinstance(fact, WeatherDay) and fact.corrects_id)
    first = next(fact for fact in entries(SUMMER) if fact.id == mended.corrects_id)
    assert isinstance(first, WeatherDay)
    assert first.rain_um == 10 * (mended.rain_um or 0)
    assert household(SUMMER).state.weather[mended.day].rain_mm == (mended.rain_um or 0) / 1000


def test_six_basins_two_outlets_and_what_makes_them_differ() -> None:
    state, garden = household(SUMMER).state, household(SUMMER).garden
    assert len({basin.soil for basin in state.basins.values()}) >= 4
    assert [name for name, basin in garden.basins.items() if basin.too_small] == ["Lavender step"]
    assert state.basins["Beet row"].edible == "root crop"
    assert state.reach("Long hose") != state.reach("Short hose")
    assert state.products["market pods"].chlorine_bleach is None
    assert state.site is not None and state.site.occupants == 5 and state.sites[0].occupants == 4
    assert len(state.basin_history["Rose border"]) == 2
    assert not any(d.basin == "Beet row" for run in state.loads for d in run.deliveries)


def test_weather_for_most_days_with_gaps() -> None:
    state = household(SUMMER).state
    days = (SUMMER - state.loads[0].day).days
    assert 0.8 * days < len(state.weather) < 0.97 * days
    assert sum((one.rain_mm or 0) > 0 for one in state.weather.values()) > 30


@pytest.mark.long
def test_loads_mostly_follow_the_advice() -> None:
    home = household(SPRING)
    agreed: Counter[bool] = Counter()
    for run in home.state.loads[::6]:
        then = home.at(run.fact.happened_at - timedelta(seconds=1))
        advised = then.answer(then.query(str(run.fact.usual_load)))
        agreed[advised.verdict == run.fact.went_to and not advised.move_first] += 1
    assert agreed[True] >= 0.9 * agreed.total(), agreed


def test_the_hoses_are_moved_and_the_mulch_is_kept() -> None:
    kinds = Counter(type(fact) for fact in entries(SUMMER))
    assert 40 <= kinds[OutletMove] <= 130
    assert kinds[Mulch] >= 25 and kinds[Observation] >= 4
    assert all(basin.cover_mm > 51 for basin in household(SUMMER).garden.basins.values())


# --- today's page -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("today", DAYS)
def test_todays_page_has_something_to_do_and_is_not_hopeless(today: date) -> None:
    home = household(today)
    states = Counter(one.state for one in home.reminders)
    assert 4 <= states.total() <= 14
    assert 1 <= states["overdue"] <= 3 and states["soon"] >= 1
    assert len(home.state.open_observations()) == 2
    told = "\n".join(page.lines(home))
    assert "Pomegranate" in told and "to check: gwlog entries" not in told


@pytest.mark.long
def test_towels_go_to_the_garden_after_dry_weeks_and_to_the_sewer_in_the_wet_winter_before() -> None:
    for number in range(7):
        dry, wet = date(2025, 7, 14) + timedelta(days=number), date(2025, 1, 13) + timedelta(days=number)
        assert rain_mm_before(dry, weeks=3) == 0.0 and rain_mm_before(wet, weeks=3) > 75.0
        assert towels_go_to(dry) == "garden"
        assert towels_go_to(wet) == "sewer"


def rain_mm_before(day: date, *, weeks: int) -> float:
    """The logged rain of the weeks before a day [mm]."""
    weather = household(SUMMER).state.weather
    return sum(weather[one].rain_mm or 0.0 for one in weather if day - timedelta(weeks=weeks) <= one < day)


def towels_go_to(day: date) -> str:
    """Where towels go at ten o'clock on a day."""
    then = household(SUMMER).at(clock.attach(datetime.combine(day, time(10)), demo_seed.ZONE))
    return then.answer(then.query("towels")).verdict


@pytest.mark.parametrize("today", DAYS)
def test_the_basins_do_not_all_stand_alike(today: date) -> None:
    assert len({basin.standing for basin in household(today).garden.basins.values()}) >= 2


# --- the script ---------------------------------------------------------------------------------------------


def test_more_years_and_nonsense_years() -> None:
    facts = [fact for batch in demo_seed.story(SUMMER, years=3) for fact in batch.facts]
    home = Household(Path("unwritten.db"), household(SUMMER).now, facts)
    assert home.problems == ()
    assert 1000 <= len(home.state.loads) <= 1400
    assert len(home.exceptions) >= 4
    for wrong in (0, -1, 31):
        with pytest.raises(BadInput, match="1 to 30"):
            demo_seed.story(SUMMER, years=wrong)


def test_it_takes_the_place_of_a_demo_logbook_and_of_nothing_else(tmp_path: Path) -> None:
    start = demo_seed.story(SUMMER)[:2]
    ours = tmp_path / "ours.db"
    demo_seed.write(ours, start)
    demo_seed.write(ours, start[:1])
    assert len(reader.read(ours)) == len(start[0].facts)
    letter, empty, link = tmp_path / "letter.txt", tmp_path / "own.db", tmp_path / "link.db"
    letter.write_text("dear all")
    store.create(empty)
    link.symlink_to(ours)
    for other in (letter, empty, link, tmp_path):
        with pytest.raises(BadInput, match="left as it is"):
            demo_seed.write(other, start)
    assert letter.read_text() == "dear all" and reader.read(empty) == [] and link.is_symlink()
    left = {path.name for path in tmp_path.iterdir() if not path.name.endswith(("-wal", "-shm"))}
    assert left == {"letter.txt", "link.db", "ours.db", "own.db"}


def test_the_script_refuses_in_words(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear all")
    answer = subprocess.run([sys.executable, str(SCRIPT), "--logbook", str(tmp_path / "letter.txt")],
                            capture_output=True, text=True, check=False)
    assert answer.returncode == BAD_INPUT
    assert "not a demo logbook" in answer.stderr and "Traceback" not in answer.stderr
    for wrong in (["--today", "2026-02-30"], ["--today", "1969-01-01"], ["--years", "99"],
                  ["--logbook", str(tmp_path / "letter.txt" / "in it.db")]):
        assert demo_seed.main(["--logbook", str(tmp_path / "x.db"), *wrong]) == BAD_INPUT


def test_it_says_where_the_logbook_is_and_opens_todays_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
) -> None:
    batches = demo_seed.story(SUMMER)[:3]
    monkeypatch.setattr(demo_seed, "story", lambda *_, **__: batches)
    where = tmp_path / "a place.db"
    assert demo_seed.main(["--logbook", str(where), "--today", "2025-08-15", "--open"]) == 0
    told = capsys.readouterr().out
    assert f"gwlog --logbook '{where}' today --at 2025-08-15T10:00" in told
    assert "where towels" in told and "9 Larkspur Steps" in told and "Fri, Aug 15, 2025" in told
