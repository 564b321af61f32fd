"""The commented site file from which a new household starts (`gwlog begin --example`).

The place and the people in it are invented. It begins on the day on which it is asked for, so that nothing in it is
overdue on the first evening.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from gwlog.clock import local_day

STARTER = Path(__file__).with_name("starter.toml")
ZONE = "America/Los_Angeles"
"""The time zone that the file states."""

_SATURDAY = 5


def starter(now: datetime) -> str:
    """The text of the starter site file, in force from today; it reads without a fault and without a warning."""
    today = local_day(now, ZONE)
    saturday = today + timedelta(days=(_SATURDAY - today.weekday()) % 7)
    return STARTER.read_text(encoding="utf-8").replace("{today}", today.isoformat()).replace(
        "{saturday}", saturday.isoformat())
