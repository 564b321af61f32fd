"""A load is marked in a list exactly where the whole log says that it ran against a rule."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gwlog.decisions.exceptions import against_musts
from gwlog.journal.facts import Basin, Fact, WashLoad, standing_entries
from gwlog.journal.listing import Lists, asking
from gwlog.state import fold
from gwlog.views.log import rows
from tests.decisions.home import Home, at, day
from tests.journal.raw import unguarded, write

NOW, LAST = at(day(420)), day(400)
WINTER = (-8_000, -5_000, 1_000, 6_000, 11_000, 16_000, 19_000, 18_000, 13_000, 7_000, 0, -6_000)

HAPPENS = ("rain", "cold", "gauge", "seen", "over", "move", "mulch", "basin", "retired", "site")


@pytest.fixture(scope="module")
def bare(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return unguarded(blank, tmp_path_factory.mktemp("marks") / "logbook.db")


@st.composite
def histories(draw: st.DrawFn) -> list[Fact]:
    """More than a year of loads with everything that can speak against one, before, between and behind them."""
    where = {"monthly_tmean_mdegc": WINTER, "latitude_udeg": 45_000_000} if draw(st.booleans()) else {}
    code = draw(st.sampled_from(["us-ca-washer", "us-nm", "us-wa-1", "au-wa"]))
    home = Home(("Fig", "Plum"), ("Hose", "Arm"), code=code, **where)
    days = st.integers(0, 415).map(day)
    for _ in range(draw(st.integers(3, 14))):
        home.load(draw(days), draw(st.sampled_from([0.5, 9.0, 23.5])),
                  litres=draw(st.sampled_from([40.0, 160.0, 900.0])),
                  contents=draw(st.sampled_from([(), (), ("diapers",)])),
                  to=draw(st.sampled_from(["garden", "garden", "sewer"])))
    for kind, when in draw(st.lists(st.tuples(st.sampled_from(HAPPENS), days), max_size=14)):
        _happens(home, kind, when, draw)
    entries = home.facts
    for number in draw(st.lists(st.integers(0, 60), max_size=4)):   # some are corrected, to another time or words
        wrong = entries[number % len(entries)]
        if wrong.happened_at > at(day(0)) and not any(one.corrects_id == wrong.id for one in entries):
            right = replace(wrong, id=len(entries) + 1, corrects_id=wrong.id,
                            happened_at=wrong.happened_at + timedelta(hours=draw(st.sampled_from([0, 1, 30, 2000]))))
            entries.append(replace(right, went_to="garden") if isinstance(right, WashLoad) else right)
    return entries


def _happens(home: Home, kind: str, when: date, draw: st.DrawFn) -> None:
    if kind == "rain":
        home.weather(when, rain_um=20_000)
    elif kind == "cold":
        for number in range(draw(st.integers(1, 25))):
            home.weather(when + timedelta(days=number), tmin_mdegc=-9_000, tmax_mdegc=-1_000)
    elif kind == "gauge":
        home.weather(when, typed=when + timedelta(days=draw(st.sampled_from([0, 1, 9]))), rain_um=60_000)
        home.facts[-1] = replace(home.facts[-1], rain_from=when - timedelta(days=3))  # type: ignore[call-arg]
    elif kind == "seen":
        home.see(draw(st.sampled_from(["ponding", "frozen ground", "illness"])), when,
                 draw(st.sampled_from([None, "Fig", "Plum"])))
    elif kind == "over":
        seen = [fact.id for fact in home.facts if fact.KIND == "observation"]
        if seen:
            home.resolve(draw(st.sampled_from(seen)), when)
    elif kind == "move":
        home.move(draw(st.sampled_from(["Hose", "Arm"])), draw(st.sampled_from(["Fig", "Plum"])), when)
    elif kind == "mulch":
        home.mulch(draw(st.sampled_from(["Fig", "Plum"])), when, draw(st.sampled_from(["added", "measured"])),
                   draw(st.sampled_from([10, 60, 100])))
    elif kind == "site":
        first = home.facts[0]
        home.facts.append(replace(first, id=len(home.facts) + 1, happened_at=at(when), code="us-ca-washer"))  # type: ignore[call-arg]
    else:
        basin = next(fact for fact in home.facts if isinstance(fact, Basin))
        home.facts.append(replace(basin, id=len(home.facts) + 1, happened_at=at(when), area_cm2=8_000,
                                  active=kind == "basin"))


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories(), st.integers(1, 5), st.integers(0, 12), st.booleans(), st.sampled_from([NOW, at(day(300))]))
def test_marks_are_those_of_the_whole_log(bare: Path, entries: list[Fact], most: int, skip: int, every: bool,
                                          now: datetime) -> None:
    write(bare, entries)
    whole = fold(standing_entries(entries).facts, until=now)
    wrong = {one.load.fact.id for one in against_musts(whole, now)}
    with asking(bare, now) as lists:
        listed = lists.newest(kinds=("wash_load",), skip=skip, most=most, every=every)
        assert {row.id for row in rows(lists, listed, every=every) if row.exception} == \
            wrong & {one.fact.id for one in listed}


def moved_long_ago(home: Home) -> None:
    home.move("Hose", "Plum", day(5))
    home.see("ponding", day(10), "Plum")


def measured_long_ago(home: Home) -> None:
    home.mulch("Fig", day(10), "measured", 10)


def a_large_load_in_the_night(home: Home) -> None:
    home.load(LAST, 0.5, litres=900.0)


def a_long_frost_before_a_mild_day(home: Home) -> None:
    for number in range(1, 120):
        cold = number > 3
        home.weather(LAST - timedelta(days=number), tmin_mdegc=-9_000 if cold else 1_000,
                     tmax_mdegc=-1_000 if cold else 3_000)
    home.weather(LAST, tmin_mdegc=1_000, tmax_mdegc=3_000)


def rain_of_the_day_before(home: Home) -> None:
    home.weather(LAST - timedelta(days=1), rain_um=20_000)


def illness_of_long_ago(home: Home) -> None:
    home.see("illness", day(3))


def described_as_small_long_ago(home: Home) -> None:
    home.basin("Fig", day(20), area_cm2=1_000)


@pytest.mark.parametrize("happens", [
    moved_long_ago, measured_long_ago, a_large_load_in_the_night, a_long_frost_before_a_mild_day,
    rain_of_the_day_before, illness_of_long_ago, described_as_small_long_ago])
def test_what_speaks_against_a_load_is_found_however_long_ago_it_was(happens: Callable[[Home], None],
                                                                     bare: Path) -> None:
    marked = []
    for against in (lambda home: None, happens):
        home = Home(("Fig", "Plum"), ("Hose",), code="us-nm")
        against(home)
        number = home.load(LAST, 9.0, litres=60.0)
        write(bare, home.facts)
        with asking(bare, NOW) as lists:
            (row,) = rows(lists, lists.newest(kinds=("wash_load",), most=1))
        assert row.id == number
        marked.append(row.exception)
    assert marked == [False, True]


def test_the_marks_of_twenty_loads_read_no_more_when_the_logbook_is_longer(
        bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[int] = []
    real = Lists._read

    def counted(lists: Lists, kind: str, numbers: Iterable[int]) -> Iterator[Fact]:
        for fact in real(lists, kind, numbers):
            made.append(fact.id)
            yield fact

    monkeypatch.setattr(Lists, "_read", counted)
    read = {}
    for years in (1, 8):
        home = Home(code="us-nm")
        for number in range(365 * years):
            home.load(day(number))
            home.weather(day(number), rain_um=0)
        write(bare, home.facts)
        made.clear()
        with asking(bare, NOW + timedelta(days=3000)) as lists:
            assert len(rows(lists, lists.newest(kinds=("wash_load",), most=20))) == 20
        read[years] = len(made)
    assert read[1] < read[8] < 500   # a year of weather, and of loads no more than are shown and their days
