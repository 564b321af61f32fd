"""The text of a weather file: decoded, refused where it is something else than a table, cut into a header and rows.

Nothing of what the figures mean is known here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gwlog.errors import BadInput
from gwlog.importers.csv_rows import MOST_ROWS
from gwlog.importers.weather_words import folded

MOST_PREAMBLE = 80
"""How far down a header is looked for [lines]."""

_OTHER_THINGS = (
    (b"PK\x03\x04", "a spreadsheet or an archive", "save the sheet as CSV"), (b"\x1f\x8b", "compressed", "unpack it"),
    (b"%PDF", "a PDF", "ask for the data as CSV"), (b"\xd0\xcf\x11\xe0", "a spreadsheet", "save the sheet as CSV"),
    (b"\x89HDF", "a grid", "ask for one place as CSV"), (b"CDF", "a grid", "ask for one place as CSV"),
)
_PAGE = re.compile(r"\s*(?:<!doctype|<html|<body|<\?xml|<[a-z]+[ >])", re.IGNORECASE)


@dataclass(slots=True)
class Table:
    """A header and its rows, each with its line; `preamble`: the lines above the header."""

    header: list[str]
    rows: list[tuple[int, list[str]]]
    preamble: list[str]
    separator: str = ","


def lines_of(content: bytes) -> list[str]:
    """The lines of a file. Raises BadInput where it is empty, a page, a spreadsheet or no text."""
    for begins, what, way in _OTHER_THINGS:
        if content.startswith(begins):
            raise BadInput(f"The file is {what} and no table of weather in text; {way}.")
    words = _decoded(content)
    if not words.strip():
        raise BadInput("The file is empty; use a header line and one line per day.")
    if _PAGE.match(words):
        title = re.search(r"<title[^>]*>([^<]{1,60})", words, re.IGNORECASE)
        raise BadInput(f"The file is a web page{f' (“{title[1].strip()}”)' if title else ''} and no table of weather; "
                       "nothing was taken.")
    if words.lstrip()[0] in "{" or words.lstrip().startswith('[{'):
        raise BadInput("The file is JSON and no table of weather; ask for the data as CSV.")
    if sum(sign < " " and sign not in "\n\t\f" for sign in words[:4000]) > 8:
        raise BadInput("The file is not text; use a CSV file with a header line and one line per day.")
    if words.count("\n") > MOST_ROWS:
        raise BadInput(f"The file holds more than {MOST_ROWS:,} rows; use up to that many at once.",
                       hint="Cut it into several, like one for each ten years.")
    return words.split("\n")


def _decoded(content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        words = content.decode("utf-16", errors="replace")
    else:
        try:
            words = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            words = content.decode("cp1252", errors="replace")
    return words.replace("\r\n", "\n").replace("\r", "\n")


def separator_of(line: str) -> str:
    """What separates the cells of a header line."""
    return max(",;\t|", key=line.count)


def cells(line: str, separator: str) -> list[str]:
    """The cells of one line, without the blanks around them."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])]
    except csv.Error:
        return []


def headers(lines: Sequence[str]) -> Iterator[tuple[int, str, list[str]]]:
    """The lines that could be a header, from the first on: place, separator, cells."""
    for place, line in enumerate(lines[:MOST_PREAMBLE]):
        bare = line.lstrip("# ").rstrip() if line.startswith("#") else line
        if bare.strip():
            separator = separator_of(bare)
            yield place, separator, cells(bare, separator)


def table_below(lines: Sequence[str], place: int, separator: str, header: list[str], end: str = "") -> Table:
    """The rows below a header line, down to a line that reads `end`. Raises BadInput where they are no CSV."""
    last = next((number for number in range(place + 1, len(lines)) if end and lines[number].strip() == end), len(lines))
    body = [line if not line.startswith("#") else "" for line in lines[place + 1:last]]
    reader = csv.reader(io.StringIO("\n".join(body).replace("\0", "")), delimiter=separator, skipinitialspace=True)
    try:
        rows = [(place + 1 + reader.line_num, [cell.strip() for cell in row]) for row in reader
                if any(cell.strip() for cell in row)]
    except csv.Error as fault:
        raise BadInput(f"The file is not CSV that can be read: {fault} "
                       f"(line {place + 1 + reader.line_num}).") from None
    return Table(header, rows, [line.strip().lstrip("# ") for line in lines[:place]], separator)


def place_in(header: Sequence[str], name: str) -> int | None:
    """Where a folded name stands in a header."""
    return next((index for index, title in enumerate(header) if folded(title) == name), None)
