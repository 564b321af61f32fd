"""`phone`: pages for a phone on the household's own network, and which phones may open them."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from typing import TYPE_CHECKING

import click

from gwlog import clock
from gwlog.cli import completion
from gwlog.cli.common import household, logbook_option, note, path_of, print_json, say, table
from gwlog.cli.output import plain
from gwlog.errors import BadInput, GwlogError
from gwlog.household import read_zone
from gwlog.settings import typed_path

if TYPE_CHECKING:
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
@logbook_option
@click.pass_context
def serve(ctx: click.Context, address: str | None, every_address: bool, port: int | None, names: tuple[str, ...],
          cert: str | None, key: str | None) -> None:
    """Serve the pages at one address, until stopped. Never for the internet."""
    from gwlog.phone import address as addresses

    if any(find_spec(one) is None for one in ("starlette", "jinja2", "uvicorn")):
        raise GwlogError(MISSING, hint='Install them: pip install "gwlog[phone]"')
    if key is not None and cert is None:
        raise BadInput("--key goes with --cert; name the certificate too.")
    place = addresses.Place(addresses.named(address, every=every_address), addresses.PORT if port is None else port,
                            tuple(addresses.host_name(one) for one in names), cert is not None, every_address)
    from gwlog.phone import server

    path = path_of(ctx)

    def begun(url: str) -> None:
        say(f"The phone's pages are at {url}")
        note(f"For {path}; to stop: Ctrl-C. Add a phone: gwlog phone add NAME")
        if not place.secure:
            note("Careful: plain HTTP can be read by whoever is on the same Wi-Fi; --cert and --key prevent it.")

    server.serve(path, place, begun, cert=None if cert is None else typed_path(cert),
                 key=None if key is None else typed_path(key))
    note("Stopped serving.")


@phone.command()
@click.argument("name", metavar="NAME", shell_complete=completion.people)
@logbook_option
@click.pass_context
def add(ctx: click.Context, name: str) -> None:
    """Add a phone of NAME: shows a QR code and six words.

    Either is good once and for ten minutes, while the pages are served.
    """
    from gwlog.phone.pairing import invite, qr_lines

    home = household(ctx)
    invitation = invite(home, name)
    drawn = "\n".join(qr_lines(invitation.link))
    if plain(drawn, getattr(sys.stdout, "encoding", None)) == drawn:
        say(drawn)
    say(f"Scan it with {invitation.offer.person}'s phone, or open {invitation.url} there and type:")
    say()
    say(f"  {invitation.offer.phrase}")
    say()
    say(f"Good once, until {clock.echo_near(invitation.offer.until, home.zone, home.now)}. The pages must be served "
        "then: gwlog phone serve")


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
        print_json({"address": url, "phones": [{"number": one.number, "person": one.person,
                                                "added": clock.iso(one.added)} for one in known]})
        return
    say(f"Served last at {url}" if url else "Not served yet: gwlog phone serve")
    if known:
        table(("phone", "whose", "added"),
              [(str(one.number), one.person, clock.echo(one.added, zone)) for one in known], right=(0,))
    else:
        say("No phone is added: gwlog phone add NAME")


@phone.command()
@click.argument("number", type=int, metavar="NUMBER")
@logbook_option
@click.pass_context
def remove(ctx: click.Context, number: int) -> None:
    """Let a phone in no more, at once. NUMBER: as phone list shows it."""
    gone = _keys(ctx)[1].remove(number)
    say(f"Removed phone {gone.number}, {gone.person}'s.")


def _keys(ctx: click.Context) -> tuple[str, Keys]:
    """The logbook's id, and its phones."""
    from gwlog.journal import store
    from gwlog.phone.keys import Keys

    path = path_of(ctx)
    store.ready(path)
    logbook = str(store.logbook_id(path))
    return logbook, Keys(logbook)
