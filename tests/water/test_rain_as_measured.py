"""Rain as people measure it: a gauge's total over days, wet days alone written down, and what is told of odd sums."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.journal.facts import Fact, WeatherDay
from gwlog.state import Gauge, Weather, known_weather
from gwlog.water.garden import Garden, garden
from gwlog.water.weather import Climate, Sky, sky_of
from tests.water.household import SINCE, at, basin, folded, outlet, site, washer

SEATTLE_IN = (5.78, 3.76, 4.17, 3.18, 1.88, 1.45, 0.60, 0.97, 1.61, 3.91, 6.31, 5.72)
"""Monthly precipitation normals of Seattle-Tacoma airport, 1991-2020 (NOAA U.S. Climate Normals; from memory)."""

SEATTLE_UM = tuple(round(inches * 25_400) for inches in SEATTLE_IN)
JANUARY = Climate((31.0,) * 12, (62.0, 28.0, *(0.0,) * 10))
"""Two millimetres of rain a day in January, one in February, none later."""


def rain(number: int, day: date, mm: float, since: date | None = None) -> WeatherDay:
    return WeatherDay(id=number, happened_at=at(day, 20.0), zone="America/Los_Angeles", day=day,
                      rain_um=round(mm * 1000), rain_from=since)


def days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]


def gauged(climate: Climate, *gauges: Gauge, own: dict[date, Weather] | None = None) -> Sky:
    return Sky(climate, own or {}, 36.9, gauges=gauges, today=date(2027, 12, 31))


def test_a_total_is_spread_by_the_usual_rain_of_its_days() -> None:
    sky = gauged(JANUARY, Gauge(1, date(2027, 1, 30), date(2027, 2, 2), 12.0))
    assert [sky.day(day)[1:] for day in days(date(2027, 1, 30), date(2027, 2, 2))] == \
        [(4.0, False, True), (4.0, False, True), (2.0, False, True), (2.0, False, True)]
    assert sky.day(date(2027, 2, 3))[1:] == (1.0, False, False)


def test_where_no_rain_is_usual_the_days_share_evenly() -> None:
    sky = gauged(JANUARY, Gauge(1, date(2027, 7, 1), date(2027, 7, 4), 10.0))
    assert [sky.day(day).rain_mm for day in days(date(2027, 7, 1), date(2027, 7, 4))] == [2.5] * 4


def test_days_with_rain_of_their_own_keep_it_and_the_rest_is_spread_over_the_others() -> None:
    own = {date(2027, 7, 2): Weather(rain_mm=7.0), date(2027, 7, 3): Weather(rain_mm=0.0, tmin_c=8.0, tmax_c=20.0)}
    sky = gauged(JANUARY, Gauge(1, date(2027, 7, 1), date(2027, 7, 4), 10.0), own=own)
    assert [sky.day(day).rain_mm for day in days(date(2027, 7, 1), date(2027, 7, 4))] == [1.5, 7.0, 0.0, 1.5]
    assert not sky.uncounted


@pytest.mark.parametrize(("total", "held", "told"), [(6.0, 7.0, True), (6.8, 7.0, False), (7.0, 7.0, False)])
def test_a_total_smaller_than_what_its_days_hold_is_told_and_adds_nothing(total: float, held: float,
                                                                          told: bool) -> None:
    gauge = Gauge(1, date(2027, 7, 1), date(2027, 7, 4), total)
    sky = gauged(JANUARY, gauge, own={date(2027, 7, 2): Weather(rain_mm=held)})
    assert sum(sky.day(day).rain_mm for day in days(gauge.first, gauge.last)) == held
    assert sky.uncounted == ([(gauge, held)] if told else [])


def test_a_second_identical_total_that_got_in_all_the_same_changes_nothing() -> None:
    gauge = Gauge(1, date(2027, 1, 30), date(2027, 2, 2), 12.0)
    once, twice = gauged(JANUARY, gauge), gauged(JANUARY, gauge, replace(gauge, entry_id=2))
    assert all(once.day(day) == twice.day(day) for day in days(date(2027, 1, 25), date(2027, 2, 8)))


@given(st.lists(st.tuples(st.integers(0, 11), st.integers(0, 60)), max_size=8, unique_by=lambda one: one[0]),
       st.floats(0.0, 200.0))
def test_the_days_of_a_gauge_hold_its_total_or_what_they_hold_by_themselves(own: list[tuple[int, int]],
                                                                           total: float) -> None:
    first = date(2027, 1, 25)
    sky = gauged(JANUARY, Gauge(1, first, first + timedelta(days=11), total),
                 own={first + timedelta(days=number): Weather(rain_mm=float(mm)) for number, mm in own})
    held = float(sum(mm for _, mm in own))
    believed = sum(sky.day(day).rain_mm for day in days(first, first + timedelta(days=11)))
    assert believed == pytest.approx(max(total, held))


PLACE = (site(monthly_rain_um=SEATTLE_UM, monthly_eto_um=(30_000,) * 12), washer(), outlet())


def after(*facts: Fact, now: date, **described: object) -> Garden:
    place = (replace(PLACE[0], **described), *PLACE[1:])
    return garden(folded(*place, basin(start_deficit_ml=120_000), *facts), at(now, 23.5))


@given(st.lists(st.integers(0, 9_000), min_size=2, max_size=14))
def test_gauge_totals_and_daily_entries_of_the_same_rain_end_alike_within_a_days_pattern(um: list[int]) -> None:
    """The order of the days' rain is all that differs: no more than the largest day's rain and one day's use."""
    first = SINCE + timedelta(days=2)
    last = first + timedelta(days=len(um) - 1)
    daily = after(*(rain(100 + n, first + timedelta(days=n), mm / 1000) for n, mm in enumerate(um)), now=last)
    total = after(rain(100, last, sum(um) / 1000, since=first), now=last)
    one, other = daily.basins["Quince"], total.basins["Quince"]
    wetted = one.wetted_m2
    if not any(day.percolated_l for basin in (one, other) for day in basin.ledger.days):
        pattern = max(um) / 1000 * wetted + 30.0 / 28 * 0.5 * wetted
        assert abs(one.deficit_l - other.deficit_l) <= pattern + 1e-9


