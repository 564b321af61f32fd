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
    ("date,precipitation,temp_max,temp_min\n2026-07-01,0.5,80.6,53.6\n", Weather(12.7, 12.0, 27.0)),
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
    ("date,rain_mm\n01.07.2026,1\n", "line 2"),
    ("date,rain_mm\n2026-07-01,-4\n", "-4"),
    ("date,rain_mm\n2026-07-01,nan\nx,1\n", "line 3"),
    ("date,rain_mm\n2026-07-01,inf\n", "inf"),
    ("date,rain_mm\n2026-07-01,wet\n", "wet"),
    ("date,rain_c\n2026-07-01,1\n", "rain_c"),
    ("date,rain_mm,rain_in\n2026-07-01,1,1\n", "Several"),
    ("date,tmin_c,tmax_c\n2026-07-01,30,20\n", "line 2"),
    ("DATE,PRCP\n2026-07-01,0.25\n", "tenths"),
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
    assert "mistake in gwlog" not in answer.err


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
