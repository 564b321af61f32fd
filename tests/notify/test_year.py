"""A year of a household, told by a watcher that runs at the due moments: every load for the sewer is told in time,
nothing twice, nothing settled; also when the watcher is killed, doubled, and its channel fails half the time.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from freezegun import freeze_time

from gwlog import clock
from gwlog.decisions.reminders import Reminder
from gwlog.household import Household
from gwlog.journal import delivery, reader
from gwlog.journal.facts import Fact, PlannedLoad, UpkeepDone, ValveSwitch, WashLoad
from gwlog.journal.writer import append
from gwlog.notify import rounds
from gwlog.notify.channels import Message, NotSent
from gwlog.notify.settings_file import Settings, Tell
from tests.conftest import Runner

ZONE = "America/Los_Angeles"
FIRST = date(2026, 5, 1)
SEWER = {"diapers", "whites"}
WEEK: dict[int, tuple[tuple[str, time], ...]] = {
    0: (("diapers", time(20)),), 1: (("towels", time(9)),), 3: (("diapers", time(20)),),
    5: (("towels", time(9, 30)), ("whites", time(16))),
}


def at(day: date, wall: time) -> datetime:
    return clock.attach(datetime.combine(day, wall), ZONE)


def loads(first: date, days: int) -> Iterator[tuple[datetime, str]]:
    for number in range(days):
        day = first + timedelta(days=number)
        for name, wall in WEEK.get(day.weekday(), ()):
            yield at(day, wall), name


def run_load(when: datetime, name: str) -> list[Fact]:
    """The household does as it was told: the valve to sewer before a load, and back half an hour after."""
    common: dict[str, Any] = {"happened_at": when, "zone": ZONE}
    sewer = name in SEWER
    load = WashLoad(**common, usual_load=name, washer="front loader", volume_ml=40_000, products=("plain liquid",),
                    contents=("diapers",) if name == "diapers" else (), went_to="sewer" if sewer else "garden")
    if not sewer:
        return [load]
    back = ValveSwitch(happened_at=when + timedelta(minutes=30), zone=ZONE, position="garden")
    return [ValveSwitch(**common, position="sewer"), load, back]


class Killed(BaseException):
    """The watcher is gone, in the middle of what it did."""


@dataclass
class World:
    """The household's year: its loads and chores as entries, and rounds of watchers in between."""

    path: Path
    random: Random
    fails: float = 0.0
    kills: int = 0
    watchers: int = 1
    told: list[tuple[datetime, str, str, str]] = field(default_factory=list)   # when, key, line, person
    entries: list[Fact] = field(default_factory=list)
    killed: int = 0
    rounds: int = 0
    steps_left: int = -1
    now: datetime = datetime(1, 1, 1, tzinfo=UTC)

    def send(self, message: Message) -> None:
        """The channel: it may fail, and it may be the last thing that a watcher does, before or after it works."""
        self.step()
        if self.random.random() < self.fails:
            raise NotSent("The channel “bell” could not be reached.")
        for line in message.lines:
            key, words = line.split("\t")
            self.told.append((self.now, key, words, message.person))
        self.step()

    def step(self) -> None:
        """One step of a watcher's work; its last one when it is killed there."""
        if self.steps_left == 0:
            raise Killed
        self.steps_left -= 1

    def log(self, *facts: Fact) -> None:
        self.entries += append(self.path, facts, now=self.now)

    def look(self, now: datetime) -> Household:
        return Household(self.path, now, self.entries)

    def round(self, now: datetime) -> datetime | None:
        """Every watcher runs a round at the moment, all having looked before any of them tells."""
        self.now = now
        home, after = self.look(now), []
        for _ in range(self.watchers):
            self.rounds += 1
            dies = self.killed < self.kills and self.random.random() < 0.5
            # Sooner or later in its work, or later, when it only waits.
            self.steps_left = self.random.randrange(9) if dies else -1
            self.killed += dies
            try:
                after.append(rounds.tell(home, SETTINGS, {"bell": self}).next_at)
            except Killed:
                after.append(now + timedelta(seconds=self.random.randrange(5, 90)))   # somebody starts it again
        return min((moment for moment in after if moment is not None), default=None)

    def live(self, first: date, days: int) -> None:
        """From one thing that happens to the next: loads, chores, days, and the moments that the watcher asks for."""
        happens = sorted([*loads(first, days)])
        end, now = at(first + timedelta(days=days), time(0)), at(first, time(0))
        with freeze_time(now) as frozen:
            while now < end:
                frozen.move_to(now)
                after = self.round(now)
                midnight = at(clock.local_day(now, ZONE) + timedelta(days=1), time(0))
                moments = [midnight, *([after] if after is not None else []), *(when for when, _ in happens[:1])]
                now = max(min(moments), now + timedelta(seconds=1))
                while happens and happens[0][0] <= now:
                    self.now = now
                    self.log(*run_load(*happens.pop(0)))
                if now == midnight:
                    self.chores(now)

    def skip(self, first: date, days: int) -> None:
        """Days on which nobody watches."""
        facts = [fact for when, name in loads(first, days) for fact in run_load(when, name)]
        self.now = at(first + timedelta(days=days), time(0))
        if facts:
            self.log(*facts)
        self.chores(self.now)

    def chores(self, now: datetime) -> None:
        """Once a month everything of upkeep that is due is done, a day after it was told."""
        self.now = now
        for item in self.look(now).upkeep:
            if item.state in ("due", "overdue") and clock.local_day(now, ZONE).day == 9:
                self.log(UpkeepDone(happened_at=now, zone=ZONE, task=item.name))


