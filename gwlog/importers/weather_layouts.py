"""The layouts of published weather files, one line each: by what a layout is known, what it holds, what its marks mean.

Read in the publishers' descriptions: the flags of GHCN-Daily and of its forms, the units of the order form, the codes
of GSOD, ISD-Lite and LCD. From memory and from headers in public code: the others.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from gwlog.importers import weather_shapes as shapes
from gwlog.importers.weather_text import Table, headers, table_below
from gwlog.importers.weather_units import IN, MM, TENTHS_C, TENTHS_MM, C, F, Unit
from gwlog.importers.weather_words import folded, stem


@dataclass(frozen=True, slots=True)
class Take:
    """One column that is taken: what it holds, its title's stem, its unit where the layout proves it.

    `flag`: the title of its companion, {} for its own; “+1”: the next column.
    """

    what: str
    name: str
    unit: Unit | None = None
    flag: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """How one publisher writes weather.

    Known by `marks` (folded titles) or `exact` titles in its header, `begins` (the header line), `above` (a line over
    it), or `line` (rows without a header, by their form; `titles` are given them). `days`: the columns of the date;
    `order`: how one column writes it. `flags`: what a companion's mark does to a figure: out, trace, several, told.
    `station`: the column that names it. `clock`: local, utc, standard, or what `offset` says. `ends`: what is said of
    the day's end. `only`: rows whose column begins so. `missing`: further codes. `trace`: a figure that is no amount.
    `together`: the column with the number of days in one figure. `hours`: the column with the hours in a row, and the
    hour at which the day ends. `tail`: letters behind a figure. `running`: the hour's total so far. `unit_line`: where
    a line above the header names the unit of a column. `whole`: temperatures come without decimals. `joint`: units are
    not in the file, but those of rain and temperatures are of one system. `asks`: the form alone does not prove it.
    """

    id: str
    words: str
    takes: tuple[Take, ...] = ()
    marks: tuple[str, ...] = ()
    exact: tuple[str, ...] = ()
    begins: str = ""
    above: str = ""
    line: str = ""
    titles: tuple[str, ...] = ()
    shape: Callable[[Table], Table] | None = None
    days: tuple[str, ...] = ("date",)
    order: str = "ymd"
    flags: Callable[[str], str] | None = None
    station: str = ""
    clock: str = "local"
    ends: str = ""
    only: tuple[str, str] = ("", "")
    missing: tuple[str, ...] = ()
    trace: str = ""
    together: str = ""
    hours: tuple[str, int] = ("", 0)
    tail: str = ""
    running: bool = False
    unit_line: str = ""
    whole: bool = False
    joint: bool = False
    asks: bool = False
    end: str = ""

    def table(self, lines: Sequence[str]) -> Table | None:
        """The file as this layout reads it, None where it is another one's."""
        if self.line:
            return self._without_header(lines)
        for place, separator, titles in headers(lines):
            names = {folded(title) for title in titles} | {stem(title) for title in titles}
            if not (set(self.marks) <= names and set(self.exact) <= set(titles)):
                continue
            if self.begins and not re.match(self.begins, lines[place].replace('"', "")):
                continue
            if self.above and not any(re.search(self.above, line) for line in lines[:place]):
                continue
            made = table_below(lines, place, separator, titles, self.end)
            made = self.shape(made) if self.shape is not None else made
            return made if self._rows_are_there(made) else None
        return None

    def _without_header(self, lines: Sequence[str]) -> Table | None:
        first = [line for line in lines[:400] if line.strip()][:3]
        if not first or not all(re.match(self.line, line) for line in first):
            return None
        rows = [(number, shapes.loose(line)) for number, line in enumerate(lines, start=1) if line.strip()]
        made = Table(list(self.titles), rows, [])
        return self.shape(made) if self.shape is not None else made

    def _rows_are_there(self, table: Table) -> bool:
        column, begins = self.only
        if not column:
            return True
        index = next((n for n, title in enumerate(table.header) if folded(title) == column), None)
        return index is not None and any(index < len(row) and row[index].startswith(begins) for _, row in table.rows)


def _letters(out: str = "", trace: str = "", several: str = "", told: str = "") -> Callable[[str], str]:
    """What single letters do, each in its turn."""
    def effect(mark: str) -> str:
        for found, letters in (("out", out), ("trace", trace), ("several", several), ("told", told)):
            if any(letter in letters for letter in mark):
                return found
        return ""
    return effect


def _ghcn(mark: str) -> str:
    """GHCN-Daily: measurement flag, quality flag (any: it failed a check), source flag."""
    measured, quality = ([part.strip() for part in mark.split(",")] + ["", ""])[:2]
    return "out" if quality else {"T": "trace", "A": "several", "P": "told"}.get(measured, "")


