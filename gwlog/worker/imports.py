"""Long work that brings something into the logbook: weather, past loads, a backup put back, a logbook begun.

Each can be asked first what it would do (`dry`); all of it is written, or nothing. gwlog.app does the work.
"""

from __future__ import annotations

import signal
from collections.abc import Callable
from dataclasses import asdict
from typing import TYPE_CHECKING, TypeVar

from gwlog import stopping
from gwlog.app import imports
from gwlog.views import import_summary
from gwlog.worker import orders
from gwlog.worker.progress import Outcome, Progress, household

if TYPE_CHECKING:
    from gwlog.app.door import Drafted
    from gwlog.household import Household
    from gwlog.importers.loads import LoadsImport
    from gwlog.importers.weather import WeatherImport

D = TypeVar("D", bound="Drafted")


def _ignore_stop() -> None:
    """From here on a wish to stop comes too late: what is written is reported as written."""
    signal.signal(stopping.ASKED, signal.SIG_IGN)


def _append(order: orders.Weather | orders.Loads, home: Household, found: D, decide: Callable[[Household], D],
            progress: Progress, steps: int, told: list[str]) -> tuple[Household, D]:
    """Write what was found, unless it is only asked for; found anew where somebody wrote meanwhile.

    `told` takes what there is to mind: an odd clock, a seal number that could not be noted.
    """
    from gwlog.app import door

    if not found.facts or order.dry:
        return home, found
    progress(steps - 1, steps, "writing")
    _ignore_stop()
    done = door.log(home, lambda then: found if then is home else decide(then), now=lambda: order.now,
                    mind=lambda words: told.append(str(words)))
    return done.home, done.draft


def weather(order: orders.Weather, progress: Progress) -> Outcome:
    from gwlog.importers.weather import Answers
    from gwlog.importers.weather_question import Question

    home = household(order, progress, 4)
    progress(2, 4, "reading the file")
    answers = Answers(order.units, order.format, order.station, order.leave_out)

    def decide(then: Household) -> WeatherImport:
        return imports.weather(then, order.file, answers)

    try:
        told: list[str] = []
        _, found = _append(order, home, decide(home), decide, progress, 4, told)
    except Question as question:
        return {"lines": [question.message], "fine": True, "asks": question.option,
                "choices": [[one.value, one.words] for one in question.choices]}
    return {"lines": [*import_summary.weather_lines(home, found, dry=order.dry), *told], "fine": True,
            "waits": bool(found.days)}


def loads(order: orders.Loads, progress: Progress) -> Outcome:
    from gwlog.importers import load_columns

    progress(0, 4, "reading the file")
    content = imports.load_file(order.file)
    if order.columns is None:
        titles, first = load_columns.header(content)
        return {"lines": [], "fine": True, "titles": titles, "first": first,
                "suggested": load_columns.suggested(titles)}
    columns = load_columns.checked(order.columns)
    home = household(order, progress, 4)
    progress(2, 4, "going through its rows")
    unknown = imports.unknown_words(home, content, columns, order.names)
    if unknown and not order.leave_out:
        return {"lines": [], "fine": True, "strange": [asdict(one) for one in unknown]}

    def decide(then: Household) -> LoadsImport:
        return imports.loads(then, content, columns, names=order.names, day_order=order.day_order,
                             leave_out=order.leave_out)

    told: list[str] = []
    home, found = _append(order, home, decide(home), decide, progress, 4, told)
    lines = [*import_summary.loads_lines(home, found, dry=order.dry), *told]
    if "load" not in columns:
        lines.append("No column holds the load, so they are logged without a name.")
    return {"lines": lines, "fine": True, "waits": bool(found.facts)}


def restore(order: orders.Restore, progress: Progress) -> Outcome:
    progress(0, 1, "verifying the backup")
    if not order.dry:
        _ignore_stop()
    untold: list[str] = []
    done = imports.restore(order.file, order.logbook, order.now, dry=order.dry, mind=untold.append)
    return {"lines": [*import_summary.restored_lines(done, dry=order.dry), *untold], "fine": True, "waits": True}


def begin(order: orders.Begin, progress: Progress) -> Outcome:
    from gwlog.app.start_from_file import begin as start

    progress(0, 1, "verifying the file")
    if not order.dry:
        _ignore_stop()
    untold: list[str] = []
    done = start(order.file, order.logbook, order.now, dry=order.dry, mind=untold.append)
    lines = import_summary.started_lines(done.kind, done.entries, done.restored, done.setup, done.warnings,
                                         dry=order.dry)
    return {"lines": [*lines, *untold], "fine": True, "waits": True}
