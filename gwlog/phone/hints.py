"""Sentences of the inner packages as the phone's pages show them: each action as a link to the page that does it.

What no page does is said as the command for the computer.
"""

from __future__ import annotations

from urllib.parse import urlencode

from markupsafe import Markup, escape

from gwlog import text
from gwlog.actions import Action, Argument, Hint, Words
from gwlog.app.forms.labels import FIELDS
from gwlog.app.forms.of_action import form_for
from gwlog.errors import GwlogError

PAGES = {"today": "/", "where": "/", "load": "/", "reminders": "/to-do", "seen": "/to-do", "later": "/to-do",
         "entries": "/log"}
"""The page that does what an action of each kind asks for, where no form does."""

CALLED = {
    "valve": ("Valve to {to}", "Valve"), "move": ("Move {outlet} to {basin}", "Move"),
    "mulch": ("Mulch at {basin}", "Mulch"),
    "observe": ("Seen: {kind} at {basin}", "Seen"), "resolve": ("Resolve {number}", "Resolve"),
    "done": ("Done: {task}", "Done"), "rain": ("Rain", "Rain"), "water": ("Water to {basin}", "Other water"),
    "soil": ("Soil of {basin}", "Soil"),
}
"""What the link to each form is called, with what is known for it and without."""

PAGE_NAMES = {"/": "Now", "/to-do": "To do", "/log": "Log"}


def words(sentence: Words) -> Markup:
    """A sentence for a page: no sign of it is taken for a mark of the page, and none moves what stands beside it."""
    parts = sentence.parts if isinstance(sentence, Hint) else (sentence,)
    return Markup("").join(escape(text.clean(part)) if isinstance(part, str) else _shown(part) for part in parts)


def refused(fault: GwlogError) -> list[Markup]:
    """What is refused and what would help."""
    return [words(line) for line in [*str(fault).split("\n"), *([fault.hint] if fault.hint else [])]]


def link(action: Action | None) -> tuple[str, str] | None:
    """The page that does an action, and what it is called; None where no page does."""
    if action is None:
        return None
    load = action.get("load")
    if action.kind in ("load", "where") and load is not None:
        return f"/load?{urlencode({'name': load})}", f"Load: {load}"
    number = action.get("number")
    if action.kind == "withdraw" and number is not None:
        return f"/take-back?{urlencode({'entry': number})}", f"Take back {number}"
    found = form_for(action)
    if found is None or found[0] == "load":
        page = PAGES.get(action.kind)
        return None if page is None else (page, PAGE_NAMES[page])
    key, preset = found
    named, plain = CALLED[key]
    try:
        called = named.format(**preset)
    except KeyError:
        called = plain
    return f"/log/{key}" + (f"?{urlencode(preset)}" if preset else ""), called


def _shown(part: Action | Argument) -> Markup:
    if isinstance(part, Argument):
        return escape(part.value or f"“{FIELDS.get(part.name, part.name)}”")
    found = link(part)
    if found is None:
        return Markup("<code>{}</code> at the computer").format(text.clean(part.command))
    return Markup('<a href="{}">{}</a>').format(found[0], text.one_line(found[1]))
