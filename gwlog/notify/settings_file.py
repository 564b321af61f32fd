"""Who is told of what, when and by which channel: settings.toml, this machine's own file, all faults told together.

Nothing in it is secret; channels are only named. How a channel is reached stands in channels.toml.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import time
from pathlib import Path
from typing import Any

from gwlog import files, settings, text
from gwlog.actions import Action, Hint
from gwlog.decisions.notification_times import Lead, Quiet, Times, lead
from gwlog.decisions.reminder_model import FORMER_KINDS, KINDS
from gwlog.errors import BadInput, SeveralFaults, UnknownName
from gwlog.notify.weather_command import EXAMPLE as WEATHER_EXAMPLE
from gwlog.notify.weather_command import WeatherCommand, read_table

LARGEST = 1_000_000
STDOUT = "stdout"
EVERYBODY = "everybody"

EXAMPLE = """\
# gwlog: who gets which reminders, when, and by which channel. Wall times are the household's own.

evening = "19:00"                            # reminders for the evening before
morning = "8:00"                             # reminders for the morning of the day
before_a_load = ["evening before", "1 hour"] # the valve, before a load; up to 36 hours ahead
quiet = "22:00-7:00"                         # no messages then; "off" for never

# One table for each person and way of sending. Channels are described in channels.toml, beside this file;
# "stdout" needs no description.
[[tell]]
person = "Ines"
channels = ["stdout"]
# Without the line kinds: every kind.
kinds = ["valve to sewer", "valve to garden", "garden shut for weather", "next load will not fit"]

[[tell]]
person = "Ines"
channels = ["stdout"]
except = ["valve to sewer", "valve to garden", "garden shut for weather", "next load will not fit"]
digest = "7:30"                              # one message a day instead of one at each moment
# quiet = "21:00-8:00"                       # this person's own quiet hours

""" + WEATHER_EXAMPLE


@dataclass(frozen=True, slots=True)
class Tell:
    """One line of who is told: a person, channels, kinds of reminder, quiet hours; `digest`: once a day at a time."""

    person: str = EVERYBODY
    channels: tuple[str, ...] = (STDOUT,)
    kinds: tuple[str, ...] = KINDS
    quiet: Quiet | None = None
    digest: time | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """What settings.toml says; without the file everybody is told everything on stdout, at any hour."""

    times: Times = field(default_factory=Times)
    tell: tuple[Tell, ...] = (Tell(),)
    weather: WeatherCommand | None = None


def settings_path() -> Path:
    """Where this machine's settings are."""
    return settings.config_folder() / "settings.toml"


def read_settings(channels: Collection[str], path: Path | None = None) -> Settings:
    """Read the settings; the usual ones where there is no file. `channels`: names that channels.toml describes.

    Raises SeveralFaults naming every fault with its place, the value, and what is accepted.
    """
    where = path or settings_path()
    found = read_toml(where)
    if found is None:
        return Settings()
    reader = _Reader({STDOUT, *channels})
    made = reader.settings(found)
    if reader.faults:
        raise SeveralFaults(f"The settings {where} cannot be used:", reader.faults,
                            hint=Hint("A commented example: ", Action("watch", example="")))
    return made


def read_toml(where: Path) -> dict[str, Any] | None:
    """A TOML file as a table, None when it is not there. Raises BadInput without showing what is in the file."""
    import tomllib

    try:
        if not where.exists():
            return None
        return tomllib.loads(files.read_whole(where, LARGEST, "settings are shorter").decode("utf-8"))
    except UnicodeDecodeError:
        raise BadInput(f"{where} is not UTF-8 text.", hint="Save it as UTF-8 and try again.") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        place = re.search(r"\(at ([^()]*)\)$", str(error))
        raise BadInput(f"{where} is not TOML{f': look {place[1]}' if place else ''}.",
                       hint="Texts stand in quotes, tables in [brackets].") from None


