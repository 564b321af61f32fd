"""`reminders`, `seen` and `later`: what is to be done, and what people answer to it."""

from __future__ import annotations

from typing import Any

import click

from gwlog import clock, text
from gwlog.app import reminder_replies
from gwlog.cli import listed_reminders
from gwlog.cli.common import household, log_as, logbook_option, path_of, print_json, reading, say, screen_width
from gwlog.decisions.acknowledgements import said
from gwlog.decisions.reminder_model import Reminder
from gwlog.household import Household
from gwlog.views.today import mark, reminder_json, seen_line, undelivered_line


@click.command()
@click.option("--all", "everything", is_flag=True, help="Also those that were seen or put off.")
@reading
@click.pass_context
def reminders(ctx: click.Context, everything: bool, as_json: bool, at: str | None) -> None:
    """What people should do, the most pressing first, with number and key."""
    home = household(ctx, at)
    if as_json:
        print_json(reminders_json(home, everything))
        return
    listed_reminders.remember(path_of(ctx), [one.key for one in home.reminders])
    for number, one in enumerate(home.reminders, start=1):
        _show(number, mark(one.state), one)
    if not home.reminders:
        say("Nothing to do.")
    for one in home.every_reminder if everything else ():
        answer = said(home.state, one.key, home.now)
        if answer is not None:
            _show(None, f"{answer}:", one)
    for failed in home.undelivered:
        for line in text.wrap(undelivered_line(home, failed), screen_width()):
            say(line)


def _show(number: int | None, state: str, one: Reminder) -> None:
    lead = f"{number:>2}  " if number is not None else "    "
    for line in text.wrap(f"{state} {one.text}", screen_width(), indent=lead, hang="    "):
        say(line)
    for action in one.actions:
        say(f"    → {action}")
    say(f"    key {one.key}")


def reminders_json(home: Household, everything: bool) -> dict[str, Any]:
    """The reminders with the keys that other programs rely on."""
    chosen = home.every_reminder if everything else home.reminders
    return {"now": clock.iso(home.now), "reminders": [
        {**reminder_json(one), "answer": said(home.state, one.key, home.now)} for one in chosen
    ]}


@click.command()
@click.argument("key", metavar="KEY")
@click.option("--by", metavar="PERSON", help="Who has seen it.")
@click.option("--note", metavar="TEXT", help="A note to the entry.")
@logbook_option
@click.pass_context
def seen(ctx: click.Context, key: str, by: str | None, note: str | None) -> None:
    """Mark a reminder as seen; it is not sent again. KEY: its number, or part of its key."""
    home = household(ctx)
    one = reminder_replies.find(home, listed_reminders.meant(path_of(ctx), key))
    done = log_as(home, None, by, note, lambda then, who: reminder_replies.seen(then, one.key, who))
    say(seen_line(done.written[0].id, one))


@click.command()
@click.argument("key", metavar="KEY")
@click.option("--until", metavar="WHEN", required=True,
              help="When to be reminded again, like “tomorrow 9:00” or “sat”.")
@click.option("--by", metavar="PERSON", help="Who says so.")
@click.option("--note", metavar="TEXT", help="A note to the entry.")
@logbook_option
@click.pass_context
def later(ctx: click.Context, key: str, until: str, by: str | None, note: str | None) -> None:
    """Remind me of KEY later. KEY: its number, or part of its key."""
    home = household(ctx)
    one = reminder_replies.find(home, listed_reminders.meant(path_of(ctx), key))
    done = log_as(home, None, by, note, lambda then, who: reminder_replies.later(then, one.key, until, who))
    moment = clock.moment(str(done.draft.until), home.now, home.zone)
    say(f"Logged {done.written[0].id}: put off until {clock.echo_near(moment, home.zone, home.now)}: {one.text}")
