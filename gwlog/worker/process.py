"""Long work in a process of its own: what the screens ask for while their keys go on being answered.

The order (worker/orders.py) comes as one JSON object on stdin; progress and the outcome go out as JSON lines on
stdout. exports.py makes something of the logbook, imports.py brings something into it.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable
from typing import Any

from gwlog import actions, stopping
from gwlog.errors import GwlogError
from gwlog.worker import exports, imports, orders
from gwlog.worker.progress import Outcome, Progress

STOPPED = "stopped"

_WORK: dict[type, Callable[[Any, Progress], Outcome]] = {
    orders.Verify: exports.verify, orders.Check: exports.check, orders.Report: exports.report,
    orders.Manual: exports.manual, orders.Card: exports.card, orders.Calendar: exports.calendar,
    orders.Pack: exports.pack, orders.Received: exports.received,
    orders.Handover: exports.handover, orders.Export: exports.export,
    orders.Spreadsheets: exports.spreadsheets,
    orders.SiteFile: exports.site_file, orders.Backup: exports.backup, orders.Rehearse: exports.rehearse,
    orders.Weather: imports.weather, orders.Loads: imports.loads, orders.Restore: imports.restore,
    orders.Begin: imports.begin,
}


def main() -> None:
    """Do what the order on stdin says. Every outcome, also a refusal, goes out on stdout."""
    if hasattr(os, "nice"):
        os.nice(19)  # the screens come first where there are few processors
    signal.signal(stopping.ASKED, signal.default_int_handler)

    def out(line: dict[str, Any]) -> None:
        sys.stdout.buffer.write(json.dumps(line).encode() + b"\n")
        sys.stdout.buffer.flush()

    def progress(done: int, of: int, words: str) -> None:
        out({"done": done, "of": of, "words": words})

    try:
        order = orders.of_json(sys.stdin.buffer.read())
    except ValueError as fault:
        out({"refused": f"That is no order: {fault}", "hint": None})
        return
    try:
        out({"outcome": _WORK[type(order)](order, progress)})
    except GwlogError as trouble:
        out({"refused": str(trouble), "hint": actions.as_json(trouble.hint)})
    except KeyboardInterrupt:
        out({"refused": STOPPED, "hint": None})
    except BrokenPipeError:
        # whoever asked has gone
        sys.exit(1)
    except Exception as bug:
        out({"refused": f"This is a bug in gwlog: {type(bug).__name__}: {bug}", "hint": None})


if __name__ == "__main__":
    main()
