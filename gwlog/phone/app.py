"""The pages: which address shows which, for which phone, and how what cannot be is told."""

from __future__ import annotations

import asyncio
import os
import sys
import traceback
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import parse_qs

from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from gwlog import text
from gwlog.app.forms.entries import FORMS
from gwlog.app.forms.labels import FIELDS
from gwlog.checkpoints import keep as checkpoints
from gwlog.errors import AnswerChanged, BadInput, GwlogError, LogbookBusy, LogbookNewer, NoLogbook, NotALogbook
from gwlog.phone import calendar_feed, entry_pages, hints, list_pages, now_pages, own_pages, pages
from gwlog.phone.call import Call, NotWelcome, Served
from gwlog.phone.forms import OldForm
from gwlog.phone.guard import Guard, Limits, Refused, refuse_foreign

Handler = Callable[[Call], Response]

AT_ONCE = 2
"""Requests that are worked on at the same time; the others wait their turn."""

READ_TO_THE_END = 2_000_000
"""Up to so many bytes a form that is too long is read all the same: browsers show an answer only after that."""

STATUS: tuple[tuple[type[GwlogError], int], ...] = (
    (LogbookBusy, 503), (LogbookNewer, 503), (NoLogbook, 503), (NotALogbook, 503), (NotWelcome, 403),
    (OldForm, 409), (AnswerChanged, 409), (BadInput, 422), (GwlogError, 500),
)
"""The number of the answer that tells an error, the first that fits."""

WAITING = "Nothing was logged. While the logbook is restored or upgraded, or another program writes, it takes a moment."


def application(served: Served, limits: Limits) -> ASGIApp:
    """The pages of what is served, behind their guard."""
    workers = ThreadPoolExecutor(AT_ONCE, "pages")

    def route(path: str, show: Handler | None, act: Handler | None = None, *, anybody: bool = False) -> Route:
        handlers = {"GET": show, "POST": act}

        async def endpoint(request: Request) -> Response:
            handler = handlers["POST" if request.method == "POST" else "GET"]
            if handler is None:
                return pages.nothing_here(405)
            try:
                sent = await _sent(request, limits) if request.method == "POST" else {}
                asked = _fields(request.url.query)
            except Refused as fault:
                return fault.page()
            answer, wrote = await asyncio.get_running_loop().run_in_executor(
                workers, _work, served, request, handler, anybody, asked, sent)
            if wrote:
                workers.submit(checkpoints.keep_up)
            return answer

        return Route(path, endpoint, methods=["GET", "POST"])

    routes = [
        route("/", now_pages.now),
        route("/load", now_pages.load, now_pages.log_load),
        route("/to-do", list_pages.to_do),
        route("/to-do/seen", None, list_pages.seen),
        route("/to-do/later", entry_pages.later, entry_pages.later),
        route("/reminder/{digest}", list_pages.reminder),
        route("/log", list_pages.log),
        *(route(f"/log/{key}", entry_pages.enter, entry_pages.enter) for key in FORMS),
        route("/logged", entry_pages.logged),
        route("/take-back", entry_pages.take_back, entry_pages.take_back),
        route("/take-back/all", None, entry_pages.take_back_all),
        route("/pair", own_pages.pair, own_pages.add, anybody=True),
        route("/phone", own_pages.phone, own_pages.remove),
        route("/calendar/{key}.ics", calendar_feed.calendar, anybody=True),
        Route("/style.css", _style, methods=["GET"]),
    ]
    made = Starlette(routes=routes, exception_handlers={404: lambda *_: pages.nothing_here(404),
                                                        405: lambda *_: pages.nothing_here(405)})
    made.router.redirect_slashes = False
    return Guard(made, served.place)


async def _sent(request: Request, limits: Limits) -> dict[str, list[str]]:
    """What a form holds. Raises Refused for one of another page, or one that is too long or too slow."""
    refuse_foreign(request.headers, request.url.scheme)
    content, length = bytearray(), 0
    try:
        async with asyncio.timeout(limits.send_s):
            async for piece in request.stream():
                length += len(piece)
                if length <= limits.body:
                    content += piece
                elif length > READ_TO_THE_END:
                    break
    except TimeoutError:
        raise Refused(408, "The form came too slowly; nothing was logged.", "Send it again.") from None
    except ClientDisconnect:
        raise Refused(400, "The form did not come whole; nothing was logged.") from None
    if length > limits.body:
        raise Refused(413, f"A form of more than {limits.body // 1000} kB is not accepted; nothing was logged.",
                      "Shorten what you typed.")
    return _fields(content.decode("utf-8", "replace"))


def _fields(typed: str) -> dict[str, list[str]]:
    try:
        found = parse_qs(typed, keep_blank_values=True, errors="replace", max_num_fields=100)
    except ValueError:
        raise Refused(400, "A form or an address with so many fields is not accepted.") from None
    return {text.clean(name): [text.clean(value) for value in values] for name, values in found.items()}


def _work(served: Served, request: Request, handler: Handler, anybody: bool, asked: dict[str, list[str]],
          sent: dict[str, list[str]]) -> tuple[Response, bool]:
    """The answer to one request, made in a thread, and whether something was written."""
    key = _key(request.headers.get("cookie", ""))
    phone = served.keys.find(key) if key else None
    call = Call(served, phone, request.client.host if request.client else "",
                "POST" if request.method == "POST" else "GET", request.url.path, asked, sent)
    if phone is None and not anybody:
        return own_pages.asked(call, status=401, again_at="" if key else own_pages.opened_again(call)), False
    try:
        answer = handler(call)
    except GwlogError as fault:
        return _told(call, fault), call.wrote
    except Exception as bug:
        sys.stderr.write(f"This is a bug in gwlog: {type(bug).__name__}: {text.one_line(str(bug))}\n")
        if os.environ.get("GWLOG_TRACEBACK"):
            traceback.print_exception(bug)
        told = GwlogError(f"This is a bug in gwlog: {type(bug).__name__}.",
                          hint="Nothing was half written. The Log shows what is logged.")
        return _told(call, told), call.wrote
    if call.path == "/" and key and answer.status_code == 200:
        own_pages.keep(served, answer, key)
    known = answer.headers.get("etag")
    if known is not None and known in request.headers.get("if-none-match", ""):
        answer = Response(status_code=304, headers={"ETag": known, "Cache-Control": answer.headers["cache-control"]})
    return answer, call.wrote


def _key(cookies: str) -> str:
    """The key that a phone sends, “” where it sends none.

    What other pages of this machine have a browser keep comes along, and need not be as cookies should be.
    """
    sent = (one.strip().partition("=") for one in cookies.split(";"))
    return next((value.strip('"') for name, _, value in sent if name == own_pages.COOKIE), "")


def _told(call: Call, fault: GwlogError) -> Response:
    """A page that tells why something cannot be, with what was sent and a way to send it again."""
    status = next(status for kind, status in STATUS if isinstance(fault, kind))
    waits = status == 503
    lines = [*hints.refused(fault), *([hints.words(WAITING)] if waits else [])]
    posted = call.method == "POST"
    return call.page(
        "refused", "The logbook cannot be used just now" if waits else "That cannot be", status=status, lines=lines,
        again=waits and not posted, action=call.address, typed=call.typed if posted and status != 403 else None,
        shown=[(FIELDS.get(name, name), value) for name, value in call.typed
               if value and name not in ("form", "step", "way")],
        back=None if waits else "/", back_words="Now")


async def _style(_request: Request) -> Response:
    return Response(pages.style(), media_type="text/css", headers={"Cache-Control": "max-age=3600"})
