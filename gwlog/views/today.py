"""Today's page: where the valve and the outlets stand, what to do now, and each basin in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.household import Household
from gwlog.text import plural, wrap

if TYPE_CHECKING:
    from gwlog.journal.delivery import Delivery

VALVE_SHAPE = {"garden": "▶", "sewer": "▼"}
STANDING_SHAPE = {"wants water": "○", "can take more": "◔", "has had enough": "●", "resting": "◌"}


def as_json(home: Household) -> dict[str, Any]:
    """Today with the keys that other programs rely on."""
    state = home.state
    return {
        "now": clock.iso(home.now),
        "valve": state.valve,
        "valve_since": clock.iso(state.valve_since) if state.valve_since else None,
        "outlets": [
            {"name": name, "basin": state.outlet_at[name].basin, "since": clock.iso(state.outlet_at[name].since)}
            for name in state.active_outlets()
        ],
        "reminders": [
            {"key": r.key, "kind": r.kind, "subject": r.subject, "due": clock.iso(r.due), "state": r.state,
             "text": r.text, "action": r.action}
            for r in home.reminders
        ],
        "undelivered": [
            {"reminder": one.reminder, "person": one.person, "channel": one.channel, "tries": one.tries,
             "next_try": clock.iso(one.next_try) if one.next_try else None, "trouble": one.trouble}
            for one in home.undelivered
        ],
        "problems": [{"entry": p.entry_id, "text": p.text, "way_out": p.way_out} for p in home.problems],
    }


def since(home: Household, moment: Any) -> str:
    """How long something has stood, in days, as a person would say it."""
    days = (clock.local_day(home.now, home.zone) - clock.local_day(moment, home.zone)).days
    if days <= 0:
        return "since today"
    return "since yesterday" if days == 1 else f"for {days} days"


def valve_line(home: Household) -> str:
    """The valve in one line."""
    state = home.state
    if state.valve is None or state.valve_since is None:
        return "Valve: nobody has said where it stands."
    return f"Valve {VALVE_SHAPE[state.valve]} {state.valve.upper()} {since(home, state.valve_since)}"


def outlet_lines(home: Household) -> list[str]:
    """Each outlet in use, and where it lies."""
    state = home.state
    return [f"{name} at {state.outlet_at[name].basin} {since(home, state.outlet_at[name].since)}"
            for name in state.active_outlets()]


def basin_line(home: Household, name: str) -> str:
    """One basin: standing, room and rest."""
    basin = home.garden.basins[name]
    told = f"{STANDING_SHAPE[basin.standing]} {basin.standing}"
    if basin.standing == "resting":
        told += f" {rest_end(home, name)}"
    else:
        told += f", room {home.reader.volume(max(0.0, basin.room_l))}"
    return told


def rest_end(home: Household, name: str) -> str:
    """Until when a basin rests; the year is told where it is not this one."""
    basin = home.garden.basins[name]
    if basin.ponding_open:
        return "until the ponding is over and resolved"
    if basin.rest_until is None:
        return "with no end in sight in usual weather"
    year = f" {basin.rest_until.year}" if basin.rest_until.year != home.garden.today.year else ""
    return f"until {clock.echo_day(basin.rest_until)}{year}"


def lines(home: Household, width: int = 80) -> list[str]:
    """Today's page as text, folded to `width` columns."""
    told = [f"{home.state.site.name if home.state.site else ''}   {clock.echo(home.now, home.zone)}", "",
            valve_line(home), *outlet_lines(home), ""]
    due = list(home.reminders)
    told.append("To do" if due else "Nothing to do.")
    for reminder in due:
        told += wrap(f"{mark(reminder.state)} {reminder.text}", width, indent="  ", hang="      ")
        if reminder.action:
            told.append(f"      → {reminder.action}")
    told += [line for one in home.undelivered
             for line in wrap(undelivered_line(home, one), width, indent="  ", hang="      ")]
    told.append("")
    longest = max((len(name) for name in home.garden.basins), default=0)
    told += [f"{name:<{longest}}  {basin_line(home, name)}" for name in home.garden.basins]
    if home.problems:
        told += ["", f"{plural(len(home.problems), 'odd entry', 'odd entries')} in the log: gwlog log --odd"]
    return told


def undelivered_line(home: Household, one: Delivery) -> str:
    """What could not be told, to whom, and what becomes of it."""
    kind = one.reminder.partition("|")[0]
    if one.state != "failed":
        return f"“{kind}” may not have reached {one.person} by {one.channel}: gwlog was stopped while telling it."
    again = f"; tried again {clock.echo(one.next_try, home.zone)}" if one.next_try else ""
    why = (one.trouble or "no reason given").rstrip(".")
    return f"“{kind}” has not reached {one.person} by {one.channel}: {why}{again}."


def mark(state: str) -> str:
    """A reminder's state as a sign and a word, never by colour alone."""
    return {"overdue": "‼ overdue:", "due": "! now:", "soon": "· soon:"}[state]
