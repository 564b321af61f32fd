"""Long work in a process of its own: what the screens ask for while their keys go on being answered.

The order comes as one JSON object on stdin; progress and the outcome go out as JSON lines on stdout. What can be
ordered stands in exports.py (made of the logbook) and imports.py (brought into it).
"""

from __future__ import annotations

import json
import os
import sys
from datetime import datetime
from typing import Any

from gwlog import clock
from gwlog.errors import BadInput, GwlogError

STOPPED = "stopped"


def main() -> None:
    """Do what the order on stdin says. Every outcome, also a refusal, is told on stdout."""
    order = json.loads(sys.stdin.buffer.read())
    if hasattr(os, "nice"):
        os.nice(10)  # the screens come first where there are few processors

    def out(line: dict[str, Any]) -> None:
        sys.stdout.buffer.write(json.dumps(line).encode() + b"\n")
        sys.stdout.buffer.flush()

    try:
        from gwlog.worker import exports, imports

        work = {**exports.WORKS, **imports.WORKS}.get(order["work"])
        if work is None:
            raise BadInput(f"There is no work called “{order['work']}”.")
        out({"outcome": work(order, lambda done, of, words: out({"done": done, "of": of, "words": words}))})
    except GwlogError as trouble:
        out({"refused": str(trouble), "hint": trouble.hint})
    except KeyboardInterrupt:
        out({"refused": STOPPED, "hint": None})
    except BrokenPipeError:
        # whoever asked has gone
        sys.exit(1)
    except Exception as bug:
        out({"refused": f"This is a mistake in gwlog itself: {type(bug).__name__}: {bug}", "hint": None})


def as_of(now: datetime) -> str:
    """A moment as an order carries it."""
    return clock.iso(now).replace("Z", "+00:00")


if __name__ == "__main__":
    main()
