"""Which column of a spreadsheet of past loads holds what, and which of its words name nothing in the logbook.

What the titles suggest is only offered; the person chooses.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from gwlog import text
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.importers.csv_rows import csv_rows

COLUMNS = ("date", "time", "load", "to", "volume", "volume_gal", "volume_l", "products", "contents", "by", "note")
_TITLES = {
    "date": r"date|day|when|datum|tag", "time": r"time|hour|o.clock|uhrzeit", "load": r"load|wash|laundry|what|cycle",
    "to": r"to|where|went|valve|outlet|basin|place", "volume_gal": r".*\bgal(lons?)?\b.*",
    "volume_l": r".*\b(l|lit(re|er)s?)\b.*", "volume": r"volume|water|amount",
    "products": r"products?|detergents?|soaps?|added", "contents": r"contents?|held", "by": r"by|who|person|name",
    "note": r"notes?|remarks?|comments?",
}


@dataclass(frozen=True, slots=True)
class UnknownWord:
    """A word of the file that names nothing in the logbook: its kind, its number of rows, the known names."""

    what: str
    word: str
    rows: int
    known: tuple[str, ...]


def columns_of(typed: str) -> dict[str, str]:
    """Read “date=Datum,load=What” into what -> the file's column. Raises BadInput."""
    found: dict[str, str] = {}
    for part in typed.split(","):
        what, equals, title = (word.strip() for word in part.partition("="))
        if not equals or not title:
            raise BadInput(f"“{part[:40]}” does not say what a column holds; write it like date=Datum,load=What.")
        if what not in COLUMNS:
            raise BadInput(f"“{what[:40]}” is not something that a column can hold; use {text.listed(COLUMNS, 'or')}.")
        if what in found:
            raise BadInput(f"{what} is said twice.")
        found[what] = title
    if "date" not in found:
        raise BadInput("The column with the date is missing; write it like date=Datum,load=What.")
    return checked(found)


def checked(columns: dict[str, str]) -> dict[str, str]:
    """The same columns, where they can be used together. Raises BadInput."""
    if "date" not in columns:
        raise BadInput("The column with the day is missing; one must hold it.")
    if len({"volume", "volume_gal", "volume_l"} & set(columns)) > 1:
        raise BadInput("Several columns are said to hold the volume; keep one of them.")
    return columns


def header(content: bytes) -> tuple[list[str], str]:
    """The titles of the file's columns, and its first row as “title cell · title cell”.

    Raises BadInput when the file is empty or no CSV.
    """
    rows = csv_rows(content, "load")
    titles = [text.one_line(title) for title in rows[0][1]]
    first = rows[1][1] if len(rows) > 1 else []
    cells = [f"{title} {text.one_line(cell)[:40]}".strip() for title, cell in zip(titles, first, strict=False)]
    return titles, " · ".join(cells)


def suggested(titles: list[str]) -> dict[str, str]:
    """What the titles suggest: what -> column, each column once; nothing where no title matches."""
    found: dict[str, str] = {}
    for what, form in _TITLES.items():
        hit = next((title for title in titles if title and titles.count(title) == 1 and title not in found.values()
                    and re.fullmatch(form, title.casefold().strip())), None)
        if hit is not None and not (what.startswith("volume") and any(one.startswith("volume") for one in found)):
            found[what] = hit
    return found


def strange_words(content: bytes, columns: Mapping[str, str], home: Household, names: Mapping[str, str]
                  ) -> list[UnknownWord]:
    """The words for loads, places, products and people that the logbook does not know, the commonest first.

    `names`: words of the file that were explained already. Raises BadInput when a column is not there.
    """
    rows = csv_rows(content, "load")
    titles = [text.one_line(title).casefold() for title in rows[0][1]]
    known = _known(home)
    explained = {text.one_line(word).casefold() for word in names}
    counted: dict[tuple[str, str], int] = {}
    for what, title in columns.items():
        wanted = text.one_line(title).casefold()
        if what not in known or wanted not in titles:
            continue
        place = titles.index(wanted)
        for _, cells in rows[1:]:
            cell = text.one_line(cells[place]) if place < len(cells) else ""
            for word in (re.split(r"[;,+]", cell) if what == "products" else [cell]):
                if word.strip() and word.strip().casefold() not in explained:
                    counted[what, word.strip()] = counted.get((what, word.strip()), 0) + 1
    found = [UnknownWord(what, word, count, known[what]) for (what, word), count in counted.items()
             if not _names_one(word, known[what])]
    return sorted(found, key=lambda one: -one.rows)


def _known(home: Household) -> dict[str, tuple[str, ...]]:
    """What may be named -> the names there are, also of what is no longer in use."""
    state = home.state
    found = {"load": tuple(state.usual_loads), "to": ("garden", "sewer", *state.basin_history),
             "products": tuple(state.products), "by": tuple(state.people)}
    # where no person is described, any name is accepted
    return {what: names for what, names in found.items() if names or what != "by"}


def _names_one(word: str, known: tuple[str, ...]) -> bool:
    try:
        text.pick("name", word, known)
    except BadInput:
        return False
    return True
