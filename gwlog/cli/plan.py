"""`plan`: the coming fortnight; `capacity`: what the garden can use, and what it was given; and `rehearse`: what the
plan is worth to this household over a season.
"""

from __future__ import annotations

import sys

import click

from gwlog.cli.common import household, logbook_option, print_json, reading, say, say_folded, screen_width, table
from gwlog.settings import typed_path
from gwlog.views import plan as plan_page
from gwlog.views import rehearsal as rehearsal_page


@click.command()
@click.option("--days", type=int, default=14, show_default=True, metavar="N", help="How many days to plan.")
@click.option("--weights", metavar="NAME=N,...",
              help="What the plan avoids most: sinking, thirst, sewer, move, left; like move=15,sewer=1.5.")
@click.option("--what-if", "supposed", metavar="TEXT",
              help="Suppose “3 loads on saturday” or “no outlet moves before sunday”.")
@reading
@click.pass_context
def plan(ctx: click.Context, days: int, weights: str | None, supposed: str | None, as_json: bool,
         at: str | None) -> None:
    """When each basin gets its turn, when an outlet moves, and which loads go to the sewer, with the reasons."""
    home = household(ctx, at)
    from gwlog.decisions.capacity import capacity
    from gwlog.decisions.rotation import DAYS
    from gwlog.decisions.what_if import what_if

    read = plan_page.read_weights(home, weights)
    supposing = what_if(supposed, home.now, home.zone) if supposed else None
    made = home.plan_for(days=days, weights=read, what_if=supposing)
    room = capacity(home.state, home.garden, home.now)
    if as_json:
        own = days == DAYS and read is None and supposing is None
        print_json({**plan_page.as_json(made, room), "permission": plan_page.permission_line(home, made),
                    "loads": [one.as_json() for one in home.advice.loads] if own else None})
        return
    width = screen_width()
    head, rows = plan_page.grid_lines(home, made)
    table(head, rows)
    say_folded(plan_page.legend(home, made))
    say()
    for line in plan_page.lines(home, made, width):
        say_folded(line)
    say()
    for line in plan_page.capacity_lines(home, room, width):
        say_folded(line)


@click.command()
@reading
@click.pass_context
def capacity(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """What the garden can use of what the household makes; and by month and year what the graywater gave it."""
    home = household(ctx, at)
    from gwlog.decisions.capacity import capacity as reckoned
    from gwlog.views import benefit as gave_page

    room, gave = reckoned(home.state, home.garden, home.now), gave_page.of_home(home)
    if as_json:
        print_json({"capacity": room.as_json(), "gave": gave_page.as_json(gave)})
        return
    width = screen_width()
    for line in plan_page.capacity_lines(home, room, width):
        say_folded(line)
    say()
    if not gave.months:
        say(gave_page.NOTHING)
        return
    say_folded("What the graywater gave, up to yesterday:")
    table(gave_page.HEAD, gave_page.rows(home, gave), right=(1, 2, 3, 4, 5))
    for line in gave_page.note_lines(home, gave, width):
        say(line)


@click.command()
@click.option("--days", type=int, default=365, show_default=True, metavar="N", help="How many days to run.")
@click.option("--weather", "file", metavar="FILE", help="A CSV of daily weather to run through, instead of normals.")
@click.option("--from", "first", metavar="DATE", help="Begin on a past day, with the weather it had.")
@click.option("--plots/--no-plots", default=True, help="Plot the missing water of each basin.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def rehearse(ctx: click.Context, days: int, file: str | None, first: str | None, plots: bool, as_json: bool) -> None:
    """Try a season: the plan against simpler ways, side by side. Logs nothing."""
    home = household(ctx)
    from gwlog.decisions.simulation import rehearse as run

    scenario = rehearsal_page.scenario(home, days, typed_path(file) if file else None,
                                       rehearsal_page.first_day(first))
    with click.progressbar(length=100, label="Rehearsing", file=sys.stderr) as bar:
        done = 0

        def progress(so_far: int, total: int) -> None:
            nonlocal done
            if so_far * 100 // total > done:
                bar.update(so_far * 100 // total - done)
                done = so_far * 100 // total

        result = run(scenario, progress=progress)
    if as_json:
        print_json(rehearsal_page.as_json(result))
        return
    table(rehearsal_page.HEAD, rehearsal_page.rows(home, result), right=(1, 2, 3, 4, 5, 6, 7))
    for line in rehearsal_page.summary(home, result, screen_width()):
        say_folded(line)
    if plots:
        for line in rehearsal_page.plots(home, result, screen_width()):
            say(line)
