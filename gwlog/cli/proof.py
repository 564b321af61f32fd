"""`attest`: what happened on paper or between people, as evidence for the code's conditions."""

from __future__ import annotations

import click

from gwlog.app import attested
from gwlog.cli import completion
from gwlog.cli.common import household, log, logbook_option, note, say
from gwlog.clock import echo_date, local
from gwlog.views.log import sentence


@click.command()
@click.argument("what", shell_complete=completion.attested)
@click.option("--by", metavar="WHO", help="Who did it: the office, the inspector, the owner.")
@click.option("--to", metavar="WHO", help="Who got it.")
@click.option("--at", metavar="DAY", help="When it was, like “march 3”; also before the logbook begins.")
@click.option("--file", "file", metavar="FILE", help="The paper itself; the entry keeps its name and digest.")
@click.option("--note", "words", metavar="TEXT", help="A note to the entry.")
@click.option("--logged-by", metavar="PERSON", help="Who writes it down.", shell_complete=completion.people)
@logbook_option
@click.pass_context
def attest(ctx: click.Context, what: str, by: str | None, to: str | None, at: str | None, file: str | None,
           words: str | None, logged_by: str | None) -> None:
    """Log a paper or a visit: a permit or notice, a cross-connection check, a manual handed over, a visit.

    It counts as evidence for what the code asks for. The file stays where it is; keep it.
    """
    home = household(ctx)
    who = attested.author_of(home, at, logged_by, words)
    if at is not None:
        note(f"Understood as {echo_date(local(who.happened_at, home.zone).date(), home.system)}.")
    typed = None if at is None else who.happened_at.isoformat()
    done = log(home, lambda then: attested.attest(
        then, what, attested.author_of(then, typed, logged_by, words), by=by, to=to, file=file))
    say(f"Logged {done.written[0].id}: {sentence(done.home, done.written[0])}.")
