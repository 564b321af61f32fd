"""`today`: what to do now."""

from __future__ import annotations

import click

from gwlog.cli.common import household, print_json, reading, say, screen_width
from gwlog.errors import DUE, FINE
from gwlog.views import today as page


@click.command()
@click.option("--check", is_flag=True, help="Exit code 3 when something is overdue.")
@reading
@click.pass_context
def today(ctx: click.Context, check: bool, as_json: bool, at: str | None) -> int:
    """What to do now: valve, outlets, reminders, basins."""
    home = household(ctx, at)
    if as_json:
        print_json(page.as_json(home))
    else:
        for line in page.lines(home, screen_width()):
            say(line)
    return DUE if check and any(r.state == "overdue" for r in home.reminders) else FINE
