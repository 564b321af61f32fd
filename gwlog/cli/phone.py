"""`phone`: pages for a phone on the household's own network, and which phones may open them."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from typing import TYPE_CHECKING

import click

from gwlog import clock, text
from gwlog.cli import completion
from gwlog.cli.common import document, household, logbook_option, note, path_of, print_json, say, table
from gwlog.cli.output import plain
from gwlog.errors import FINE, GwlogError
from gwlog.household import read_zone
from gwlog.settings import typed_path

if TYPE_CHECKING:
    from pathlib import Path

    from gwlog.phone.kept_place import Kept
    from gwlog.phone.keys import Keys

MISSING = "The phone's pages need three libraries that are not installed."


@click.group()
def phone() -> None:
    """Pages for phones on your own network, off until served; and which phones may open them."""


@phone.command()
@click.option("--address", metavar="ADDRESS", help="This machine's address on your own network, like 192.168.1.20.")
@click.option("--every-address", is_flag=True, help="At each address of an own network that this machine has.")
@click.option("--port", type=click.IntRange(0, 65535), metavar="N", help="The port (8765); 0 for a free one.")
@click.option("--name", "names", multiple=True, metavar="NAME",
              help="What the machine is called on the network, like washer.local.")
@click.option("--cert", metavar="FILE", help="A certificate (PEM): the pages are sent by TLS.")
@click.option("--key", metavar="FILE", help="The certificate's key (PEM), if it is not in the same file.")
@click.option("--watch", is_flag=True, help="Send reminders too, as gwlog watch does.")
@click.option("--print-unit", "unit", metavar="KIND",
              help="Print what starts it with the machine: systemd, launchd, cron, task-scheduler.")
@logbook_option
@click.pass_context
def serve(ctx: click.Context, address: str | None, every_address: bool, port: int | None, names: tuple[str, ...],
          cert: str | None, key: str | None, watch: bool, unit: str | None) -> int:
    """Serve the pages at one address, until stopped. Never for the internet.

    What is not said is as it was served last.
    """
    from gwlog.journal import store
    from gwlog.phone import kept_place
    from gwlog.phone.overview import INSTALL, NEEDED

    if any(find_spec(one) is None for one in NEEDED):
        raise GwlogError(MISSING, hint=f"Install them: {INSTALL}")
    path = path_of(ctx)
    store.ready(path)
    how = kept_place.changed(
        str(store.logbook_id(path)), address, every=every_address, port=port, names=names,
        cert=None if cert is None else typed_path(cert), key=None if key is None else typed_path(key))
    if unit is not None:
        return _print_unit(path, unit, how, watch=watch)
    from gwlog.phone import server

    watcher = None
    if watch:
        from gwlog.notify.watcher import Watcher

        watcher = Watcher(path, _aside)

    def begun(url: str) -> None:
        say(f"The phone's pages are at {url}")
        note(f"For {path}; to stop: Ctrl-C. Add a phone: gwlog phone add NAME")
        if not how.place.secure:
            note("Careful: plain HTTP can be read by whoever is on the same Wi-Fi; --cert and --key prevent it.")

    server.serve(path, how, begun, None if watcher is None else watcher.beside)
    note("Stopped serving.")
    return FINE if watcher is None else watcher.answer


def _aside(words: str) -> None:
    note(words)


def _print_unit(path: Path, typed: str, how: Kept, *, watch: bool) -> int:
    """What starts it with the machine: nothing of the place is in it where it is what was served last."""
    from gwlog.journal import store
    from gwlog.notify import service_files
    from gwlog.phone import kept_place

    kind = text.pick("unit", typed, service_files.KINDS)
    said = () if how == kept_place.kept(str(store.logbook_id(path))) else kept_place.options(how)
    document(service_files.unit_file(kind, path, service_files.phone(watch=watch, said=said)))
    return FINE


@phone.command()
@click.argument("name", metavar="NAME", shell_complete=completion.people)
@logbook_option
@click.pass_context
def add(ctx: click.Context, name: str) -> None:
    """Add a phone of NAME: shows a QR code and six words.

    Either is good once and for ten minutes, while the pages are served.
    """
    from gwlog.phone.pairing import invitation_lines, invite, qr_lines

    home = household(ctx)
    invitation = invite(home, name)
    _draw(qr_lines(invitation.link))
    for line in invitation_lines(invitation, home):
        say(line)


@phone.command()
@click.argument("name", metavar="NAME", shell_complete=completion.people)
@logbook_option
@click.pass_context
def calendar(ctx: click.Context, name: str) -> None:
    """Make an address from which NAME's phone fetches the calendar by itself.

    It is shown once, and opens nothing else.
    """
    from gwlog.phone import pairing

    found = pairing.calendar(household(ctx), name)
    _draw(pairing.qr_lines(found.link))
    for line in pairing.calendar_lines(found):
        say(line)


def _draw(lines: list[str]) -> None:
    """A QR code, where the console has its signs."""
    drawn = "\n".join(lines)
    if plain(drawn, getattr(sys.stdout, "encoding", None)) == drawn:
        say(drawn)


@phone.command("list")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for other programs.")
@logbook_option
@click.pass_context
def list_(ctx: click.Context, as_json: bool) -> None:
    """List the phones, and the address that was served last."""
    from gwlog.phone import address

    path = path_of(ctx)
    zone = read_zone(path)
    logbook, keys = _keys(ctx)
    url, known = address.noted(logbook), keys.phones()
    if as_json:
        print_json({"address": url, "phones": [{"number": one.number, "person": one.person, "opens": one.opens,
                                                "added": clock.iso(one.added)} for one in known]})
        return
    say(f"Served last at {url}" if url else "Not served yet: gwlog phone serve")
    if known:
        table(("phone", "whose", "opens", "added"),
              [(str(one.number), one.person, one.opens, clock.echo(one.added, zone)) for one in known], right=(0,))
    else:
        say("No phone is added: gwlog phone add NAME")


@phone.command()
@click.argument("number", type=int, metavar="NUMBER")
@logbook_option
@click.pass_context
def remove(ctx: click.Context, number: int) -> None:
    """Let a phone, or a calendar, in no more, at once. NUMBER: as phone list shows it."""
    from gwlog.phone.keys import removed_line

    say(removed_line(_keys(ctx)[1].remove(number)))


def _keys(ctx: click.Context) -> tuple[str, Keys]:
    """The logbook's id, and its phones."""
    from gwlog.journal import store
    from gwlog.phone.keys import Keys

    path = path_of(ctx)
    store.ready(path)
    logbook = str(store.logbook_id(path))
    return logbook, Keys(logbook)
