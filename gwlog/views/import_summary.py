"""What a file brings into the logbook, in lines: weather days, past loads, a restored or begun logbook.

The same words before (`dry`) and after the import.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from gwlog import clock
from gwlog.household import Household
from gwlog.text import listed, plural
from gwlog.units import show
from gwlog.views import outcomes

if TYPE_CHECKING:
    from gwlog.importers.loads import LoadsImport
    from gwlog.importers.weather import WeatherImport
    from gwlog.journal.backup import Restored


def weather_lines(home: Household, found: WeatherImport, *, dry: bool) -> list[str]:
    """Days of weather: how many and which, what was left alone, what is missing, what could not be used.

    Before they are taken (`dry`) also the first five days of the file and the sums of its months.
    """
    made = [f"{plural(len(found.days), 'day')} {'would be ' if dry else ''}logged"
            + (f", {_span(home, found.days[0].day, found.days[-1].day)}." if found.days else ".")]
    if found.forecasts:
        made.append(f"{plural(found.forecasts, 'day')} of them {'is' if found.forecasts == 1 else 'are'} forecast: a "
                    "forecast counts until its day is over, and never as measured.")
    if found.elapsed:
        made.append(f"{plural(found.elapsed, 'forecast')} of days that are over, left out.")
    if found.differ:
        made.append(f"{plural(len(found.differ), 'day')} with other figures than the logbook holds "
                    f"({_few(home, found.differ)}): the file's {'would ' if dry else ''}count from now on.")
    if found.known:
        made.append(f"{plural(found.known, 'day')} in the logbook already.")
    if found.before:
        made.append(f"{plural(found.before, 'day')} before the logbook begins, left out.")
    if found.gaps:
        made.append(f"{plural(len(found.gaps), 'day')} missing in between: "
                    f"{_few(home, found.gaps)}. The climate's normals stand in for them.")
    made += [*found.remarks, *(f"left out: {fault}" for fault in found.faults)]
    return [*made, *preview(home, found)] if dry else made


def preview(home: Household, found: WeatherImport) -> list[str]:
    """The first five days of a weather file and the sums of its months, in the household's units."""
    def told(rain_mm: float | None, low_c: float | None, high_c: float | None, much: str = "", mean: str = "") -> str:
        parts = [] if rain_mm is None else [f"rain {home.reader.rain(rain_mm)}{much}"]
        degrees = ["?" if celsius is None else show(celsius, "temperature", home.system) for celsius in (low_c, high_c)]
        return ", ".join([*parts, *([f"{degrees[0]} to {degrees[1]}{mean}"] if degrees != ["?", "?"] else [])])

    made = [f"{clock.short_date(day, home.system):<12}  {told(one.rain_mm, one.tmin_c, one.tmax_c)}"
            for day, one in found.rows[:5]]
    if len(found.rows) > 5:
        made.append(f"and {plural(len(found.rows) - 5, 'day')} more, by month:")
        made += [f"{date(one.year, one.month, 1):%b %Y}  {plural(one.days, 'day')}: "
                 f"{told(one.rain_mm, one.low_c, one.high_c, ' together', ' on the mean')}"
                 for one in found.months[-24:]]
    return made


def loads_lines(home: Household, found: LoadsImport, *, dry: bool) -> list[str]:
    """Past loads: how many and of which days, what they imply, what was left alone or could not be used."""
    implied = len(found.facts) - found.loads
    days = [clock.local_day(fact.happened_at, home.zone) for fact in (*found.facts[:1], *found.facts[-1:])]
    made = [f"{plural(found.loads, 'load')} {'would be ' if dry else ''}logged"
            + (f", {_span(home, days[0], days[-1])}" if found.facts else "")
            + (f"; with them {plural(implied, 'turn')} of the valve and moves of outlets that they imply." if implied
               else ".")]
    if found.known:
        made.append(f"{plural(found.known, 'load')} in the logbook already.")
    return [*made, *(f"left out: {fault}" for fault in found.faults)]


def restored_lines(done: Restored, *, dry: bool) -> list[str]:
    """A backup put back: its entries, where the logbook before is kept, what only that one has."""
    made = [f"{plural(done.entries, 'entry', 'entries')} {'would be ' if dry else ''}restored, each entry verified."]
    if done.kept is not None:
        made.append(f"What was there before is kept: {done.kept}")
    if done.only_in_kept:
        only = plural(done.only_in_kept, "entry", "entries")
        made.append(f"Only in the logbook as it is now: {only}; it is kept beside." if dry else f"Only there: {only}.")
    return made


def started_lines(kind: str, entries: int, restored: Restored | None, setup: Sequence[str], warnings: Sequence[str], *,
                  dry: bool) -> list[str]:
    """A logbook begun from a file of one kind: what came in, or would."""
    if restored is not None:
        return restored_lines(restored, dry=dry)
    if kind == "site file":
        return [*setup, *(f"check: {warning}" for warning in warnings),
                f"{plural(entries, 'description')} {'would be ' if dry else ''}applied."]
    made = [outcomes.came_in(entries, dry=dry)]
    if kind == "handover":
        made.append("Then describe your own household under Setup: people, products, usual loads.")
    return made


def _few(home: Household, days: list[date]) -> str:
    return listed([clock.echo_date(day, home.system) for day in days[:3]]) + (" and more" if len(days) > 3 else "")


def _span(home: Household, first: date, last: date) -> str:
    begin = clock.short_date(first, home.system)
    return begin if first == last else f"{begin} to {clock.short_date(last, home.system)}"
