"""What lies before every page: only who is on an own network, and means this very machine, comes through.

A form counts only where a page of ours sent it: browsers say so, and no other site can make them say it.
"""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from gwlog.actions import Action, Hint, Words
from gwlog.errors import GwlogError
from gwlog.phone import address, hints, pages
from gwlog.phone.address import Place
from gwlog.values import dataclass

LONGEST_ADDRESS, LONGEST_BEGINNING = 2_000, 16_000
"""Of a request, in bytes: its address, and all before its form."""

ONCE = ("host", "content-length", "content-type", "origin", "cookie", "transfer-encoding")
"""Lines at the beginning of a request that may stand there once."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a phone may send and how long it may take: seconds for a whole request, bytes of a form, connections that
    are open, of all phones and of one.
    """

    send_s: float = 10.0
    body: int = 64_000
    connections: int = 100
    connections_of_one: int = 20


class Refused(GwlogError):
    """A request that no page answers. `status`: the number of the answer."""

    def __init__(self, status: int, message: str, hint: Words | None = None) -> None:
        super().__init__(message, hint=hint)
        self.status = status

    def page(self) -> Response:
        """The page that says why. It tells nothing of the household."""
        return pages.page("refused", "That cannot be", status=self.status, lines=hints.refused(self), typed=None,
                          shown=[], action="", back=None, back_words="")


class Guard:
    """Refuses what no page is to see, and gives every answer the lines that keep browsers from doing harm."""

    def __init__(self, app: ASGIApp, place: Place) -> None:
        self.app, self.place = app, place

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (ASGI)."""
        if scope["type"] != "http":
            return

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                known = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [*message["headers"], *(
                    (name.lower().encode(), value.encode()) for name, value in pages.HEADERS.items()
                    if name.lower().encode() not in known)]
            await send(message)

        try:
            self._check(scope)
        except Refused as fault:
            await fault.page()(scope, receive, answered)
            return
        await self.app(scope, receive, answered)

    def _check(self, scope: Scope) -> None:
        peer, here = scope["client"], scope["server"]
        if peer is None or not address.is_own_peer(peer[0]):
            raise Refused(403, "These pages are for the household's own network, and this came from the internet.",
                          f"Close the port that lets it in. {address.VPN}")
        headers = Headers(scope=scope)
        if any(len(headers.getlist(name)) > 1 for name in ONCE) or \
                ("content-length" in headers and "transfer-encoding" in headers):
            raise Refused(400, "The beginning of this request is not as browsers write it.")
        if sum(len(name) + len(value) for name, value in scope["headers"]) > LONGEST_BEGINNING:
            raise Refused(431, "The beginning of this request is longer than is accepted.")
        if len(scope["raw_path"]) + len(scope["query_string"]) > LONGEST_ADDRESS:
            raise Refused(414, "An address so long is not accepted.")
        if not self.place.answers_to(headers.get("host", ""), here[0]):
            raise Refused(421, "These pages are not at the address by which you came.",
                          Hint("Use the one that this says at the computer: ", Action("phone list"),
                               ". A name of the machine has to be said there: ",
                               Action("phone serve", address="ADDRESS", name="NAME")))


def refuse_foreign(headers: Headers, scheme: str) -> None:
    """Raise Refused for a form that another site's page sent, or something else than a browser's form."""
    origin, site = headers.get("origin"), headers.get("sec-fetch-site")
    if origin != f"{scheme}://{headers.get('host', '')}".lower() or site not in (None, "none", "same-origin"):
        raise Refused(403, "This form was not sent by a page of gwlog; nothing was logged.",
                      "Open the page at its own address and send it from there.")
    kind = headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/x-www-form-urlencoded":
        raise Refused(415, "Only forms of these pages are accepted; nothing was logged.")
