"""`weather import`: daily rain and temperatures from a CSV file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.faces import weather_file
from gwlog.faces.cli.common import append, household, logbook_option, print_json, say
from gwlog.text import listed, one_line, plural

LARGEST = 20_000_000


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

    Writes all rows or none; a day that the logbook already holds is left alone, so repeating is safe.
    """
    home = household(ctx)
    found = weather_file.read_weather(_content(file), home, origin=one_line(Path(file).name)[:60], leave_out=leave_out)
    if found.days and not dry_run:
        append(home, found.days)
    if as_json:
        print_json({"logged": len(found.days), "known": found.known, "before_the_logbook": found.before,
                    "missing_days": [day.isoformat() for day in found.gaps], "left_out": found.faults,
                    "dry_run": dry_run})
        return
    say(f"{plural(len(found.days), 'day')} {'would be ' if dry_run else ''}logged"
        + (f", {_span(found.days[0].day, found.days[-1].day)}." if found.days else "."))
    if found.known:
        say(f"{plural(found.known, 'day')} known already.")
    if found.before:
        say(f"{plural(found.before, 'day')} before the logbook begins, left out.")
    if found.gaps:
        say(f"{plural(len(found.gaps), 'day')} missing in between: "
            f"{listed([clock.echo_day(day) + f' {day.year}' for day in found.gaps[:3]])}"
            f"{' and more' if len(found.gaps) > 3 else ''}. The climate's normals stand in for them.")
    for line in (*found.remarks, *(f"left out: {fault}" for fault in found.faults)):
        say(line)


def _span(first: date, last: date) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _content(file: str) -> bytes:
    path = Path(file).expanduser()
    try:
        if path.stat().st_size > LARGEST:
            raise BadInput(f"{file} is larger than {LARGEST // 1_000_000} MB; a file of daily weather is accepted.")
        return path.read_bytes()
    except OSError as fault:
        raise BadInput(f"{file} cannot be read: {fault.strerror}.") from None
