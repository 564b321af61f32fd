"""Adding a phone: a phrase for a person of the household, and the QR code that brings a phone to the page for it;
and the address from which a phone fetches the calendar.
"""

from __future__ import annotations

from io import StringIO
from urllib.parse import quote

from gwlog import clock
from gwlog.actions import Action, Hint
from gwlog.app import entries
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal import store
from gwlog.phone import address
from gwlog.phone.keys import Keys, Offer, Phone
from gwlog.values import NamedTuple


class Invitation(NamedTuple):
    """What is shown to add a phone. `url`: the pages' address; `link`: the page for the phrase."""

    offer: Offer
    url: str
    link: str


class CalendarAddress(NamedTuple):
    """From where a phone fetches the calendar: whoever has the address reads it."""

    phone: Phone
    link: str


def invite(home: Household, name: str) -> Invitation:
    """A phrase for a phone of that person. Raises BadInput for somebody unknown, or where no pages were ever served."""
    person, keys, url = _asked(home, name)
    offer = keys.offer(person, home.now)
    return Invitation(offer, url, f"{url}pair?phrase={quote(offer.phrase.replace(' ', '-'))}")


def calendar(home: Household, name: str) -> CalendarAddress:
    """A new address of the calendar for that person. It is told once, as only its key's digest is kept.

    Raises as `invite`.
    """
    person, keys, url = _asked(home, name)
    key, phone = keys.calendar(person, home.now)
    return CalendarAddress(phone, f"{url}calendar/{key}.ics")


def invitation_lines(made: Invitation, home: Household) -> list[str]:
    """What to do with a phrase; the phrase itself stands indented."""
    return [f"Scan it with {made.offer.person}'s phone, or open {made.url} there and type:", "",
            f"  {made.offer.phrase}", "",
            f"Good once, until {clock.echo_near(made.offer.until, home.zone, home.now)}. The pages must be served "
            "then: gwlog phone serve"]


def calendar_lines(made: CalendarAddress) -> list[str]:
    """What to do with an address of the calendar."""
    return [f"Give this address to the calendar of {made.phone.person}'s phone, as a subscription:", "",
            f"  {made.link}", "",
            "Whoever has it can read the calendar, and nothing else. It is not shown again; to end it, remove "
            f"{made.phone.number} from the phones: gwlog phone remove {made.phone.number}"]


def _asked(home: Household, name: str) -> tuple[str, Keys, str]:
    """Who is meant, the phones, and the address of the pages."""
    person = entries.read_author(home, by=name).by
    logbook = str(store.logbook_id(home.path))
    url = address.noted(logbook)
    if url is None:
        raise BadInput("The phone's pages were not served yet, so there is no address for a phone.",
                       hint=Hint("Start them first, and leave them on: ", Action("phone serve", address="ADDRESS")))
    return person or name, Keys(logbook), url


def qr_lines(link: str, *, small: bool = False) -> list[str]:
    """The QR code of an address in half blocks, light on dark and dark on light alike readable by a phone.

    `small`: with less to spare for what a camera misses, and a narrow margin.
    """
    import segno

    drawn = StringIO()
    segno.make(link, error="l" if small else "m", boost_error=not small, micro=False).terminal(
        drawn, compact=True, border=1 if small else 2)
    return drawn.getvalue().splitlines()
