"""A rain gauge's total as it is logged: by command, by line, by correction; what is refused, and what is said."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from gwlog.app.quick_entry import read_line, read_lines
from gwlog.errors import BadInput
from gwlog.household import look
from gwlog.journal.facts import WeatherDay
from tests.cli.test_late_and_corrected import entry_of
from tests.conftest import NOW, Runner

TODAY = date(2026, 7, 14)   # a Tuesday


def gauge(tmp_path: Path, number: str) -> WeatherDay:
    fact = look(tmp_path / "logbook.db", NOW).standing.facts
    return next(one for one in fact if isinstance(one, WeatherDay) and one.id == int(number))


def test_a_total_since_a_day_says_its_days_and_how_it_is_spread(home: Runner, tmp_path: Path) -> None:
    said = home("rain", "12 mm", "--since", "fri")
    assert said.code == 0, said.err
    assert "0.47 in of rain from Fri, Jul 10 to Tue, Jul 14, 2026." in said.out
    assert "It is spread over 5 days." in said.out
    fact = gauge(tmp_path, entry_of(said.out))
    assert (fact.rain_from, fact.day, fact.rain_um) == (date(2026, 7, 10), TODAY, 12_000)
    assert "rain 0.47 in since Fri, Jul 10" in home("entries", "--last", "1").out


def test_since_last_begins_behind_the_last_reading_or_logged_rain(home: Runner, tmp_path: Path) -> None:
    home("rain", "0.2in", "--at", "2026-07-03")
    first = home("rain", "8 mm", "--since-last", "--at", "2026-07-08")
    assert gauge(tmp_path, entry_of(first.out)).rain_from == date(2026, 7, 4)
    second = home("rain", "3 mm", "--since-last")
    assert gauge(tmp_path, entry_of(second.out)).rain_from == date(2026, 7, 9)


@pytest.mark.parametrize(("before", "words", "told"), [
    ((), ("--since-last",), ("No rain was logged before", "--since DAY")),
    ((), ("--since", "tomorrow"), ("after Tue, Jul 14, 2026",)),
    ((), ("--since", "fri", "--at", "tomorrow"), ("still to come",)),
    ((), ("--since", "2024-07-01"), ("744 days", "366")),
    ((), ("--since", "the day of the cat"), ("the day of the cat",)),
    ((), ("--since", "fri", "--since-last"), ("not both",)),
    ((("rain", "12 mm", "--since", "fri"),), ("--since-last",), ("by entry {}", "gwlog correct {}")),
    ((("rain", "12 mm", "--since", "fri"),), ("--since", "fri"),
     ("entry {}", "Fri, Jul 10, 2026 to Tue, Jul 14, 2026")),
    ((("rain", "12 mm", "--since", "fri"),), ("--since", "mon"), ("entry {}",)),
    ((("rain", "12 mm", "--since", "sun"),), ("--since", "fri", "--at", "sun"), ("entry {}",)),
    ((("rain", "0"),), ("--since-last",), ("by entry {}", "--since DAY")),
])
def test_a_gauge_read_twice_and_spans_that_are_none_are_refused(
    home: Runner, tmp_path: Path, before: tuple[tuple[str, ...], ...], words: tuple[str, ...], told: tuple[str, ...],
) -> None:
    number = ""
    for one in before:
        number = entry_of(home(*one).out)
    count = len(look(tmp_path / "logbook.db", NOW).entries)
    refused = home("rain", "5 mm", *words)
    assert refused.code == 2
    for part in told:
        assert part.format(number) in refused.err
    assert len(look(tmp_path / "logbook.db", NOW).entries) == count


def test_what_its_days_hold_already_is_said(home: Runner) -> None:
    home("rain", "10 mm", "--at", "sun")
    assert "1 of these 5 days keep their own, 0.39 in in all; the rest is spread" in \
        home("rain", "15 mm", "--since", "fri").out
    home("rain", "20 mm", "--at", "2026-07-07")
    less = home("rain", "15 mm", "--since", "2026-07-06", "--at", "2026-07-08").out
    assert "hold 0.79 in already, more than the total" in less
    odd = [problem["text"] for problem in home("entries", "--odd", "--json").json["problems"]]
    assert any("gauge's total of Mon, Jul 6 to Wed, Jul 8, 2026 is 0.59 in" in text for text in odd)


def test_a_total_is_corrected_in_its_amount_its_days_and_into_the_rain_of_one_day(home: Runner,
                                                                                 tmp_path: Path) -> None:
    number = entry_of(home("rain", "12 mm", "--since", "fri").out)
    assert home("correct", number, "--rain", "14 mm").code == 0
    assert gauge(tmp_path, number).rain_from == date(2026, 7, 10)
    assert home("correct", number, "--since", "2026-07-08").code == 0
    assert (gauge(tmp_path, number).rain_from, gauge(tmp_path, number).rain_um) == (date(2026, 7, 8), 14_000)
    moved = home("correct", number, "--at", "2026-07-09")
    assert moved.code == 0, moved.err
    assert gauge(tmp_path, number).day == date(2026, 7, 9)
    other = entry_of(home("rain", "3 mm", "--since-last").out)
    assert gauge(tmp_path, other).rain_from == date(2026, 7, 10)
    meets = home("correct", number, "--at", "2026-07-12")
    assert meets.code == 2 and f"entry {other}" in meets.err
    assert home("correct", number, "--since", "day").code == 0
    assert gauge(tmp_path, number).rain_from is None
    assert home("correct", number, "--since", "2026-07-07").code == 0
    assert gauge(tmp_path, number).rain_from == date(2026, 7, 7)


@pytest.mark.parametrize(("line", "first", "last", "um"), [
    ("rain 12 mm since sunday", date(2026, 7, 12), TODAY, 12_000),
    ("rain 0.5in SINCE 2026-07-01, Ines", date(2026, 7, 1), TODAY, 12_700),
    ("mon rain 7 mm since fri", date(2026, 7, 10), date(2026, 7, 13), 7_000),
    ("rain 7 mm since last", date(2026, 7, 6), TODAY, 7_000),
    ("rain 7 mm since the last reading", date(2026, 7, 6), TODAY, 7_000),
    ("fri rain 0.4in", None, date(2026, 7, 10), 10_160),
])
def test_a_line_of_catching_up_may_hold_a_gauges_total(home: Runner, tmp_path: Path, line: str, first: date | None,
                                                       last: date, um: int) -> None:
    home("rain", "1 mm", "--at", "2026-07-05")
    caught = read_line(look(tmp_path / "logbook.db", NOW), line)
    (fact,) = caught.facts
    assert isinstance(fact, WeatherDay)
    assert (fact.rain_from, fact.day, fact.rain_um) == (first, last, um)
    assert ("since" in caught.said) is (first is not None)


def test_the_same_reading_in_two_lines_is_refused_at_the_second(home: Runner, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="logged already, by entry"):
        read_lines(look(tmp_path / "logbook.db", NOW), ["rain 12 mm since sunday", "rain 12 mm since sunday"])
    with pytest.raises(BadInput, match="No rain was logged before"):
        read_line(look(tmp_path / "logbook.db", NOW), "rain 12 mm since last")


def test_imported_days_win_within_a_gauges_span_and_the_import_is_as_it_was(home: Runner, tmp_path: Path) -> None:
    home("rain", "12 mm", "--since", "2026-07-10")
    file = tmp_path / "station.csv"
    file.write_text("date,rain_mm\n2026-07-11,5\n2026-07-12,0\n", encoding="utf-8")
    assert home("weather", "import", str(file)).code == 0
    sky = look(tmp_path / "logbook.db", NOW).garden.sky
    rain = {day: sky.day(date(2026, 7, day)).rain_mm for day in range(10, 15)}
    assert rain[11] == 5.0 and rain[12] == 0.0
    assert sum(rain.values()) == pytest.approx(12.0)


def test_a_short_gauges_total_soaks_the_ground(home: Runner) -> None:
    home("rain", "30 mm", "--since", "mon")
    where = home("where", "towels", "--json").json
    assert where["verdict"] == "sewer" and where["reasons"][0]["rule"] == "soaked ground"
