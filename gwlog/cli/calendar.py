"""`calendar`: turns, planned loads, reminders and upkeep as an iCalendar file that later exports update."""

from __future__ import annotations

from dataclasses import asdict

import click

from gwlog.app import exports
from gwlog.cli.common import household, logbook_option, print_json, say
from gwlog.cli.documents import replacing
from gwlog.settings import typed_path
from gwlog.views import outcomes


@click.command()
@click.argument("file", metavar="FILE.ics")
@replacing
@click.option("--json", "as_json", is_flag=True, help="Print what was done as JSON.")
@logbook_option
@click.pass_context
def calendar(ctx: click.Context, file: str, replace: bool, as_json: bool) -> None:
    """Write the coming 60 days to FILE.ics. Write to the same file again, and calendars update their events."""
    done = exports.calendar(household(ctx), typed_path(file), replace=replace)
    if as_json:
        print_json({"file": file, **asdict(done)})
        return
    say(f"{file}: {outcomes.calendar(done.standing, done.new, done.changed, done.cancelled)}")
