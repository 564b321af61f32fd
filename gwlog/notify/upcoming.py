"""What people would be told next, to whom, when and by which channel, as the log and the bookkeeping stand now.

It foresees what a round of the watcher does (watch/deliver.py) and changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from gwlog import clock, text
from gwlog.decisions.notification_times import due_telling, tellings

if TYPE_CHECKING:
    from gwlog.decisions.reminder_model import Reminder
    from gwlog.household import Household
    from gwlog.journal.delivery import Delivery
    from gwlog.notify.settings_file import Settings, Tell

MOST_COMING, MOST_TEXTS = 8, 5
DAYS, LOOKS = 7, 3
"""How far ahead loads are asked about, and how many at most: each is a look at the household of its own."""


@dataclass(frozen=True, slots=True)
class Coming:
    """One message to come. `moment` None: as soon as gwlog watch looks."""

    moment: datetime | None
    person: str
    channel: str
    texts: tuple[str, ...]
    digest: bool = False


def coming(home: Household, settings: Settings) -> list[Coming]:
    """What would be sent next as the log stands now, the first message first. Reads the bookkeeping of tellings."""
    from gwlog.journal.delivery import deliveries
    from gwlog.notify.rounds import DIGEST

    today = clock.local_day(home.now, home.zone)
    keys = [*(one.key for one in home.reminders),
            *(f"{DIGEST}|{row.person}|{today.isoformat()}" for row in settings.tell)]
    known: dict[tuple[str, str, str], list[Delivery]] = {}
    for made in deliveries(home.path, keys).values() if home.path.exists() else ():
        known.setdefault((made.reminder, made.person, made.channel), []).append(made)
    stands = [*home.reminders, *_ahead_of_loads(home)]
    found: dict[tuple[datetime | None, str, str, bool], list[str]] = {}
    for row in settings.tell:
        mine = [one for one in stands if one.kind in row.kinds]
        for channel in row.channels:
            if row.digest is not None:
                sent = known.get((f"{DIGEST}|{row.person}|{today.isoformat()}", row.person, channel), [])
                before = [made.reminder for each in known.values() for made in each
                          if (made.person, made.channel) == (row.person, channel) and f"\t{DIGEST}\t" in made.key]
                moment, texts = _digest(home, settings, row, mine, before, sent=bool(sent))
                found.setdefault((moment, row.person, channel, True), []).extend(texts)
                continue
            for one in mine:
                due = _moment_of(home, settings, row, one, known.get((one.key, row.person, channel), []))
                if due is not None:
                    found.setdefault((due if due > home.now else None, row.person, channel, False), []).append(one.text)
    every = [Coming(moment, person, channel, tuple(dict.fromkeys(texts)), digest)
             for (moment, person, channel, digest), texts in found.items()]
    return sorted(every, key=lambda one: (one.moment or home.now, one.person, one.channel))


def _ahead_of_loads(home: Household) -> list[Reminder]:
    """What will stand about the valve before the next loads, which a round does not look at yet."""
    from gwlog.decisions.expected import expected
    from gwlog.decisions.valve_reminders import AHEAD

    loads, _ = expected(home.state, home.now, DAYS)
    looks = sorted({load.when - AHEAD for load in loads if load.when - AHEAD > home.now})[:LOOKS]
    seen = {one.key for one in home.every_reminder}
    found = {one.key: one for moment in looks for one in home.at(moment).reminders
             if one.timing == "ahead of a load" and one.key not in seen}
    return list(found.values())


def _moment_of(home: Household, settings: Settings, row: Tell, one: Reminder, known: Sequence[Delivery]
               ) -> datetime | None:
    """When a reminder is told next to one person by one channel; `home.now` when it is due, None when it is not."""
    def open_at(moment: datetime) -> bool:
        due = due_telling(one, moment, settings.times, home.zone, row.quiet)
        return due is not None and not any(each.since >= due.moment for each in known)

    if open_at(home.now):
        return home.now
    later = [each.moment for each in tellings(one, settings.times, home.zone, row.quiet) if each.moment > home.now]
    # what fell due in quiet hours waits for their end
    spell = row.quiet.spell(home.now, home.zone) if row.quiet is not None else None
    if spell is not None and open_at(spell[1]):
        later.append(spell[1])
    return min(later, default=None)


def _digest(home: Household, settings: Settings, row: Tell, mine: Sequence[Reminder], before: Sequence[str], *,
            sent: bool) -> tuple[datetime | None, list[str]]:
    """The next message of the day: its moment (None: it is late) and what is in it for the first time."""
    assert row.digest is not None
    today = clock.local_day(home.now, home.zone)
    first, second, third = (clock.attach(datetime.combine(today + timedelta(days=n), row.digest), home.zone)
                            for n in range(3))
    late = first <= home.now and not sent
    moment, ends = (None, second) if late else (first, second) if first > home.now else (second, third)
    return moment, [one.text for one in mine if one.key not in before and (
        one.state != "soon" or tellings(one, settings.times, home.zone)[0].moment < ends)]


def coming_lines(home: Household, settings: Settings | None) -> list[str]:
    """What would be sent next, to whom and when, in words; what is in a message stands indented below it."""
    if settings is None:
        return ["Nothing until this is fixed."]
    if home.state.site is None:
        return ["This logbook describes no household yet."]
    every = coming(home, settings)
    lines = []
    for one in every[:MOST_COMING]:
        when = "As soon as gwlog watch runs" if one.moment is None else clock.echo(one.moment, home.zone)
        lines.append(f"{when}: {one.person} by {one.channel}{', the message of the day' if one.digest else ''}")
        lines += [f"  · {text.one_line(words)}" for words in one.texts[:MOST_TEXTS]] or ["  · nothing so far"]
        if len(one.texts) > MOST_TEXTS:
            lines.append(f"  and {len(one.texts) - MOST_TEXTS} more")
    if len(every) > MOST_COMING:
        lines.append(f"and {text.plural(len(every) - MOST_COMING, 'message')} later.")
    return lines or ["Nothing to send."]
