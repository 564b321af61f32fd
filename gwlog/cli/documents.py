"""`report`, `manual`, `card`: what is printed and handed over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from gwlog import clock
from gwlog.cli.common import household, logbook_option
from gwlog.errors import BadInput
from gwlog.household import Household

F = TypeVar("F", bound=Callable[..., Any])


def printing(command: F) -> F:
    """Options of a command that writes a PDF: --paper, --at, --logbook."""
    command = click.option("--paper", metavar="letter|a4", help="Paper; default: as the household's units suggest.")(
        command)
    command = click.option("--at", metavar="WHEN", help="As of another moment, like “tue 7pm”.")(command)
    return logbook_option(command)


@click.command()
@click.argument("file")
@click.option("--from", "start", metavar="DAY", help="First day of the period; default: the logbook's first.")
@click.option("--to", "end", metavar="DAY", help="Last day of the period; default: today.")
@click.option("--without-notes", is_flag=True, help="Withhold every note; the seal still holds.")
@click.option("--without-notes-of", multiple=True, metavar="KIND",
              help="Withhold the notes of one kind of entry, like “observation”; may be repeated.")
@click.option("--roles", is_flag=True, help="Roles instead of people's names.")
@printing
@click.pass_context
def report(ctx: click.Context, file: str, start: str | None, end: str | None, without_notes: bool,
           without_notes_of: tuple[str, ...], roles: bool, paper: str | None, at: str | None) -> None:
    """Write the record of a period to FILE: .pdf, .html, .md or .csv."""
    from gwlog.documents.record.report import write_report

    home = household(ctx, at)
    out = Path(file)
    write_report(home, out, _day(home, start), _day(home, end), without_notes=without_notes or without_notes_of,
                 roles=roles, paper=_pdf_paper(out, paper))
    _wrote(out)


@click.command()
@click.argument("file", metavar="FILE.pdf")
@printing
@click.pass_context
def manual(ctx: click.Context, file: str, paper: str | None, at: str | None) -> None:
    """Write the operation and maintenance manual of this very system to FILE.pdf."""
    from gwlog.documents.manual.manual import write_manual

    out = _pdf_only(file)
    write_manual(household(ctx, at), out, paper=paper)
    _wrote(out)


@click.command()
@click.argument("file", metavar="FILE.pdf")
@printing
@click.pass_context
def card(ctx: click.Context, file: str, paper: str | None, at: str | None) -> None:
    """Write one page for the wall by the machine to FILE.pdf."""
    from gwlog.documents.card import write_card

    out = _pdf_only(file)
    write_card(household(ctx, at), out, paper=paper)
    _wrote(out)


def _day(home: Household, typed: str | None) -> date | None:
    return None if typed is None else clock.local_day(clock.moment(typed, home.now, home.zone), home.zone)


def _pdf_only(file: str) -> Path:
    out = Path(file)
    if out.suffix.casefold() != ".pdf":
        raise BadInput(f"“{out.name[:60]}” does not end in .pdf; only that form is accepted here.")
    return out


def _pdf_paper(out: Path, paper: str | None) -> str | None:
    if paper is not None and out.suffix.casefold() != ".pdf":
        raise BadInput("--paper is for PDF; the other forms have no pages.")
    return paper


def _wrote(out: Path) -> None:
    click.echo(f"Wrote {out}.", err=True)
