"""Commands and options that were called otherwise before: what they are called now, for whoever types the old name."""

from __future__ import annotations

COMMANDS = {"init": "begin", "log": "entries", "snooze": "later"}

OPTIONS = {("verify", "--against"): "--noted", ("pack", "--anchor"): "--noted"}
"""(command, option) -> the option's name now."""
