"""`received`: the records of many homes taken in at once, for whoever gets them."""

from __future__ import annotations

import click

from gwlog import clock, settings
from gwlog.cli.common import note, print_json, say, say_folded, table
from gwlog.errors import FINE, NOT_VERIFIED
from gwlog.settings import typed_path


@click.command()
@click.argument("folder", metavar="FOLDER")
@click.argument("page", metavar="[PAGE]", required=False)
@click.option("--accept", "accepted", multiple=True, metavar="FILE",
              help="Take this record in as a home of its own, under a name that another one has.")
@click.option("--memory", metavar="FILE", help="Where the last seal number of each home is kept; default: beside the "
                                                "settings.")
@click.option("--replace", is_flag=True, help="Write over a PAGE that is there, whatever it is.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
def received(folder: str, page: str | None, accepted: tuple[str, ...], memory: str | None, replace: bool,
             as_json: bool) -> int:
    """Verify the records of many homes in FOLDER, and compare each with the last one received of the same home.

    PAGE (.html, .pdf, .csv or .md) gets the same table. Exit code 4 when a record does not hold or does not continue
    the last one; nothing of such a record is remembered. A file that is no record is named and passed over.
    """
    from gwlog.app import exports
    from gwlog.app.receive import receive
    from gwlog.views import received as words

    out = None if page is None else typed_path(page)
    if out is not None:
        exports.refuse_received_page(out, replace=replace)
    found = receive(typed_path(folder), clock.now(),
                    settings.received_path() if memory is None else typed_path(memory),
                    accept=[typed_path(one) for one in accepted])
    if out is not None:
        exports.received_page(found, out, replace=replace)
    if as_json:
        print_json(words.as_json(found))
        return FINE if found.fine else NOT_VERIFIED
    say_folded(words.headline(found))
    for line in words.faults(found):
        say_folded(f"  {line}")
    if found.homes:
        say()
        table(words.HEAD, words.rows(found), right=(4, 5))
        say()
        say_folded(words.CLAIMED)
    for line in words.passed_over(found):
        note(line)
    if out is not None:
        note(f"Wrote {out}.")
    return FINE if found.fine else NOT_VERIFIED
