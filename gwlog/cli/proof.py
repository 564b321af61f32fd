"""`attest`, `witness`: what happened on paper or between people, and the seal number in the hands of others."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from gwlog import files
from gwlog.app import attested, entries
from gwlog.cli import completion
from gwlog.cli.common import household, log, logbook_option, note, print_json, say, say_folded
from gwlog.clock import echo, echo_date, local
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.settings import typed_path
from gwlog.views.log import sentence

if TYPE_CHECKING:
    from gwlog.views.this_number import ThisNumber


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


@click.command()
@click.option("--to", metavar="WHO", help="Log that it is given to WHO, as it is printed.")
@click.option("--means", metavar="HOW", help="With --to: by hand, by mail, by e-mail, read out.")
@click.option("--slip", metavar="FILE", help="Write a slip for paper: .pdf, .html or .md.")
@click.option("--line", "line_file", metavar="FILE", help="Write the line to be signed into a file.")
@click.option("--query", metavar="FILE.tsq", help="Write a query for a time stamp (RFC 3161) of the line.")
@click.option("--store", metavar="FILE", help="Store a witness's answer: a statement, a signature, a time stamp.")
@click.option("--by", metavar="WHO", help="With --store: who answered.")
@click.option("--number", metavar="NUMBER", help="With --store: the seal number that it speaks of.")
@click.option("--signers", metavar="FILE", help="With --store: the keys of witnesses, as ssh-keygen reads them.")
@click.option("--authority", metavar="CERT.pem", help="With --store: the certificate of the time-stamp authority.")
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
@click.option("--note", "words", metavar="TEXT", help="A note to the entry.")
@click.option("--logged-by", metavar="PERSON", help="Who writes it down.", shell_complete=completion.people)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def witness(ctx: click.Context, to: str | None, means: str | None, slip: str | None, line_file: str | None,
            query: str | None, store: str | None, by: str | None, number: str | None, signers: str | None,
            authority: str | None, replace: bool, words: str | None, logged_by: str | None, as_json: bool) -> None:
    """Give the seal number to somebody outside of the household, or store the answer.

    What they have noted cannot be rewritten unseen. An SSH signature is made over the very line:
    ssh-keygen -Y sign -f KEY -n gwlog-seal FILE
    """
    from gwlog.app import witness as witnesses
    from gwlog.app import witness_answers
    from gwlog.views.this_number import qr

    home = household(ctx)
    if store is not None:
        if by is None:
            raise BadInput("Who answered? Say it with --by WHO.")
        _store(home, typed_path(store), by, number, _path(signers), _path(authority), words, logged_by)
        return
    if any(one is not None for one in (by, number, signers, authority)):
        raise BadInput("--by, --number, --signers and --authority go with --store FILE.")
    if means is not None and to is None:
        raise BadInput("--means goes with --to WHO.")
    this = witnesses.this_number(home)
    if line_file is not None:
        files.write_whole(typed_path(line_file), this.line.encode() + b"\n", replace=replace)
        note(f"Wrote {line_file}.")
    if query is not None:
        files.write_whole(typed_path(query), _query(this), replace=replace)
        note(f"Wrote {query}.")
    if slip is not None:
        from gwlog.documents.slip import slip as paper

        where = typed_path(slip)
        files.write_whole(where, paper(home, this, to, where), replace=replace)
        note(f"Wrote {slip}.")
    if as_json:
        print_json({"line": this.line, "words": this.words, "seal_number": str(this.number)})
    elif not (slip or line_file or query):
        say(this.line)
        say(f"in words: {this.words}")
        for row in qr(this.line).splitlines():
            say(row)
        say_folded(this.ask)
        for row in ("Whoever signs it with an SSH key saves the first line as number.txt (--line number.txt), then:",
                    f"  ssh-keygen -Y sign -f KEY -n {witness_answers.NAMESPACE} number.txt",
                    "To have it stamped by an authority: gwlog witness --query number.tsq",
                    "To store what comes back:           gwlog witness --store FILE --by WHO"):
            say(row)
    if to is not None:
        done = log(home, lambda then: witnesses.given(
            then, to, entries.read_author(then, by=logged_by, note=words), means=means))
        for entry in done.written:
            say(f"Logged {entry.id}: {sentence(done.home, entry)}.")


def _path(typed: str | None) -> Path | None:
    return None if typed is None else typed_path(typed)


def _query(this: ThisNumber) -> bytes:
    from gwlog.app import witness_answers

    try:
        return witness_answers.query(this.number)
    except witness_answers.NotHere as missing:
        raise BadInput(f"No query can be made here: {missing}.",
                       hint="Make it with: openssl ts -query -sha256 -cert -data FILE -out FILE.tsq , FILE being that "
                            "of --line.") from None


def _store(home: Household, file: Path, by: str, number: str | None, signers: Path | None, authority: Path | None,
           words: str | None, logged_by: str | None) -> None:
    from gwlog.app import witness as witnesses

    done = log(home, lambda then: witnesses.stored(
        then, file, by, entries.read_author(then, by=logged_by, note=words), number=number, signers=signers,
        authority=authority))
    for entry in done.written:
        say(f"Logged {entry.id}: {sentence(done.home, entry)}.")
    judged = done.draft.judged
    if judged.at is not None:
        say(f"It says: {echo(judged.at, done.home.zone)}, by {judged.who}.")