def wet_days(first: date, last: date, share: float = 1.0, every: int = 3) -> list[Fact]:
    """Each third day takes what usually falls on three, times `share`."""
    return [rain(1000 + number, day, share * every * SEATTLE_UM[day.month - 1] / 1000 / 30.4)
            for number, day in enumerate(days(first, last)) if number % every == 0]


def believed(facts: list[Fact], now: date, mode: str | None) -> float:
    state = folded(replace(PLACE[0], rain=mode), *facts)
    sky = sky_of(state, now)
    return sum(sky.day(day).rain_mm for day in days(SINCE, now))


def test_where_rain_counts_as_logged_the_balance_has_exactly_what_fell() -> None:
    now = SINCE + timedelta(days=400)
    facts = wet_days(SINCE, now)
    fell = sum(fact.rain_um / 1000 for fact in facts if isinstance(fact, WeatherDay))
    assert believed(facts, now, "as logged") == pytest.approx(fell)
    assert believed(facts, now, None) == believed(facts, now, "normals where not logged")
    assert 1.55 < believed(facts, now, None) / fell < 1.75   # the two dry days of three take theirs besides


def test_coming_days_take_the_normals_or_their_forecast_though_rain_counts_as_logged() -> None:
    now = date(2026, 12, 10)
    state = folded(replace(PLACE[0], rain="as logged"), rain(9, now + timedelta(days=2), 20.0))
    sky = sky_of(state, now)
    usual = SEATTLE_UM[11] / 1000 / 31
    assert [sky.day(now + timedelta(days=n)).rain_mm for n in (-1, 0, 1, 2, 3)] == \
        [0.0, 0.0, pytest.approx(usual), 20.0, pytest.approx(usual)]


