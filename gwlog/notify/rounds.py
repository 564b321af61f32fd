"""One round of telling: what is due now, to whom, by which channel; claimed first, so that it is told once.

A round asks the reminders anew, so that lost, late or doubled rounds do not matter. A telling that was handed to its
channel and whose outcome nobody knows (gwlog was killed just then) is not told again: `today` shows it. One exception:
the last telling before a load is, when no other of that load surely arrived; there twice is better than not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from gwlog import clock, text
from gwlog.decisions.acknowledgements import put_off_until
from gwlog.decisions.expected import expected
from gwlog.decisions.notification_times import due_telling, next_moment, tellings
from gwlog.decisions.reminder_model import also_former
from gwlog.decisions.reminders import DAYS_AHEAD
from gwlog.decisions.valve_reminders import AHEAD
from gwlog.household import Household
from gwlog.journal import delivery
from gwlog.journal.delivery import Delivery, Wanted
from gwlog.notify import phone_links
from gwlog.notify.channels import Channel, Message, NotSent
from gwlog.notify.settings_file import Settings, Tell

if TYPE_CHECKING:
    from gwlog.decisions.reminders import Reminder

DIGEST = "digest"
_BETWEEN = "\t"   # in no name: names are single lines


@dataclass(frozen=True, slots=True)
class Round:
    """What one round did. `sent`: messages handed over; `troubles` in words; `next_at`: when the next is due, UTC."""

    sent: int
    troubles: tuple[str, ...]
    next_at: datetime | None


@dataclass(slots=True)
class _Telling:
    """The round at work: the look at the household, and what was told before."""

    home: Household
    settings: Settings
    channels: Mapping[str, Channel]
    now: Callable[[], datetime]
    known: dict[str, Delivery]

    def single(self, row: Tell, person: str, channel: str) -> list[tuple[Wanted, Reminder]]:
        """What is to be told now, one message for all of it."""
        found = []
        for one in self.of(row):
            telling = due_telling(one, self.home.now, self.settings.times, self.home.zone, row.quiet)
            if telling is None:
                continue
            labels = [each.label for each in tellings(one, self.settings.times, self.home.zone, row.quiet)]
            later = labels[labels.index(telling.label) + 1:] if telling.label in labels else []
            # After the clock was set back: what was told for a later moment stands for the earlier ones too.
            if any(self.delivered(_key(one.key, label, person, channel)) for label in later):
                continue
            key = _key(one.key, telling.label, person, channel)
            sure = [self.known[other].state for label in labels
                    if (other := _key(one.key, label, person, channel)) in self.known]
            last_chance = one.timing == "ahead of a load" and not later and "told" not in sure
            if not self.delivered(key) or (last_chance and self.known[key].in_doubt(self.home.now)):
                found.append((Wanted(key, one.key, person, channel, last_chance), one))
        return found

    def digest(self, row: Tell, person: str, channel: str, day: date) -> list[tuple[Wanted, Reminder]]:
        """What a digest of a day tells for the first time: all that is due or comes before the next one."""
        ends = self.digest_at(row, day + timedelta(days=1))
        found = []
        for one in self.of(row):
            first = tellings(one, self.settings.times, self.home.zone)[0].moment
            key = _key(one.key, DIGEST, person, channel)
            if (one.state != "soon" or first < ends) and not self.delivered(key):
                found.append((Wanted(key, one.key, person, channel), one))
        return found

    def digest_at(self, row: Tell, day: date) -> datetime:
        """The moment of a day's digest (UTC)."""
        assert row.digest is not None
        return clock.attach(datetime.combine(day, row.digest), self.home.zone)

    def of(self, row: Tell) -> Iterator[Reminder]:
        return (one for one in self.home.reminders if one.kind in row.kinds)

    def delivered(self, key: str) -> bool:
        return any(each in self.known and self.known[each].state in ("told", "handed") for each in also_former(key))

    def send(self, person: str, channel: str, wanted: Sequence[tuple[Wanted, Reminder]],
             before: Wanted | None = None) -> tuple[int, list[str]]:
        """Claim, hand over and note the outcome. Returns how many messages went out, and the trouble in words."""
        path, first = self.home.path, [] if before is None else [before]
        token, mine = delivery.claim(path, [*first, *(one for one, _ in wanted)], self.now(),
                                     first_decides=before is not None)
        if not mine:
            return 0, []
        handed = delivery.hand_over(path, token, self.now())
        due = [reminder for one, reminder in wanted if one.key in handed]
        trouble = None
        if due:
            try:
                self.channels[channel].send(replace(
                    message_of(due, person, digest=before is not None), link=phone_links.link(path, due, person)))
            except NotSent as fault:
                trouble = str(fault)
            except Exception as bug:  # a channel must never take the others with it; what it says may be secret
                trouble = f"The channel “{channel}” failed ({type(bug).__name__})."
        if handed:
            delivery.settle(path, token, self.now(), trouble)
        return int(bool(due) and trouble is None), [trouble] if trouble else []


