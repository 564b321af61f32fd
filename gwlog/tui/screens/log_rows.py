"""The rows of the Log: the words by which each is found, and where a day or a number stands among them."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Sequence
from datetime import timedelta

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.views.log import LogRow, log_rows


def rows_and_words(home: Household, everything: bool) -> tuple[list[LogRow], dict[int, str]]:
    """The rows, newest first, and for each the words by which it is found."""
    rows = log_rows(home, everything=everything)[::-1]
    return rows, {row.id: f"{row.id} {clock.echo(row.happened_at, home.zone)} {row.sentence} {row.by} {row.note} "
                          f"{row.kind} {row.fate}".casefold() for row in rows}


def position_of(home: Household, rows: Sequence[LogRow], typed: str) -> int:
    """Where in the rows (newest first) an entry of that number, or the newest of that day or before it, stands.

    Raises BadInput where no row is that one, or none is so old.
    """
    if typed.isdecimal() and len(typed) < 9:
        number = int(typed)
        wanted = {number, home.standing.root.get(number, number)}
        found = next((position for position, row in enumerate(rows) if row.id in wanted), None)
        if found is None:
            raise BadInput(f"Entry {number} is not in this list.", hint="f and / pick what is listed, a adds the rest.")
        return found
    try:
        day = clock.local_day(clock.moment(_last_of_month(typed), home.now, home.zone), home.zone)
    except BadInput:
        raise BadInput(f"“{typed[:30]}” is not a day I can read; write one like 2026-05-03, 2026-05, yesterday, tue or "
                       "8 weeks ago, or the number of an entry.") from None
    end = clock.day_start(day + timedelta(days=1), home.zone)
    found = next((position for position, row in enumerate(rows) if row.happened_at < end), None)
    if found is None:
        first = f"the oldest is of {clock.echo(rows[-1].happened_at, home.zone)}" if rows else "the list is empty"
        raise BadInput(f"Nothing here is so old as {clock.echo_day(day)} {day.year}; {first}.")
    return found


def _last_of_month(typed: str) -> str:
    """A month like 2026-05 as its last day; anything else as it is."""
    found = re.fullmatch(r"(\d{4})-(\d{1,2})", typed)
    if found is None or not 1 <= int(found[2]) <= 12 or int(found[1]) < 1:
        return typed
    year, month = int(found[1]), int(found[2])
    return f"{typed}-{monthrange(year, month)[1]}"
