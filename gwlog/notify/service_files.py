"""How the watcher is started with the machine: a systemd unit, a launchd agent, a cron line, a task of Windows."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path, PureWindowsPath

KINDS = ("systemd", "launchd", "cron", "task-scheduler")
LABEL = "gwlog.watch"
LINGERING = "loginctl enable-linger"
"""Without it systemd ends what a user started when that user logs out."""


def unit_file(kind: str, logbook: Path) -> str:
    """The text of the unit; where it belongs stands in its first lines."""
    words = [sys.executable, "-m", "gwlog", "--logbook", str(logbook.absolute()), "watch"]
    return {"systemd": _systemd, "launchd": _launchd, "cron": _cron, "task-scheduler": _task}[kind](words)


def _systemd(words: list[str]) -> str:
    # systemd.service(5): double quotes group, backslashes escape, % and $ are doubled.
    quoted = " ".join('"' + word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$") + '"'
                      for word in words)
    return f"""\
# Put this into ~/.config/systemd/user/gwlog-watch.service, then: systemctl --user enable --now gwlog-watch
# It ends when you log out, and begins when you log in. To have it run all the time, also: {LINGERING}
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


def _task(words: list[str]) -> str:
    # By a task's own defaults it would not run on batteries. PowerShell quotes with ' and doubles it within.
    program = _without_window(words[0])
    rest = subprocess.list2cmdline([*words[1:], "--once"])
    return (
        "# Put this line into PowerShell, once: every five minutes. It has no window: what is told needs a channel\n"
        "# of channels.toml. To end it: Unregister-ScheduledTask 'gwlog watch'\n"
        "Register-ScheduledTask 'gwlog watch' -Force"
        f" -Action (New-ScheduledTaskAction -Execute {_quoted(program)} -Argument {_quoted(rest)})"
        " -Trigger (New-ScheduledTaskTrigger -Once -At (Get-Date) -RepetitionInterval (New-TimeSpan -Minutes 5))"
        " -Settings (New-ScheduledTaskSettingsSet -AllowStartIfOnBatteries -DontStopIfGoingOnBatteries"
        " -StartWhenAvailable)\n")


def _quoted(words: str) -> str:
    return "'" + words.replace("'", "''") + "'"


def _without_window(program: str) -> str:
    """The interpreter that opens no window, which stands beside the other."""
    where = PureWindowsPath(program)
    return str(where.with_name("pythonw.exe")) if where.name.casefold() == "python.exe" else program
