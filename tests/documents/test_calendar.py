"""The calendar file: valid by RFC 5545 and 7986, the same bytes while nothing changes, else updated and cancelled."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from gwlog.household import look
from gwlog.journal import store
from tests.conftest import NOW, Runner

DAY = timedelta(days=1)
Clock = Callable[[datetime], None]


@pytest.fixture
def planned(home: Runner) -> Runner:
    """The small household with towels on Mondays and diapers on Thursdays."""
    assert home("plan-load", "towels", "--on", "mon 9:00", "--every", "weekly").code == 0
    assert home("plan-load", "diapers", "--on", "thu 18:00", "--every", "FREQ=WEEKLY;BYDAY=TH").code == 0
    return home


def exported(run: Runner, file: Path) -> dict[str, Any]:
    """The events of an export by their key."""
    answer = run("calendar", str(file))
    assert answer.code == 0, answer.err
    return {str(event["X-GWLOG-KEY"]): event for event in read(file).walk("VEVENT")}


def read(file: Path) -> Any:
    return Calendar.from_ical(file.read_bytes())


def test_every_required_property_is_there(planned: Runner, tmp_path: Path) -> None:
    """RFC 5545 3.6 (PRODID, VERSION), 3.6.1 (UID, DTSTAMP, DTSTART), 3.6.6 (alarms); RFC 7986 5 (the calendar)."""
    file = tmp_path / "c.ics"
    events = exported(planned, file)
    calendar = read(file)
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"] and calendar["CALSCALE"] == "GREGORIAN"
    assert calendar["UID"] and calendar["NAME"] == "Tern Cottage: graywater" and calendar["DESCRIPTION"]
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT12H" in file.read_bytes()
    assert calendar["LAST-MODIFIED"].dt == max(event["LAST-MODIFIED"].dt for event in events.values())
    uids = [str(event["UID"]) for event in events.values()]
    assert len(uids) == len(set(uids)) > 20
    for event in events.values():
        assert event["DTSTAMP"].dt.utcoffset() == timedelta(0)
        assert {"UID", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE", "STATUS", "TRANSP"} <= set(event)
        assert event["TRANSP"] == "TRANSPARENT" and event["DTEND"].dt > event["DTSTART"].dt
        for alarm in event.walk("VALARM"):
            assert alarm["ACTION"] == "DISPLAY" and alarm["DESCRIPTION"]
            assert alarm["TRIGGER"].dt == timedelta(minutes=-45)


def test_lines_are_folded_and_end_as_the_standard_says(planned: Runner, tmp_path: Path) -> None:
    """RFC 5545 3.1: CRLF, no line over 75 octets."""
    exported(planned, tmp_path / "c.ics")
    content = (tmp_path / "c.ics").read_bytes()
    assert content.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 and b"\n" not in line for line in content.split(b"\r\n"))


def test_times_are_whole_days_or_utc_instants_that_agree_with_the_plan(planned: Runner, tmp_path: Path) -> None:
    events = exported(planned, tmp_path / "c.ics")
    loads = {key: event for key, event in events.items() if key.startswith("load|")}
    here = ZoneInfo("America/Los_Angeles")
    walls = sorted((str(event["SUMMARY"]).removeprefix("Wash ").partition(" (")[0],
                    event["DTSTART"].dt.astimezone(here))
                   for event in loads.values())
    first, last = date(2026, 7, 14), date(2026, 9, 11)
    wanted = [("diapers", day) for day in days(first, last) if day.weekday() == 3]
    wanted += [("towels", day) for day in days(first, last) if day.weekday() == 0]
    assert [(name, wall.date()) for name, wall in walls] == wanted
    assert {(name, wall.hour) for name, wall in walls} == {("diapers", 18), ("towels", 9)}
    assert not re.search(rb"TZID|DTSTART:\d{8}T\d{6}\r", (tmp_path / "c.ics").read_bytes())
    for key, event in events.items():
        whole = not isinstance(event["DTSTART"].dt, datetime)
        assert whole or event["DTSTART"].dt.tzinfo is UTC or event["DTSTART"].dt.utcoffset() == timedelta(0), key
        assert whole == (not key.startswith(("load|", "valve", "next load will not fit"))), key


def days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def test_loads_carry_their_verdict_and_those_for_the_sewer_a_reminder(planned: Runner, tmp_path: Path) -> None:
    events = exported(planned, tmp_path / "c.ics")
    diapers = events["load|diapers|2026-07-16T18:00"]
    assert diapers["SUMMARY"] == "Wash diapers (sewer)" and "contains diapers" in diapers["DESCRIPTION"]
    assert str(events["load|towels|2026-07-20T09:00"]["SUMMARY"]).startswith("Wash towels (garden")
    turn = events["valve to sewer|diapers|2026-07-23"]
    assert turn["DTEND"].dt == datetime(2026, 7, 24, 1, 0, tzinfo=UTC)
    assert "Turn the valve to sewer before “diapers”, Thu, Jul 23, 2026, 6:00 pm: This load contains" in \
        turn["DESCRIPTION"]


def test_turns_and_upkeep_are_there(planned: Runner, tmp_path: Path) -> None:
    events = exported(planned, tmp_path / "c.ics")
    home = look(tmp_path / "logbook.db", NOW)
    turns = [event for key, event in events.items() if key.startswith("turn|")]
    fortnight = [(f"{turn.outlet} at {turn.basin}", turn.first) for turn in home.plan.turns]
    told = [(str(event["SUMMARY"]), event["DTSTART"].dt) for event in turns]
    assert [name for name, _ in told[:len(fortnight)]] == [name for name, _ in fortnight]
    assert told[1:len(fortnight)] == fortnight[1:]
    assert max(event["DTEND"].dt for event in turns) == date(2026, 9, 12)
    due = {item.due for item in home.upkeep if item.due <= date(2026, 9, 12)}
    care = ("upkeep|", "yearly record|")
    assert due == {event["DTSTART"].dt for key, event in events.items() if key.startswith(care)}


def test_an_unchanged_export_has_the_same_bytes_later_and_elsewhere(
        planned: Runner, frozen: Clock, tmp_path: Path) -> None:
    exported(planned, tmp_path / "c.ics")
    before = (tmp_path / "c.ics").read_bytes()
    frozen(NOW + timedelta(minutes=90))
    exported(planned, tmp_path / "c.ics")
    exported(planned, tmp_path / "other.ics")
    assert (tmp_path / "c.ics").read_bytes() == before == (tmp_path / "other.ics").read_bytes()


def test_events_are_known_again_and_changes_raise_their_sequence(
        planned: Runner, frozen: Clock, tmp_path: Path) -> None:
    file = tmp_path / "c.ics"
    before = exported(planned, file)
    frozen(NOW + timedelta(hours=2))
    assert planned("observe", "ponding", "Pomegranate").code == 0
    after = exported(planned, file)
    key = "load|towels|2026-07-20T09:00"
    assert after[key]["UID"] == before[key]["UID"] == str(uuid.uuid5(store.logbook_id(tmp_path / "logbook.db"), key))
    assert (before[key]["SEQUENCE"], after[key]["SEQUENCE"]) == (0, 1)
    assert "Pomegranate" in before[key]["DESCRIPTION"] and "Pomegranate" not in after[key]["SUMMARY"]
    assert "Fig" in after[key]["DESCRIPTION"] and "Pomegranate" not in after[key]["DESCRIPTION"]
    assert after[key]["DTSTAMP"].dt > before[key]["DTSTAMP"].dt
    same = "load|diapers|2026-07-23T18:00"
    assert after[same].to_ical() == before[same].to_ical()


def test_the_reminder_to_come_and_the_reminder_itself_are_one_event(planned: Runner, frozen: Clock,
                                                                    tmp_path: Path) -> None:
    key = "valve to sewer|diapers|2026-07-16"
    before = exported(planned, tmp_path / "c.ics")[key]
    frozen(datetime(2026, 7, 16, 20, 0, tzinfo=UTC))
    home = look(tmp_path / "logbook.db", datetime(2026, 7, 16, 20, 0, tzinfo=UTC))
    assert key in {one.key for one in home.reminders}
    after = exported(planned, tmp_path / "c.ics")[key]
    assert after.to_ical() == before.to_ical()


def test_what_was_settled_is_cancelled_and_what_happened_stays(planned: Runner, frozen: Clock, tmp_path: Path) -> None:
    file = tmp_path / "c.ics"
    planned("observe", "odour", "Fig")
    before = exported(planned, file)
    follow = next(key for key in before if key.startswith("follow up|"))
    number = follow.split("|")[1]
    frozen(NOW + timedelta(hours=1))
    assert planned("resolve", number).code == 0
    assert planned("plan-load", "diapers", "--drop").code == 0
    after = exported(planned, file)
    assert set(after) >= set(before)
    assert after[follow]["STATUS"] == "CANCELLED" and after[follow]["SEQUENCE"] == before[follow]["SEQUENCE"] + 1
    assert after[follow]["UID"] == before[follow]["UID"]
    gone = [key for key in before if "diapers" in key]
    assert len(gone) > 10 and all(after[key]["STATUS"] == "CANCELLED" for key in gone)
    assert all(not after[key].walk("VALARM") for key in gone)
    content = file.read_bytes()
    exported(planned, file)
    assert file.read_bytes() == content
    # The load of Monday ran: it is told no more and is not taken back. Long after, it leaves the file.
    monday = "load|towels|2026-07-20T09:00"
    frozen(datetime(2026, 7, 20, 16, 5, tzinfo=UTC))
    assert planned("load", "towels").code == 0
    frozen(datetime(2026, 7, 21, 16, 5, tzinfo=UTC))
    assert exported(planned, file)[monday]["STATUS"] == "CONFIRMED"
    frozen(datetime(2026, 10, 1, 16, 5, tzinfo=UTC))
    late = exported(planned, file)
    assert monday not in late and follow not in late


def test_an_event_comes_back_when_it_is_so_again(planned: Runner, frozen: Clock, tmp_path: Path) -> None:
    file, key = tmp_path / "c.ics", "valve to sewer|diapers|2026-07-16"
    frozen(datetime(2026, 7, 16, 2, 0, tzinfo=UTC))
    exported(planned, file)
    planned("valve", "sewer")
    assert exported(planned, file)[key]["STATUS"] == "CANCELLED"
    frozen(datetime(2026, 7, 16, 3, 0, tzinfo=UTC))
    planned("valve", "garden")
    again = exported(planned, file)[key]
    assert (again["STATUS"], again["SEQUENCE"]) == ("CONFIRMED", 2)


@pytest.mark.parametrize(("month", "hours"), [(datetime(2026, 10, 20, 18, tzinfo=UTC), (1, 2)),
                                              (datetime(2027, 3, 2, 18, tzinfo=UTC), (2, 1))])
def test_loads_keep_their_wall_time_over_a_change_of_the_clocks(planned: Runner, frozen: Clock, tmp_path: Path,
                                                                 month: datetime, hours: tuple[int, int]) -> None:
    frozen(month)
    events = exported(planned, tmp_path / "c.ics")
    loads = [event["DTSTART"].dt for key, event in events.items() if key.startswith("load|diap")]
    assert {wall.astimezone(ZoneInfo("America/Los_Angeles")).hour for wall in loads} == {18}
    assert (loads[0].hour, loads[-1].hour) == hours


def test_names_with_signs_survive(planned: Runner, tmp_path: Path) -> None:
    planned("observe", "other", "Fig", "--note", "a [/] b; c, d\\n\nEND:VCALENDAR")
    (tmp_path / "more.toml").write_text((tmp_path / "site.toml").read_text().replace("since = 2026-05-01\n", "") + """
