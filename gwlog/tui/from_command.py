"""From the command that settles a reminder to the form that does the same, filled in.

The reminders name a command; the screens open the form of that name.
"""

from __future__ import annotations

import shlex


def form_for(command: str | None) -> tuple[str, dict[str, str]] | None:
    """The form's key and what is known for it; None where no form does what the command does."""
    if not command:
        return None
    try:
        words = shlex.split(command)
    except ValueError:
        return None
    if len(words) < 2 or words[0] != "gwlog":
        return None
    name, given = words[1], [word for word in words[2:] if not word.startswith("-")]
    fields = {
        "valve": ("to",), "move": ("outlet", "basin"), "mulch": ("basin",), "observe": ("kind", "basin"),
        "resolve": ("number",), "done": ("task",), "rain": (), "load": (),
    }.get(name)
    if fields is None:
        return None
    preset = dict(zip(fields, given, strict=False))
    if name == "mulch" and "--measured" in words:
        preset["action"] = "measured"
    return name, preset
