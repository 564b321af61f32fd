"""`where` and `load`: may this load go to the garden, and noting that it ran."""

from __future__ import annotations

import click

from gwlog.app import entries
from gwlog.cli import completion
from gwlog.cli.common import F, household, log_as, logging, print_json, reading, say, say_late, screen_width
from gwlog.errors import DUE, FINE, BadInput
from gwlog.household import Household
from gwlog.views import answers


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
    """Ask where LOAD should go: garden (which basin) or sewer.

    Says what to do before and after, and why. Logs nothing. Exit code 0 for the garden, 3 for the sewer.
    """
    home = household(ctx, at)
    _, query = entries.read_query(home, name, volume, product, contents)
    answer = home.answer(query)
    if as_json:
        print_json(answer.as_json())
    else:
        for line in answers.lines(home, answer, screen_width()):
            say(line)
    return FINE if answer.verdict == "garden" else DUE


@click.command()
@click.argument("name", metavar="LOAD", shell_complete=completion.loads)
@load_options
@click.option("--to", metavar="WHERE", shell_complete=completion.places,
              help="Where the water went: garden, sewer or a basin. "
                                            "Default: where the valve is turned.")
@click.option("--as-advised", is_flag=True,
              help="It ran as `where` advised: the moves and the valve are logged with it.")
@logging
@click.pass_context
def load(ctx: click.Context, name: str, volume: str | None, product: tuple[str, ...], contents: tuple[str, ...],
         to: str | None, as_advised: bool, at: str | None, by: str | None, note: str | None) -> int:
    """Log that LOAD ran. What was turned or moved for it (--to) is logged with it."""
    home = household(ctx)
    if as_advised and to is not None:
        raise BadInput("--as-advised already says where the water went; leave out --to.")

    def decide(then: Household, who: entries.Author) -> entries.LoadDraft:
        if as_advised:
            return entries.load_as_advised(then, name, who, volume=volume, products=product, contents=contents)
        return entries.load(then, name, who, volume=volume, products=product, contents=contents, to=to)

    done = log_as(home, at, by, note, decide)
    for line in answers.logged_lines(done.home, done.draft.answer, done.written):
        say(str(line))
    say_late(done.home, done.written)
    return FINE