[[upkeep]]
name = "wipe; the, \\\\ «pipe» 🧺 and say END:VEVENT loudly"
every = "3 weeks"
""")
    assert planned("setup", "apply", str(tmp_path / "more.toml")).code == 0
    events = exported(planned, tmp_path / "c.ics")
    key = next(key for key in events if "wipe" in key)
    assert "wipe; the, \\ «pipe» 🧺 and say END:VEVENT loudly".casefold() in events[key]["SUMMARY"].casefold()


def test_another_programs_file_is_left_as_it_is(planned: Runner, tmp_path: Path) -> None:
    file = tmp_path / "c.ics"
    for content in (b"", b"BEGIN:VCALENDAR\r\nPRODID:-//other//EN\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
                    b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", b"\x00\xff\x01", b"my shopping list\n"):
        file.write_bytes(content)
        answer = planned("calendar", str(file))
        assert answer.code == 2 and "left as it is" in answer.err and "Traceback" not in answer.err
        assert file.read_bytes() == content


def test_another_logbooks_calendar_is_left_as_it_is(planned: Runner, tmp_path: Path) -> None:
    exported(planned, tmp_path / "c.ics")
    other = tmp_path / "other.db"
    assert planned("--logbook", str(other), "begin", str(tmp_path / "site.toml")).code == 0
    answer = planned("--logbook", str(other), "calendar", str(tmp_path / "c.ics"))
    assert answer.code == 2 and "another logbook" in answer.err


def test_a_place_that_cannot_be_written_is_told(planned: Runner, tmp_path: Path) -> None:
    answer = planned("calendar", str(tmp_path / "nowhere" / "c.ics"))
    assert answer.code == 2 and "does not exist; nothing was written" in answer.err
    assert planned("calendar", str(tmp_path)).code == 2


def test_a_household_without_a_basin_has_a_calendar(frozen: Clock, gwlog: Runner, tmp_path: Path) -> None:
    (tmp_path / "bare.toml").write_text("""
[site]
name = "Bare"
timezone = "Europe/Lisbon"
latitude = 38.7
units = "metric"
occupants = 1
code = "generic"
since = 2026-05-01
climate = { eto_zone = 3 }
""")
    assert gwlog("begin", str(tmp_path / "bare.toml")).code == 0
    assert not [key for key in exported(gwlog, tmp_path / "c.ics") if key.startswith("turn|")]
