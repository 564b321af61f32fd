"""`plan-load`: loads that the household expects."""

from __future__ import annotations

from dataclasses import replace

import click

from gwlog import clock, text
from gwlog.errors import BadInput
from gwlog.faces import entries, expected_loads
from gwlog.faces.cli import completing
from gwlog.faces.cli.common import append, household, logbook_option, say


@click.command("plan-load")
@click.argument("load_name", metavar="LOAD", shell_complete=completing.planned)
@click.option("--on", metavar="WHEN", help="When it is expected, like “sat 9am”.")
@click.option("--every", metavar="RULE", help="Repeats: weekly, “2 weeks”, or RFC 5545 like FREQ=WEEKLY;BYDAY=SA.")
@click.option("--drop", is_flag=True, help="Expect it no longer.")
@click.option("--skip", multiple=True, metavar="DATE", help="Leave out one day.")
@click.option("--by", metavar="PERSON", help="Who says so.", shell_complete=completing.people)
@click.option("--note", metavar="TEXT", help="A note to the entry.")
@logbook_option
@click.pass_context
def plan_load(ctx: click.Context, load_name: str, on: str | None, every: str | None, drop: bool,
              skip: tuple[str, ...], by: str | None, note: str | None) -> None:
    """Expect LOAD at a time to come, once or repeated; or change a planned one (--drop, --skip)."""
    home = household(ctx)
    if (on is None) == (not drop and not skip):
        raise BadInput("Say when the load is expected (--on), or which planned one to change (--drop, --skip).")
    if on is not None:
        draft = expected_loads.plan_load(home, load_name, on, every, by=by, note=note)
        entry = append(home, [draft])[0]
        starts = clock.echo(clock.attach(clock.wall(draft.starts), home.zone), home.zone)
        say(f"Logged {entry.id}: {draft.load} planned from {starts}" + (f", {draft.every}." if draft.every else "."))
        return
    active = {name: plan for name, plan in home.state.planned_loads.items() if plan.active}
    plan = active[text.pick("planned load", load_name, list(active))]
    who = entries.author(home, by=by, note=note)
    days = sorted({expected_loads.day_ahead(home, day) for day in skip})
    skips = tuple(sorted({*plan.skips, *(day.isoformat() for day in days)}))
    changed = replace(plan, id=0, corrects_id=None, happened_at=who.happened_at, recorded_by=who.by, note=who.note,
                      active=not drop, skips=skips)
    entry = append(home, [changed])[0]
    left_out = text.listed([f"{clock.echo_day(day)} {day.year}" for day in days])
    say(f"Logged {entry.id}: {plan.name} " + ("is no longer planned." if drop else f"skips {left_out}."))
