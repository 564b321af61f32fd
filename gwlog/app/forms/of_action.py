"""From the action that settles a reminder to the form that logs it, filled in as far as is known."""

from __future__ import annotations

from gwlog.actions import Action

FIELDS = {
    "valve": ("to",), "move": ("outlet", "basin"), "mulch": ("basin",), "observe": ("kind", "basin"),
    "resolve": ("number",), "done": ("task",), "rain": (), "load": (),
    "soil": ("basin",), "attest": ("what",),
    "water": ("basin", "amount", "way", "minutes", "flow"),
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