class _Reader:
    """Reads every value and remembers every fault, so that they can be told together."""

    def __init__(self, channels: Collection[str]) -> None:
        self.channels = sorted(channels)
        self.faults: list[str] = []

    def settings(self, found: dict[str, Any]) -> Settings:
        self._known("", found, ("evening", "morning", "before_a_load", "quiet", "tell", "weather"))
        usual = Times()
        times = Times(self._time("evening", found.get("evening")) or usual.evening,
                      self._time("morning", found.get("morning")) or usual.morning,
                      self._leads(found.get("before_a_load")) or usual.leads)
        quiet = self._quiet("quiet", found.get("quiet"), None)
        rows = found.get("tell", [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.faults.append("tell: write a table [[tell]] for each person")
            rows = []
        tell = tuple(self._tell(f"tell {number}", row, quiet) for number, row in enumerate(rows, start=1))
        weather = read_table(found["weather"], self.faults) if "weather" in found else None
        return Settings(times, tell or (Tell(quiet=quiet),), weather)

    def _tell(self, place: str, row: dict[str, Any], quiet: Quiet | None) -> Tell:
        self._known(f"{place}: ", row, ("person", "channels", "kinds", "except", "quiet", "digest"))
        person = row.get("person", EVERYBODY)
        try:
            person = text.clean_name(person if isinstance(person, str) else "", "person")
        except BadInput as fault:
            self.faults.append(f"{place}: person: {fault}")
            person = EVERYBODY
        channels = self._words(f"{place}: channels", row.get("channels", [STDOUT]), "channel", self.channels)
        kinds = self._words(f"{place}: kinds", row["kinds"], "kind of reminder", KINDS) if "kinds" in row else KINDS
        left_out = self._words(f"{place}: except", row.get("except", []), "kind of reminder", KINDS)
        digest = self._time(f"{place}: digest", row.get("digest"))
        return Tell(person, channels, tuple(kind for kind in kinds if kind not in left_out),
                    self._quiet(f"{place}: quiet", row.get("quiet"), quiet), digest)

    def _known(self, place: str, table: dict[str, Any], names: tuple[str, ...]) -> None:
        for name in table:
            if name not in names:
                self.faults.append(f"{place}{text.one_line(name)[:40]}: not a setting; known are {text.listed(names)}")

    def _words(self, place: str, value: Any, what: str, known: Collection[str]) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(isinstance(word, str) for word in value):
            self.faults.append(f"{place}: write a list of names, like [\"{next(iter(known))}\"]")
            return ()
        found = []
        for word in value:
            name = FORMER_KINDS.get(str(word), str(word)) if known is KINDS else word
            try:
                found.append(text.pick(what, name, known))
            except UnknownName as fault:
                self.faults.append(f"{place}: {fault} {fault.hint or ''}".rstrip())
            except BadInput as fault:
                self.faults.append(f"{place}: {fault}")
        return tuple(dict.fromkeys(found))

    def _time(self, place: str, value: Any) -> time | None:
        if value is None:
            return None
        read = value if isinstance(value, time) else _wall(value)
        if read is None:
            self.faults.append(f"{place}: “{text.one_line(str(value))[:40]}” is not a time of day; "
                               "write it like \"7:30\"")
        return read

    def _quiet(self, place: str, value: Any, usual: Quiet | None) -> Quiet | None:
        if value is None:
            return usual
        if value == "off":
            return None
        parts = str(value).replace("–", "-").split("-")
        first, last = (_wall(parts[0]), _wall(parts[1])) if len(parts) == 2 else (None, None)
        if first is None or last is None or first == last:
            self.faults.append(f"{place}: “{text.one_line(str(value))[:40]}” is not a stretch of the day; "
                               "write it like \"22:00-7:00\", or \"off\"")
            return usual
        return Quiet(first, last)

    def _leads(self, value: Any) -> tuple[Lead, ...]:
        if value is None:
            return ()
        if not isinstance(value, list) or not value:
            self.faults.append("before_a_load: write a list of lead times, like [\"evening before\", \"1 hour\"]")
            return ()
        found = []
        for word in value:
            try:
                found.append(lead(str(word)))
            except BadInput as fault:
                self.faults.append(f"before_a_load: {fault}")
        return tuple(dict.fromkeys(found))


def _wall(value: Any) -> time | None:
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*", value) if isinstance(value, str) else None
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        return None
    return time(int(match[1]), int(match[2]))
