"""Sentences of the inner packages as the screens show them: each action by its key, each argument by its field.

The command line shows the same sentences with commands.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gwlog.actions import Action, Argument, Hint, Words
from gwlog.app.forms.labels import FIELDS
from gwlog.errors import GwlogError

KEYS = {
    "load": "l (load)", "valve": "v (valve)", "move": "m (move)", "mulch": "c (mulch)", "rain": "r (rain)",
    "water": "W (water)", "soil": "S (soil)", "salts": "k in Garden (2)", "label": "i in Setup (7)",
    "capacity": "3 (Plan)",
    "observe": "o (observe)", "resolve": "s (resolve)", "done": "d (done)", "where": "l (load)",
    "plan-load": "a in Plan (3)", "plan": "3 (Plan)", "today": "1 (Today)", "reminders": "1 (Today)",
    "seen": "a in Today (1)", "later": "z in Today (1)", "basins": "2 (Garden)", "upkeep": "5 (Upkeep)",
    "entries": "4 (Log)", "correct": "x in the Log (4)", "withdraw": "w in the Log (4)", "rehearse": "e (try a season)",
    **dict.fromkeys(("begin", "setup", "setup apply", "setup code", "setup show"), "7 (Setup)"),
    **dict.fromkeys(("attest", "witness"), "6 (Records)"),
    **dict.fromkeys(("report", "manual", "card", "pack", "verify", "check", "handover", "received", "calendar",
                     "export", "import", "backup", "weather", "weather import"), "6 (Records)"),
    **dict.fromkeys(("phone add", "phone list", "phone remove", "phone calendar"), "6 (Records), Phones"),
    "restore": "F3 (from a file)", "noted": "6 (Records), Noted seal numbers",
}
"""The key that does what an action of each kind asks for."""

KEYS_WITH = {
    ("load", "at"): "l (load), then e", ("entries", "odd"): "i in the Log (4)", ("entries", "kind"): "f in the Log (4)",
    ("reminders", "all"): "A in Today (1)", ("plan-load", "drop"): "x in Plan (3)",
    ("plan-load", "skip"): "k in Plan (3)", ("observe", "basin"): "Choose it after “At basin”",
}
"""Another key where the action has a certain argument."""

INSTEAD = {
    Hint("For a load to come use: ", Action("plan-load", load="LOAD", on="WHEN")):
        "Add a planned load in Plan: 3, then a.",
    Hint("Make one elsewhere: ", Action("begin")): "Choose another file.",
    Hint("Choose another name, or say ", Argument("replace"), "."): "Choose another name.",
}
"""Sentences for which a screen has another way than a key."""

PLACES = {"in the site file": "in the setup (7)", "into the site file": "into the setup (7)"}
"""Where a person at the screens finds what plain sentences speak of."""


def words(sentence: Words) -> str:
    """A sentence as the screens show it."""
    if isinstance(sentence, Hint):
        return INSTEAD.get(sentence) or sentence.render(key)
    for place, here in PLACES.items():
        sentence = sentence.replace(place, here)
    return sentence


def key(part: Action | Argument) -> str:
    """The key that does an action, or the field that holds an argument."""
    if isinstance(part, Argument):
        if (part.name not in FIELDS and not part.value) or part.name == "logbook":
            return part.command
        return part.value or f"“{FIELDS[part.name]}”"
    if part.kind == "move":
        return _move(part)
    if part.kind == "withdraw" and (note := part.get("note")):
        return f"Say why in a few words, like: {note}."
    return next((KEYS_WITH[part.kind, name] for name, _ in part.arguments if (part.kind, name) in KEYS_WITH),
                KEYS.get(part.kind) or part.command)


def _move(action: Action) -> str:
    outlet, basin, at = (action.get(name) for name in ("outlet", "basin", "at"))
    return KEYS["move"] + (f": {outlet} to {basin}" if outlet and basin else "") + (f", when: {at}" if at else "")


def refused(fault: GwlogError, between: str = "\n") -> str:
    """What is refused and what would help."""
    return str(fault) + (f"{between}{words(fault.hint)}" if fault.hint else "")


def refused_outcome(outcome: Mapping[str, Any], between: str = "\n") -> str:
    """As `refused`, of a background task: {refused, hint}."""
    return str(outcome["refused"]) + (f"{between}{words(outcome['hint'])}" if outcome.get("hint") else "")