_STATION_DAY = "The days end when the observer reads, often at 7 or 8 in the morning; dates are kept as written."
_SIX_UTC = "Rain is of the 24 hours to 6 UTC of the next day; dates are kept as written."
_NINE = "Rain is of the 24 hours to 9 in the morning, so mostly of the day before; dates are kept as written."
_UTC = "The days of this file end at midnight UTC; dates are kept as written."
_STANDARD = "The days of this file run by standard time all year; dates are kept as written."
_GHCN = (Take("rain", "prcp", TENTHS_MM, "{} attributes"), Take("high", "tmax", TENTHS_C, "{} attributes"),
         Take("low", "tmin", TENTHS_C, "{} attributes"))

LAYOUTS: tuple[Layout, ...] = (
    Layout("gsod", "GSOD, a day's summary of a station", marks=("frshtt", "sndp", "max", "min", "prcp"),
           takes=(Take("rain", "prcp", IN, "{} attributes"), Take("high", "max", F, "{} attributes"),
                  Take("low", "min", F, "{} attributes")), flags=_letters(out="ABCEHI", told="*"), station="station",
           missing=("99.99", "9999.9"), clock="utc", ends=_UTC),
    Layout("ghcn-access", "GHCN-Daily, one station in columns", begins="STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,NAME",
           exact=("STATION", "DATE", "ELEVATION"), takes=_GHCN, flags=_ghcn, station="station", ends=_STATION_DAY),
    Layout("ghcn-station", "GHCN-Daily by station, one figure a line", exact=("ELEMENT", "DATA_VALUE", "Q_FLAG"),
           shape=shapes.long_titled, takes=_GHCN, flags=_ghcn, station="station", ends=_STATION_DAY),
    Layout("ghcn-year", "GHCN-Daily by year, one figure a line", line=r"\"?[A-Z]{2}[A-Z0-9_-]{9}\"?,\"?\d{8}\"?,\"?"
           r"[A-Z]{2}[A-Z0-9]{2}\"?,", shape=shapes.long_rows, takes=_GHCN, flags=_ghcn, station="station",
           ends=_STATION_DAY),
    Layout("ghcn-dly", "GHCN-Daily, one month a line", line=r"[A-Z]{2}[A-Z0-9_-]{9}\d{6}[A-Z]{2}[A-Z0-9]{2}[ -]*\d+",
           shape=shapes.dly, takes=_GHCN, flags=_ghcn, station="station", ends=_STATION_DAY),
    Layout("lcd", "LCD, a day's summary of an airport", marks=("report type", "daily precipitation"),
           only=("report type", "SOD"), takes=(
               Take("rain", "daily precipitation", IN), Take("high", "daily maximum dry bulb temperature", F),
               Take("low", "daily minimum dry bulb temperature", F)), station="station", tail="sV", whole=True,
           clock="standard", ends=_STANDARD),
    Layout("lcd-hours", "LCD, an airport's hours", marks=("report type", "hourly precipitation"),
           only=("report type", "FM-15"), takes=(Take("rain", "hourly precipitation", IN),
                                                 Take("temp", "hourly dry bulb temperature", F)),
           station="station", tail="sV", whole=True, clock="standard"),
    Layout("isd-hours", "ISD, a station's hours", exact=("REPORT_TYPE", "TMP", "DATE"), shape=shapes.isd,
           takes=(Take("temp", "tmp", TENTHS_C), Take("rain", "aa1", TENTHS_MM)), station="station", clock="utc"),
    Layout("isd-lite", "ISD-Lite, tenths in twelve whole numbers a line",
           line=r"\s*(?:19|20)\d\d [ 01]\d [ 0-3]\d [ 0-2]\d(?:\s+-?\d+){8}\s*$",
           titles=("year", "month", "day", "hour", "temp", "dew", "pressure", "direction", "wind", "sky", "rain",
                   "rain of six hours"), days=("year", "month", "day", "hour"), asks=True, clock="utc", trace="-1",
           takes=(Take("temp", "temp", TENTHS_C), Take("rain", "rain", TENTHS_MM))),
    Layout("airport-archive", "an archive of airport reports", marks=("station", "valid", "tmpf"), days=("valid",),
           takes=(Take("temp", "tmpf", F), Take("rain", "p01i", IN), Take("rain", "p01m", MM)), station="station",
           clock="utc", running=True, trace="0.0001"),
    Layout("daily-order", "an order of daily data, which names no units", joint=True,
           begins=r"(?=(?:.*,)?DATE(?:,|$))(?=(?:.*,)?(?:PRCP|TMAX|TMIN)(?:,|$))",
           takes=tuple(Take(one.what, one.name, None, one.flag) for one in _GHCN), flags=_ghcn, station="station",
           ends=_STATION_DAY),
    Layout("pixel", "the days of one grid cell by year and day of the year", marks=("year", "yday"),
           days=("year", "yday"), ends="Leap years of this file have no 31 December."),
    Layout("power", "a place's days of a global grid", marks=("year",), above=r"-END HEADER-",
           days=("year", "month", "day"), unit_line=r"^{name}\s.*\(([^()]*)\)\s*$", missing=("-999", "-999.0"),
           takes=(Take("rain", "prectotcorr"), Take("rain", "prectot"), Take("high", "t2m max"),
                  Take("low", "t2m min")), clock="standard", ends=_STANDARD),
    Layout("model", "a download of a weather model", marks=("time",), above=r"utc_offset_seconds", days=("time",),
           clock="offset"),
    Layout("gridded-utc", "a gridded climate file", above=r"24 hours ending at 1200 UTC", marks=("date",),
           ends="The days of this file end at 12 UTC of the date shown, so they are mostly the day before; dates are "
                "kept as written."),
    Layout("gauge-network", "a network of rain gauges read by hand", marks=("observation date", "total precip amt"),
           days=("observation date",), takes=(Take("rain", "total precip amt", IN),), station="station number",
           ends="Rain is of the 24 hours before the reading, mostly of the day before; dates are kept as written."),
    Layout("bom", "the Bureau of Meteorology's days", marks=("product code", "bureau of meteorology station number"),
           days=("year", "month", "day"), station="bureau of meteorology station number", ends=_NINE,
           takes=(Take("rain", "rainfall amount"), Take("high", "maximum temperature"),
                  Take("low", "minimum temperature")),
           together="period over which rainfall was measured|days of accumulation of maximum temperature|"
                    "days of accumulation of minimum temperature"),
    Layout("cimis", "an irrigation station's days", marks=("stn id", "cimis region"), order="mdy", station="stn id",
           takes=(Take("rain", "precip", None, "+1"), Take("high", "max air temp", None, "+1"),
                  Take("low", "min air temp", None, "+1")), flags=_letters(out="RMPSN", told="YHEAIFL")),
    Layout("dwd", "the Deutscher Wetterdienst's days", marks=("stations id", "mess datum", "eor"), days=("mess datum",),
           takes=(Take("rain", "rsk", MM), Take("rain", "rs", MM), Take("high", "txk", C), Take("low", "tnk", C)),
           station="stations id", ends=_SIX_UTC),
    Layout("badc", "MIDAS in BADC-CSV", marks=("src id",), above=r"^Conventions,G,BADC-CSV", end="end data",
           days=("ob end time|ob date",), unit_line=r"^long_name,{name},.*,([^,]*)$", hours=("ob hour count", 9),
           takes=(Take("rain", "prcp amt", None, "{} q"), Take("high", "max air temp", None, "{} q"),
                  Take("low", "min air temp", None, "{} q")), station="src id", together="ob day cnt", ends=_NINE),
    Layout("knmi", "the KNMI's days", marks=("stn", "yyyymmdd"), days=("yyyymmdd",), station="stn", clock="utc",
           unit_line=r"^{name}\s*[=:].*\(in ([^()]*)\)", trace="-1", ends=_UTC,
           takes=(Take("rain", "rh"), Take("high", "tx"), Take("low", "tn"))),
    Layout("meteo-france", "Météo-France's days", marks=("num poste", "aaaammjj"), days=("aaaammjj",),
           takes=(Take("rain", "rr", MM, "q{}"), Take("high", "tx", C, "q{}"), Take("low", "tn", C, "q{}")),
           flags=_letters(out="2"), station="num poste", ends=_SIX_UTC),
    Layout("eccc", "Environment Canada's days", marks=("climate id", "total precip"), days=("date/time",),
           takes=(Take("rain", "total precip", None, "total precip flag"),
                  Take("high", "max temp", None, "max temp flag"), Take("low", "min temp", None, "min temp flag")),
           flags=_letters(out="M", trace="T", several="ACF", told="EL†"), station="climate id",
           ends="The days of this file end at 6 UTC; dates are kept as written."),
)
"""Asked from the first on; a file that is none of them is read by the words of its header alone."""

_FAILED = frozenset(("bad", "fail", "failed", "suspect", "doubtful", "error", "invalid", "r", "x", "rejected", "false"))
_FINE = frozenset(("", "0", "1", "ok", "good", "pass", "passed", "valid", "v", "p", "true", "measured", "fine"))


def _quality(mark: str) -> str:
    """Words of quality as people write them; what is neither good nor bad is told."""
    word = mark.casefold()
    return "out" if word in _FAILED else "" if word in _FINE else "missing" if word == "m" else \
        "trace" if word in ("t", "trace") else "told"


OWN = Layout("columns", "columns named by what they hold and their unit", flags=_quality)
