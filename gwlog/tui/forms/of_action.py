"""From the action that settles a reminder to the form that logs it, filled in as far as is known."""

from __future__ import annotations

import shlex

from gwlog.actions import POSITIONAL, Action

FIELDS = {
    "valve": ("to",), "move": ("outlet", "basin"), "mulch": ("basin",), "observe": ("kind", "basin"),
    "resolve": ("number",), "done": ("task",), "rain": (), "load": (),
}
"""The forms that log what an action asks for, and which of its arguments they take."""


def form_for(action: Action | None) -> tuple[str, dict[str, str]] | None:
    """The form's key and what is known for its fields; None where no form does what the action asks for."""
    if action is None or action.kind not in FIELDS:
        return None
    preset = {name: value for name in FIELDS[action.kind] if (value := action.get(name)) is not None}
    if action.kind == "mulch" and action.get("measured") is not None:
        preset["action"] = "measured"
    return action.kind, preset


def action_of(command: str | None) -> Action | None:
    """The action that a reminder still carries as a command line; None where it carries none."""
    if not command:
        return None
    try:
        _, kind, *rest = shlex.split(command)
    except ValueError:
        return None
    if kind == "setup":
        return Action(" ".join([kind, *rest[:1]]))
    given = [one for one in rest if not one.startswith("--")]
    flags = {one.removeprefix("--"): "" for one in rest if one.startswith("--")}
    return Action(kind, **dict(zip(POSITIONAL.get(kind, ()), given, strict=False)), **flags)
