"""`correct` and `withdraw`: mistakes are mended by new entries; what was said before stays in the record."""

from __future__ import annotations

import click

from gwlog.faces import corrections, entries
from gwlog.faces.cli.common import append, household, logbook_option, logging, say, writer
from gwlog.faces.present import entries_list


@click.command()
@click.argument("number", metavar="ID", type=int)
@click.option("--at", metavar="WHEN", help="When it really happened.")
@click.option("--by", metavar="PERSON", help="Who writes the correction.")
@click.option("--note", metavar="TEXT", help="Why, or the right note.")
@click.option("--to", metavar="WHERE", help="A load: garden or sewer. A move: the basin. A valve switch: the position.")
@click.option("--volume", metavar="AMOUNT", help="A load's water.")
@click.option("--load", "load_name", metavar="LOAD", help="A load: which usual load it was.")
@click.option("--product", "-p", multiple=True, metavar="NAME", help="A load: its products, all of them.")
@click.option("--contents", "-c", multiple=True, metavar="WHAT", help="A load: its contents, all of them.")
@click.option("--outlet", metavar="OUTLET", help="A move: which outlet.")
@click.option("--basin", metavar="BASIN", help="A move, mulch or observation: which basin.")
@click.option("--depth", metavar="DEPTH", help="Mulch: the depth.")
@click.option("--rain", metavar="AMOUNT", help="A weather day: the rain.")
@click.option("--kind", metavar="KIND", help="An observation: what it was.")
@click.option("--task", metavar="TASK", help="Upkeep: which task.")
@logbook_option
@click.pass_context
def correct(ctx: click.Context, /, number: int, at: str | None, by: str | None, note: str | None,
            **changed: object) -> None:
    """Correct entry ID: name what was different. The first wording stays in the record."""
    home = household(ctx)
    draft = corrections.correct(home, number, at=at, by=by, note=note,
                                **{key: value for key, value in changed.items() if value})
    entry = append(home, [draft])[0]
    say(f"Logged {entry.id}: corrects {number}: {entries_list.sentence(home, entry)}.")


@click.command()
@click.argument("number", metavar="ID", type=int)
@logging
@click.pass_context
def withdraw(ctx: click.Context, number: int, at: str | None, by: str | None, note: str | None) -> None:
    """Strike out entry ID; --note says why. It stays readable in the record."""
    home = household(ctx)
    entry = append(home, [entries.withdraw(home, number, writer(home, at, by, note))])[0]
    say(f"Logged {entry.id}: {number} is withdrawn.")
