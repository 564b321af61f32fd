"""`weather import`: daily rain and temperatures from a CSV file."""

from __future__ import annotations

import click

from gwlog.app import imports
from gwlog.cli.common import household, log, logbook_option, print_json, say
from gwlog.settings import typed_path
from gwlog.views.import_summary import weather_lines


@click.group()
@logbook_option
def weather() -> None:
    """Measured weather for the water balance."""


@weather.command("import")
@click.argument("file", metavar="FILE")
@click.option("--leave-out", is_flag=True, help="Leave out rows that cannot be used instead of refusing the file.")
@click.option("--dry-run", is_flag=True, help="Only say what would be logged.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def import_file(ctx: click.Context, file: str, leave_out: bool, dry_run: bool, as_json: bool) -> None:
    """Read daily weather from a CSV file with a header (date, rain and temperature columns with their units).

    Writes all rows or none. A day that the logbook holds with the same figures is left alone, so repeating is safe;
    where the figures differ, the file's count from then on, and that is said.
    """
    home = household(ctx)
    where = typed_path(file)
    if dry_run:
        found = imports.weather(home, where, leave_out=leave_out)
    else:
        found = log(home, lambda then: imports.weather(then, where, leave_out=leave_out)).draft
    if as_json:
        print_json({"logged": len(found.days), "known": found.known, "before_the_logbook": found.before,
                    "differing_days": [day.isoformat() for day in found.differ],
                    "missing_days": [day.isoformat() for day in found.gaps], "left_out": found.faults,
                    "dry_run": dry_run})
        return
    for line in weather_lines(found, dry=dry_run):
        say(line)
