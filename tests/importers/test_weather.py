"""Weather from CSV files: recognised columns and units, unusable rows by line, all or nothing, repeatable."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from importlib.util import find_spec
from pathlib import Path

import pytest

from gwlog.journal import reader
from gwlog.journal.facts import WeatherDay, standing_entries
from gwlog.state import Weather, fold
from tests.conftest import SITE, Runner


def put(tmp_path: Path, content: str | bytes, name: str = "weather.csv") -> str:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return str(path)


def weather(tmp_path: Path) -> dict[date, Weather]:
    return fold(standing_entries(reader.read(tmp_path / "logbook.db")).facts).weather


READ = [
    ("date,rain_mm,tmin_c,tmax_c\n2026-07-01,2.5,12,27\n", Weather(2.5, 12.0, 27.0)),
    ("Date;Rain (mm);Min temp (°C);Max temp (°C)\r\n2026-07-01;2,5;12;27\r\n", Weather(2.5, 12.0, 27.0)),
    ("\ufeffdate,rain_in\n2026-07-01,0.1\n", Weather(2.54)),
    ("day\tprecipitation [in]\ttmax_f\n2026/07/01\t1\t68\n", Weather(25.4, None, 20.0)),
    ("STATION,DATE,PRCP,TMAX,TMIN\nX1,2026-07-01,25,270,120\n", Weather(2.5, 12.0, 27.0)),
    ("DATE,PRCP,TMAX\n20260701,-9999,270\n", Weather(None, None, 27.0)),
    ("date,precipitation_in,temp_max,temp_min\n2026-07-01,0.5,80.6,53.6\n", Weather(12.7, 12.0, 27.0)),
    ("date,rain_mm\n01.07.2026,1.5\n", Weather(1.5)),
    ("date,rain_mm\n2026-07-01,T\n", Weather(0.0)),
    ("date,rain_mm,tmax_c\n\n2026-07-01,,27\n\n", Weather(None, None, 27.0)),
]


@pytest.mark.parametrize(("content", "expected"), READ)
def test_columns_are_recognised_by_name_and_unit(home: Runner, tmp_path: Path, content: str, expected: Weather) -> None:
    assert home("weather", "import", put(tmp_path, content)).code == 0
    got = weather(tmp_path)[date(2026, 7, 1)]
    for mine, theirs in ((got.rain_mm, expected.rain_mm), (got.tmin_c, expected.tmin_c), (got.tmax_c, expected.tmax_c)):
        assert mine == (None if theirs is None else pytest.approx(theirs, abs=0.001))


REFUSED = [
    ("", "empty"),
    ("a,b\n1,2\n", "date"),
    ("date,colour\n2026-07-01,red\n", "rain"),
    ("date,rain_mm\n2026-07-01,1\n2026-07-01,2\n", "line 3"),
    ("date,rain_mm\n2026-02-30,1\n", "line 2"),
    ("date,rain_mm\n2026-07-01,-4\n", "-4"),
    ("date,rain_mm\n2026-07-01,nan\nx,1\n", "line 3"),
    ("date,rain_mm\n2026-07-01,inf\n", "inf"),
    ("date,rain_mm\n2026-07-01,wet\n", "wet"),
    ("date,rain_c\n2026-07-01,1\n", "rain_c"),
    ("date,rain_mm,rain_in\n2026-07-01,1,1\n", "Several"),
    ("date,tmin_c,tmax_c\n2026-07-01,30,20\n", "line 2"),
    ("DATE,PRCP\n2026-07-01,0.25\n", "--units us"),
    ("date,precipitation,temp_max,temp_min\n2026-07-01,0.5,80.6,53.6\n", "--units metric"),
    ("date,rain_mm\n2027-07-01,1\n", "ahead"),
    ("date,tmax_c\n2026-07-01,200\n", "200"),
]


@pytest.mark.parametrize(("content", "named"), REFUSED)
def test_unusable_rows_are_named_by_line_and_nothing_is_logged(home: Runner, tmp_path: Path, content: str,
                                                               named: str) -> None:
    before = len(reader.read(tmp_path / "logbook.db"))
    answer = home("weather", "import", put(tmp_path, content))
    assert answer.code == 2
    assert named in answer.err
    assert len(reader.read(tmp_path / "logbook.db")) == before


def test_leave_out_takes_the_rows_that_can_be_used(home: Runner, tmp_path: Path) -> None:
    file = put(tmp_path, "date,rain_mm\n2026-07-01,1\n2026-07-02,wet\n2026-07-03,3\n")
    answer = home("weather", "import", file, "--leave-out", "--json").json
    assert (answer["logged"], len(answer["left_out"]), answer["missing_days"]) == (2, 1, ["2026-07-02"])


def test_repeating_is_safe_and_a_changed_value_replaces(home: Runner, tmp_path: Path) -> None:
    file = put(tmp_path, "date,rain_mm,tmin_c,tmax_c\n2026-07-01,1,10,20\n2026-07-02,2,11,21\n")
    home("weather", "import", file)
    count = len(reader.read(tmp_path / "logbook.db"))
    assert home("weather", "import", file, "--json").json["known"] == 2
    assert len(reader.read(tmp_path / "logbook.db")) == count
    changed = put(tmp_path, "date,rain_mm\n2026-07-01,5\n", "changed.csv")
    assert home("weather", "import", changed, "--json").json["logged"] == 1
    assert weather(tmp_path)[date(2026, 7, 1)] == Weather(5.0, 10.0, 20.0)


def test_dry_run_logs_nothing(home: Runner, tmp_path: Path) -> None:
    before = len(reader.read(tmp_path / "logbook.db"))
    assert "would be logged" in home("weather", "import", put(tmp_path, READ[0][0]), "--dry-run").out
    assert len(reader.read(tmp_path / "logbook.db")) == before


@pytest.mark.parametrize("content", [b"\xff\xfe\x00d", b"\x00" * 50, bytes(range(256)),
                                     b"date,rain_mm\n\"2026-07-01,1\n"])
def test_any_bytes_end_in_a_sentence(home: Runner, tmp_path: Path, content: bytes) -> None:
    answer = home("weather", "import", put(tmp_path, content))
    assert answer.code == 2
    assert "bug in gwlog" not in answer.err


def test_what_a_file_leaves_open_is_asked_and_answered(home: Runner, tmp_path: Path) -> None:
    """Degrees Fahrenheit in whole numbers could be tenths of a degree Celsius: nobody can tell but a person."""
    file = put(tmp_path, "STATION,DATE,PRCP,TMAX,TMIN\nX1,2026-06-02,0,80,55\nX1,2026-06-03,0,78,54\n")
    asked = home("weather", "import", file)
    assert asked.code == 2 and weather(tmp_path) == {}
    assert "--units us" in asked.err and "--units tenths" in asked.err and "June here usually has" in asked.err
    assert "highest 79 °F and lowest 54 °F" in asked.err and "highest 46 °F and lowest 42 °F" in asked.err
    assert home("weather", "import", file, "--leave-out").code == 2
    assert home("weather", "import", file, "--units", "us").code == 0
    assert weather(tmp_path)[date(2026, 6, 2)].tmax_c == pytest.approx(26.667, abs=0.001)


def test_a_climate_that_does_not_fit_is_told_and_does_not_refuse(home: Runner, tmp_path: Path) -> None:
    """The zone's July evaporates 5.0 mm a day; 2 to 4 °C all month would evaporate a fraction of that."""
    file = put(tmp_path, "date,tmin_c,tmax_c\n" + "".join(f"2026-07-{day:02},2,4\n" for day in range(1, 13)))
    answer = home("weather", "import", file, "--dry-run")
    assert answer.code == 0 and "Check: July 2026 would evaporate" in answer.out
    fine = put(tmp_path, "date,tmin_c,tmax_c\n2026-07-01,13,27\n", "fine.csv")
    assert "Check:" not in home("weather", "import", fine, "--dry-run").out


