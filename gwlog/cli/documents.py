"""`report`, `manual`, `card`: what is printed and handed over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from gwlog import clock
from gwlog.app import exports
from gwlog.cli.common import household, logbook_option, note, say
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
@click.option("--for", "reader", metavar="READER", default="landlord",
              help="For whom: landlord (default), inspector, next-tenant or everything.")
@click.option("--annex", metavar="FILE", help="Write the annex too: tables of what is remarkable.")
@click.option("--full", is_flag=True, help="In the annex, every entry and week.")
@click.option("--preview", is_flag=True, help="Say what this reader learns and what not; write nothing.")
@click.option("--from", "start", metavar="DAY",
              help="First day; default: the household's first. The landlord is told its whole week.")
@click.option("--to", "end", metavar="DAY",
              help="Last day; default: today. The landlord is told of weeks that are over.")
@click.option("--without-notes", is_flag=True, help="Leave out all notes; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND",
              help="Leave out the notes of one kind of entry, like “observation”; may be repeated.")
@click.option("--roles", is_flag=True, help="Roles instead of people's names, where the reader is shown names.")
@printing
@click.pass_context
def report(ctx: click.Context, file: str, reader: str, annex: str | None, full: bool, preview: bool, start: str | None,
           end: str | None, without_notes: bool, without_notes_of: tuple[str, ...], roles: bool, paper: str | None,
           font: str | None, replace: bool, at: str | None) -> None:
    """Write a letter of two pages on how the water was run to FILE: .pdf, .html, .md, or .csv for tables.

    The landlord is told whole weeks and nothing private. A letter that is there already is replaced.
    """
    home = household(ctx, at)
    out, beside = typed_path(file), typed_path(annex) if annex else None
    whom, first, last = reader_of(reader), _day(home, start), _day(home, end)
    withhold = kinds(without_notes, without_notes_of)
    if preview:
        from gwlog.documents import disclosed

        exports.report_form(out)
        for line in disclosed.lines(home, whom, first, last, without_notes=withhold, roles=roles):
            say(line)
        return
    lost = exports.report(home, out, first, last, reader=whom, annex=beside, full=full, withhold=withhold, roles=roles,
                          paper=paper, font=_font(font), replace=replace)
    _wrote(out, lost)
    if beside is not None:
        _wrote(beside, "")


def reader_of(word: str) -> str:
    """The reader that a person names: “landlord”, “next tenant”. Raises BadInput."""
    from gwlog.journal.disclosure import READERS
    from gwlog.text import pick

    return pick("reader", word.strip().replace(" ", "-").replace("_", "-"), READERS)


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
