"""Reminders while the screens are open: one bell for each, answers from the list, nothing left running."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from gwlog.journal.delivery import deliveries
from gwlog.journal.facts import Observation, ReminderAnswer
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.live_notices import CHANNEL
from tests.tui.conftest import NOW, ZONE, Clock, press, seen, settle


class Ringing(GwlogApp):
    """Counts its bells and keeps its notices."""

    def __init__(self, path: Path, clock: Clock) -> None:
        super().__init__(path, clock, poll=False)
        self.bells = 0
        self.notified: list[str] = []

    def bell(self) -> None:
        self.bells += 1

    def notify(self, message: str, **_: object) -> None:  # type: ignore[override]
        self.notified.append(message)


def ponding(at: datetime) -> Observation:
    """Something that has to be followed up."""
    return Observation(happened_at=at, zone=ZONE, observed="ponding", basin="Plum", note="[bold]wet[/]")


async def test_what_stands_at_the_opening_rings_no_bell_and_what_comes_rings_once(logbook: Path, clock: Clock) -> None:
    first, second = Ringing(logbook, clock), Ringing(logbook, clock)
    async with first.run_test(size=(80, 24)) as pilot:
        await settle(first, pilot)
        await first.notices.begin()
        await settle(first, pilot)
        assert first.bells == 0 and first.home is not None
        standing = {one.key for one in first.home.reminders if one.state != "soon"}
        assert standing
        told = deliveries(logbook)
        assert standing <= {one.reminder for one in told.values()}
        assert {one.channel for one in told.values()} == {CHANNEL} and {one.state for one in told.values()} == {"told"}
        clock.move(minutes=5)
        append(logbook, [ponding(clock())], now=clock())
        clock.move(days=4)
        await first.reload()
        await settle(first, pilot)
        assert first.bells == 1 and any("Plum" in one or "more" in one for one in first.notified)
        await first.reload()
        await settle(first, pilot)
        assert first.bells == 1
    async with second.run_test(size=(80, 24)) as pilot:
        await settle(second, pilot)
        second.notices._opened = True
        await second.notices.begin()
        await settle(second, pilot)
        assert second.bells == 0


async def test_the_scheduler_wakes_the_screens_at_the_next_moment_and_stops_with_them(
        logbook: Path, clock: Clock) -> None:
    screens = Ringing(logbook, clock)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await screens.notices.begin()
        scheduler = screens.notices._scheduler
        assert {job.id for job in scheduler.get_jobs()} >= {"new day"}
        screens.notices._plan(clock() + timedelta(hours=2))
        at = scheduler.get_job("due").next_run_time
        assert timedelta(hours=1, minutes=59) < at - datetime.now(UTC) <= timedelta(hours=2)
        asked = screens.logbook_watch.looks
        await screens.notices._wake()
        assert screens.logbook_watch.looks == asked + 1
    assert not screens.notices.running and not scheduler.running


async def test_a_logbook_that_takes_no_bookkeeping_still_rings_once(logbook: Path, clock: Clock,
                                                                    monkeypatch: pytest.MonkeyPatch) -> None:
    from gwlog.errors import LogbookBusy
    from gwlog.journal import delivery

    def busy(*_: object) -> None:
        raise LogbookBusy("The logbook is busy.")

    screens = Ringing(logbook, clock)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await screens.notices.begin()
        append(logbook, [ponding(clock())], now=clock())
        clock.move(days=4)
        monkeypatch.setattr(delivery, "claim", busy)
        for _ in range(2):
            await screens.reload()
            await settle(screens, pilot)
        assert screens.bells == 1


async def test_a_reminder_is_marked_as_seen_and_that_is_taken_back(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert screens.home is not None
        key, words = screens.home.reminders[0].key, screens.home.reminders[0].text
        await press(screens, pilot, "a")
        written = read(screens.path)[-1]
        assert isinstance(written, ReminderAnswer) and (written.key, written.answer) == (key, "seen")
        assert words[:30] in seen(screens).split("Logged")[1]
        assert key not in {one.key for one in screens.home.reminders}
        await press(screens, pilot, "b")
        assert key in {one.key for one in screens.home.reminders}


async def test_a_reminder_is_put_off_until_the_moment_that_was_said(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert screens.home is not None
        key = screens.home.reminders[0].key
        await press(screens, pilot, "z")
        assert isinstance(screens.screen, FormDialog)
        screens.screen.query_one("#f-until").value = "yesterday 8:00"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, FormDialog)
        screens.screen.query_one("#f-until").value = "tomorrow 8:00"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert not isinstance(screens.screen, FormDialog)
        assert key not in {one.key for one in screens.home.reminders}
        clock.move(days=1)
        await screens.reload()
        await settle(screens, pilot)
        assert any(one.key == key for one in screens.home.every_reminder)
    written = read(screens.path)[-1]
    assert isinstance(written, ReminderAnswer)
    assert (written.answer, written.until) == ("snoozed", "2026-06-17T15:00:00Z")


async def test_light_and_dark_change_with_a_key_everywhere(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        before = screens.current_theme.dark
        await press(screens, pilot, "n")
        assert screens.current_theme.dark is not before
        await press(screens, pilot, "2", "enter", "escape", "n")
        assert screens.current_theme.dark is before


async def test_sixty_columns_lose_no_place_and_no_state(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(60, 24)) as pilot:
        await settle(screens, pilot)
        page = seen(screens)
        for words in ("1 Today", "3 Plan", "5 Upkeep", "○ wants water", "Pomegranate", "‼ overdue", "▶ GARDEN"):
            assert words in page
        for key in ("2", "3", "4", "5", "l"):
            await press(screens, pilot, key)
            assert all(len(line) <= 60 for line in seen(screens).splitlines())
    assert clock() == NOW
