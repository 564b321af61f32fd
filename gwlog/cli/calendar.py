"""`calendar`: turns, planned loads, reminders and upkeep as an iCalendar file that later exports update."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from gwlog.cli.common import household, logbook_option, print_json, say
from gwlog.text import plural


@click.command()
@click.argument("file", metavar="FILE.ics", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print what was done as JSON.")
@logbook_option
@click.pass_context
def calendar(ctx: click.Context, file: Path, as_json: bool) -> None:
    """Write the coming 60 days to FILE.ics. Write to the same file again, and calendars update their events."""
    from gwlog.documents.calendar import export

    done = export(household(ctx), file)
    if as_json:
        print_json({"file": str(file), **asdict(done)})
        return
    say(f"{file}: {plural(done.standing, 'event')}; {done.new} new, {done.changed} changed, "
        f"{done.cancelled} cancelled.")