def told(found: Garden, what: str) -> list[str]:
    return [f"{problem.text} {problem.way_out}" for problem in found.problems if what in problem.text]


def test_twice_the_usual_rain_is_told_with_a_way_out() -> None:
    now = date(2026, 12, 31)
    facts = wet_days(date(2026, 9, 1), now, share=1.5)
    for mode in (None, "normals where not logged"):
        odd = told(after(*facts, now=now, rain=mode), "more than twice")
        assert len(odd) == 1 and "as logged" in odd[0] and "usual" in odd[0]
    assert not told(after(*facts, now=now, rain="as logged"), "more than twice")


def test_a_slip_of_the_unit_is_told_where_every_day_is_logged() -> None:
    now = date(2026, 12, 31)
    odd = told(after(*wet_days(date(2026, 9, 1), now, share=25.4), now=now, rain="as logged"), "more than twice")
    assert len(odd) == 1 and "wrong unit" in odd[0]


def test_a_dry_climate_has_no_odd_sums() -> None:
    now = date(2026, 8, 31)
    dry = (1000,) * 12   # one millimetre a month: sixty days are far below 30 mm
    facts = wet_days(date(2026, 6, 1), now, share=3.0)
    assert not told(after(*facts, now=now, rain="as logged", monthly_rain_um=dry), "more than twice")


def test_wet_days_alone_written_down_are_told_until_somebody_says_what_the_others_had() -> None:
    now = date(2026, 12, 31)
    facts = wet_days(date(2026, 11, 1), now)
    assert len(told(after(*facts, now=now), "none without")) == 1
    assert not told(after(*facts, rain(5000, date(2026, 12, 5), 0.0), now=now), "none without")
    for mode in ("as logged", "normals where not logged"):
        assert not told(after(*facts, now=now, rain=mode), "none without")


def test_a_total_that_its_days_exceed_is_told_with_its_entry() -> None:
    found = after(rain(50, date(2026, 3, 5), 30.0), rain(51, date(2026, 3, 8), 10.0, since=date(2026, 3, 4)),
                  now=date(2026, 3, 9))
    problem = next(problem for problem in found.problems if "gauge" in problem.text)
    assert problem.entry_id == 51 and "0.39 in" in problem.text and "1.18 in" in problem.text


@pytest.mark.parametrize(("first", "mm", "today_mm"), [
    (date(2026, 3, 7), 14.0, 7.0), (date(2026, 3, 2), 14.0, 2.0), (date(2026, 3, 1), 14.0, None),
])
def test_a_short_gauge_tells_how_wet_the_ground_is_and_a_long_one_does_not(first: date, mm: float,
                                                                           today_mm: float | None) -> None:
    state = folded(*PLACE, rain(50, date(2026, 3, 8), mm, since=first))
    known = known_weather(state, date(2026, 3, 8))
    assert (None if known is None else known.rain_mm) == today_mm
    assert known_weather(state, date(2026, 3, 9)) is None


def test_days_that_came_about_alike_are_not_reckoned_again_and_a_later_reading_reaches_back() -> None:
    monday = at(date(2026, 3, 16), 0.0)
    facts = [*PLACE, basin(), rain(40, date(2026, 3, 10), 4.0, since=date(2026, 3, 5))]
    for more in ([], [rain(41, date(2026, 3, 17), 30.0, since=date(2026, 3, 11))], [rain(42, date(2026, 3, 7), 9.0)],
                 [rain(43, date(2026, 3, 14), 30.0, since=date(2026, 3, 11))]):
        then = folded(*facts)
        state = folded(*facts, *more)
        now = at(date(2026, 3, 18))
        later = garden(state, now)
        assert garden(then, monday, (state, later)).basins == garden(then, monday).basins
        assert garden(state, now, (then, garden(then, monday))).basins == later.basins
