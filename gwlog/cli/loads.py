"""`where` and `load`: may this load go to the garden, and noting that it ran."""

from __future__ import annotations

import click

from gwlog.app import entries
from gwlog.cli import completion
from gwlog.cli.common import F, append, author, household, logging, print_json, reading, say, say_late
from gwlog.errors import DUE, FINE
from gwlog.views import verdicts


def load_options(command: F) -> F:
    """What may differ from the usual load."""
    command = click.option("--contents", "-c", multiple=True, metavar="WHAT", shell_complete=completion.contents,
                           help="diapers, soiled, illness, solvent, oil, pesticide, dye, drum-cleaning.")(command)
    command = click.option("--product", "-p", multiple=True, metavar="NAME", help="A further product.",
                           shell_complete=completion.products)(command)
    return click.option("--volume", metavar="AMOUNT", help="Water of this load, like 20gal or 75L.")(command)


@click.command()
@click.argument("name", metavar="LOAD", shell_complete=completion.loads)
@load_options
@reading
@click.pass_context
def where(ctx: click.Context, name: str, volume: str | None, product: tuple[str, ...],
          contents: tuple[str, ...], as_json: bool, at: str | None) -> int:
    """May LOAD go to the garden, to which basin, and what to do before and after. Logs nothing.

    Exit code 0 for the garden, 3 for the sewer.
    """
    home = household(ctx, at)
    found, query = entries.read_query(home, name, volume, product, contents)
    verdict = home.verdict(query)
    if as_json:
        print_json(verdicts.as_json(verdict, found))
    else:
        for line in verdicts.lines(home, verdict, found):
            say(line)
    return FINE if verdict.verdict == "garden" else DUE


@click.command()
@click.argument("name", metavar="LOAD", shell_complete=completion.loads)
@load_options
@click.option("--to", metavar="WHERE", shell_complete=completion.places,
              help="Where the water went: garden, sewer or a basin. "
                                            "Default: where the valve stands.")
@logging
@click.pass_context
def load(ctx: click.Context, name: str, volume: str | None, product: tuple[str, ...], contents: tuple[str, ...],
         to: str | None, at: str | None, by: str | None, note: str | None) -> int:
    """Log that LOAD ran. What was turned or moved for it (--to) is logged with it."""
    home = household(ctx)
    who = author(home, at, by, note)
    draft = entries.load(home, name, who, volume=volume, products=product, contents=contents, to=to)
    written = append(home, draft.facts)
    for line in verdicts.logged_lines(home, draft.verdict, written):
        say(line)
    say_late(home, written)
    return FINE
