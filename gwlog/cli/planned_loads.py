"""`plan-load`: loads that the household expects."""

from __future__ import annotations

import click

from gwlog import clock
from gwlog.app import planned_loads
from gwlog.cli import completion
from gwlog.cli.common import household, log, logbook_option, say
from gwlog.errors import BadInput


@click.command("plan-load")
@click.argument("load_name", metavar="LOAD", shell_complete=completion.planned)
@click.option("--on", metavar="WHEN", help="When it is expected, like “sat 9am”.")
@click.option("--every", metavar="RULE", help="Repeats: weekly, “2 weeks”, or RFC 5545 like FREQ=WEEKLY;BYDAY=SA.")
@click.option("--drop", is_flag=True, help="Cancel a planned load.")
@click.option("--skip", multiple=True, metavar="DATE", help="Skip one day.")
@click.option("--by", metavar="PERSON", help="Who says so.", shell_complete=completion.people)
@click.option("--note", metavar="TEXT", help="A note to the entry.")
@logbook_option
@click.pass_context
def plan_load(ctx: click.Context, load_name: str, on: str | None, every: str | None, drop: bool,
              skip: tuple[str, ...], by: str | None, note: str | None) -> None:
    """Plan a LOAD, once or repeated; or cancel it (--drop) or skip a day (--skip)."""
    home = household(ctx)
    if (on is None) == (not drop and not skip):
        raise BadInput("Say when the load is planned (--on), or which planned one to change (--drop, --skip).")
    if on is not None:
        first = on
        done = log(home, lambda then: planned_loads.plan_load(then, load_name, first, every, by=by, note=note))
        draft, entry = done.draft, done.written[0]
        starts = clock.echo(clock.attach(clock.wall(draft.starts), home.zone), home.zone)
        say(f"Logged {entry.id}: {draft.load} planned from {starts}" + (f", {draft.every}." if draft.every else "."))
        return
    changed = log(home, lambda then: planned_loads.change(then, load_name, skip=skip, drop=drop, by=by, note=note))
    say(f"Logged {changed.written[0].id}: {changed.draft.words}")