def tell(home: Household, settings: Settings, channels: Mapping[str, Channel], *,
         now: Callable[[], datetime] = clock.now, stopping: Callable[[], bool] = lambda: False) -> Round:
    """Tell everybody what is due at `home.now`. `now`: the clock for the bookkeeping; `stopping`: leave off early.

    Raises what the logbook deserves (busy, read-only, gone, newer): then nothing more was told, and nothing is lost.
    """
    day = clock.local_day(home.now, home.zone)
    pairs = [(row, row.person, channel) for row in settings.tell for channel in row.channels]
    keys = [*(key for one in home.reminders for key in also_former(one.key)),
            *(_digest_of(row, channel, day).reminder for row, _, channel in pairs if row.digest is not None)]
    telling = _Telling(home, settings, channels, now, delivery.deliveries(home.path, keys))
    outcomes = []
    for (person, channel), wanted in _together(telling, pairs).items():
        if not stopping():
            outcomes.append(telling.send(person, channel, wanted))
    for row, person, channel in pairs:
        if row.digest is None or stopping() or telling.digest_at(row, day) > home.now:
            continue
        before = _digest_of(row, channel, day)
        if not telling.delivered(before.key):
            outcomes.append(telling.send(person, channel, telling.digest(row, person, channel, day), before))
    return Round(sum(sent for sent, _ in outcomes), tuple(words for _, troubles in outcomes for words in troubles),
                 _next(telling, pairs))


def _together(telling: _Telling, pairs: Iterable[tuple[Tell, str, str]],
              ) -> dict[tuple[str, str], list[tuple[Wanted, Reminder]]]:
    """Everything that one person gets by one channel in this round, each telling once."""
    found: dict[tuple[str, str], dict[str, tuple[Wanted, Reminder]]] = {}
    for row, person, channel in pairs:
        if row.digest is None:
            for one, reminder in telling.single(row, person, channel):
                found.setdefault((person, channel), {}).setdefault(one.key, (one, reminder))
    return {pair: list(wanted.values()) for pair, wanted in found.items()}


def _next(telling: _Telling, pairs: Iterable[tuple[Tell, str, str]]) -> datetime | None:
    home, times = telling.home, telling.settings.times
    # What somebody else is at, or was when he was stopped, is looked at again soon.
    at_work = any(one.state == "claimed" or (one.state == "handed" and not one.in_doubt(home.now))
                  for one in telling.known.values())
    moments = [home.now + delivery.LEASE + timedelta(seconds=1)] if at_work else []
    for row, _, _ in pairs:
        if row.digest is None:
            moment = next_moment(telling.of(row), home.now, times, home.zone, row.quiet)
            moments += [moment] if moment is not None else []
            continue
        day = clock.local_day(home.now, home.zone)
        coming = (telling.digest_at(row, day + timedelta(days=n)) for n in (0, 1))
        moments.append(next(moment for moment in coming if moment > home.now))
    loads, _ = expected(home.state, home.now, DAYS_AHEAD)
    moments += [load.when - AHEAD for load in loads if load.when - AHEAD > home.now]
    moments += [until for key in home.state.answers if (until := put_off_until(home.state, key, home.now)) is not None]
    again = delivery.deliveries(home.path, [one.key for one in home.reminders])
    # A failed telling that a later one has overtaken is not tried again, and its moment lies behind.
    moments += [one.next_try for one in again.values() if one.state == "failed" and one.next_try is not None]
    return min((moment for moment in moments if moment > home.now), default=None)


def message_of(reminders: Sequence[Reminder], person: str, *, digest: bool = False) -> Message:
    """One message for all that is told at once."""
    what = reminders[0].kind if len(reminders) == 1 else text.plural(len(reminders), "reminder")
    title = f"gwlog, today: {what}" if digest else f"gwlog: {what}"
    lines = tuple(f"Overdue: {one.text}" if one.state == "overdue" else one.text for one in reminders)
    return Message(title, lines, person)


def _digest_of(row: Tell, channel: str, day: date) -> Wanted:
    reminder = f"{DIGEST}|{row.person}|{day.isoformat()}"
    kinds = "" if len(row.kinds) == len(Tell().kinds) else f" of {text.listed(row.kinds)}"
    return Wanted(_key(reminder, f"{row.digest}{kinds}", row.person, channel), reminder, row.person, channel)


def _key(reminder: str, label: str, person: str, channel: str) -> str:
    return _BETWEEN.join((reminder, label, person, channel))