SETTINGS = Settings(tell=(Tell("Ines", ("bell",)),))


@pytest.fixture
def world(home: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> World:
    """The small household with its week of planned loads; its watchers can be killed between any two steps."""
    made = World(tmp_path / "logbook.db", Random(7))
    made.entries = reader.read(made.path)
    made.now = at(FIRST, time(0))
    made.log(*(PlannedLoad(happened_at=made.now, zone=ZONE, name=f"{name} {number}", load=name,
                           starts=clock.local(when, ZONE).replace(tzinfo=None).isoformat(timespec="minutes"),
                           every="FREQ=WEEKLY") for number, (when, name) in enumerate(loads(FIRST, 7))))
    def stepped(does: Any) -> Any:
        def done(*words: Any, **more: Any) -> Any:
            made.step()
            answer = does(*words, **more)
            made.step()
            return answer

        return done

    for name in ("claim", "hand_over", "settle"):
        monkeypatch.setattr(delivery, name, stepped(getattr(delivery, name)))

    def keyed(told: Sequence[Reminder], person: str, *, digest: bool = False) -> Message:
        return Message("test", tuple(f"{one.key}\t{one.text}" for one in told), person)

    monkeypatch.setattr(rounds, "message_of", keyed)
    return made


def told_before(world: World, when: datetime, name: str) -> list[timedelta]:
    """How long before a load its reminder reached Ines."""
    key = f"valve to sewer|{name}|{clock.local_day(when, ZONE)}"
    return [when - moment for moment, told, _, _ in world.told if told == key]


def check(world: World, first: date, days: int) -> None:
    """Every load for the sewer was told in time; nothing more often than it has moments."""
    must = [(when, name) for when, name in loads(first, days) if name in SEWER]
    for when, name in must[1:]:   # the first one's evening before may lie before the simulation
        before = told_before(world, when, name)
        assert before and max(before) > timedelta(0), f"nobody was told in time of {name} at {when}: {before}"
    for key, count in Counter(key for _, key, _, _ in world.told).items():
        ahead = key.startswith(("valve", "next load will not fit"))
        assert count <= (2 if ahead else 1), (key, [moment for moment, told, _, _ in world.told if told == key])


@pytest.mark.long
def test_a_year_at_the_due_moments(world: World) -> None:
    """A year of which the first weeks, both changes of the clocks and the end are watched, the rest only lived.

    With GWLOG_WHOLE_YEAR=1 every day of it is watched (some minutes).
    """
    spans = [(FIRST, 365)] if os.environ.get("GWLOG_WHOLE_YEAR") else \
        [(FIRST, 11), (date(2026, 10, 29), 6), (date(2027, 3, 11), 6), (date(2027, 4, 24), 7)]
    last = FIRST
    for first, days in spans:
        world.skip(last, (first - last).days)
        world.live(first, days)
        check(world, first, days)
        last = first + timedelta(days=days)
    assert last - FIRST == timedelta(days=365)
    must = [(when, name) for first, days in spans
            for when, name in [one for one in loads(first, days) if one[1] in SEWER][1:]]
    for when, name in must:
        before = told_before(world, when, name)
        assert before[-1] == timedelta(hours=1), "an hour before, to the second, also over a change of the clocks"
        assert {clock.local(when - ahead, ZONE).time() for ahead in before[:-1]} <= {time(19)}
        assert len(before) == 2
    assert {key.partition("|")[0] for _, key, _, _ in world.told} >= {"valve to sewer", "upkeep"}
    for moment, key, _, _ in world.told:
        assert key in {one.key for one in world.look(moment).reminders}, f"{key} was settled before {moment}"


@pytest.mark.long
def test_killed_at_200_moments_doubled_and_failing_half_the_time(world: World) -> None:
    """Killed between any two steps, two watchers at once, half of the messages failing: none lost, none doubled."""
    world.kills, world.fails, world.watchers = 200, 0.5, 2
    first, weeks = FIRST, 0
    while world.killed < world.kills:
        world.live(first, 7)
        first, weeks = first + timedelta(days=7), weeks + 1
        assert weeks < 20
    check(world, FIRST, weeks * 7)
    assert weeks >= 2 and len(world.told) > 20
    for moment, key, _, _ in world.told:
        assert key in {one.key for one in world.look(moment).reminders}, f"{key} was settled before {moment}"
