"""The calendar file (RFC 5545, RFC 7986): each export reads the last one to keep UIDs and sequence numbers.

The same event keeps its UID; a change raises its SEQUENCE; an event that was settled since is cancelled.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from gwlog import __version__, clock, text
from gwlog.actions import Argument, Hint
from gwlog.documents.calendar_events import AT_THE_VALVE, DAYS, CalendarEvent, events
from gwlog.errors import BadInput
from gwlog.files import read_whole
from gwlog.household import Household
from gwlog.journal import reader, store

PRODID = "-//gwlog//calendar 1//EN"
KEY = "X-GWLOG-KEY"
KEPT = timedelta(days=60)
"""How long past and cancelled events stay in the file."""

LARGEST = 2_000_000
REFRESH = timedelta(hours=12)
ALARM = timedelta(minutes=-45)
_SAME = ("DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "STATUS", "CATEGORIES")


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export did: how many events stand, and how many were new, changed and cancelled."""

    standing: int
    new: int
    changed: int
    cancelled: int


def updated(home: Household, path: Path, *, replace: bool = False) -> tuple[bytes, Exported]:
    """The calendar that is to stand at `path`, after the one that is there: its events keep their UID and memory.

    Raises BadInput when another program's or another logbook's file is there, unless it is to be replaced.
    """
    logbook = store.logbook_id(home.path)
    try:
        before = _events_before(path, logbook)
    except BadInput:
        if not replace:
            raise
        before = {}
    stamp = _stamp(home)
    made = [_vevent(one, uuid.uuid5(logbook, one.key), stamp) for one in events(home)]
    new = changed = cancelled = 0
    kept: dict[str, Any] = {}
    for event in made:
        known = before.pop(str(event["UID"]), None)
        if known is None:
            new += 1
        elif _same(known, event):
            event = known
        else:
            changed += 1
            _raise_sequence(event, known)
        kept[str(event["UID"])] = event
    for uid, event in before.items():
        fate = _fate(home, event)
        if fate == "cancel":
            cancelled += 1
            again = event.copy(recursive=True)
            del again["STATUS"]
            again.add("STATUS", "CANCELLED")
            again.subcomponents = []
            _restamp(again, stamp)
            _raise_sequence(again, event)
            event = again
        if fate != "drop":
            kept[uid] = event
    return _calendar(home, logbook, kept.values()).to_ical(), Exported(len(made), new, changed, cancelled)


def _stamp(home: Household) -> datetime:
    """The timestamp of an export's changes: the later of the last entry and the day's beginning."""
    recorded = reader.last_seal(home.path)[2]
    today = clock.day_start(clock.local_day(home.now, home.zone), home.zone)
    return (today if recorded is None else max(recorded, today)).astimezone(UTC).replace(microsecond=0)


def _vevent(one: CalendarEvent, uid: uuid.UUID, stamp: datetime) -> Any:
    from icalendar import Alarm, Event

    event = Event()
    event.add("UID", str(uid))
    event.add("DTSTAMP", stamp)
    event.add("LAST-MODIFIED", stamp)
    event.add("SEQUENCE", 0)
    event.add("DTSTART", one.start)
    event.add("DTEND", one.end)
    event.add("SUMMARY", text.one_line(one.summary))
    event.add("DESCRIPTION", text.clean(one.description))
    event.add("CATEGORIES", [one.category])
    event.add("STATUS", "CONFIRMED")
    event.add("TRANSP", "TRANSPARENT")
    event.add(KEY, one.key)
    if one.key.partition("|")[0] in AT_THE_VALVE:
        alarm = Alarm()
        alarm.add("ACTION", "DISPLAY")
        alarm.add("DESCRIPTION", text.one_line(one.summary))
        alarm.add("TRIGGER", ALARM)
        event.add_component(alarm)
    return event


def _same(known: Any, event: Any) -> bool:
    return all(_plain(known, name) == _plain(event, name) for name in _SAME)


