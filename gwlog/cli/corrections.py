"""`correct`, `withdraw`, `erase-note`: what is wrong in the log is put right by new entries; only a note can be erased.
"""

from __future__ import annotations

import sys

import click

from gwlog import clock
from gwlog.app import corrections, entries
from gwlog.cli import completion, kept
from gwlog.cli.common import NumberCommand, household, log, log_as, logbook_option, logging, path_of, say, say_odd_now
from gwlog.errors import BadInput
from gwlog.household import list_set_up
from gwlog.views.log import sentence


@click.command(cls=NumberCommand)
@click.argument("number", metavar="ID", type=int)
@click.option("--at", metavar="WHEN", help="When it really happened.")
@click.option("--by", metavar="PERSON", help="Who it was, where that was wrong.",
              shell_complete=completion.people)
@click.option("--note", metavar="TEXT", help="Why, or the right note.")
@click.option("--to", metavar="WHERE", shell_complete=completion.places,
              help="A load: garden or sewer. A move: the basin. A valve switch: the position.")
@click.option("--volume", metavar="AMOUNT", help="The water of a load, or other water.")
@click.option("--load", "load_name", metavar="LOAD", help="A load: which usual load it was.",
              shell_complete=completion.loads)
@click.option("--product", "-p", multiple=True, metavar="NAME", shell_complete=completion.products,
              help="A load: its products, all of them; “none” for none.")
@click.option("--contents", "-c", multiple=True, metavar="WHAT", shell_complete=completion.contents,
              help="A load: what it contained, all of it; “none” for none.")
@click.option("--outlet", metavar="OUTLET", help="A move: which outlet.", shell_complete=completion.outlets)
@click.option("--basin", metavar="BASIN", help="A move, mulch, other water or observation: which basin.",
              shell_complete=completion.basins)
@click.option("--way", metavar="WAY", help="Other water: can, drip, hose or flush.",
              shell_complete=completion.ways)
@click.option("--depth", metavar="DEPTH", help="Mulch: the depth.")
@click.option("--ec", metavar="AMOUNT", help="A soil reading: its conductivity; likewise --sar, --esp, --boron, --ph.")
@click.option("--sar", metavar="N", hidden=True)
@click.option("--esp", metavar="PERCENT", hidden=True)
@click.option("--boron", metavar="AMOUNT", hidden=True)
@click.option("--ph", metavar="N", hidden=True)
@click.option("--extract", metavar="KIND", help="A soil reading: saturation or 1:5.")
@click.option("--rain", metavar="AMOUNT", help="A weather day: the rain.")
@click.option("--since", metavar="DAY", help="A weather day: the rain is a gauge's total since then; “day”: of that "
                                              "day alone.")
@click.option("--kind", metavar="KIND", help="An observation: what it was.",
              shell_complete=completion.observations)
@click.option("--task", metavar="TASK", help="Upkeep: which task.", shell_complete=completion.tasks)
@logbook_option
@click.pass_context
def correct(ctx: click.Context, /, number: int, at: str | None, by: str | None, note: str | None,
            **changed: object) -> None:
    """Correct entry ID: name what was different. The first version stays in the record."""
    home = household(ctx)
    said = {key: value for key, value in changed.items() if value}
    done = log(home, lambda then: corrections.correct(then, number, at=at, by=by, note=note, **said))
    say(f"Logged {done.written[0].id}: corrects {number}: {sentence(done.home, done.written[0])}.")
    say_odd_now(done.home, done.written)


@click.command(cls=NumberCommand)
@click.argument("number", metavar="ID", type=int)
@logging
@click.pass_context
def withdraw(ctx: click.Context, number: int, at: str | None, by: str | None, note: str | None) -> None:
    """Withdraw entry ID; --note says why. It stays readable in the record."""
    done = log_as(household(ctx), at, by, note, lambda then, who: entries.withdraw(then, number, who))
    gone = sentence(done.home, entries.find_entry(done.home, number))
    say(f"Logged {done.written[0].id}: {number} is withdrawn: {gone}.")
    say_odd_now(done.home, done.written)


@click.command("erase-note", cls=NumberCommand)
@click.argument("number", metavar="ID", type=int)
@click.option("--yes", is_flag=True, help="Erase without asking; needed where there is no terminal.")
@logbook_option
@click.pass_context
def erase_note(ctx: click.Context, number: int, yes: bool) -> None:
    """Erase the words of entry ID's note for good. The entry stays, and the seal still holds."""
    from gwlog.app import door
    from gwlog.views import outcomes

    path = path_of(ctx)
    with list_set_up(path, clock.now()) as lists:
        corrections.noted_wordings(lists, number)
    if not yes:
        if not sys.stdin.isatty():
            raise BadInput("An erased note cannot be brought back; nothing was changed.",
                           hint="Say --yes to erase it.")
        say(outcomes.NOTE_STAYS)
        click.confirm(f"Erase the note of entry {number} for good?", abort=True, err=True)
    noted = door.erase_note(path, number, kept=lambda: kept.something(f"The note of entry {number} is erased"))
    for line in outcomes.note_erased(noted):
        say(line)