def test_a_look_before_shows_five_days_and_the_sums_of_months(home: Runner, tmp_path: Path) -> None:
    rows = "".join(f"2026-06-{day:02},1,10,20\n" for day in range(25, 31)) + "2026-07-01,25.4,12,22\n"
    file = put(tmp_path, f"date,rain_mm,tmin_c,tmax_c\n{rows}")
    lines = home("weather", "import", file, "--dry-run").out.splitlines()
    assert "Jun 25, 2026  rain 0.04 in, 50 °F to 68 °F" in lines and "and 2 days more, by month:" in lines
    assert "Jun 2026  6 days: rain 0.24 in together, 50 °F to 68 °F on the mean" in lines
    assert any(line.startswith("Jul 2026  1 day: rain 1.00 in") for line in lines)


def test_days_that_are_not_over_come_in_as_forecast(home: Runner, tmp_path: Path) -> None:
    file = put(tmp_path, "date,rain_mm\n2026-07-13,1\n2026-07-14,5\n2026-07-15,6\n")
    told = home("weather", "import", file, "--json").json
    assert (told["logged"], told["forecasts"]) == (3, 2)
    assert list(weather(tmp_path)) == [date(2026, 7, 13)]
    assert "(forecast of" in home("entries").out
    assert home("weather", "import", file, "--json").json["known"] == 3


