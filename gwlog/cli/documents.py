"""`report`, `manual`, `card`: what is printed and handed over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from gwlog import clock
from gwlog.app import exports
from gwlog.cli.common import household, logbook_option, note
from gwlog.household import Household
from gwlog.settings import typed_path
from gwlog.views import outcomes

F = TypeVar("F", bound=Callable[..., Any])


def replacing(command: F) -> F:
    """`--replace`, of every command that writes a file."""
    return click.option("--replace", is_flag=True, help="Write over a file that is there, whatever it is.")(command)


def printing(command: F) -> F:
    """Options of a command that writes a paper: --paper, --font, --replace, --at, --logbook."""
    command = click.option("--font", metavar="FILE", help="A font for names in signs that gwlog's own lacks (PDF).")(
        command)
    command = click.option("--paper", metavar="letter|a4", help="Paper; default: as the household's units suggest.")(
        command)
    command = click.option("--at", metavar="WHEN", help="As of another moment, like “tue 7pm”.")(command)
    return logbook_option(replacing(command))


def kinds(every: bool, named: tuple[str, ...]) -> frozenset[str]:
    """The kinds of entry whose notes are left out: all, or those named, like “outlet move”."""
    from gwlog.journal.facts import KINDS
    from gwlog.text import pick

    if every:
        return frozenset(KINDS)
    names = {kind.replace("_", " "): kind for kind in KINDS}
    return frozenset(names[pick("kind of entry", word.replace("_", " "), list(names))] for word in named)


@click.command()
@click.argument("file")
@click.option("--from", "start", metavar="DAY", help="First day of the period; default: the logbook's first.")
@click.option("--to", "end", metavar="DAY", help="Last day of the period; default: today.")
@click.option("--without-notes", is_flag=True, help="Leave out all notes; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND",
              help="Leave out the notes of one kind of entry, like “observation”; may be repeated.")
@click.option("--roles", is_flag=True, help="Roles instead of people's names.")
@printing
@click.pass_context
def report(ctx: click.Context, file: str, start: str | None, end: str | None, without_notes: bool,
           without_notes_of: tuple[str, ...], roles: bool, paper: str | None, font: str | None, replace: bool,
           at: str | None) -> None:
    """Write the record of a period to FILE: .pdf, .html, .md or .csv. A record that is there already is replaced."""
    home = household(ctx, at)
    out = typed_path(file)
    lost = exports.report(home, out, _day(home, start), _day(home, end),
                          withhold=kinds(without_notes, without_notes_of), roles=roles, paper=paper, font=_font(font),
                          replace=replace)
    _wrote(out, lost)


@click.command()
@click.argument("file", metavar="FILE")
@printing
@click.pass_context
def manual(ctx: click.Context, file: str, paper: str | None, font: str | None, replace: bool, at: str | None) -> None:
    """Write the operation and maintenance manual of this system to FILE: .pdf or .html."""
    lost = exports.manual(household(ctx, at), out := typed_path(file), paper=paper, font=_font(font), replace=replace)
    _wrote(out, lost)


@click.command()
@click.argument("file", metavar="FILE")
@printing
@click.pass_context
def card(ctx: click.Context, file: str, paper: str | None, font: str | None, replace: bool, at: str | None) -> None:
    """Write the card for the wall by the machine to FILE: .pdf or .html."""
    lost = exports.card(household(ctx, at), out := typed_path(file), paper=paper, font=_font(font), replace=replace)
    _wrote(out, lost)


def _day(home: Household, typed: str | None) -> date | None:
    return None if typed is None else clock.local_day(clock.moment(typed, home.now, home.zone), home.zone)


def _font(typed: str | None) -> Path | None:
    return None if typed is None else typed_path(typed)


def _wrote(out: Path, lost: str = "") -> None:
    note(f"Wrote {out}.")
    for line in outcomes.unprintable(lost):
        note(str(line))
