"""Which phone this is: adding it by a phrase, and removing it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from starlette.responses import RedirectResponse, Response

from gwlog.errors import BadInput, GwlogError
from gwlog.phone import hints
from gwlog.phone.call import Call, Served

COOKIE = "gwlog_phone"
OPENED = "opened"
"""In the address of a page that is asked for once more."""
T = TypeVar("T")

KEPT_S = 400 * 86_400
"""How long a phone keeps its key after it was last used [s]; browsers keep none longer (RFC 6265bis)."""

READABLE = "Sent plainly: whoever is on the same Wi-Fi can read what goes to and from this page."


class TooManyTries(GwlogError):
    """Wrong phrases, one after the other."""

    def __init__(self) -> None:
        super().__init__("Too many wrong phrases. Wait ten minutes.")


def pair(call: Call) -> Response:
    """Ask for a phrase; one that the address brings along is only shown, so that looking ahead uses nothing up."""
    phrase = " ".join(call.ask("phrase").replace("-", " ").split())[:200]
    if not phrase:
        return asked(call)
    try:
        return asked(call, phrase=phrase, whose=_tried(call, lambda: call.served.keys.whose(phrase, call.now)))
    except (BadInput, TooManyTries) as fault:
        return asked(call, phrase=phrase, fault=fault)


def add(call: Call) -> Response:
    """Add this phone by the phrase that was sent."""
    phrase = call.send("phrase")[:200]
    try:
        key, _ = _tried(call, lambda: call.served.keys.pair(phrase, call.now))
    except (BadInput, TooManyTries) as fault:
        return asked(call, phrase=phrase, fault=fault)
    answer = RedirectResponse("/", 303)
    keep(call.served, answer, key)
    return answer


def _tried(call: Call, act: Callable[[], T]) -> T:
    """Try a phrase. Raises TooManyTries, without looking at it, and what `act` raises, which counts as a wrong one."""
    if call.served.tries.too_many(call.peer, call.now):
        raise TooManyTries
    try:
        return act()
    except BadInput:
        call.served.tries.wrong(call.peer, call.now)
        raise


def asked(call: Call, *, phrase: str = "", whose: str | None = None, fault: GwlogError | None = None,
          status: int = 200, again_at: str = "") -> Response:
    """The page that asks for a phrase. It tells nothing of the household."""
    code = 429 if isinstance(fault, TooManyTries) else 422 if fault is not None else status
    return call.page("pair", "Add this phone", status=code, phrase=phrase, whose=whose,
                     refused=[] if fault is None else hints.refused(fault), secure=call.served.place.secure,
                     readable=READABLE, again_at=again_at)


def opened_again(call: Call) -> str:
    """The address at which this page is asked for once more, from here; “” where it was.

    Browsers do not send the key along with what a page or a message of elsewhere opens (SameSite=Strict): a phone that
    is known comes in by the second asking. Addresses that are handed out have no more to them than their path.
    """
    return f"{call.path}?{OPENED}=1" if call.method == "GET" and not call.asked else ""


def phone(call: Call) -> Response:
    """Whose phone this is."""
    return call.page("phone", f"{call.person}’s phone", number=call.phone.number, form=call.form("remove"),
                     secure=call.served.place.secure, readable=READABLE)


def remove(call: Call) -> Response:
    """Let this phone in no more."""
    call.served.forms.once(call.phone.digest, "remove", call.send("form"), call.now, lambda _: ((), ()))
    call.served.keys.remove(call.phone.number)
    call.served.forms.forget(call.phone.digest)
    answer = RedirectResponse("/", 303)
    answer.delete_cookie(COOKIE, path="/", secure=call.served.place.secure, httponly=True, samesite="strict")
    return answer


def keep(served: Served, answer: Response, key: str) -> None:
    """Have the phone keep its key, out of reach of scripts and of other sites."""
    answer.set_cookie(COOKIE, key, max_age=KEPT_S, path="/", secure=served.place.secure, httponly=True,
                      samesite="strict")
