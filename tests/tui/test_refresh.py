"""How the screens look at the logbook: paint first, follow other writers, say in words when there is nothing."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from pathlib import Path

import pytest
from textual.binding import Binding
from textual.dom import DOMNode
from textual.pilot import Pilot

from gwlog.errors import LogbookBusy
from gwlog.journal import writer as journal_writer
from gwlog.journal.facts import ValveSwitch
from gwlog.journal.writer import append
from gwlog.tui.app import POLL_SECONDS, GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.dialogs.help import keys_of
from tests.tui.conftest import BASE, NOW, Clock, household, press, seen, settle


async def test_an_empty_logbook_says_how_to_describe_a_household(empty: Path, clock: Clock) -> None:
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "escape")  # the guided setup opened by itself
        for place in "123456":
            await press(screens, pilot, place)
            assert "This logbook describes no household yet." in seen(screens)
        await press(screens, pilot, *"lvmcrosdtbp")
        assert "so nothing can be logged" in seen(screens)
        append(empty, household(), now=NOW)
        await screens.reload()
        await press(screens, pilot, "1")
        assert "○ wants water" in seen(screens)


async def test_a_household_without_entries_basins_or_loads_is_shown(empty: Path, clock: Clock) -> None:
    append(empty, household()[:4], now=NOW)
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "No basin is described yet." in seen(screens)
        for place in "23451":
            await press(screens, pilot, place)
        await press(screens, pilot, "l", "1", "enter")
        assert "No usual load is described yet." in seen(screens)
        await press(screens, pilot, "escape", "m", "enter")
        assert "No outlet is described." in seen(screens)


class Polled(GwlogApp):
    """Counts how often it looks whether the logbook has changed."""

    polls = 0

    def _look_for_change(self) -> None:
        self.polls += 1
        super()._look_for_change()


async def until_shown(screens: Polled, pilot: Pilot[None], words: str) -> None:
    """Wait for words; the second look for a change from now on must bring them at the latest."""
    begun = screens.polls
    while words not in seen(screens):
        assert screens.polls - begun <= 3, "the third look begins only where the second brought nothing"
        await pilot.pause(0.05)


async def test_what_another_program_writes_shows_within_two_looks(logbook: Path, clock: Clock) -> None:
    assert POLL_SECONDS <= 1.0
    screens = Polled(logbook, clock)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "▶ GARDEN" in seen(screens)
        await asyncio.to_thread(
            append, logbook, [ValveSwitch(**{**BASE, "happened_at": NOW}, position="sewer")], now=NOW)
        await until_shown(screens, pilot, "▼ SEWER")


async def test_time_passes_on_the_screens_without_any_entry(logbook: Path, clock: Clock) -> None:
    screens = Polled(logbook, clock)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "Tue, Jun 16, 2026" in seen(screens)
        clock.move(days=1)
        await until_shown(screens, pilot, "Wed, Jun 17, 2026")


async def test_a_logbook_that_cannot_be_read_is_told_and_comes_back(logbook: Path, clock: Clock) -> None:
    good = logbook.read_bytes()
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        logbook.write_bytes(b"not a database at all, only words" * 100)
        await screens.reload()
        await settle(screens, pilot)
        assert "not a gwlog logbook" in seen(screens) and "→" in seen(screens)
        logbook.write_bytes(good)
        await screens.reload()
        await settle(screens, pilot)
        assert "○ wants water" in seen(screens)


async def test_nothing_is_lost_when_the_logbook_is_busy(screens: GwlogApp, monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(*_: object, **__: object) -> None:
        raise LogbookBusy("The logbook is busy: another program is writing to it.", hint="Try again in a moment.")

    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "r", *"0.2")
        with monkeypatch.context() as patch:
            patch.setattr(journal_writer, "append", busy)
            await press(screens, pilot, "enter")
            assert isinstance(screens.screen, FormDialog)
            assert "busy" in seen(screens) and "0.2" in seen(screens)
        await press(screens, pilot, "enter")
        assert "rain 0.20 in" in seen(screens)


WAYS = (("1",), ("2",), ("3",), ("4",), ("5",), ("l",), ("r",), ("t",), ("2", "enter"), ("4", "enter"))


async def test_the_help_lists_every_key_of_where_you_are(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for way in WAYS:
            await press(screens, pilot, *way)
            here = screens.screen
            listed = {words for _, lines in keys_of(screens, here) for _, words in lines}
            assert _words(type(here)) <= listed, way
            if not here.is_modal:
                assert _words(GwlogApp) <= listed, way
            if way == ("1",):
                await press(screens, pilot, "f1")
                assert "Keys" in seen(screens) and "go to Garden" in seen(screens)
            await press(screens, pilot, "escape")


def _words(node: type[DOMNode]) -> set[str]:
    """What a class's own keys do, in words."""
    return {binding.description for binding in node.BINDINGS if isinstance(binding, Binding)}


async def test_everything_is_in_the_list_by_name(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        titles = [command.title for command in screens.get_system_commands(screens.screen)]
        assert {"Go to Garden", "The valve was turned", "Quit", "Light or dark"} <= set(titles)
        await press(screens, pilot, "ctrl+p")
        await pilot.press(*"valve was")
        await pilot.pause(0.4)
        await press(screens, pilot, "enter")
        await pilot.pause(0.2)
        await settle(screens, pilot)
        assert isinstance(screens.screen, FormDialog) and screens.screen.spec.key == "valve"


def test_the_writers_libraries_are_not_loaded_with_the_screens() -> None:
    heavy = ("sqlmodel", "sqlalchemy", "alembic", "plotext", "dateutil", "pydantic")
    code = f"import sys, gwlog.tui.app; print([m for m in {heavy!r} if m in sys.modules])"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


def test_the_writers_libraries_are_loaded_in_the_background() -> None:
    code = ("import sys; from gwlog.tui import writer; writer.load_in_background().join(); "
            "print('sqlmodel' in sys.modules)")
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "True"
