"""The weather command of the settings: once a day by the watcher, by hand with `weather run`; all or nothing is taken.

What it prints passes the same reader as a file. Its environment is small and said in README; it never comes from an
import, a pack or a site file.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any

from gwlog import clock, text
from gwlog.app.run_command import CommandFailed, Ran, run
from gwlog.decisions.entry_limits import FORECAST_DAYS
from gwlog.errors import BadInput, GwlogError
from gwlog.household import Household, look_set_up
from gwlog.importers.weather import Answers, WeatherImport, read_weather
from gwlog.importers.weather_question import Question
from gwlog.journal import weather_runs

USUAL_LIMIT_S, LONGEST_LIMIT_S = 60, 600
LONGEST_BACK = timedelta(days=60)
"""How far back weather is asked for where none was measured yet, or not for long."""
SPREAD_MIN = 10
"""Over how many minutes the machines of the world spread their run."""
ORIGIN = "weather command"

EXAMPLE = """\
# What prints the weather as a table (see README): a list of words, run without a shell once a day by gwlog watch.
# [weather]
# command = ["python3", "/home/ines/gauge.py"]
# units = "us"               # only where the header that it prints names none
# after = "6:00"             # not before this hour
# limit = 60                 # seconds; up to 600
# environment = { GAUGE_FILE = "/home/ines/tips.csv" }
"""


@dataclass(frozen=True, slots=True)
class WeatherCommand:
    """What the settings say of it. `after`: local wall time; `limit_s`: seconds until it is stopped."""

    words: tuple[str, ...]
    units: str | None = None
    format: str | None = None
    station: str | None = None
    after: time = time(6)
    limit_s: int = USUAL_LIMIT_S
    environment: dict[str, str] = field(default_factory=dict, repr=False)


def read_table(found: Any, faults: list[str]) -> WeatherCommand | None:
    """Read the table [weather] of the settings; what is wrong is added to `faults`."""
    if not isinstance(found, dict):
        faults.append("weather: write a table [weather] with a command")
        return None
    known = ("command", "units", "format", "station", "after", "limit", "environment")
    faults += [f"weather: {text.one_line(name)[:40]}: not a setting; known are {text.listed(known)}"
               for name in found if name not in known]
    words: Any = found.get("command")
    if isinstance(words, str):
        spelled = ", ".join(f'"{word}"' for word in words.split()[:6])
        faults.append(f"weather: command: write a list of words, like [{spelled}]; no shell reads it")
    elif not (isinstance(words, list) and words and all(isinstance(word, str) and word and "\0" not in word
                                                        for word in words)):
        faults.append('weather: command: write a list of words, like ["python3", "/home/me/gauge.py"]')
    after = found.get("after", time(6))
    if isinstance(after, str):
        match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*", after)
        after = time(int(match[1]), int(match[2])) if match and int(match[1]) < 24 and int(match[2]) < 60 else None
    if not isinstance(after, time):
        faults.append(f"weather: after: “{text.one_line(str(found.get('after')))[:40]}” is not a time of day; write it "
                      'like "6:00"')
    limit = found.get("limit", USUAL_LIMIT_S)
    if isinstance(limit, bool) or not isinstance(limit, int) or not 1 <= limit <= LONGEST_LIMIT_S:
        faults.append(f"weather: limit: “{text.one_line(str(limit))[:40]}” is not 1 to {LONGEST_LIMIT_S} seconds")
    environment = found.get("environment", {})
    if not isinstance(environment, dict) or not all(
            isinstance(value, str) and "\0" not in value and re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name)
            and not name.startswith("GWLOG_") for name, value in environment.items()):
        faults.append('weather: environment: write names and texts, like { GAUGE_FILE = "/home/me/tips.csv" }; names '
                      "that begin with GWLOG_ are gwlog's own")
    answers = {name: found.get(name) for name in ("units", "format", "station")}
    faults += [f"weather: {name}: write a text" for name, value in answers.items()
               if value is not None and not isinstance(value, str)]
    try:
        from gwlog.importers.weather_columns import formats
        from gwlog.importers.weather_units import said_units

        said_units(answers["units"] if isinstance(answers["units"], str) else None)
        formats(answers["format"] if isinstance(answers["format"], str) else None)
    except BadInput as fault:
        faults.append(f"weather: {fault}")
    if any(fault.startswith("weather:") for fault in faults):
        return None
    return WeatherCommand(tuple(words), **answers, after=after, limit_s=limit, environment=environment)


def refuse_strangers(settings: Path) -> None:
    """Raise BadInput where others could have written the settings: a command in them would be theirs."""
    if not hasattr(os, "getuid"):
        return  # there the folder of the settings is its owner's
    kept = settings.stat()
    if kept.st_uid != os.getuid() or kept.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
        raise BadInput(f"{settings} can be written by others, so its weather command is not run.",
                       hint=f"chmod go-w {settings}")


def environment_of(command: WeatherCommand, home: Household) -> dict[str, str]:
    """The whole environment of the command: a path, a home, a language, the household's zone, and what is asked for."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    today = clock.local_day(home.now, home.zone)
    began = clock.local_day(home.state.sites[0].happened_at, home.zone)
    measured = max((day for day in home.state.weather if day < today), default=began - timedelta(days=1))
    asked = max(began, today - LONGEST_BACK, min(measured + timedelta(days=1), today - timedelta(days=1)))
    site = home.state.site
    asked_for = {"GWLOG_WEATHER_FROM": asked.isoformat(),
                 "GWLOG_WEATHER_TO": (today + timedelta(days=FORECAST_DAYS)).isoformat(),
                 "GWLOG_WEATHER_LATITUDE": f"{site.latitude_udeg / 1e6:g}" if site is not None else "",
                 "GWLOG_WEATHER_UNITS": home.system}
    return {**kept, "TZ": home.zone, **command.environment, **asked_for}


