"""Who is told of what, when and by which channel; what did not arrive, what comes next, and where it is all kept.

Sentences only: nothing of a channel but its name and kind is ever told. Shared by the screens and the commands.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import time
from pathlib import Path
from typing import TYPE_CHECKING

from gwlog import settings, text
from gwlog.decisions.reminder_model import KINDS
from gwlog.errors import BadInput, GwlogError
from gwlog.notify import settings_file
from gwlog.notify.channels import EXAMPLE as CHANNELS_EXAMPLE
from gwlog.notify.channels import Apprise, Channel, Command, Message, channels_path, read_channels
from gwlog.notify.settings_file import STDOUT, Settings, Tell, read_settings, settings_path
from gwlog.notify.weather_command import state_lines

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.notify.service_files import Service

TEST = Message("gwlog: a test", ("This is a test of gwlog's reminders; nothing is to be done.",))
"""What a test of a channel sends."""


@dataclass(frozen=True, slots=True)
class Files:
    """What this machine's files say about telling. `settings` None: they cannot be used, `faults` say why."""

    settings: Settings | None
    channels: Mapping[str, Channel] = field(repr=False)
    faults: tuple[str, ...] = ()

    @property
    def tried(self) -> tuple[str, ...]:
        """The channels by which a test message can be sent: stdout is the screens' own."""
        return tuple(name for name in self.channels if name != STDOUT)


def read_files() -> Files:
    """Read channels.toml and settings.toml; faults of both in words."""
    faults: list[str] = []
    channels: Mapping[str, Channel] = {}
    named: list[str] | None = None
    try:
        channels = read_channels()
        named = list(channels)
    except BadInput as fault:
        faults += [*str(fault).splitlines(), *([f"→ {fault.hint}"] if fault.hint else [])]
        named = _names_in_spite()
    found = None
    if named is not None:
        try:
            found = read_settings(named)
        except BadInput as fault:
            faults += [*str(fault).splitlines(), *([f"→ {fault.hint}"] if fault.hint else [])]
    return Files(found if channels else None, channels, tuple(faults))


def _names_in_spite() -> list[str] | None:
    """The channels' names where the file holds faults: settings.toml is judged by them. None where it has none."""
    try:
        return [text.one_line(name) for name in settings_file.read_toml(channels_path()) or {}]
    except BadInput:
        return None


def way(channel: Channel) -> str:
    """What kind of channel it is, nothing secret."""
    if isinstance(channel, Apprise):
        return "an address of a service, by apprise"
    return "a command of your own" if isinstance(channel, Command) else "prints where gwlog watch runs"


def who_lines(files: Files) -> list[str]:
    """Each person with kinds, channels, hours; then the times of the day that all of them share."""
    if files.settings is None:
        return ["Fix this first: gwlog watch will not start. One already running keeps its old settings."]
    lines = [_who(row) for row in files.settings.tell]
    if not settings_path().exists():
        lines.append("This is the default while there is no settings.toml.")
    times = files.settings.times
    leads = text.listed([f"the {lead.label}" if lead.ahead is None else lead.label for lead in times.leads])
    lines.append(f"“The evening before” is {_hour(times.evening)}, “that morning” {_hour(times.morning)}; "
                 f"the valve, before a load: {leads}.")
    return lines


def _who(row: Tell) -> str:
    if not row.channels or not row.kinds:
        return f"{row.person}: nothing, as no {'channel' if row.kinds else 'kind of reminder'} is named."
    left_out = [kind for kind in KINDS if kind not in row.kinds]
    kinds = "every kind of reminder" if not left_out else text.listed(row.kinds) if len(row.kinds) <= len(left_out) \
        else f"everything but {text.listed(left_out)}"
    when = f"once a day at {_hour(row.digest)}" if row.digest is not None else \
        "each at its moment, at any hour" if row.quiet is None else \
        f"each at its moment, nothing from {_hour(row.quiet.start)} to {_hour(row.quiet.end)}"
    return f"{row.person} by {text.listed(row.channels)}: {kinds}; {when}."


def _hour(wall: time) -> str:
    return f"{wall.hour}:{wall.minute:02}"


def failed_lines(home: Household) -> list[str]:
    """What has not arrived, or may not have."""
    from gwlog.views.today import undelivered_line

    if home.state.site is None:
        return []
    return [undelivered_line(home, one) for one in home.undelivered]


