"""`weather import` and `weather run`: rain and temperatures from a file, or from the settings' weather command."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from gwlog.actions import Action, Hint
from gwlog.app import imports
from gwlog.cli.common import household, log, logbook_option, path_of, print_json, say
from gwlog.errors import BadInput
from gwlog.settings import typed_path
from gwlog.views.import_summary import weather_lines

if TYPE_CHECKING:
    from gwlog.household import Household
    from gwlog.importers.weather import WeatherImport


@click.group()
@logbook_option
def weather() -> None:
    """Measured and forecast weather for the water balance."""


@weather.command("import")
@click.argument("file", metavar="FILE")
@click.option("--units", metavar="UNITS", help="Where the file names none: us (inches, °F), metric (mm, °C), tenths "
              "(of mm, of °C), single units like mm,f, or what one tip of a gauge holds, like 0.2mm.")
@click.option("--format", "form", metavar="FORMAT", help="Where the file does not show it: its layout (like isd-lite), "
              "the order of its dates (ymd, dmy, mdy), or what rain by the hour is (amounts, running).")
@click.option("--station", metavar="STATION", help="The station to take, of a file with several.")
@click.option("--leave-out", is_flag=True, help="Skip bad rows instead of refusing the file.")
@click.option("--dry-run", is_flag=True, help="Only say what would be logged, with five days and the sums by month.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def import_file(ctx: click.Context, file: str, units: str | None, form: str | None, station: str | None,
                leave_out: bool, dry_run: bool, as_json: bool) -> None:
    """Read weather from a table in text: one row a day, or rows by the hour, of many publishers or with a header like
    date,rain_mm,tmin_c,tmax_c.

    Units are decided over the whole file; what it does not prove is asked. Writes all rows or none. A day that is
    already in the logbook with the same figures is skipped, so repeating is safe; where they differ, the file wins,
    and you are told. Days that are not over count as forecast.
    """
    from gwlog.importers.weather import Answers

    home = household(ctx)
    where, answers = typed_path(file), Answers(units, form, station, leave_out)
    if dry_run:
        found = imports.weather(home, where, answers)
    else:
        found = log(home, lambda then: imports.weather(then, where, answers)).draft
    _told(home, found, dry_run=dry_run, as_json=as_json)


def _told(home: Household, found: WeatherImport, *, dry_run: bool, as_json: bool) -> None:
    if as_json:
        print_json({"logged": len(found.days), "forecasts": found.forecasts, "known": found.known,
                    "before_the_logbook": found.before, "elapsed_forecasts": found.elapsed,
                    "differing_days": [day.isoformat() for day in found.differ],
                    "missing_days": [day.isoformat() for day in found.gaps], "left_out": found.faults,
                    "remarks": found.remarks, "layout": found.layout, "dry_run": dry_run,
                    "days": {day.isoformat(): {"rain_mm": _rounded(one.rain_mm), "low_c": _rounded(one.tmin_c),
                                               "high_c": _rounded(one.tmax_c)} for day, one in found.rows}})
        return
    for line in weather_lines(home, found, dry=dry_run):
        say(line)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


@weather.command("run")
@click.option("--example", metavar="saved-file|gauge", help="Print a small program for a weather command: one hands on "
              "a saved file, one a rain gauge's readings.")
@click.option("--dry-run", is_flag=True, help="Only say what would be logged, the time used and what was run.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def run(ctx: click.Context, example: str | None, dry_run: bool, as_json: bool) -> None:
    """Run the weather command of the settings by hand, in the environment in which the watcher runs it.

    It is a list of words under [weather] in settings.toml (gwlog watch --example) and prints a table as weather import
    reads it. With exit code 0 and a whole table it is logged; otherwise nothing is. It finds GWLOG_WEATHER_FROM and
    GWLOG_WEATHER_TO (days), GWLOG_WEATHER_LATITUDE and GWLOG_WEATHER_UNITS in its environment.
    """
    from gwlog import clock, text
    from gwlog.notify import weather_command
    from gwlog.notify.channels import read_channels
    from gwlog.notify.settings_file import read_settings, settings_path

    if example is not None:
        from gwlog.notify.weather_examples import EXAMPLES

        click.echo(EXAMPLES[text.pick("example", example, EXAMPLES)][1], nl=False)
        return
    command = read_settings(read_channels()).weather
    if command is None:
        raise BadInput(f"There is no weather command in {settings_path()}.",
                       hint=Hint("A commented example: ", Action("watch", example="")))
    weather_command.refuse_strangers(settings_path())
    path, now = path_of(ctx), clock.now()
    done = (weather_command.tried if dry_run else weather_command.taken)(path, command, now)
    if not as_json:
        say(f"{' '.join(done.words)}: exit code {done.ran.code}, {done.ran.seconds:.1f} s, "
            f"{len(done.ran.output):,} bytes.")
    _told(done.home, done.found, dry_run=dry_run, as_json=as_json)
