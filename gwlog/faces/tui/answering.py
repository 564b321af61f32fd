"""The form that lets a reminder sleep until a moment to come; what it makes goes through reminder_answers."""

from __future__ import annotations

from gwlog import text
from gwlog.faces import entries, reminder_answers
from gwlog.faces.present.household import Household
from gwlog.faces.tui.form import Field, FormSpec, Values
from gwlog.faces.tui.forms import BY, NOTE
from gwlog.journal.facts import Fact

TOMORROW = "tomorrow 8:00"


def snooze_of(key: str, words: str) -> FormSpec:
    """The form for one reminder, which is found again by its key when the form is filled in."""

    def build(home: Household, values: Values) -> list[Fact]:
        writer = entries.author(home, by=str(values.get("by", "")) or None, note=str(values.get("note", "")) or None)
        return [reminder_answers.snoozed(home, key, str(values.get("until", "")), writer)]

    return FormSpec(
        f"sleep {key}", f"Let it sleep: {text.one_line(words)}",
        (Field("until", "Until", hint="like: tomorrow 8:00, sat, in 2 hours", start=lambda _: TOMORROW), BY, NOTE),
        build)
