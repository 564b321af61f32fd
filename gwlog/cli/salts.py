"""`salts` and `label`: what salt and soap do to the soil, and what is in a product, line by line."""

from __future__ import annotations

import sys

import click

from gwlog.app import labels
from gwlog.cli import completion
from gwlog.cli.common import household, log_as, logging, print_json, reading, say, screen_width, table
from gwlog.errors import BadInput
from gwlog.text import wrap
from gwlog.views import salts as view


@click.command()
@reading
@click.pass_context
def salts(ctx: click.Context, as_json: bool, at: str | None) -> None:
    """Salt, sodium and boron: each usual load's water, each basin's soil, leaching owed and what would help."""
    home = household(ctx, at)
    if as_json:
        print_json(view.as_json(home))
        return
    rows = view.load_rows(home)
    table(view.LOAD_HEAD, [view.load_cells(home, row) for row in rows], right=(1, 2, 3, 4, 5, 6))
    for row in rows:
        for change in row.changes:
            _folded(f"{row.name}, {change}")
    for line in view.product_lines(home):
        _folded(line)
    say()
    basins = list(home.garden.basins.values())
    if view.known(home):
        table(view.BASIN_HEAD, [view.basin_cells(home, basin) for basin in basins], right=(1, 2, 3, 4, 5, 6, 7))
        say()
        for basin in basins:
            _folded(view.outlook(home, basin))
    for note in view.notes(home, rows):
        _folded(note)


def _folded(words: str) -> None:
    for line in wrap(words, screen_width()):
        say(line)


@click.command()
@click.argument("product", shell_complete=completion.products)
@click.option("--line", "lines", multiple=True, metavar="TEXT",
              help="A line of the label, like “sodium carbonate 10-30 %”; once for each.")
@click.option("--dose", metavar="AMOUNT", help="Weight of one dose, like 60 g, 2 oz or 45 mL.")
@logging
@click.pass_context
def label(ctx: click.Context, product: str, lines: tuple[str, ...], dose: str | None, at: str | None, by: str | None,
          note: str | None) -> None:
    """Describe PRODUCT's label; without --line it is asked for line by line."""
    home = household(ctx)
    if not lines and sys.stdin.isatty():
        lines = tuple(_asked())
        asked = click.prompt("Weight of one dose (empty: not known)", default="", show_default=False)
        dose = dose or str(asked) or None
    if not lines and dose is None:
        raise BadInput("A label has at least one line.", hint="Like: --line “sodium carbonate 10-30 %”.")
    done = log_as(home, at, by, note, lambda then, who: labels.labelled(then, product, lines, dose, who))
    draft, entry = done.draft, done.written[0]
    for line in draft.label or ():
        _folded(labels.line_words(line))
    say(f"Logged {entry.id}: the label of “{draft.name}”.")


def _asked() -> list[str]:
    """The label as somebody reads it out, each line told back; an empty one ends it."""
    click.echo("Read the label out, one ingredient at a time, with its share if it is there; an empty line ends.")
    found: list[str] = []
    while True:
        typed = str(click.prompt("Ingredient", default="", show_default=False))
        if not typed.strip():
            return found
        try:
            click.echo(f"  {labels.line_words(typed)}")
            found.append(typed)
        except BadInput as fault:
            click.echo(f"  {fault}")
