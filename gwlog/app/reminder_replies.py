"""From what a person says about a reminder to an entry: which one is meant, that it was seen, until when it is put off.

The screens and the commands both go through here; what settles a reminder is logged through entries.py.
"""

from __future__ import annotations

from datetime import time, timedelta
from typing import TYPE_CHECKING

from gwlog import clock, text
from gwlog.actions import Action, Argument, Hint
from gwlog.app.entries import Author
from gwlog.decisions.acknowledgements import answer_to
from gwlog.errors import BadInput
from gwlog.household import Household
from gwlog.journal.facts import ReminderAnswer

if TYPE_CHECKING:
    from gwlog.decisions.reminders import Reminder

MORNING = time(8)
LONGEST_DELAY = timedelta(days=366)


def find(home: Household, typed: str) -> Reminder:
    """The reminder that somebody means: its number in the list, its key, or an unmistakable part of its key.

    Numbers are those of `gwlog reminders`. Raises BadInput with what is there.
    """
    found = home.every_reminder
    words = text.one_line(typed).casefold()
    if words.isdecimal() and len(words) < 4:
        number = int(words)
        if not 1 <= number <= len(home.reminders):
            raise BadInput(f"There is no reminder {number}; the list has {len(home.reminders)}.",
                           hint=Hint("See them with: ", Action("reminders")))
        return home.reminders[number - 1]
    for fits in (str.__eq__, str.startswith, str.__contains__):
        hits = [one for one in found if words and fits(one.key.casefold(), words)]
        if len(hits) == 1:
            return hits[0]
        if hits:
            keys = text.listed([f"“{one.key}”" for one in hits[:5]], "or")
            raise BadInput(f"“{text.one_line(typed)[:60]}” could be {keys}.",
                           hint="Type more of the key, or its number.")
    raise BadInput(f"There is no reminder with “{text.one_line(typed)[:60]}”.",
                   hint=Hint("See them with: ", Action("reminders", all="")))


def seen(home: Household, typed: str, author: Author) -> ReminderAnswer:
    """A reminder was seen: it is not told or shown again, until what it asks for is due anew."""
    one = find(home, typed)
    known = answer_to(home.state, one.key)
    if known is not None and known.answer == "seen":
        raise BadInput(f"That reminder was marked as seen already, by entry {known.id}.")
    return _answer(home, one, author, "seen", None)


def later(home: Household, typed: str, until: str, author: Author) -> ReminderAnswer:
    """A reminder is put off until a later moment; a day alone means its morning."""
    one = find(home, typed)
    moment = clock.moment(until, home.now, home.zone, forward=True, at=MORNING)
    if moment <= author.happened_at:
        raise BadInput(f"{clock.echo(moment, home.zone)} is in the past; choose a later time.",
                       hint=Hint("For example: ", Argument("until", "tomorrow 9:00"), ", or ",
                                 Argument("until", "sat")))
    if moment > author.happened_at + LONGEST_DELAY:
        raise BadInput(f"{clock.echo(moment, home.zone)} is more than a year ahead; use up to a year.")
    return _answer(home, one, author, "snoozed", clock.iso(moment))


def _answer(home: Household, one: Reminder, author: Author, answer: str, until: str | None) -> ReminderAnswer:
    return ReminderAnswer(happened_at=author.happened_at, zone=home.zone, recorded_by=author.by, note=author.note,
                          key=one.key, answer=answer, until=until)
