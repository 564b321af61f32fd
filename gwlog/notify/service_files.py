"""How the watcher is started with the machine: a systemd unit, a launchd agent, a cron line, ready to use."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

KINDS = ("systemd", "launchd", "cron")
LABEL = "gwlog.watch"


def unit_file(kind: str, logbook: Path) -> str:
    """The text of the unit; where it belongs stands in its first lines."""
    words = [sys.executable, "-m", "gwlog", "--logbook", str(logbook.absolute()), "watch"]
    return {"systemd": _systemd, "launchd": _launchd, "cron": _cron}[kind](words)


def _systemd(words: list[str]) -> str:
    # systemd.service(5): double quotes group, backslashes escape, % and $ are doubled.
    quoted = " ".join('"' + word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$") + '"'
                      for word in words)
    return f"""\
# Put this into ~/.config/systemd/user/gwlog-watch.service, then: systemctl --user enable --now gwlog-watch
[Unit]
Description=Reminders of gwlog

[Service]
ExecStart={quoted}
Restart=on-failure
RestartSec=30
TimeoutStopSec=5

[Install]
WantedBy=default.target
"""


def _launchd(words: list[str]) -> str:
    import plistlib

    made = plistlib.dumps({
        "Label": LABEL, "ProgramArguments": words, "RunAtLoad": True, "KeepAlive": {"SuccessfulExit": False},
    }).decode("utf-8")
    first, rest = made.split("\n", 1)
    where = f"~/Library/LaunchAgents/{LABEL}.plist"
    return f"{first}\n<!-- Put this into {where}, then: launchctl load {where} -->\n{rest}"


def _cron(words: list[str]) -> str:
    # In a crontab % ends the command unless it is escaped.
    line = shlex.join([*words, "--once"]).replace("%", "\\%")
    return f"# Put this line into your crontab (crontab -e): every five minutes.\n*/5 * * * * {line}\n"
