"""The rows of a CSV file of any program: UTF-8, UTF-16 or Latin-1, any line end, separated by , ; tab or |."""

from __future__ import annotations

import csv
import io

from gwlog.errors import BadInput


def csv_rows(content: bytes, thing: str) -> list[tuple[int, list[str]]]:
    """Every row that holds something, the header first, each with its line; `thing`: what one line is about.

    Raises BadInput when the file is empty or no CSV.
    """
    lines = _decoded(content)
    reader = csv.reader(io.StringIO(lines), delimiter=_delimiter(lines))
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as fault:
        raise BadInput(f"The file is not CSV that can be read: {fault} (line {reader.line_num}).") from None
    if not rows:
        raise BadInput(f"The file is empty; a header line and one line per {thing} are accepted.")
    return rows


def _decoded(content: bytes) -> str:
    return _as_text(content).replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")


def _as_text(content: bytes) -> str:
    for coding in ("utf-8-sig", "utf-16") if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig",):
        try:
            return content.decode(coding)
        except UnicodeDecodeError:
            continue
    return content.decode("latin-1")


def _delimiter(lines: str) -> str:
    head = lines.split("\n", 1)[0]
    return max(",;\t|", key=head.count)
