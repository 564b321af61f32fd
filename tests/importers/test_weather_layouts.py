"""Every layout of weather files: read right, asked or refused; a wrong unit never passes, whatever is left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from gwlog.errors import BadInput
from gwlog.importers.weather_model import Asked, WeatherFile
from gwlog.importers.weather_question import Question
from gwlog.importers.weather_reader import read_file
from gwlog.water.weather import Sky, climate_of
from tests.importers.weather_files import FILES, Days, File

NOW = datetime(2026, 12, 30, 18, tzinfo=UTC)
SKY = Sky(climate_of(None), {}, 38.0)


def asked(zone: str = "America/Los_Angeles", **said: str) -> Asked:
    return replace(Asked(zone, NOW, "metric", SKY), **said)


def days_of(found: WeatherFile) -> Days:
    return {str(day): (one.values.get("rain"), one.values.get("low"), one.values.get("high"))
            for day, one in found.days.items()}


def assert_days(found: WeatherFile, expected: Days) -> None:
    got = days_of(found)
    assert sorted(got) == sorted(expected)
    for day, values in expected.items():
        assert got[day] == tuple(None if value is None else pytest.approx(value, abs=0.001) for value in values), day


@pytest.mark.parametrize("file", [pytest.param(file, id=name) for name, file in FILES.items()])
def test_a_file_is_read_right_asked_or_refused(file: File) -> None:
    content = file.text.encode()
    if file.refused:
        with pytest.raises(BadInput, match=file.refused):
            read_file(content, asked(file.zone))
        return
    if file.ask is None:
        assert_days(read_file(content, asked(file.zone)), file.days)
        return
    option, answer = file.ask
    with pytest.raises(Question) as question:
        read_file(content, asked(file.zone))
    assert question.value.option == option and answer in [choice.value for choice in question.value.choices]
    assert_days(read_file(content, asked(file.zone, **{option: answer})), file.days)


@pytest.mark.parametrize(("encode", "name"), [
    (lambda words: words.encode("utf-16"), "model, us"),
    (lambda words: words.replace("\n", "\r\n").encode(), "ghcn dly"),
    (lambda words: words.encode("cp1252"), "model, metric"), (lambda words: words.encode() + b"\n\n\n", "gsod"),
])
def test_other_codings_and_line_ends_read_the_same(encode: Callable[[str], bytes], name: str) -> None:
    assert_days(read_file(encode(FILES[name].text), asked()), FILES[name].days)


def test_newest_first_reads_the_same_and_the_doubled_hour_too() -> None:
    head, *rows = FILES["the hour that comes twice"].text.splitlines()
    turned = "\n".join([head, *reversed(rows)])
    assert_days(read_file(turned.encode(), asked()), FILES["the hour that comes twice"].days)


def test_an_hour_that_summer_time_leaves_out_shows_standard_time() -> None:
    """A file of 24 hours on the spring night runs by standard time: its last hour is already the next local day."""
    rows = "".join(f"2026-03-08 {hour:02}:30,10,{'1' if hour == 23 else '0'}\n" for hour in range(24))
    found = read_file(f"local_time,temp_c,rain_mm\n{rows}".encode(), asked())
    assert_days(found, {"2026-03-08": (0.0, 10.0, 10.0)})
    assert any("standard time" in remark for remark in found.remarks)


@pytest.mark.parametrize(("text", "named"), [
    ("date,tmin_c,tmax_c\n2026-06-01,10,22\n2026-06-02,52,74\n2026-06-03,9,21\n", "line 3"),
    ("date,tmax_c\n2026-06-01,70\n2026-01-01,40\n", "°F"),
    ("DATE,PRCP,TMAX,TMIN\n2026-06-01,0.25,70,52\n2026-06-02,12,306,170\n", "No unit fits"),
    ("date,rain_mm\n2026-06-01,2500\n2026-06-02,3\n", "tenths of mm"),
])
def test_leaving_out_rows_lets_no_wrong_unit_pass(text: str, named: str) -> None:
    """The unit is decided over the whole file before a row is left out."""
    with pytest.raises(BadInput, match=named):
        read_file(text.encode(), replace(asked(), leave_out=True))


def test_rows_that_are_no_weather_at_all_can_be_left_out() -> None:
    text = "date,rain_mm,tmax_c\n2026-06-01,wet,20\n2026-06-02,3,21\n2026-02-30,3,21\n"
    with pytest.raises(BadInput, match=r"2 of 3 rows(.|\n)*line 2(.|\n)*line 4"):
        read_file(text.encode(), asked())
    found = read_file(text.encode(), replace(asked(), leave_out=True))
    assert_days(found, {"2026-06-02": (3.0, None, 21.0)})
    assert len(found.faults) == 2


def test_what_is_said_against_the_file_is_refused() -> None:
    with pytest.raises(BadInput, match="is in °F by the file"):
        read_file(FILES["model, us"].text.encode(), asked(units="metric"))
    with pytest.raises(BadInput, match="no station “nowhere”"):
        read_file(FILES["ghcn by year"].text.encode(), asked(station="nowhere"))
    with pytest.raises(BadInput, match="names no station"):
        read_file(b"date,rain_mm\n2026-06-01,1\n", asked(station="X"))
    with pytest.raises(BadInput, match="not in the format gsod"):
        read_file(b"date,rain_mm\n2026-06-01,1\n", asked(format="gsod"))
    for said in ({"units": "furlongs"}, {"format": "best"}, {"units": "mm,cm"}):
        with pytest.raises(BadInput, match=r"choose from|; use "):
            read_file(b"date,rain_mm\n2026-06-01,1\n", asked(**said))


def test_a_question_shows_each_reading_beside_the_months_normal() -> None:
    with pytest.raises(Question) as question:
        read_file(FILES["order form, whole numbers"].text.encode(), asked())
    words = str(question.value)
    assert "January here usually has" in words
    assert [choice.value for choice in question.value.choices] == ["us", "tenths"]
    us, tenths = (choice.words for choice in question.value.choices)
    assert "highest 30 °C and lowest 16 °C" in us      # 86.5 and 60.5 °F
    assert "highest 9 °C and lowest 6 °C" in tenths    # 8.65 and 6.05 °C


def test_what_was_left_out_and_where_days_end_is_said() -> None:
    said = {name: " ".join(read_file(FILES[name].text.encode(), asked()).remarks)
            for name in ("ghcn access", "gsod", "bureau rain", "the day ends at 12 UTC", "flags in pairs")}
    assert "1 figure left out: the file marks" in said["ghcn access"] and "several days together" in said["ghcn access"]
    assert "midnight UTC" in said["gsod"] and "9 in the morning" in said["bureau rain"]
    assert "12 UTC" in said["the day ends at 12 UTC"] and "1 figure marked" in said["flags in pairs"]


def test_mixed_units_can_be_said_one_by_one() -> None:
    found = read_file(b"date,rain,tmin,tmax\n2026-06-01,2.5,50,68\n", asked(units="mm,f"))
    assert_days(found, {"2026-06-01": (2.5, 10.0, 20.0)})


def test_the_last_forecast_of_a_day_counts() -> None:
    text = "made_at,date,rain_mm\n2026-11-26T18:00-08:00,2026-11-28,4\n2026-11-27T18:00-08:00,2026-11-28,9\n"
    (one,) = read_file(text.encode(), asked()).days.values()
    assert one.values == {"rain": 9.0} and one.made == datetime(2026, 11, 28, 2, tzinfo=UTC)
    assert list(read_file(text.encode(), asked()).days) == [date(2026, 11, 28)]
