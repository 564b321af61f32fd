"""The rows of a CSV file of any program: UTF-8, UTF-16 or Latin-1, any line end, separated by , ; tab or |.

They are read line by line, and no more than a household's own sheet could have, so that no file fills the memory.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator

from gwlog.errors import BadInput

MOST_ROWS = 100_000
LONGEST_LINE = 20_000
_PIECE = 1_000_000


def csv_rows(content: bytes, thing: str) -> list[tuple[int, list[str]]]:
    """Every row that holds something, the header first, each with its line; `thing`: what one line is about.

    Raises BadInput when the file is empty, no CSV, or larger than any such sheet.
    """
    coding = _coding(content)
    head = next(_lines(content, coding), "")
    reader = csv.reader(_lines(content, coding), delimiter=max(",;\t|", key=head.count))
    rows = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
            if len(rows) > MOST_ROWS or reader.line_num > 2 * MOST_ROWS:
                raise BadInput(f"The file holds more than {MOST_ROWS:,} rows; use up to that many at once.")
    except csv.Error as fault:
        raise BadInput(f"The file is not CSV that can be read: {fault} (line {reader.line_num}).") from None
    if not rows:
        raise BadInput(f"The file is empty; use a header line and one line per {thing}.")
    return rows


def _lines(content: bytes, coding: str) -> Iterator[str]:
    """Each line with a line feed at its end, whatever ended it, without NUL."""
    with io.TextIOWrapper(io.BytesIO(content), coding, newline=None) as text:
        while line := text.readline(LONGEST_LINE):
            if len(line) == LONGEST_LINE:
                raise BadInput(f"A line of the file has {LONGEST_LINE:,} characters or more; a row is shorter.")
            yield line.replace("\0", "")


def _coding(content: bytes) -> str:
    """The first coding in which the whole file can be read; Latin-1 always can be."""
    for coding in ("utf-8-sig", "utf-16") if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig",):
        decoder = codecs.getincrementaldecoder(coding)()
        try:
            for start in range(0, len(content), _PIECE):
                decoder.decode(content[start:start + _PIECE])
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            continue
        return coding
    return "latin-1"
