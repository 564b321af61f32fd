"""The command `phone serve` in a process of its own, with a clock that begins at the moment it is given.

    python -m tests.phone.serve_at 2026-07-14T18:00:00+00:00 phone serve --address 127.0.0.1 --port 0
"""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from time import monotonic

from gwlog import clock
from gwlog.cli.main import run

begins, started = datetime.fromisoformat(sys.argv[1]), monotonic()
clock.now = lambda: begins + timedelta(seconds=monotonic() - started)
sys.exit(run(sys.argv[2:]))
