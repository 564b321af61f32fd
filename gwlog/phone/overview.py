"""The pages as whoever looks after them sees it: served or not, where, and which phones come in."""

from __future__ import annotations

import http.client
import ssl
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import urlsplit

from gwlog import clock, text
from gwlog.household import Household
from gwlog.journal import store
from gwlog.phone import address, kept_place
from gwlog.phone.keys import Keys, Phone
from gwlog.values import NamedTuple

PATIENCE_S = 1.0
NEEDED = ("starlette", "jinja2", "uvicorn")
INSTALL = 'pip install "gwlog[phone]"'


class Overview(NamedTuple):
    """What is known of them. `url`: None where they were never served; `people`: who may have a phone."""

    url: str | None
    lines: tuple[str, ...]
    phones: tuple[Phone, ...]
    people: tuple[str, ...]


def overview(home: Household) -> Overview:
    """Look, and ask the pages whether they answer. Raises GwlogError as the logbook deserves."""
    logbook = str(store.logbook_id(home.path))
    url = address.noted(logbook)
    people = tuple(name for name, one in home.state.people.items() if one.active)
    return Overview(url, tuple(_lines(logbook, url)), tuple(Keys(logbook).phones()), people)


def _lines(logbook: str, url: str | None) -> list[str]:
    if any(find_spec(one) is None for one in NEEDED):
        return [f"Off: the libraries that serve them are not installed. Install them: {INSTALL}"]
    if url is None:
        own = address.of_this_machine()
        return ["Off, and never served so far. In a terminal, and left on:",
                f"gwlog phone serve --address {own[0] if own else '192.168.1.20'}"]
    if answers(logbook, url):
        return [f"On, at {url}"] + ([] if url.startswith("https") else
                                    ["Plain HTTP can be read by whoever is on the same Wi-Fi."])
    return [f"Off: nothing answers at {url}", "To serve them there again, in a terminal: gwlog phone serve"]


def answers(logbook: str, url: str) -> bool:
    """Whether the pages are served at their address now. Nothing secret is sent, so no certificate is looked at."""
    parts, kept = urlsplit(url), kept_place.kept(logbook)
    named = str(parts.hostname)   # on this machine a name of the network may lead nowhere
    where = named if kept is None or kept.place.every else str(kept.place.address)
    port = parts.port or (443 if parts.scheme == "https" else 80)
    made = http.client.HTTPConnection(where, port, timeout=PATIENCE_S)
    if parts.scheme == "https":
        trusting = ssl.create_default_context()
        trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
        made = http.client.HTTPSConnection(where, port, timeout=PATIENCE_S, context=trusting)
    try:
        made.request("GET", "/style.css", headers={"Host": parts.netloc, "Connection": "close"})
        answer = made.getresponse()
        return answer.status == 200 and "content-security-policy" in answer.headers
    except (OSError, ValueError, http.client.HTTPException):
        return False
    finally:
        made.close()


def phone_line(phone: Phone, home: Household) -> str:
    """A phone in a list."""
    return (f"{phone.number}  {text.one_line(phone.person)}, "
            f"{'the pages' if phone.opens == 'pages' else 'the calendar alone'}, since "
            f"{clock.echo(phone.added, home.zone)}")


def remove(logbook: Path, number: int) -> Phone:
    """Let a phone, or a calendar, in no more. Raises BadInput where none has that number."""
    return Keys(str(store.logbook_id(logbook))).remove(number)
