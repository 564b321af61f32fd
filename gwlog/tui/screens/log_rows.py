"""The pages of the Log, asked of the logbook: the rows, how many there are, and where a day or a number stands.

Only a search by words reads every entry; its words are kept for as long as the same look at the household is shown.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.listing import Lists, asking
from gwlog.views.log import LogRow, kind_words, rows

PAGE = 500
"""Rows of a page, since a table of many years would take seconds to draw."""


@dataclass(frozen=True, slots=True)
class Picked:
    """What is to be listed: a kind of entry (“”: all), words, in small letters, and whether every wording."""

    kind: str = ""
    words: tuple[str, ...] = ()
    every: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """A page of the list: its number from 0 on, its rows, newest first, how many rows all pages have together, and
    the kinds of entry there are.
    """

    number: int = 0
    rows: tuple[LogRow, ...] = ()
    total: int = 0
    kinds: tuple[str, ...] = ()

    @property
    def pages(self) -> int:
        return max(1, -(-self.total // PAGE))

    def id_at(self, position: int) -> int | None:
        """The number of the entry at a place in the whole list; None where it is on another page."""
        at = position - self.number * PAGE
        return self.rows[at].id if 0 <= at < len(self.rows) else None


class LogPages:
    """The Log of one look at a household. Made for a thread: each question opens the logbook for itself."""

    def __init__(self, home: Household) -> None:
        self.home = home
        self._searched: dict[bool, list[tuple[LogRow, str]]] = {}
        self._reading = Lock()

    def page(self, picked: Picked, number: int, position: int | None = None) -> Page:
        """A page, or the last one where there are not so many; `position`: the one with this place of the list."""
        if position is not None:
            number = position // PAGE
        with asking(self.home.path, self.home.now) as lists:
            kinds = tuple(sorted(map(kind_words, lists.kinds(every=picked.every))))
            if picked.words:
                found = self._found(lists, picked)
                page = Page(min(number, max(0, len(found) - 1) // PAGE), (), len(found), kinds)
                start = page.number * PAGE
                return Page(page.number, tuple(found[start:start + PAGE]), page.total, kinds)
            chosen = _kinds(picked)
            total = lists.count(kinds=chosen, every=picked.every)
            number = min(number, max(0, total - 1) // PAGE)
            listed = lists.newest(kinds=chosen, skip=number * PAGE, most=PAGE, every=picked.every)
            return Page(number, tuple(rows(lists, listed, every=picked.every)), total, kinds)

    def position(self, picked: Picked, typed: str) -> int:
        """Where in the list the entry of a number, or the newest of a day or before it, stands.

        Raises BadInput where no row is that one, or none is so old.
        """
        with asking(self.home.path, self.home.now) as lists:
            if typed.isdecimal() and len(typed) < 9:
                return self._of_number(lists, picked, int(typed))
            return self._of_day(lists, picked, typed)

    def _of_number(self, lists: Lists, picked: Picked, number: int) -> int:
        if picked.words:
            wanted = {number, lists.fates.first(number)}
            found = next((at for at, row in enumerate(self._found(lists, picked)) if row.id in wanted), None)
        else:
            found = lists.place_of(number, kinds=_kinds(picked), every=picked.every)
        if found is None:
            raise BadInput(f"Entry {number} is not in this list.", hint="f and / pick what is listed, a adds the rest.")
        return found

    def _of_day(self, lists: Lists, picked: Picked, typed: str) -> int:
        home = self.home
        try:
            day = clock.local_day(clock.moment(_last_of_month(typed), home.now, home.zone), home.zone)
        except BadInput:
            raise BadInput(f"“{typed[:30]}” is not a day gwlog can read; write one like 2026-05-03, 2026-05, "
                           "yesterday, tue or 8 weeks ago, or the number of an entry.") from None
        end = clock.day_start(day + timedelta(days=1), home.zone)
        if picked.words:
            moments = [row.happened_at for row in self._found(lists, picked)]
            newer, total = sum(moment >= end for moment in moments), len(moments)
            oldest = moments[-1] if moments else None
        else:
            chosen = _kinds(picked)
            newer = lists.count(kinds=chosen, since=end, every=picked.every)
            total = lists.count(kinds=chosen, every=picked.every)
            oldest = _oldest(lists, picked, total) if newer == total else None
        if newer < total:
            return newer
        first = "the list is empty" if oldest is None else f"the oldest is {clock.echo(oldest, home.zone)}"
        raise BadInput(f"Nothing here is as old as {clock.echo_date(day, home.system)}; {first}.")

    def _found(self, lists: Lists, picked: Picked) -> list[LogRow]:
        """The rows in which all the words are."""
        with self._reading:   # letters follow each other faster than ten years are read: the next ones wait for it
            known = self._searched.get(picked.every)
            if known is None:
                made = rows(lists, lists.newest(every=picked.every), every=picked.every)
                known = self._searched[picked.every] = [(row, self._words(row)) for row in made]
        return [row for row, words in known if picked.kind in ("", row.kind)
                and all(word in words for word in picked.words)]

    def _words(self, row: LogRow) -> str:
        """The words by which a row is found."""
        return (f"{row.id} {clock.echo(row.happened_at, self.home.zone)} {row.sentence} {row.by} {row.note} "
                f"{row.kind} {row.clock} {row.fate}").casefold()


def _kinds(picked: Picked) -> list[str] | None:
    return [picked.kind.replace(" ", "_")] if picked.kind else None


def _oldest(lists: Lists, picked: Picked, total: int) -> datetime | None:
    found = lists.newest(kinds=_kinds(picked), skip=total - 1, most=1, every=picked.every) if total else []
    return found[0].fact.happened_at if found else None


def _last_of_month(typed: str) -> str:
    """A month like 2026-05 as its last day; anything else as it is."""
    found = re.fullmatch(r"(\d{4})-(\d{1,2})", typed)
    if found is None or not 1 <= int(found[2]) <= 12 or int(found[1]) < 1:
        return typed
    year, month = int(found[1]), int(found[2])
    return f"{typed}-{monthrange(year, month)[1]}"