def place_lines(logbook: Path) -> list[tuple[str, str]]:
    """Where gwlog keeps its files on this machine, and whether those of the settings are there."""
    def there(where: Path, without: str) -> str:
        return str(where) if where.exists() else f"{where} ({without})"

    return [
        ("logbook", there(logbook.absolute(), "not made yet")), ("data", str(settings.data_folder())),
        ("settings", there(settings_path(), "not there: the default")),
        ("channels", there(channels_path(), "not there: stdout alone")),
    ]


def examples(person: str | None = None) -> tuple[tuple[Path, str], ...]:
    """The commented examples of settings.toml and channels.toml with their places; `person`: for whom, else a name."""
    example = settings_file.EXAMPLE
    if person is not None:
        example = example.replace('"Ines"', json.dumps(person, ensure_ascii=False))
    return (settings_path(), example), (channels_path(), CHANNELS_EXAMPLE)


def starter() -> str:
    """What starts things on this machine: the task scheduler of Windows, launchd, systemd, or else cron."""
    if sys.platform in ("win32", "darwin"):
        return "task-scheduler" if sys.platform == "win32" else "launchd"
    return "systemd" if Path("/run/systemd/system").exists() else "cron"


def start_lines(kind: str, logbook: Path, service: Service | None = None) -> tuple[str, str]:
    """What to do so that the watcher, or another service, starts with the machine, and the one line that does it."""
    from gwlog.notify import service_files

    service = service or service_files.WATCH
    if kind in ("cron", "task-scheduler"):
        where = "your crontab (crontab -e)" if kind == "cron" else "PowerShell, once"
        return f"Put this line into {where}:", service_files.unit_file(kind, logbook, service).strip().splitlines()[-1]
    unit = service_files.unit_file(kind, logbook, service)
    found = re.search(r"Put this into (\S+), then: (.+?)(?: -->)?$", unit, re.MULTILINE)
    assert found is not None
    where, then = found[1], found[2]
    make = shlex.join([sys.executable, "-m", "gwlog", "--logbook", str(logbook.absolute()), *service.command,
                       "--print-unit", kind])
    if kind == "systemd":
        then = f"{then} && {service_files.LINGERING}"
    return "Run this line once in a terminal:", f"mkdir -p {where.rpartition('/')[0]} && {make} > {where} && {then}"


@dataclass(frozen=True, slots=True)
class Page:
    """Everything about telling in words. `signs`: by what a change of the two files is known."""

    files: Files
    who: list[str]
    failed: list[str]
    coming: list[str]
    weather: list[str]
    start: tuple[str, str]
    places: list[tuple[str, str]]
    signs: tuple[object, ...]


def signs() -> tuple[object, ...]:
    """Sizes, moments and permissions of the two files."""
    found: list[object] = []
    for path in (settings_path(), channels_path()):
        try:
            kept = path.stat()
            found += [kept.st_mtime_ns, kept.st_size, kept.st_mode]
        except OSError:
            found.append(None)
    return tuple(found)


def read_page(home: Household) -> Page:
    """Read the files and the bookkeeping anew. Raises GwlogError as the logbook deserves."""
    from gwlog.notify.upcoming import coming_lines

    before = signs()
    files, fresh = read_files(), home.at(home.now)
    command = files.settings.weather if files.settings is not None else None
    return Page(files, who_lines(files), failed_lines(fresh), coming_lines(fresh, files.settings),
                state_lines(home.path, command, fresh.now, fresh.zone),
                start_lines(starter(), home.path), place_lines(home.path), before)


def write_examples(home: Household) -> list[str]:
    """Write the example files that are not there, programs for a weather command among them; what is there is left as
    it is. Returns what to say.
    """
    from gwlog.files import make_folder, write_whole
    from gwlog.notify.weather_examples import EXAMPLES

    person = next((name for name, one in home.state.people.items() if one.active), None)
    wrote, kept, lines = [], [], []
    programs = [(settings_path().with_name(name), content) for name, content in EXAMPLES.values()]
    for path, content in (*examples(person), *programs):
        if os.path.lexists(path):
            kept.append(path.name)
            continue
        try:
            make_folder(path.parent)
            write_whole(path, content.encode("utf-8"))
            wrote.append(path.name)
        except GwlogError as trouble:
            lines.append(f"✗ {trouble}")
    if wrote:
        lines.append(f"✓ Wrote {text.listed(wrote)} into {settings_path().parent}; the names in it are examples: "
                     "change them in any editor.")
    if kept:
        lines.append(f"{text.listed(kept)} {'is' if len(kept) == 1 else 'are'} there already and unchanged.")
    return lines
