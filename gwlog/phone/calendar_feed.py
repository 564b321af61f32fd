"""The calendar at an address with a key of its own, so that phones fetch it themselves.

Calendars send no cookies and ask for no phrase: the key stands in the address, and opens nothing else.
"""

from __future__ import annotations

from hashlib import sha256

from starlette.responses import Response

from gwlog.phone import pages
from gwlog.phone.call import Call


def calendar(call: Call) -> Response:
    """The calendar for whoever holds its key, as long as that person is of the household."""
    key = call.path.removeprefix("/calendar/").removesuffix(".ics")
    holder = call.served.keys.find(key, "calendar")
    if holder is None:
        return pages.nothing_here(404)
    content = call.served.calendar.content(call.of(holder).home)
    return Response(content, media_type="text/calendar; charset=utf-8", headers={
        "Cache-Control": "private, no-cache", "ETag": f'"{sha256(content).hexdigest()[:32]}"'})
