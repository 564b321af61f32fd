"""What an entry may say at all: the greatest quantities, the moments that can be logged, the moment of a weather day.

One set of limits for entries that are typed and for rows that are imported.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from gwlog import clock, text
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput
from gwlog.journal.clock_marks import AHEAD
from gwlog.journal.facts import WeatherDay

MAX_LOAD_L = 2000.0
MAX_MULCH_MM = 1000.0
MAX_RAIN_MM = 1900.0   # more than the largest 24-hour rain on record, 1,825 mm (World Meteorological Organization)
MAX_OTHER_WATER_L = 20_000.0   # in one go to one basin: working assumption, more than a garden hose brings in a night
MAX_WATERING_MIN = 1440.0      # a day
MAX_FLOW_L_PER_MIN = 200.0     # working assumption: several times a garden hose
FORECAST_DAYS = 16
MOST_GAUGE_DAYS = 366    # a gauge's total of more than a year says nothing of its days
MOST_SKIPS = 1538        # days left out of one planned load: as many as the table's column holds


def check_time(when: datetime, now: datetime, zone: str, first: datetime | None) -> None:
    """Refuse a moment later than `now`, or before the household was described `first`; None: nobody has yet.

    Raises BadInput with the moments in the household's `zone`.
    """
    if when > now + AHEAD:
        raise BadInput(f"{clock.echo(when, zone)} is in the future; what has not happened cannot be logged.",
                       hint=Hint("For a load to come use: ", Action("plan-load", load="LOAD", on="WHEN")))
    if first is not None and when < first:
        raise BadInput(f"{clock.echo(when, zone)} is before this logbook begins, {clock.echo(first, zone)}.")


def weather_day(day: date, now: datetime, zone: str, *, note: str | None = None, origin: str = "typed") -> WeatherDay:
    """A weather day without figures; its moment is the end of the local day, or `now` while that is earlier.

    So of two entries about one day the one written later counts.
    """
    ends = clock.day_start(day + timedelta(days=1), zone) - timedelta(seconds=1)
    return WeatherDay(happened_at=min(now, ends), zone=zone, note=text.clean_note(note), day=day, origin=origin)