def words_of(command: WeatherCommand) -> tuple[str, ...]:
    """The words as they are run: ~ expanded, the program found once. Raises CommandFailed where there is none."""
    words = [str(Path(word).expanduser()) if word.startswith("~/") else word for word in command.words]
    program = words[0] if os.sep in words[0] and Path(words[0]).is_absolute() else shutil.which(words[0])
    if program is None or (os.sep in command.words[0] and not Path(words[0]).is_absolute()):
        raise CommandFailed(f"The weather command {text.one_line(words[0])[:60]} is neither an absolute path nor a "
                            "program on the PATH.")
    return (program, *words[1:])


@dataclass(frozen=True, slots=True)
class Outcome:
    """A run whose output can be taken, and how it went."""

    home: Household
    found: WeatherImport
    ran: Ran
    words: tuple[str, ...]


def tried(path: Path, command: WeatherCommand, now: datetime, stopped: threading.Event | None = None) -> Outcome:
    """Run the command and read what it printed; nothing is written. Raises CommandFailed, or what the logbook deserves.
    """
    home = look_set_up(path, now)
    words = words_of(command)
    ran = run(words, environment_of(command, home), limit_s=command.limit_s, stopped=stopped)
    return Outcome(home, _read(command, ran, home), ran, words)


def _read(command: WeatherCommand, ran: Ran, home: Household) -> WeatherImport:
    try:
        return read_weather(ran.output, home, Answers(command.units, command.format, command.station), origin=ORIGIN)
    except Question as question:
        way = f"{question.option} = \"{question.choices[0].value}\", or another"
        raise CommandFailed("The weather command's output leaves something open; nothing was taken. "
                            f"{question.message} Say it under [weather] in the settings: {way}.") from None
    except BadInput as fault:
        raise CommandFailed(f"The weather command's output cannot be used; nothing was taken. {fault}") from None


def taken(path: Path, command: WeatherCommand, now: datetime, stopped: threading.Event | None = None) -> Outcome:
    """Run the command, log what it gave, and note how it went. Raises as tried() does; a failure is noted, too."""
    from gwlog.app import door

    with weather_runs.alone(path):
        try:
            done = tried(path, command, now, stopped)
            if done.found.days:
                logged = door.log(done.home, lambda then: _read(command, done.ran, then), now=lambda: now)
                done = replace(done, home=logged.home, found=logged.draft)
        except CommandFailed as trouble:
            if stopped is None or not stopped.is_set():
                weather_runs.note(path, weather_runs.read(path).failed(now, str(trouble), later=trouble.later))
            raise
        weather_runs.note(path, weather_runs.read(path).succeeded(now, _taken_words(done.found)))
        return done


def _taken_words(found: WeatherImport) -> str:
    measured = len(found.days) - found.forecasts
    parts = [text.plural(count, "day") + words for count, words in (
        (measured, " measured"), (found.forecasts, " forecast"), (found.known, " known already")) if count]
    return ", ".join(parts) or "nothing new"


def slot_of(path: Path, command: WeatherCommand, now: datetime, zone: str) -> datetime:
    """From when on the run of this local day is due: the hour of the settings and some minutes that differ by machine.
    """
    day = clock.local_day(now, zone)
    delay = int(sha256(f"{path.absolute()}|{day}".encode()).hexdigest(), 16) % SPREAD_MIN
    return clock.attach(datetime.combine(day, command.after), zone) + timedelta(minutes=delay)


def daily(path: Path, command: WeatherCommand, settings: Path, now: datetime, zone: str, say: Callable[[str], None],
          stopped: threading.Event | None = None) -> bool:
    """The watcher's run of the day, where it is due. Troubles are said once a spell; returns whether none was said."""
    before = weather_runs.read(path)
    if not before.due(now, slot_of(path, command, now, zone)):
        return True
    try:
        refuse_strangers(settings)
        done = taken(path, command, now, stopped)
    except GwlogError as trouble:
        quiet = getattr(trouble, "later", False) or (stopped is not None and stopped.is_set())
        if not isinstance(trouble, CommandFailed):
            weather_runs.note(path, before.failed(now, str(trouble)))
        if quiet or (before.failures and before.trouble == str(trouble)[:500]):
            return True
        say(str(trouble))
        return False
    if before.failures or done.found.days:
        say(f"Weather command: {_taken_words(done.found)}.")
    return True


def state_lines(path: Path, command: WeatherCommand | None, now: datetime, zone: str) -> list[str]:
    """How the command stands: what it is, its last run and success with their age, its last trouble."""
    if command is None:
        return []
    kept = weather_runs.read(path)
    lines = [f"{' '.join(text.one_line(word) for word in command.words)[:200]}, once a day from "
             f"{command.after.hour}:{command.after.minute:02} on by gwlog watch."]
    if kept.last_success is not None:
        lines.append(f"Last success {clock.echo(kept.last_success, zone)}, {_age(now - kept.last_success)} ago: "
                     f"{kept.taken}.")
    elif kept.last_run is None:
        lines.append("It has not run yet.")
    if kept.failing_since is not None and kept.last_run is not None:
        lines.append(f"Failed {text.plural(kept.failures, 'time')}, last {clock.echo(kept.last_run, zone)}: "
                     f"{kept.trouble}")
    return lines


def _age(span: timedelta) -> str:
    hours = max(0, int(span.total_seconds() // 3600))
    return text.plural(hours // 24, "day") if hours >= 48 else text.plural(hours, "hour")
