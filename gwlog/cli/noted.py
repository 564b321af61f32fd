"""`noted`: the seal numbers that gwlog notes by itself at each entry."""

from __future__ import annotations

import sys

import click

from gwlog import clock
from gwlog.cli.common import logbook_option, path_of, print_json, say, say_folded
from gwlog.errors import FINE, NOT_VERIFIED, BadInput


@click.command()
@click.option("--second-place", metavar="FOLDER", help="Keep them in this folder as well; “none” for no longer.")
@click.option("--as-it-is", is_flag=True, help="The logbook is an older copy on purpose: go on from what it holds.")
@click.option("--yes", is_flag=True, help="With --as-it-is, without asking; needed where there is no terminal.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def noted(ctx: click.Context, second_place: str | None, as_it_is: bool, yes: bool, as_json: bool) -> int:
    """The seal numbers that gwlog notes at each entry, in a file that does not lie with the logbook.

    Exit code 4 when the logbook is not what was noted of it.
    """
    from gwlog.app import noted as app

    path = path_of(ctx)
    if second_place is not None:
        say(app.second_place(second_place, path))
    found = app.noted(path)
    if as_it_is and found.problem is not None:
        if not yes:
            if not sys.stdin.isatty():
                raise BadInput("What was noted would not be asked for any more; nothing was changed.",
                               hint="Say --yes to take the logbook as it is.")
            say_folded(found.problem.text)
            click.confirm("Take the logbook as it is now?", abort=True, err=True)
        say(app.as_it_is(path, clock.now()))
        found = app.noted(path)
    if as_json:
        last = found.lines[-1] if found.lines else None
        print_json({
            "file": None if found.file is None else str(found.file), "numbers": len(found.lines),
            "last": None if last is None else {"seal_number": f"{last.number}:{last.hash[:16]}", "noted_at": last.at},
            "second_place": None if found.second is None else str(found.second), "behind": found.behind,
            "as_noted": found.problem is None,
            "problem": None if found.problem is None else
            {"text": found.problem.text, "way_out": str(found.problem.way_out)}})
    else:
        for line in found.told:
            say_folded(str(line))
    return FINE if found.problem is None else NOT_VERIFIED
