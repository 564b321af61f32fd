"""At which address the phone's pages are: what may be one, what a phone may call it, and which was used last.

It loads nothing heavy: whoever draws a card, adds a phone or sends a message asks here.
"""

from __future__ import annotations

import json
import re
import socket
from collections.abc import Mapping
from hashlib import sha256
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path

from gwlog import files, settings, text
from gwlog.actions import Action, Argument, Hint
from gwlog.errors import BadInput, GwlogError
from gwlog.values import dataclass, replace

Address = IPv4Address | IPv6Address

PORT = 8765
EVERY = (IPv4Address("0.0.0.0"), IPv6Address("::"))

OWN_NETWORKS = tuple(ip_network(one) for one in (
    "127.0.0.0/8", "::1/128",                             # this machine
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16",      # RFC 1918
    "fc00::/7",                                           # RFC 4193
    "169.254.0.0/16", "fe80::/10",                        # link-local: RFC 3927, RFC 4291
    "100.64.0.0/10",                                      # RFC 6598; what some VPNs hand out
))
"""Networks that the internet does not reach."""

VPN = "To reach it from elsewhere, connect the phone to your own network by a VPN."
_HOST = re.compile(r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*")
_NOTE = "address.json"
_LARGEST = 4_000


@dataclass(frozen=True, slots=True)
class Place:
    """Where the pages are served. `names`: what else the machine is called on the network; `secure`: with TLS.

    `every`: at each address of this machine that is of an own network.
    """

    address: Address
    port: int = PORT
    names: tuple[str, ...] = ()
    secure: bool = False
    every: bool = False

    @property
    def url(self) -> str:
        """The address as it is typed into a phone, a name where there is one."""
        known = [one for one in of_this_machine() if self.address.version in (6, one.version)] if self.every else []
        shown = known[0] if known else self.address
        host = self.names[0] if self.names else _written(shown)
        usual = 443 if self.secure else 80
        return f"{'https' if self.secure else 'http'}://{host}{'' if self.port == usual else f':{self.port}'}/"

    def at_port(self, port: int) -> Place:
        """The same at another port."""
        return replace(self, port=port)

    def answers_to(self, host: str, arrived_at: str) -> bool:
        """Whether a request with that Host is meant for here: no other name may lead to this address (DNS rebinding).

        `arrived_at`: the address of this machine at which the connection came in.
        """
        name, port = _parted(host.lower())
        if port != self.port:
            return port is None and self.port == (443 if self.secure else 80) and self._known(name, arrived_at)
        return self._known(name, arrived_at)

    def _known(self, name: str, arrived_at: str) -> bool:
        if name in self.names:
            return True
        try:
            asked = ip_address(name.strip("[]"))
        except ValueError:
            return False
        return asked == (_plain(ip_address(arrived_at.partition("%")[0])) if self.every else self.address)


def named(typed: str | None, *, every: bool = False) -> Address:
    """The address that somebody names to serve at. Raises BadInput for none, one of the internet, or all of them."""
    if every:
        if typed is not None:
            raise BadInput("--every-address already says where; leave out --address.")
        return EVERY[1] if socket.has_dualstack_ipv6() else EVERY[0]   # of both kinds, where the system can
    if typed is None:
        known = text.listed([str(one) for one in of_this_machine()], "or")
        raise BadInput("Name this machine's address on your own network."
                       + (f" It may be {known}." if known else ""),
                       hint=Hint("For example: ", Action("phone serve", address="192.168.1.20")))
    shown = text.one_line(typed)[:60]
    try:
        found = ip_address(typed.strip().strip("[]"))
    except ValueError:
        raise BadInput(f"“{shown}” is not an address; use one like 192.168.1.20, of this machine on your own network.",
                       hint=Hint("What it is called there goes into ", Argument("name", "washer.local"), ".")) from None
    if found in EVERY:
        raise BadInput(f"{found} means every address of this machine, those that the internet reaches too.",
                       hint=Hint("Name one, like ", Argument("address", "192.168.1.20"), "; or say ",
                                 Argument("every-address"), " for each one of your own networks."))
    if not is_own(found):
        raise BadInput(f"{found} is an address of the internet: anybody could try to come in there.", hint=VPN)
    return found


def is_own(address: Address) -> bool:
    """Whether an address is of a network that the internet does not reach."""
    plain = _plain(address)
    return any(plain in network for network in OWN_NETWORKS if network.version == plain.version)


def is_own_peer(typed: str) -> bool:
    """The same of an address as the system tells it."""
    try:
        return is_own(ip_address(typed.partition("%")[0]))
    except ValueError:
        return False


def host_name(typed: str) -> str:
    """A name of this machine on the network, as phones send it. Raises BadInput for what can be none."""
    name = typed.strip().rstrip(".").lower()
    if _HOST.fullmatch(name) is None or name.replace(".", "").isdecimal():
        raise BadInput(f"“{text.one_line(typed)[:60]}” is not a name of a machine; use letters, digits, hyphens and "
                       "dots, like washer.local.")
    return name


def of_this_machine() -> list[Address]:
    """This machine's addresses on own networks, as far as the system tells them without asking anybody."""
    found: dict[Address, None] = {}
    for kind, far in ((socket.AF_INET, "10.255.255.255"), (socket.AF_INET6, "fd00::1")):
        try:
            with socket.socket(kind, socket.SOCK_DGRAM) as probe:
                probe.connect((far, 9))   # sends nothing: the system only chooses the address it would send from
                found[ip_address(probe.getsockname()[0].partition("%")[0])] = None
        except OSError:
            continue
    return [one for one in found if is_own(one) and not one.is_loopback]


def folder(logbook: str) -> Path:
    """The folder beside the settings with the address and the phones of the logbook of that id."""
    return settings.config_folder() / "phones" / logbook


def note(logbook: str, url: str, how: Mapping[str, object] | None = None) -> None:
    """Note the address at which the pages of a logbook are served, and how. Raises GwlogError where that cannot be."""
    files.make_folder(folder(logbook))
    files.write_whole(folder(logbook) / _NOTE, json.dumps({"url": url, **(how or {})}).encode(), replace=True)


def noted(logbook: str) -> str | None:
    """The address at which the pages of a logbook were served last, None where they never were."""
    url = noted_whole(logbook).get("url")
    return url if isinstance(url, str) and url.startswith(("http://", "https://")) else None


def noted_whole(logbook: str) -> dict[str, object]:
    """Everything that is noted of it; nothing where there is no note, or none that can be read."""
    try:
        found = json.loads(files.read_whole(folder(logbook) / _NOTE, _LARGEST, "an address"))
    except (OSError, ValueError, GwlogError):
        return {}
    return found if isinstance(found, dict) else {}


def reminder_page(url: str, key: str) -> str:
    """The page of one reminder. It bears a digest: a reminder's key names loads and people, and is long."""
    return f"{url}reminder/{reminder_digest(key)}"


def reminder_digest(key: str) -> str:
    """By what a reminder's page is known: 48 bits are enough among those of one household."""
    return sha256(key.encode("utf-8", "replace")).hexdigest()[:12]


def _written(address: Address) -> str:
    return f"[{address}]" if address.version == 6 else str(address)


def _plain(address: Address) -> Address:
    """An IPv4 address that came in as IPv6 as what it is."""
    return getattr(address, "ipv4_mapped", None) or address


def _parted(host: str) -> tuple[str, int | None]:
    name, colon, port = host.rpartition(":")
    if not colon or host.endswith("]"):
        return host, None
    return name, int(port) if port.isascii() and port.isdecimal() and len(port) < 6 else -1


