"""Rain as people log it: of one day, of a day ahead, or what a gauge gathered over days; what is refused of the last.

Nothing is written here, as in `app.entries`.
"""

from __future__ import annotations

from datetime import date, timedelta

from gwlog import clock, units
from gwlog.actions import Action, Argument, Hint
from gwlog.app import entries
from gwlog.decisions.entry_limits import MAX_RAIN_MM, MOST_GAUGE_DAYS, weather_day
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import WeatherDay
from gwlog.values import replace

LAST_READING = ("last", "the last", "last reading", "the last reading")


def rain(home: Household, amount: str, author: entries.Author, *, day: date | None = None,
         since: str | None = None) -> WeatherDay:
    """The whole rain of one local day: a past day's, today's (the default), or one typed ahead (see day_of).

    `since`: it is a gauge's total up to that day; see gauge_from.
    """
    depth = units.quantity(amount, "rain", home.system, what="rain", high=MAX_RAIN_MM, low_included=True)
    last = day or clock.local_day(home.now, home.zone)
    first = None if since is None else gauge_from(home, since, last)
    empty = weather_day(last, home.now, home.zone, note=author.note)
    return replace(empty, rain_um=round(depth * 1000), recorded_by=author.by, rain_from=first)


def gauge_from(home: Household, since: str, last: date, *, correcting: int = 0) -> date:
    """The first local day of a gauge's total that was read on the day `last`.

    `since`: that day as typed, or “last” for the day after the last reading or logged rain. `correcting`: the entry
    that is said anew. Raises BadInput for days still to come, an empty span, or one that was read before.
    """
    if last > clock.local_day(home.now, home.zone):
        raise BadInput(f"{_day(home, last)} is still to come; a gauge's total is for days that are over.",
                       hint="The rain of a coming day is a forecast: leave out since when it was gathered.")
    gauges = [one for one in home.state.gauges if one.entry_id != correcting]
    if " ".join(since.split()).casefold() in LAST_READING:
        first = _after_last_rain(home, last, correcting)
    else:
        first = entries.day_of(home, since)
    for gauge in gauges:
        if first <= gauge.last and gauge.first <= last:
            raise BadInput(f"The gauge's total of {_day(home, gauge.first)} to {_day(home, gauge.last)} is logged "
                           f"already, by entry {gauge.entry_id}; this one would begin on {_day(home, first)}.",
                           hint=Hint("If that one is wrong: ", Action("correct", number=gauge.entry_id),
                                     ". Else begin after it, with ", Argument("since", "DAY"), "."))
    if first > last:
        raise BadInput(f"The gauge's total would begin on {_day(home, first)}, after {_day(home, last)}, "
                       "on which it was read.")
    if (last - first).days >= MOST_GAUGE_DAYS:
        raise BadInput(f"From {_day(home, first)} to {_day(home, last)} are {(last - first).days + 1} days; "
                       f"a gauge's total may be of up to {MOST_GAUGE_DAYS}.")
    return first


def _after_last_rain(home: Household, last: date, correcting: int) -> date:
    """The day after the last one up to `last` whose rain is logged. Raises BadInput where there is none before it."""
    known = [(fact.day, fact.id) for fact in home.standing.facts if isinstance(fact, WeatherDay)
             and fact.rain_um is not None and fact.day <= last and fact.id != correcting]
    if not known:
        raise BadInput("No rain was logged before, so it is not known since when the gauge gathered it.",
                       hint=Hint("Name the first day: ", Argument("since", "DAY"), "."))
    day, number = max(known)
    if day >= last:
        raise BadInput(f"The rain up to {_day(home, day)} is logged already, by entry {number}: "
                       "nothing is left for this total.",
                       hint=Hint("If that entry is wrong: ", Action("correct", number=number),
                                 ". Or name the first day: ", Argument("since", "DAY"), "."))
    return day + timedelta(days=1)


def _day(home: Household, day: date) -> str:
    return clock.echo_date(day, home.system)
