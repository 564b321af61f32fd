"""Today's page: the next load and its answer, where valve and outlets stand, what is due, each basin in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gwlog import clock
from gwlog.actions import Action
from gwlog.household import Household
from gwlog.text import plural, wrap
from gwlog.views import next_load
from gwlog.views.basins import basin_views
from gwlog.views.code_profile import offered
from gwlog.views.valve_and_outlets import outlet_lines, valve_line

if TYPE_CHECKING:
    from gwlog.decisions.reminder_model import Reminder
    from gwlog.journal.delivery import Delivery

def as_json(home: Household) -> dict[str, Any]:
    """Today with the keys that other programs rely on."""
    state = home.state
    return {
        "now": clock.iso(home.now),
        "valve": state.valve,
        "valve_since": clock.iso(state.valve_since) if state.valve_since else None,
        "next": next_load.as_json(home),
        "outlets": [
            {"name": name, "basin": state.outlet_at[name].basin, "since": clock.iso(state.outlet_at[name].since)}
            for name in state.active_outlets()
        ],
        "reminders": [reminder_json(one) for one in home.reminders],
        "undelivered": [
            {"reminder": one.reminder, "person": one.person, "channel": one.channel, "tries": one.tries,
             "next_try": clock.iso(one.next_try) if one.next_try else None, "trouble": one.trouble}
            for one in home.undelivered
        ],
        "problems": [{"entry": p.entry_id, "text": p.text, "way_out": str(p.way_out)} for p in home.problems],
    }


def reminder_json(one: Reminder) -> dict[str, Any]:
    """A reminder with the keys that other programs rely on."""
    return {"key": one.key, "kind": one.kind, "subject": one.subject, "due": clock.iso(one.due), "state": one.state,
            "text": one.text, "action": str(one.action) if one.action else None}


def lines(home: Household, width: int = 80) -> list[str]:
    """Today's page as text, folded to `width` columns."""
    page = [f"{home.state.site.name if home.state.site else ''}   {clock.echo(home.now, home.zone)}", "",
            *(str(line) for line in next_load.lines(home, width)), "",
            valve_line(home), *outlet_lines(home), ""]
    due = list(home.reminders)
    page.append("To do" if due else "Nothing to do.")
    for reminder in due:
        page += wrap(f"{mark(reminder.state)} {reminder.text}", width, indent="  ", hang="      ")
        page += [f"      → {action}" for action in reminder.actions]
    page += [line for one in home.undelivered
             for line in wrap(undelivered_line(home, one), width, indent="  ", hang="      ")]
    page.append("")
    longest = max((len(name) for name in home.garden.basins), default=0)
    for view in basin_views(home):
        page += wrap(view.line, width, indent=f"{view.name:<{longest}}  ", hang=" " * (longest + 4))
    if (offer := offered(home.state.site)) is not None:
        page += ["", *wrap(f"Code profile: {offer} {Action('setup code')}", width)]
    if home.problems:
        page += ["", f"{plural(len(home.problems), 'entry', 'entries')} to check: gwlog entries --odd"]
    return page


def undelivered_line(home: Household, one: Delivery) -> str:
    """What could not be sent, to whom, and what becomes of it."""
    kind = one.reminder.partition("|")[0]
    if one.state != "failed":
        return f"“{kind}” may not have reached {one.person} by {one.channel}: gwlog stopped while sending."
    again = f"; tried again {clock.echo(one.next_try, home.zone)}" if one.next_try else ""
    why = (one.trouble or "no reason given").rstrip(".")
    return f"“{kind}” has not reached {one.person} by {one.channel}: {why}{again}."


def seen_line(number: int, one: Reminder) -> str:
    """That a reminder was marked as seen, by the entry of that number."""
    return f"Logged {number}: seen: {one.text}"


def mark(state: str) -> str:
    """A reminder's state as a sign and a word, never by color alone."""
    return {"overdue": "‼ overdue:", "due": "! now:", "soon": "· soon:"}[state]
