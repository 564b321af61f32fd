"""From a row of Records and what was chosen to the period and the order for the worker."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.disclosure import LANDLORD
from gwlog.journal.seal_number import numbers_in
from gwlog.settings import typed_path
from gwlog.tui.dialogs.save_file import Chosen
from gwlog.tui.dialogs.verify import ToVerify
from gwlog.worker import orders


def period_of(home: Household, chosen: str, begin: str, end: str) -> tuple[date | None, date]:
    """First day (None: the logbook's first) and last day of a period: “year”, “12”, “all”, else as it is typed.

    Raises BadInput where what is typed is no day, or the period ends before it begins.
    """
    today = clock.local_day(home.now, home.zone)
    if chosen == "year":
        return date(today.year, 1, 1), today
    if chosen == "12":
        back = today + timedelta(days=1)
        return back.replace(year=back.year - 1, day=min(back.day, 28) if back.month == 2 else back.day), today
    if chosen == "all":
        return None, today
    first, last = (clock.local_day(clock.moment(words, home.now, home.zone), home.zone) if words else None
                   for words in (begin, end))
    if first is not None and first > (last or today):
        raise BadInput("The period ends before it begins.")
    return first, last or today


class Selection(NamedTuple):
    """The period (local days, None: everything), the kinds of entry whose notes are left out, the paper, a font, and
    for whom a letter is."""

    first: date | None
    last: date | None
    withhold: tuple[str, ...]
    roles: bool
    paper: str | None
    font: Path | None = None
    reader: str = LANDLORD


def numbers_typed(typed: str) -> tuple[str, ...]:
    """The seal numbers of one line, each by digits or in words; what is none is handed on to be refused."""
    found = tuple(str(one.number) for one in numbers_in(typed))
    return found or ((typed.strip(),) if typed.strip() else ())


class ToCheck(NamedTuple):
    """Whether what can be made anew is, while the logbook is checked."""

    repair: bool


def order_of(work: str, logbook: Path, now: datetime, chosen: Chosen | ToVerify | ToCheck,
             selection: Selection) -> orders.Order:
    """The order for a row's work. Raises ValueError for a number of backups that is none."""
    common: dict[str, Any] = {"logbook": logbook, "now": now}
    if isinstance(chosen, ToVerify):
        file = Path(chosen.file) if chosen.file else None
        return orders.Verify(**common, file=file, noted=(chosen.noted,) if chosen.noted else ())
    if isinstance(chosen, ToCheck):
        return orders.Check(**common, repair=chosen.repair)
    common |= {"out": chosen.path, "replace": chosen.replace}
    if work in ("report", "annex", "full annex"):
        return orders.Report(**common, start=selection.first, end=selection.last, reader=selection.reader,
                             annex=work != "report", full=work == "full annex", withhold=selection.withhold,
                             roles=selection.roles, paper=selection.paper, font=selection.font)
    if work == "manual":
        return orders.Manual(**common, paper=selection.paper, font=selection.font)
    if work == "card":
        return orders.Card(**common, paper=selection.paper, font=selection.font)
    if work == "calendar":
        return orders.Calendar(**common)
    if work == "backup":
        return orders.Backup(**common, keep=int(chosen.more) if chosen.more else None)
    if work == "pack":
        return orders.Pack(**common, reader=selection.reader, withhold=selection.withhold,
                           noted=numbers_typed(chosen.more))
    if work == "received":
        return orders.Received(**common, folder=typed_path(chosen.more or ""))
    if work == "handover":
        return orders.Handover(**common)
    if work == "export":
        return orders.Export(**common, withhold=selection.withhold)
    if work == "spreadsheets":
        return orders.Spreadsheets(**common, withhold=selection.withhold)
    assert work == "site file", work
    return orders.SiteFile(**common)
