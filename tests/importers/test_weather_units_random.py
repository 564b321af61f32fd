"""Random weather written down in random ways: it is read as it was, asked or refused, and never in a wrong unit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput
from gwlog.importers.weather_question import Question
from gwlog.importers.weather_reader import read_file
from tests.importers.test_weather_layouts import asked
from tests.importers.weather_files import FILES

RAIN = {"mm": 1.0, "in": 25.4, "0.1 mm": 0.1}
"""What one of each unit is in mm."""
SYSTEM = {"us": ("in", "F"), "metric": ("mm", "C"), "tenths": ("0.1 mm", "0.1 C")}
NAMED = {"mm": ("rain_mm", "precip (mm/day)", "Rainfall amount (millimetres)"), "in": ("rain_in", "ppt (inches)"),
         "0.1 mm": ("precip (0.1 mm)", "rain_tenths_mm"), "C": ("{}_c", "{} temp (°C)", "{} (deg c)"),
         "F": ("{}_f", "{} (degrees F)"), "0.1 C": ("{} (0.1 degC)",), "K": ("{} (K)",)}
UNNAMED = ("rain", "precipitation", "PRCP")
OTHERS = ("High wind (mph)", "Low cloud (oktas)", "humidity max", "soil min (C)", "max rain rate (mm)", "pressure")


def celsius(number: float, unit: str) -> float:
    return {"C": number, "F": (number - 32) / 1.8, "0.1 C": number / 10, "K": number - 273.15}[unit]


@st.composite
def written(draw: st.DrawFn) -> dict[str, Any]:
    """A file, what it truly says by day (mm, degC), and how its writer would answer."""
    system = draw(st.sampled_from([*SYSTEM, "us", "kelvin"]))
    rain_unit, temperature_unit = SYSTEM.get(system, ("mm", "K"))
    if draw(st.integers(0, 5)) == 0:
        rain_unit = draw(st.sampled_from(list(RAIN)))
    order_form = draw(st.booleans()) and system in SYSTEM and rain_unit == SYSTEM[system][0]
    named_rain, named_temperature = (False, False) if order_form else (draw(st.booleans()), draw(st.booleans()))
    whole_rain = rain_unit == "0.1 mm" or draw(st.integers(0, 3)) == 0
    whole = temperature_unit == "0.1 C" or draw(st.booleans())
    mean, spread = draw(st.integers(-30, 38)), draw(st.integers(1, 12))
    first = date(2026, 1, 1) + timedelta(days=draw(st.integers(0, 300)))
    rows, truth = [], {}
    for number in range(draw(st.integers(1, 8))):
        day = first + timedelta(days=number)
        mm = draw(st.sampled_from([0, 0, 0.3, 4.1, 12.7, 33, 80]))
        rain = round(mm / RAIN[rain_unit], 0 if whole_rain else 2)
        low_c = min(44, mean + draw(st.integers(-6, 6)))
        pair = []
        for value in (low_c, min(59, low_c + spread)):
            number_in = {"C": value, "F": value * 1.8 + 32, "0.1 C": value * 10, "K": value + 273.15}[temperature_unit]
            pair.append(round(number_in + (0 if whole else draw(st.sampled_from([0, 0.3, 0.5]))), 0 if whole else 1))
        cells = [f"{rain:.0f}" if whole_rain else f"{rain:.2f}", *(f"{one:.0f}" if whole else f"{one:.1f}"
                                                                  for one in sorted(pair))]
        expected: list[float | None] = [rain * RAIN[rain_unit],
                                        *(celsius(one, temperature_unit) for one in sorted(pair))]
        gap = draw(st.integers(0, 12))
        if gap < 3:
            cells[gap], expected[gap] = draw(st.sampled_from(["", "M", "-9999", "NaN"])), None
        rows.append([day.isoformat(), *cells])
        truth[day] = expected
    titles = ["DATE", "PRCP", "TMIN", "TMAX"] if order_form else [
        "date", draw(st.sampled_from(NAMED[rain_unit] if named_rain else UNNAMED)),
        *(pattern.format(which) for which in ("tmin", "tmax")
          for pattern in [NAMED[temperature_unit][0] if named_temperature else "{}"])]
    if draw(st.booleans()):
        titles.append(draw(st.sampled_from(OTHERS)))
        rows = [[*row, "7"] for row in rows]
    if draw(st.integers(0, 6)) == 0:   # a row that is no weather
        rows.insert(draw(st.integers(0, len(rows))), [(first - timedelta(days=9)).isoformat(), "wet", "?", "?"])
    text = "\n".join(",".join(row) for row in [titles, *rows]) + "\n"
    return {"text": text, "truth": truth, "units": f"{rain_unit},{temperature_unit}",
            "leave_out": draw(st.booleans())}


def never_wrong(file: dict[str, Any]) -> str:
    """Read a file and compare; returns whether it was read, asked or refused."""
    content, how = file["text"].encode(), replace(asked(), leave_out=file["leave_out"])
    outcome = "read"
    try:
        found = read_file(content, how)
    except Question as question:
        assert question.option == "units" and len(question.choices) > 1
        outcome = "asked"
        try:
            found = read_file(content, replace(how, units=file["units"]))
        except BadInput as fault:
            assert not isinstance(fault, Question)
            return "refused"
    except BadInput:
        return "refused"
    for day, one in found.days.items():
        for what, value in zip(("rain", "low", "high"), file["truth"][day], strict=True):
            got = one.values.get(what)
            if got is not None:
                assert value is not None and abs(got - value) < 0.01, (day, what, got, value)
    return outcome


@settings(max_examples=150)
@given(st.sampled_from(sorted(FILES)), st.lists(st.tuples(
    st.floats(0, 1), st.sampled_from(["", ",", "\n", "9", "-", ".", '"', ";", "x", "\0", "T", "2026", "é", " "])),
    min_size=1, max_size=8), st.booleans())
def test_a_damaged_file_ends_in_a_sentence(name: str, damage: list[tuple[float, str]], leave_out: bool) -> None:
    text = FILES[name].text
    for where, sign in damage:
        place = int(where * len(text))
        text = text[:place] + sign + text[place + (not sign):]
    try:
        read_file(text.encode(), replace(asked(FILES[name].zone), leave_out=leave_out))
    except BadInput as fault:
        assert str(fault)


@settings(max_examples=200)
@given(written())
def test_no_random_file_is_read_in_a_wrong_unit(file: dict[str, Any]) -> None:
    assert never_wrong(file) in ("read", "asked", "refused")
