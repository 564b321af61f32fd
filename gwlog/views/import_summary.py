"""What a file brings into the logbook, in lines: weather days, past loads, a restored or begun logbook.

Said before (`dry`) and after in the same words.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.household import Household
from gwlog.text import listed, plural

if TYPE_CHECKING:
    from gwlog.importers.loads import LoadsImport
    from gwlog.importers.weather import WeatherImport
    from gwlog.journal.backup import Restored


def weather_lines(found: WeatherImport, *, dry: bool) -> list[str]:
    """Days of weather: how many and which, what was left alone, what is missing, what could not be used."""
    said = [f"{plural(len(found.days), 'day')} {'would be ' if dry else ''}logged"
            + (f", {_span(found.days[0].day, found.days[-1].day)}." if found.days else ".")]
    if found.differ:
        said.append(f"{plural(len(found.differ), 'day')} with other figures than the logbook holds "
                    f"({_few(found.differ)}): the file's {'would ' if dry else ''}count from now on.")
    if found.known:
        said.append(f"{plural(found.known, 'day')} known already.")
    if found.before:
        said.append(f"{plural(found.before, 'day')} before the logbook begins, left out.")
    if found.gaps:
        said.append(f"{plural(len(found.gaps), 'day')} missing in between: "
                    f"{_few(found.gaps)}. The climate's normals stand in for them.")
    return [*said, *found.remarks, *(f"left out: {fault}" for fault in found.faults)]


def loads_lines(home: Household, found: LoadsImport, *, dry: bool) -> list[str]:
    """Past loads: how many and of which days, what they imply, what was left alone or could not be used."""
    implied = len(found.facts) - found.loads
    said = [f"{plural(found.loads, 'load')} {'would be ' if dry else ''}logged"
            + (f", {clock.local_day(found.facts[0].happened_at, home.zone)} to "
               f"{clock.local_day(found.facts[-1].happened_at, home.zone)}" if found.facts else "")
            + (f"; with them {plural(implied, 'turn')} of the valve and moves of outlets that they imply." if implied
               else ".")]
    if found.known:
        said.append(f"{plural(found.known, 'load')} known already.")
    return [*said, *(f"left out: {fault}" for fault in found.faults)]


def restored_lines(done: Restored, *, dry: bool) -> list[str]:
    """A backup put back: its entries, where the logbook before is kept, what only that one has."""
    said = [f"{plural(done.entries, 'entry', 'entries')} {'would be ' if dry else ''}restored, each link verified."]
    if done.kept is not None:
        said.append(f"What was there before is kept: {done.kept}")
    if done.only_in_kept:
        only = plural(done.only_in_kept, "entry", "entries")
        said.append(f"Only in the logbook as it is now: {only}; it is kept beside." if dry else f"Only there: {only}.")
    return said


def _few(days: list[date]) -> str:
    return listed([clock.echo_day(day) + f" {day.year}" for day in days[:3]]) + (" and more" if len(days) > 3 else "")


def _span(first: date, last: date) -> str:
    return str(first) if first == last else f"{first} to {last}"
