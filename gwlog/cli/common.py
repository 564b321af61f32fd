"""What commands share: the logbook's path, the options that every entry has, printing data and talk."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from gwlog import clock, settings, text
from gwlog.app import entries
from gwlog.cli import completion, kept
from gwlog.cli.output import document as document
from gwlog.cli.output import note as note
from gwlog.cli.output import plain, put
from gwlog.cli.output import say as say
from gwlog.household import Household, look_set_up, present_moment
from gwlog.journal.facts import Fact
from gwlog.views import consequences

if TYPE_CHECKING:
    from gwlog.app import door

F = TypeVar("F", bound=Callable[..., Any])
D = TypeVar("D", bound="Fact | Sequence[Fact] | door.Drafted")
SCHEMA = 1


def logbook_option(command: F) -> F:
    """`--logbook`, also after the command's name."""
    return click.option("--logbook", metavar="PATH", expose_value=False, callback=_remember,
                        help="The logbook to use (or GWLOG_LOGBOOK).")(command)


def _remember(ctx: click.Context, _param: click.Parameter, value: str | None) -> None:
    if value is not None:
        ctx.obj = value


def reading(command: F) -> F:
    """Options of a command that reads: --json, --at, --logbook."""
    command = click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")(command)
    command = click.option("--at", metavar="WHEN", help="Ask about another moment, like “tue 7pm”.")(command)
    return logbook_option(command)


class NumberCommand(click.Command):
    """A command whose argument is a number: a negative one is refused for what it is, not taken for an option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        valued = {name for param in self.params if isinstance(param, click.Option) and not param.is_flag
                  for name in param.opts}
        below = [place for place, word in enumerate(args) if word[:1] == "-" and word[1:2] in ".0123456789"
                 and word[1:] and (place == 0 or args[place - 1] not in valued)]
        if below and "--" not in args:
            args = [*(word for place, word in enumerate(args) if place not in below), "--",
                    *(args[place] for place in below)]
        return super().parse_args(ctx, args)


def logging(command: F) -> F:
    """Options of a command that logs: --at, --by, --note, --logbook."""
    command = click.option("--note", metavar="TEXT", help="A note to the entry.")(command)
    command = click.option("--by", metavar="PERSON", help="Who did it.", shell_complete=completion.people)(command)
    command = click.option("--at", metavar="WHEN", help="When it happened, like “yesterday 18:30”.")(command)
    return logbook_option(command)


def path_of(ctx: click.Context) -> Path:
    """The logbook that this command line means."""
    return settings.logbook_path(ctx.find_root().obj if ctx.obj is None else ctx.obj)


def household(ctx: click.Context, at: str | None = None) -> Household:
    """Look at the household, at the moment that `--at` names."""
    moment = moment_of(ctx, at)
    home = look_set_up(path_of(ctx), moment if at is None else present_moment(None, path_of(ctx)))
    for alarm in home.alarms:
        _note_once(alarm.text)
        note(f"  → {alarm.way_out}")
    return home if at is None else home.at(moment)


def _note_once(words: str) -> None:
    """Tell on stderr what may be told twice by one command: by the look, and by what is written after it."""
    told: set[str] = click.get_current_context().find_root().meta.setdefault("gwlog.told", set())
    if words not in told:
        told.add(words)
        note(words)


def moment_of(ctx: click.Context, at: str | None) -> datetime:
    """The moment that `--at` names, said back as it was understood; now without it."""
    path = path_of(ctx)
    kept.tell_untold(path)
    moment = present_moment(at, path)
    if at is not None:
        echo_moment(moment, path)
    return moment


def echo_moment(moment: Any, path: Path) -> None:
    """Say back how a typed moment was understood."""
    from gwlog.household import read_zone

    note(f"As of {clock.echo(moment, read_zone(path))}.")


def author(home: Household, at: str | None, by: str | None, words: str | None) -> entries.Author:
    """Read --at, --by, --note and say back a typed moment."""
    who = entries.read_author(home, at=at, by=by, note=words)
    if at is not None:
        note(f"Understood as {clock.echo(who.happened_at, home.zone)}.")
    return who


def log(home: Household, decide: Callable[[Household], D]) -> door.Logged[D]:
    """Append what `decide` makes of the household, all or nothing; a clock that looks wrong is told before."""
    from gwlog.app import door

    return door.log(home, decide, mind=lambda words: _note_once(str(words)), kept=kept.entries)


def log_as(home: Household, at: str | None, by: str | None, words: str | None,
           decide: Callable[[Household, entries.Author], D]) -> door.Logged[D]:
    """The same for what happened at a moment, by somebody, with a note: --at, --by and --note."""
    who = author(home, at, by, words)
    typed = None if at is None else who.happened_at
    return log(home, lambda then: decide(then, entries.read_author(then, at=typed, by=by, note=words)))


def say_late(home: Household, written: Sequence[Fact]) -> None:
    """After entries that reach back: say what they changed in what came later, and what no longer fits together."""
    for line in consequences.late(home, written):
        say(str(line))


def say_odd_now(home: Household, written: Sequence[Fact]) -> None:
    """Say what contradicts itself in the log, each with a way out."""
    for line in consequences.odd_now(home, written):
        say(str(line))


def print_json(data: dict[str, Any]) -> None:
    """One JSON object on stdout, with the schema's number."""
    made = json.dumps({"schema": SCHEMA, **data}, ensure_ascii=False, indent=2, allow_nan=False)
    if plain(made, getattr(sys.stdout, "encoding", None)) != made:
        made = json.dumps({"schema": SCHEMA, **data}, indent=2, allow_nan=False)
    put(made)


def table(head: Sequence[str], rows: Iterable[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Print aligned columns within the terminal's width; `right`: numbers of the columns set to the right."""
    from gwlog.cli import columns

    cells = [[text.one_line(cell) for cell in row] for row in rows]
    for line in columns.lines(head, cells, _terminal_width(), right):
        say(line)


def say_folded(line: str) -> None:
    """Print a line of text, folded at words to the terminal's width."""
    from gwlog.cli import columns

    for one in columns.folded(text.clean(line), _terminal_width()):
        say(one)


def _terminal_width() -> int:
    import shutil

    return shutil.get_terminal_size((80, 24)).columns


def screen_width() -> int:
    """Columns to fold sentences to: the terminal's, at most 100; 80 where there is none."""
    return min(100, _terminal_width())