def _plain(event: Any, name: str) -> str:
    value = event.get(name)
    return "" if value is None else value.to_ical().decode("utf-8") if hasattr(value, "to_ical") else str(value)


def _restamp(event: Any, stamp: datetime) -> None:
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        del event[name]
        event.add(name, stamp)


def _raise_sequence(event: Any, known: Any) -> None:
    sequence = int(known.get("SEQUENCE", 0)) + 1
    if "SEQUENCE" in event:
        del event["SEQUENCE"]
    event.add("SEQUENCE", sequence)


def _fate(home: Household, event: Any) -> str:
    """What becomes of an event that is no longer exported: kept as past, cancelled, or dropped as old."""
    today = clock.local_day(home.now, home.zone)
    start, end = event["DTSTART"].dt, event["DTEND"].dt
    last = clock.local_day(end, home.zone) if isinstance(end, datetime) else end - timedelta(days=1)
    if last < today - KEPT:
        return "drop"
    begun = start <= home.now if isinstance(start, datetime) else last < today
    happened = begun and str(event[KEY]).partition("|")[0] in ("load", "turn")
    return "stay" if happened or str(event.get("STATUS")) == "CANCELLED" else "cancel"


def _calendar(home: Household, logbook: uuid.UUID, kept: Iterable[Any]) -> Any:
    from icalendar import Calendar

    name = home.state.site.name if home.state.site is not None else "gwlog"
    chosen = sorted(kept, key=lambda event: (_first_day(home, event), str(event["UID"])))
    made = Calendar()
    made.add("PRODID", PRODID)
    made.add("VERSION", "2.0")
    made.add("CALSCALE", "GREGORIAN")
    made.add("METHOD", "PUBLISH")
    made.add("UID", str(uuid.uuid5(logbook, "calendar")))
    made.add("NAME", f"{text.one_line(name)}: graywater")
    made.add("DESCRIPTION", f"Turns, loads, reminders and upkeep for {DAYS} days, written by gwlog {__version__}.")
    if chosen:
        made.add("LAST-MODIFIED", max(event["LAST-MODIFIED"].dt for event in chosen))
    made.add("REFRESH-INTERVAL", REFRESH, parameters={"VALUE": "DURATION"})
    for event in chosen:
        made.add_component(event)
    return made


def _first_day(home: Household, event: Any) -> date:
    start = event["DTSTART"].dt
    return clock.local_day(start, home.zone) if isinstance(start, datetime) else start


def _events_before(path: Path, logbook: uuid.UUID) -> dict[str, Any]:
    """The events of the last export by their UID; none where there is no file."""
    from icalendar import Calendar

    if not path.exists():
        return {}
    content = read_whole(path, LARGEST, "no calendar of gwlog's own is")
    try:
        last: Any = Calendar.from_ical(content)
        ours = str(last.get("PRODID")) == PRODID
        found = {str(event["UID"]): event for event in last.walk("VEVENT")} if ours else {}
        complete = all(_whole(event) for event in found.values())
    except (ValueError, KeyError, IndexError, AttributeError, TypeError):
        ours, complete, found = False, False, {}
    if not ours or not complete:
        raise BadInput(f"{path} is there already and is not a calendar that gwlog wrote; it is left as it is.",
                       hint=Hint("Choose another name, or say ", Argument("replace"), "."))
    for uid, event in found.items():
        if uid != str(uuid.uuid5(logbook, str(event[KEY]))):
            raise BadInput(f"{path} is the calendar of another logbook; it is left as it is.",
                           hint="Choose another name for this logbook's calendar.")
    return found


def _whole(event: Any) -> bool:
    """Whether an event has what an export looks at, each of the kind it must be."""
    start, end, changed = (event[name].dt for name in ("DTSTART", "DTEND", "LAST-MODIFIED"))
    moments = [one for one in (start, end, changed) if isinstance(one, datetime)]
    return KEY in event and int(event.get("SEQUENCE", 0)) >= 0 and isinstance(changed, datetime) and \
        type(start) is type(end) and all(one.tzinfo is not None for one in moments)
