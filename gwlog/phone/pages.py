"""Pages out of templates: every word is escaped, nothing is loaded from elsewhere, no script runs."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse, Response

from gwlog import text
from gwlog.phone import hints
from gwlog.views.today import mark

TEMPLATES = Path(__file__).with_name("templates")
STYLE = TEMPLATES / "style.css"

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; form-action 'self'; frame-ancestors 'none'; "
                               "base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",   # with “no-referrer” browsers send forms from the origin “null”
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""What every answer bears."""

AGAIN_S = 5
"""After so many seconds a page that waits for the logbook asks again [s]."""

NAV = (("/", "Now"), ("/to-do", "To do"), ("/log/observe", "Seen"), ("/log/rain", "Rain"), ("/log", "Log"))
"""The pages that each page leads to."""


@cache
def _environment() -> Environment:
    made = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True, auto_reload=False)
    made.filters.update(words=hints.words, plain=text.clean, mark=mark)
    made.globals.update(nav=NAV, link=hints.link)
    return made


def page(template: str, title: str, *, status: int = 200, here: str = "", person: str | None = None,
         again: bool = False, again_at: str = "", **context: Any) -> Response:
    """A page; `here`: which of NAV it is, `person`: whose phone shows it, `again`: it asks again by itself after a
    while, `again_at`: at once, at that address.
    """
    made = _environment().get_template(f"{template}.html").render(
        title=title, here=here, person=person, again_s=AGAIN_S if again else None, again_at=again_at,
        **context)
    return HTMLResponse(made, status, {"Retry-After": str(AGAIN_S)} if status == 503 else None)


def nothing_here(status: int) -> Response:
    """The page for an address that leads nowhere."""
    return page("refused", "There is no such page", status=status, lines=[], typed=None, shown=[], action="", back="/",
                back_words="Now")


def load_ahead() -> None:
    """Read every template once: a gwlog that is replaced by a newer one goes on with the pages it began with."""
    for name in _environment().list_templates(extensions=["html"]):
        _environment().get_template(name)
    style()


@cache
def style() -> bytes:
    """The style sheet."""
    return STYLE.read_bytes()
