"""From a row of Records and what was chosen to the order for the worker."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any, NamedTuple

from gwlog.tui.dialogs.save_file import Chosen
from gwlog.tui.dialogs.verify import ToVerify
from gwlog.worker import orders


class Selection(NamedTuple):
    """The period (local days, None: everything), the kinds of entry whose notes are left out, and the paper."""

    first: date | None
    last: date | None
    withhold: tuple[str, ...]
    roles: bool
    paper: str | None


def order_of(work: str, logbook: Path, now: datetime, chosen: Chosen | ToVerify, selection: Selection) -> orders.Order:
    """The order for a row's work. Raises ValueError for a number of backups that is none."""
    common: dict[str, Any] = {"logbook": logbook, "now": now}
    if isinstance(chosen, ToVerify):
        file = Path(chosen.file).expanduser() if chosen.file else None
        return orders.Verify(**common, file=file, against=chosen.against or None)
    common |= {"out": chosen.path, "replace": chosen.replace}
    if work == "report":
        return orders.Report(**common, start=selection.first, end=selection.last, withhold=selection.withhold,
                             roles=selection.roles, paper=selection.paper)
    if work == "manual":
        return orders.Manual(**common, paper=selection.paper)
    if work == "card":
        return orders.Card(**common, paper=selection.paper)
    if work == "calendar":
        return orders.Calendar(**common)
    if work == "backup":
        return orders.Backup(**common, keep=int(chosen.more) if chosen.more else None)
    if work == "pack":
        return orders.Pack(**common, withhold=selection.withhold, anchors=tuple(chosen.more.split()))
    if work == "handover":
        return orders.Handover(**common)
    if work == "export":
        return orders.Export(**common, withhold=selection.withhold)
    if work == "spreadsheets":
        return orders.Spreadsheets(**common, withhold=selection.withhold)
    assert work == "site file", work
    return orders.SiteFile(**common)
