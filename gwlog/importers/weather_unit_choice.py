"""In which unit the columns of a weather file are, decided over all of its rows before any is left out.

What the header or the layout proves stands. Where it proves nothing, the readings that every row fits are compared: one
alone is proven, several that differ are asked, with what each would mean beside the month's normal.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from gwlog import text
from gwlog.errors import BadInput
from gwlog.importers import weather_units
from gwlog.importers.weather_model import Column, Figure, Opened, few
from gwlog.importers.weather_question import Choice, Figures, Question, normal, reading
from gwlog.importers.weather_units import HUNDREDTHS_IN, RAIN, SYSTEMS, TEMPERATURE, Unit
from gwlog.importers.weather_words import folded

NINES = re.compile(r"[+-]?9{3,}(?:[.,][09]+)?|[+-]?99[.,]9+|-99(?:[.,]0+)?")
"""A figure of nines alone, as codes for what is missing are; out of range it proves nothing of the unit."""


def decide(file: Opened, figures: Sequence[Figure]) -> None:
    """Settle the unit of every column. Raises Question where several readings stand, BadInput where none does."""
    columns, said = file.columns, file.said
    for column in columns:
        _agrees(file, column)
        if column.unit is HUNDREDTHS_IN and "hundredth" in folded(column.title):
            _hundredths(file, column, figures)
    for column in columns:
        if column.what in ("tips", "counter"):
            _size_of_a_tip(file, column)
    left = columns if _is_new_edition(file, figures) else [column for column in columns if column.unit is None]
    rain = [column for column in left if column.what == "rain"]
    temperatures = [column for column in left if column.what in ("low", "high", "temp")]
    if file.layout.joint and rain and temperatures and not (said.words and None in (said.rain, said.temperature)):
        _together(file, rain, temperatures, figures)
    else:
        _alone(file, rain, temperatures, figures)


def _is_new_edition(file: Opened, figures: Sequence[Figure]) -> bool:
    """Whether a layout of whole degrees has fractions: then it is another edition, perhaps in other units."""
    return file.layout.whole and any(one.number != int(one.number) for one in figures
                                     if one.column.what in ("low", "high", "temp"))


def _agrees(file: Opened, column: Column) -> None:
    said = file.said.rain if column.what == "rain" else file.said.temperature
    if column.unit is None or said is None or said.system == column.unit.system or column.unit is HUNDREDTHS_IN or \
            file.layout.whole:
        return
    raise BadInput(f"“{file.said.words}” was said of the units, but column “{column.title}” is in {column.unit.name} "
                   "by the file.", hint="Leave the units out.")


def _of(columns: Sequence[Column], figures: Sequence[Figure], *, codes: bool) -> list[tuple[str, float]]:
    """What these columns hold; `codes`: figures that may be codes, too."""
    return [(one.column.what, one.number) for one in figures
            if any(one.column is column for column in columns) and (codes or not NINES.fullmatch(one.cell))]


def _together(file: Opened, rain: list[Column], temperatures: list[Column], figures: Sequence[Figure]) -> None:
    """Rain and temperatures without a unit, but of one system."""
    said, of_rain, of_temperature = file.said, _of(rain, figures, codes=False), _of(temperatures, figures, codes=False)
    pairs = {name: pair for name, pair in SYSTEMS.items()
             if pair[0] in weather_units.fitting(of_rain, RAIN)
             and pair[1] in weather_units.fitting(of_temperature, TEMPERATURE[:3])}
    if said.rain is not None and said.temperature is not None:
        pairs = {said.words: (said.rain, said.temperature)}
    alike = weather_units.same_values(_of(rain, figures, codes=True), [pair[0] for pair in pairs.values()]) and \
        weather_units.same_values(_of(temperatures, figures, codes=True), [pair[1] for pair in pairs.values()])
    if len(pairs) > 1 and not alike:
        _ask(file, figures, [(name, pair[0] if of_rain else None, pair[1] if of_temperature else None)
                             for name, pair in pairs.items()], rain + temperatures)
    found = next(iter(pairs.values()), (None, None))
    _settle(file, rain, found[0], figures)
    _settle(file, temperatures, found[1], figures)


def _alone(file: Opened, rain: list[Column], temperatures: list[Column], figures: Sequence[Figure]) -> None:
    """Rain without a unit, or temperatures; what one is in says nothing of the other."""
    found: list[tuple[list[Column], list[Unit], bool]] = []
    for columns, known, said in ((rain, RAIN, file.said.rain), (temperatures, TEMPERATURE, file.said.temperature)):
        units = [said] if said is not None else weather_units.fitting(_of(columns, figures, codes=False), known)
        alike = weather_units.same_values(_of(columns, figures, codes=True), units)
        found.append((columns, units, len(units) > 1 and not alike))
    (_, of_rain, rain_open), (_, of_temperature, temperature_open) = found
    if rain_open or temperature_open:
        readings: list[tuple[str, Unit | None, Unit | None]] = []
        for name, pair in {**SYSTEMS, "k": (None, weather_units.K)}.items():
            mine = (pair[0] if rain_open and pair[0] in of_rain else None,
                    pair[1] if temperature_open and pair[1] in of_temperature else None)
            if any(mine):
                readings.append((name, *mine))
        _ask(file, figures, readings, (rain if rain_open else []) + (temperatures if temperature_open else []))
    for columns, units, _ in found:
        if columns:
            _settle(file, columns, units[0] if units else None, figures)


def _settle(file: Opened, columns: Sequence[Column], unit: Unit | None, figures: Sequence[Figure]) -> None:
    titles = text.listed([f"“{text.one_line(column.title)[:20]}”" for column in columns])
    if unit is None:
        lines = few([f"line {one.line} “{one.cell[:12]}”" for one in figures
                     if any(one.column is column for column in columns)][-3:])
        raise BadInput(f"No unit fits all rows of {titles} (look at {lines}); nothing was taken.")
    for column in columns:
        column.unit = unit
    said = file.said.rain if unit.rain else file.said.temperature
    file.remarks.append(f"{titles} read as {unit.name}" + (
        ", as you said." if said is not None else ": no other unit that fits every row would change a figure."))


def _ask(file: Opened, figures: Sequence[Figure], readings: Sequence[tuple[str, Unit | None, Unit | None]],
         columns: Sequence[Column]) -> None:
    asked = file.asked
    mine = Figures([(one.stamp.day, one.column.what, one.number) for one in figures
                    if any(one.column is column for column in columns)])
    choices = []
    for name, rain, temperature in readings:
        units = text.listed([unit.name for unit in (rain, temperature) if unit is not None])
        choices.append(Choice(name, f"{units}. {reading(mine, rain, temperature, asked.sky, asked.system)}"))
    titles = text.listed([f"“{text.one_line(column.title)[:20]}”" for column in columns])
    raise Question(f"The file does not say in which unit {titles} {'is' if len(columns) == 1 else 'are'}, and every "
                   f"row fits several. {normal(mine, asked.sky, asked.system)}", "units", choices)


def _hundredths(file: Opened, column: Column, figures: Sequence[Figure]) -> None:
    said = file.said
    if said.rain is None:
        most = max((one.number for one in figures if one.column is column), default=0.0)
        raise Question(f"Column “{column.title}” speaks of hundredths of an inch; its largest figure is {most:g}.",
                       "units", [Choice("us", f"hundredths of an inch: that is {most * 0.254:.1f} mm"),
                                 Choice("in", f"whole inches: that is {most * 25.4:.0f} mm")])
    column.unit = HUNDREDTHS_IN if said.words == "us" else said.rain


def _size_of_a_tip(file: Opened, column: Column) -> None:
    tip = file.said.tip
    if tip is None:
        raise Question("How much rain one tip of this gauge is does not stand in the file; look at the gauge.", "units",
                       [Choice("0.01in", "0.01 in (0.254 mm), usual in the United States"),
                        Choice("0.2mm", "0.2 mm, usual elsewhere"), Choice("0.1mm", "0.1 mm"),
                        Choice("0.5mm", "0.5 mm")])
    column.unit = tip
    file.remarks.append(f"One tip is taken as {tip.name}, as you said.")
