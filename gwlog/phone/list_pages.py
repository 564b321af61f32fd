"""To do: the reminders, to be done, seen or put off; Log: the last entries."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import urlencode

from starlette.responses import Response

from gwlog import clock, text
from gwlog.actions import Words
from gwlog.app import entries, reminder_replies
from gwlog.decisions.acknowledgements import said
from gwlog.decisions.reminder_model import Reminder
from gwlog.household import Household
from gwlog.journal.facts import Fact, ReminderAnswer
from gwlog.journal.listing import asking
from gwlog.phone.address import reminder_digest
from gwlog.phone.call import Call
from gwlog.values import NamedTuple
from gwlog.views.log import LogRow, marked, rows
from gwlog.views.today import seen_line, undelivered_line

PAGE = 25
"""Entries of a page of the Log."""

OTHERS = (("/log/valve", "The valve was turned"), ("/log/move", "An outlet was moved"),
          ("/log/mulch", "Mulch added or measured"), ("/log/water", "Water that did not come from the machine"),
          ("/log/done", "Upkeep done"), ("/log/resolve", "Resolve something seen, or follow up a load"))
"""The other forms."""


class Row(NamedTuple):
    """An entry in the list."""

    id: int
    words: str
    by: str
    note: str


def to_do(call: Call) -> Response:
    """The reminders, the most pressing first."""
    home = call.home
    answered = [(words, one) for one in home.every_reminder
                if (words := said(home.state, one.key, home.now)) is not None]
    return call.page(
        "todo", "To do", here="/to-do", reminders=home.reminders, answered=answered, others=OTHERS,
        undelivered=[undelivered_line(home, one) for one in home.undelivered], **_replies(call, home.reminders))


def reminder(call: Call) -> Response:
    """One reminder, as a message's link opens it: to be done, seen or put off."""
    digest, home = call.path.removeprefix("/reminder/"), call.home
    one = next((one for one in home.every_reminder if reminder_digest(one.key) == digest), None)
    answered = None if one is None else said(home.state, one.key, home.now)
    return call.page("reminder", "To do", here="/to-do", one=one, answered=text.capital(answered or ""),
                     **_replies(call, [] if one is None else [one]))


def _replies(call: Call, reminders: Sequence[Reminder]) -> dict[str, object]:
    """For each reminder the key of its form, and the address where it is put off."""
    return {"forms": {one.key: call.form(f"seen {one.key}") for one in reminders},
            "later": {one.key: f"/to-do/later?{urlencode({'reminder': one.key})}" for one in reminders}}


def seen(call: Call) -> Response:
    """Mark a reminder as seen."""
    key = call.send("reminder")

    def act(_shown: object) -> tuple[Sequence[Words], Sequence[Fact]]:
        def decide(home: Household) -> ReminderAnswer:
            return reminder_replies.seen(home, key, entries.read_author(home, by=call.person))

        done, minded = call.write(decide)
        return [*minded, seen_line(done.written[0].id, reminder_replies.find(done.home, key))], done.written

    return call.once(f"seen {key}", act)


def log(call: Call) -> Response:
    """A page of the log, the newest entries first."""
    home = call.home
    typed = call.ask("page")
    number = int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 6 else 0
    with asking(home.path, home.now) as lists:
        listed = lists.newest(skip=number * PAGE, most=PAGE + 1)
        found = rows(lists, listed[:PAGE])
    return call.page(
        "log", "Log", here="/log",
        rows=[(Row(row.id, marked(row), row.by, row.note), clock.echo_near(row.happened_at, home.zone, home.now),
               _may_take_back(row, call.person)) for row in found],
        newer=number - 1 if number else None, older=number + 1 if len(listed) > PAGE else None)


def _may_take_back(row: LogRow, person: str) -> bool:
    return row.by == person and not hasattr(row.fact, "active") and row.fact.KIND != "site"