@pytest.mark.parametrize(("content", "said"), [
    (b"<html><title>Busy</title></html>", "web page (“Busy”)"), (b"PK\x03\x04xx", "save the sheet as CSV"),
    (b"\x1f\x8bxx", "unpack it"), (b"date,rain_mm\n2026-07-01,1\n2026-07-01,2\n", "stands already in line 2"),
])
def test_what_is_no_weather_is_refused_in_a_sentence(home: Runner, tmp_path: Path, content: bytes, said: str) -> None:
    answer = home("weather", "import", put(tmp_path, content))
    assert answer.code == 2 and said in answer.err and weather(tmp_path) == {}


def test_a_file_of_100_mb_is_refused_unread(home: Runner, tmp_path: Path) -> None:
    with (tmp_path / "big.csv").open("wb") as file:
        file.truncate(100_000_000)
    answer = home("weather", "import", str(tmp_path / "big.csv"))
    assert answer.code == 2 and "larger than 20 MB" in answer.err


def test_an_unknown_station_names_those_that_there_are(home: Runner, tmp_path: Path) -> None:
    file = put(tmp_path, "station,date,rain_mm\nA1,2026-07-01,1\nB2,2026-07-01,2\n")
    assert "--station A1" in home("weather", "import", file).err
    assert "it has A1, B2" in home("weather", "import", file, "--station", "C3").err
    assert home("weather", "import", file, "--station", "B2").code == 0
    assert weather(tmp_path)[date(2026, 7, 1)] == Weather(2.0)


def test_four_years_of_seattle_weather_come_in_as_they_are(gwlog: Runner, frozen: Callable[[datetime], None],
                                                           tmp_path: Path) -> None:
    """NOAA daily data of Seattle-Tacoma 2012-2015 as shipped in vega_datasets (mm and degC), with 29 February 2012."""
    spec = find_spec("vega_datasets")
    assert spec is not None and spec.submodule_search_locations is not None
    source = Path(spec.submodule_search_locations[0]) / "_data" / "seattle-weather.csv"
    frozen(datetime(2016, 1, 2, 12, tzinfo=UTC))
    put(tmp_path, SITE.replace("2026-05-01", "2012-01-01"), "site.toml")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    with source.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    named = "date,precipitation_mm,temp_max_c,temp_min_c\n" + "".join(
        f"{row['date']},{row['precipitation']},{row['temp_max']},{row['temp_min']}\n" for row in rows)
    answer = gwlog("weather", "import", put(tmp_path, named), "--json")
    told = json.loads(answer.out)
    assert (told["logged"], told["missing_days"]) == (1461, [])
    kept = weather(tmp_path)
    assert date(2012, 2, 29) in kept
    for row in rows:
        day = date.fromisoformat(row["date"][:10].replace("/", "-"))
        assert kept[day] == Weather(float(row["precipitation"]), float(row["temp_min"]), float(row["temp_max"]))
    entries = [e for e in reader.read(tmp_path / "logbook.db") if isinstance(e, WeatherDay)]
    assert all(entry.happened_at < datetime(2016, 1, 2, tzinfo=UTC) for entry in entries)
