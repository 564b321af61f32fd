"""How the watcher, or the phone's pages, are started with the machine: by systemd, launchd, cron, or Windows."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path, PureWindowsPath

from gwlog.values import dataclass

KINDS = ("systemd", "launchd", "cron", "task-scheduler")
LINGERING = "loginctl enable-linger"
"""Without it systemd ends what a user started when that user logs out."""


@dataclass(frozen=True, slots=True)
class Service:
    """What is started: its name, what it is, and the command. `rounds`: the option by which cron and the task scheduler
    have it look every five minutes; without one they start it once, and it stays.
    """

    name: str
    about: str
    command: tuple[str, ...]
    rounds: str = ""


WATCH = Service("watch", "Reminders of gwlog", ("watch",), "--once")


def phone(*, watch: bool, said: tuple[str, ...] = ()) -> Service:
    """The phone's pages, with the watcher in the same process or without. `said`: more words of the command."""
    return Service("phone", "The phone's pages of gwlog" + (", and its reminders" if watch else ""),
                   ("phone", "serve", *(("--watch",) if watch else ()), *said))


def unit_file(kind: str, logbook: Path, service: Service = WATCH) -> str:
    """The text of the unit; where it belongs stands in its first lines."""
    words = [sys.executable, "-m", "gwlog", "--logbook", str(logbook.absolute()), *service.command]
    return {"systemd": _systemd, "launchd": _launchd, "cron": _cron, "task-scheduler": _task}[kind](words, service)


def _systemd(words: list[str], service: Service) -> str:
    # systemd.service(5): double quotes group, backslashes escape, % and $ are doubled.
    quoted = " ".join('"' + word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$") + '"'
                      for word in words)
    unit = f"gwlog-{service.name}"
    return f"""\
# Put this into ~/.config/systemd/user/{unit}.service, then: systemctl --user enable --now {unit}
# It ends when you log out, and begins when you log in. To have it run all the time, also: {LINGERING}
[Unit]
Description={service.about}

[Service]
ExecStart={quoted}
Restart=on-failure
RestartSec=30
TimeoutStopSec=5

[Install]
WantedBy=default.target
"""


def _launchd(words: list[str], service: Service) -> str:
    import plistlib

    label = f"gwlog.{service.name}"
    made = plistlib.dumps({
        "Label": label, "ProgramArguments": words, "RunAtLoad": True, "KeepAlive": {"SuccessfulExit": False},
    }).decode("utf-8")
    first, rest = made.split("\n", 1)
    where = f"~/Library/LaunchAgents/{label}.plist"
    return f"{first}\n<!-- Put this into {where}, then: launchctl load {where} -->\n{rest}"


def _cron(words: list[str], service: Service) -> str:
    # In a crontab % ends the command unless it is escaped.
    line = shlex.join([*words, *_rounds(service)]).replace("%", "\\%")
    when, told = ("*/5 * * * *", "every five minutes") if service.rounds else ("@reboot", "whenever the machine starts")
    return f"# Put this line into your crontab (crontab -e): {told}.\n{when} {line}\n"


def _task(words: list[str], service: Service) -> str:
    # By a task's own defaults it would not run on batteries, and end after three days. PowerShell quotes with ' and
    # doubles it within.
    program = _without_window(words[0])
    rest = subprocess.list2cmdline([*words[1:], *_rounds(service)])
    called = f"gwlog {service.name}"
    told, trigger, more = (
        ("every five minutes", "-Once -At (Get-Date) -RepetitionInterval (New-TimeSpan -Minutes 5)",
         "-StartWhenAvailable") if service.rounds else
        ("whenever you log in", "-AtLogOn",
         "-ExecutionTimeLimit 0 -RestartCount 999 -RestartInterval (New-TimeSpan -Minutes 1)"))
    return (
        f"# Put this line into PowerShell, once: {told}. It has no window: what is told needs a channel\n"
        f"# of channels.toml. To end it: Unregister-ScheduledTask '{called}'\n"
        f"Register-ScheduledTask '{called}' -Force"
        f" -Action (New-ScheduledTaskAction -Execute {_quoted(program)} -Argument {_quoted(rest)})"
        f" -Trigger (New-ScheduledTaskTrigger {trigger})"
        f" -Settings (New-ScheduledTaskSettingsSet -AllowStartIfOnBatteries -DontStopIfGoingOnBatteries {more})\n")


def _rounds(service: Service) -> tuple[str, ...]:
    return (service.rounds,) if service.rounds else ()


def _quoted(words: str) -> str:
    return "'" + words.replace("'", "''") + "'"


def _without_window(program: str) -> str:
    """The interpreter that opens no window, which stands beside the other."""
    where = PureWindowsPath(program)
    return str(where.with_name("pythonw.exe")) if where.name.casefold() == "python.exe" else program
