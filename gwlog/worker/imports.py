"""Long work that brings something into the logbook: weather, past loads, a backup put back, a logbook begun.

Each can be asked first what it would do (`dry`); all of it is written, or nothing.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path

from gwlog.journal.facts import Fact
from gwlog.worker.exports import Order, Outcome, Tell, household


def _moment(order: Order) -> datetime:
    return datetime.fromisoformat(order["now"])


def _hold() -> None:
    """From here on a wish to stop comes too late: what is written is told as written."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _append(order: Order, facts: Sequence[Fact], tell: Tell, steps: int) -> None:
    from gwlog.journal.writer import append

    if facts and not order["dry"]:
        tell(steps - 1, steps, "writing")
        _hold()
        append(Path(order["logbook"]), facts, now=_moment(order))


def _weather(order: Order, tell: Tell) -> Outcome:
    from gwlog.importers.weather import read_weather_path
    from gwlog.views.import_summary import weather_lines

    home = household(order, tell, 4)
    tell(2, 4, "reading the file")
    found = read_weather_path(Path(order["file"]), home, leave_out=bool(order.get("leave_out")))
    _append(order, found.days, tell, 4)
    return {"lines": weather_lines(found, dry=order["dry"]), "fine": True, "waits": bool(found.days)}


def _loads(order: Order, tell: Tell) -> Outcome:
    from gwlog.importers import load_columns, loads
    from gwlog.journal.files import read_whole
    from gwlog.views.import_summary import loads_lines

    tell(0, 4, "reading the file")
    content = read_whole(Path(order["file"]), loads.LARGEST, "a spreadsheet of past loads is accepted")
    if order.get("columns") is None:
        titles, first = load_columns.header(content)
        return {"lines": [], "fine": True, "titles": titles, "first": first,
                "suggested": load_columns.suggested(titles)}
    columns = load_columns.checked(order["columns"])
    home = household(order, tell, 4)
    tell(2, 4, "going through its rows")
    names = order.get("names") or {}
    strange = load_columns.strange_words(content, columns, home, names)
    if strange and not order.get("leave_out"):
        return {"lines": [], "fine": True, "strange": [asdict(one) for one in strange]}
    found = loads.read_loads(content, columns, home, names=names, day_order=order.get("days") or "ymd",
                                  leave_out=bool(order.get("leave_out")))
    _append(order, found.facts, tell, 4)
    lines = loads_lines(home, found, dry=order["dry"])
    if "load" not in columns:
        lines.append("No column holds the load, so they are logged without a name.")
    return {"lines": lines, "fine": True, "waits": bool(found.facts)}


def _restore(order: Order, tell: Tell) -> Outcome:
    from gwlog.journal import backup
    from gwlog.views.import_summary import restored_lines

    tell(0, 1, "verifying the backup")
    file, logbook = Path(order["file"]), Path(order["logbook"])
    if order["dry"]:
        done = backup.examine(file, logbook)
    else:
        _hold()
        done = backup.restore(file, logbook, now=_moment(order))
    return {"lines": restored_lines(done, dry=order["dry"]), "fine": True, "waits": True}


def _begin(order: Order, tell: Tell) -> Outcome:
    from gwlog.app.start_from_file import begin

    tell(0, 1, "verifying the file")
    if not order["dry"]:
        _hold()
    lines = begin(Path(order["file"]), Path(order["logbook"]), _moment(order), dry=order["dry"])
    return {"lines": lines, "fine": True, "waits": True}


WORKS: dict[str, Callable[[Order, Tell], Outcome]] = {
    "weather": _weather, "loads": _loads, "restore": _restore, "begin": _begin,
}
