"""`mulch`, `rain`, `water`, `soil`, `observe`, `resolve`, `done`: what was done and seen in the garden."""

from __future__ import annotations

import click

from gwlog import clock
from gwlog.app import entries, water_and_soil
from gwlog.app import rain as rains
from gwlog.cli import completion
from gwlog.cli.common import NumberCommand, household, log, log_as, logging, say
from gwlog.views import consequences
from gwlog.views.log import sentence


@click.command()
@click.argument("basin", shell_complete=completion.basins)
@click.option("--added", metavar="DEPTH", help="Mulch topped up by this depth, like 2in.")
@click.option("--measured", metavar="DEPTH", help="Mulch depth measured over the outlet, like 3in.")
@logging
@click.pass_context
def mulch(ctx: click.Context, basin: str, added: str | None, measured: str | None, at: str | None,
          by: str | None, note: str | None) -> None:
    """Log mulch added or measured at BASIN."""
    done = log_as(household(ctx), at, by, note,
                  lambda then, who: entries.mulch(then, basin, who, added=added, measured=measured))
    draft = done.draft
    say(f"Logged {done.written[0].id}: {done.home.reader.length(draft.depth_mm)} of mulch {draft.action} "
        f"at {draft.basin}.")


@click.command(cls=NumberCommand)
@click.argument("amount")
@click.option("--since-last", is_flag=True, help="It is the gauge's total since the last reading or logged rain.")
@click.option("--since", metavar="DAY", help="It is the gauge's total since this day, which is included.")
@logging
@click.pass_context
def rain(ctx: click.Context, amount: str, since_last: bool, since: str | None, at: str | None, by: str | None,
         note: str | None) -> None:
    """Log the whole rain of a day (today without --at); a day ahead counts as its forecast.

    With --since-last or --since it is what a gauge gathered up to that day: the total is spread over its days.
    """
    if since_last and since is not None:
        raise click.UsageError("Say --since-last or --since DAY, not both.", ctx)
    home = household(ctx)
    day, first_day = entries.day_of(home, at), rains.LAST_READING[0] if since_last else since
    done = log(home, lambda then: rains.rain(then, amount, entries.read_author(then, by=by, note=note), day=day,
                                             since=first_day))
    home, draft, entry = done.home, done.draft, done.written[0]
    first = f"from {clock.echo_day(draft.rain_from, home.system)} to " if draft.rain_from is not None else "on "
    say(f"Logged {entry.id}: {home.reader.rain((draft.rain_um or 0) / 1000)} of rain {first}"
        f"{clock.echo_date(draft.day, home.system)}.")
    if replaced := consequences.already(home, draft):
        say(replaced)


@click.command(cls=NumberCommand)
@click.argument("basin", shell_complete=completion.basins)
@click.argument("amount", required=False)
@click.option("--way", default="can", show_default=True, metavar="can|drip|hose|flush", help="How it came there.",
              shell_complete=completion.ways)
@click.option("--minutes", metavar="N", help="How long it ran, where the amount is not known; with --flow.")
@click.option("--flow", metavar="RATE", help="What came in that time, like “2 gal/min” or “6 L/min”.")
@logging
@click.pass_context
def water(ctx: click.Context, basin: str, amount: str | None, way: str, minutes: str | None, flow: str | None,
          at: str | None, by: str | None, note: str | None) -> None:
    """Log water for BASIN that did not come from the washing machine: AMOUNT, or minutes of a flow."""
    done = log_as(household(ctx), at, by, note, lambda then, who: water_and_soil.other_water(
        then, basin, who, amount=amount, minutes=minutes, flow=flow, way=way))
    say(f"Logged {done.written[0].id}: {sentence(done.home, done.written[0])}.")
    for line in consequences.missing_now(done.home, done.written):
        say(str(line))


@click.command(cls=NumberCommand)
@click.argument("basin", shell_complete=completion.basins)
@click.option("--ec", metavar="AMOUNT", help="Conductivity of the extract, like “2.4 dS/m” or “2400 uS/cm”.")
@click.option("--extract", default="saturation", show_default=True, metavar="saturation|1:5",
              help="How the soil was wetted: a saturated paste, or one part of soil in five of water.")
@click.option("--sar", metavar="N", help="Sodium adsorption ratio.")
@click.option("--esp", metavar="PERCENT", help="Exchangeable sodium, in place of the ratio.")
@click.option("--boron", metavar="AMOUNT", help="Boron of the extract, like “0.6 mg/L”.")
@click.option("--ph", metavar="N", help="pH.")
@logging
@click.pass_context
def soil(ctx: click.Context, basin: str, ec: str | None, extract: str, sar: str | None, esp: str | None,
         boron: str | None, ph: str | None, at: str | None, by: str | None, note: str | None) -> None:
    """Log a soil test or a meter's reading of BASIN; it corrects the salt balance from that day on."""
    done = log_as(household(ctx), at, by, note, lambda then, who: water_and_soil.soil_reading(
        then, basin, who, ec=ec, extract=extract, sar=sar, esp=esp, boron=boron, ph=ph))
    say(f"Logged {done.written[0].id}: {sentence(done.home, done.written[0])}.")
    for line in consequences.soil_against_reckoning(done.home, done.written):
        say(line)


@click.command()
@click.argument("observed", metavar="KIND", shell_complete=completion.observations)
@click.argument("basin", required=False, shell_complete=completion.basins)
@logging
@click.pass_context
def observe(ctx: click.Context, observed: str, basin: str | None, at: str | None, by: str | None,
            note: str | None) -> None:
    """Log what was seen: ponding, runoff, odor, leak, stressed plant, blocked outlet, animals digging, soaked
    ground, frozen ground, illness (in the household), other."""
    done = log_as(household(ctx), at, by, note, lambda then, who: entries.observe(then, observed, basin, who))
    draft, entry = done.draft, done.written[0]
    place = f" at {draft.basin}" if draft.basin else ""
    say(f"Logged {entry.id}: {draft.observed}{place}. When it is over: gwlog resolve {entry.id}")


@click.command(cls=NumberCommand)
@click.argument("number", metavar="ID", type=int)
@logging
@click.pass_context
def resolve(ctx: click.Context, number: int, at: str | None, by: str | None, note: str | None) -> None:
    """Resolve an observation, or a load that broke a rule, once followed up."""
    done = log_as(household(ctx), at, by, note, lambda then, who: entries.resolve(then, number, who))
    say(f"Logged {done.written[0].id}: {number} is resolved.")


@click.command()
@click.argument("task", shell_complete=completion.tasks)
@logging
@click.pass_context
def done(ctx: click.Context, task: str, at: str | None, by: str | None, note: str | None) -> None:
    """Log that an upkeep TASK was done (see: gwlog upkeep)."""
    logged = log_as(household(ctx), at, by, note, lambda then, who: entries.done(then, task, who))
    say(f"Logged {logged.written[0].id}: {logged.draft.task}.")
