"""Forms that are no table of days: one figure a line, one month a line, several things in one cell; made into columns.

The forms are those of the readme files of GHCN-Daily (.dly, by year, by station) and of the ISD's CSV.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable

from gwlog.importers.weather_text import Table

ELEMENTS = ("PRCP", "TMAX", "TMIN")
_OTHERS = {"MDPR": "A"}


def loose(line: str) -> list[str]:
    """The cells of a line without a header: by commas where there are any, else by blanks; a .dly line stays whole."""
    if re.match(r"[A-Z]{2}[A-Z0-9_-]{9}\d{6}[A-Z]", line):
        return [line]
    if "," in line:
        return [cell.strip() for cell in next(csv.reader([line]), [])]
    return line.split()


def long_rows(table: Table) -> Table:
    """GHCN-Daily by year: station, day, element, value, measurement, quality and source flag, hour."""
    return _pivot((line, [*row, *[""] * 8][:8]) for line, row in table.rows)


def long_titled(table: Table) -> Table:
    """GHCN-Daily by station: the same with a header."""
    return long_rows(table)


def dly(table: Table) -> Table:
    """GHCN-Daily .dly: 31 values of eight signs a line; -9999 also fills the days that a month does not have."""
    def figures() -> Iterable[tuple[int, list[str]]]:
        for line, (words, *_) in table.rows:
            for day in range(31):
                part = words[21 + 8 * day:29 + 8 * day].ljust(8)
                if part[:5].strip() not in ("", "-9999"):
                    yield line, [words[:11], f"{words[11:17]}{day + 1:02}", words[17:21], part[:5].strip(),
                                 *(mark.strip() for mark in part[5:8]), ""]
    return _pivot(figures())


def _pivot(figures: Iterable[tuple[int, list[str]]]) -> Table:
    header = ["STATION", "DATE"]
    for element in ELEMENTS:
        header += [element, f"{element}_ATTRIBUTES"]
    days: dict[tuple[str, str], tuple[int, list[str]]] = {}
    for line, (station, day, element, value, measured, quality, source, _) in figures:
        known = days.setdefault((station, day), (line, [station, day, *[""] * 6]))[1]
        mark = f"{_OTHERS.get(element, measured)},{quality},{source}"
        at = {name: 2 + 2 * n for n, name in enumerate(ELEMENTS)}.get("PRCP" if element in _OTHERS else element)
        if at is None or (element in _OTHERS and known[at]):
            continue
        if known[at] and (known[at], known[at + 1]) != (value, mark):
            days[(station, f"{day} ")] = (line, [station, day, *known[2:at], value, mark, *known[at + 2:]])
        else:
            known[at], known[at + 1] = value, mark
    return Table(header, list(days.values()), [])


def isd(table: Table) -> Table:
    """ISD: TMP is tenths and a quality, AA1 hours, tenths, condition and quality; only rain of one hour is taken."""
    places = {title: n for n, title in enumerate(table.header)}
    temperature, rain = places["TMP"], places.get("AA1")
    for _, row in table.rows:
        if temperature < len(row):
            value, quality = [*row[temperature].split(","), ""][:2]
            row[temperature] = "" if value.lstrip("+-") == "9999" or (quality in "2367" and quality) else value
        if rain is not None and rain < len(row):
            hours, depth, condition, quality = [*row[rain].split(","), *[""] * 4][:4]
            fine = hours == "01" and depth != "9999" and not (quality and quality in "2367")
            row[rain] = ("0" if condition == "2" else depth) if fine else ""
    return table
