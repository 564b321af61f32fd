"""The form that puts a reminder off until later; what it makes goes through reminder_replies."""

from __future__ import annotations

from gwlog import clock, text
from gwlog.app import reminder_replies
from gwlog.app.forms.entries import BY, NOTE, author_of
from gwlog.app.forms.model import Field, FormSpec, Values, word
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.journal.facts import Fact

TOMORROW = "tomorrow 8:00"


def later_of(key: str, words: str) -> FormSpec:
    """The form for one reminder, which is found again by its key when the form is filled in."""

    def build(home: Household, values: Values) -> list[Fact]:
        return [reminder_replies.later(home, key, word(values, "until"), author_of(home, values))]

    return FormSpec(
        f"later {key}", f"Remind me later: {text.one_line(words)}",
        (Field("until", "Until", hint="like: tomorrow 8:00, sat, in 2 hours", start=lambda _: TOMORROW), BY, NOTE),
        build, advise=lambda home, values: _too_late(home, key, word(values, "until")))


def _too_late(home: Household, key: str, until: str) -> list[str]:
    """A line where a reminder would be put off past what it is about."""
    one = next((one for one in home.every_reminder if one.key == key), None)
    if one is None or one.due <= home.now:
        return []
    try:
        moment = clock.moment(until, home.now, home.zone, forward=True, at=reminder_replies.MORNING)
    except GwlogError:
        return []
    return [f"Careful: it is about {clock.echo(one.due, home.zone)}, which is before that."] if moment > one.due else []
