"""`valve` and `move`: what was turned, and where an outlet lies now."""

from __future__ import annotations

import click

from gwlog.app import entries
from gwlog.cli import completion
from gwlog.cli.common import household, log_as, logging, say, say_late
from gwlog.views import consequences


@click.command()
@click.argument("position", metavar="garden|sewer", shell_complete=completion.valve)
@logging
@click.pass_context
def valve(ctx: click.Context, position: str, at: str | None, by: str | None, note: str | None) -> None:
    """Log that the valve was turned to the garden or to the sewer."""
    done = log_as(household(ctx), at, by, note, lambda then, who: entries.valve(then, position, who))
    home, draft = done.home, done.draft
    say(f"Logged {done.written[0].id}: valve to {draft.position}. {consequences.already(home, draft)}".rstrip())
    say_late(home, done.written)


@click.command()
@click.argument("outlet", shell_complete=completion.outlets)
@click.argument("basin", required=False, shell_complete=completion.reached)
@logging
@click.pass_context
def move(ctx: click.Context, outlet: str, basin: str | None, at: str | None, by: str | None,
         note: str | None) -> None:
    """Log that OUTLET was moved to BASIN. With one outlet, its name may be left out."""
    home = household(ctx)
    if basin is None:
        only = list(home.state.active_outlets())
        if len(only) != 1:
            raise click.UsageError(f"Say which outlet and which basin; outlets: {', '.join(only) or 'none'}.", ctx)
        outlet, basin = only[0], outlet
    what, where = outlet, basin
    done = log_as(home, at, by, note, lambda then, who: entries.move(then, what, where, who))
    home, draft = done.home, done.draft
    say(f"Logged {done.written[0].id}: {draft.outlet} to {draft.basin}. "
        f"{consequences.already(home, draft)}".rstrip())
    say_late(home, done.written)
