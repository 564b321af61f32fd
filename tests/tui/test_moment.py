"""The household at another time: understood as typed, the same as the commands say, and nothing is logged."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event

import pytest

from gwlog.household import Household, look
from gwlog.journal.facts import ValveSwitch
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs import moment
from gwlog.tui.dialogs.moment import MomentDialog, page
from gwlog.tui.widgets.cells import plain
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.views import answers, basins
from gwlog.views.valve_and_outlets import outlet_lines, valve_line
from tests.tui.conftest import BASE, NOW, SIZES, Clock, household, press, seen, settle
from tests.tui.test_nasty_text import NASTY, clean

pytestmark = pytest.mark.long

Size = tuple[int, int]


async def opened(app: GwlogApp, pilot: object) -> MomentDialog:
    assert app.home is not None
    dialog = MomentDialog(app.home)
    app.push_screen(dialog)
    await settle(app, pilot)  # type: ignore[arg-type]
    return dialog


async def typed(app: GwlogApp, pilot: object, words: str) -> str:
    """Type a time, wait for its page, and return the screen's words without line breaks."""
    app.screen.query_one("#when", EntryLine).value = words
    await pilot.pause(moment.WAIT_S + 0.1)  # type: ignore[attr-defined]
    await settle(app, pilot)  # type: ignore[arg-type]
    return " ".join(seen(app).split())


@pytest.mark.parametrize("width", [50, 78, 138])
@pytest.mark.parametrize("days", [-60, -1, 0, 40])
def test_the_page_says_what_the_commands_say_then(lived_in: Path, width: int, days: int) -> None:
    then = look(lived_in, NOW).at(NOW + timedelta(days=days))
    lines = [line.plain for line in page(then, width)]
    told = " ".join(" ".join(lines).split())
    assert valve_line(then) in lines and all(line in lines for line in outlet_lines(then))
    assert all(" ".join(one.text.split()) in told for one in then.reminders)
    for row in basins.rows(then):
        assert all(cell in told.replace("\u00a0", " ") for cell in row)
    for name in then.state.usual_loads:
        assert all(line in lines for line in answers.lines(then, then.answer(then.query(name)), width))
    assert any("standing  " in line for line in lines) == (width == 138)   # a table where it fits


@SIZES
async def test_a_moment_past_and_one_to_come(lived_in: Path, clock: Clock, size: Size) -> None:
    entries = len(read(lived_in))
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        assert "nothing can be logged from here" in seen(screens)
        told = await typed(screens, pilot, "last tue 7pm")
        assert "As of Tue, Jun 9, 2026, 7:00 pm: 7 days ago" in told and "Basins" in told
        told = await typed(screens, pilot, "sat 9am")
        assert "As of Sat, Jun 20, 2026, 9:00 am: in 4 days, if nothing more is logged" in told
        assert dialog.shown is not None and dialog.shown.moment == datetime(2026, 6, 20, 16, tzinfo=UTC)
        await press(screens, pilot, "enter", *["pagedown"] * 4)
        assert "whites" in seen(screens) and "SEWER (better)" in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, MomentDialog)
    assert len(read(lived_in)) == entries


async def test_arrows_go_from_day_to_day_at_the_same_wall_time(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        await typed(screens, pilot, "2026-03-07 18:30")
        await press(screens, pilot, "enter", "right")
        assert "As of Sun, Mar 8, 2026, 6:30 pm" in seen(screens)   # the clocks went forward that night
        assert dialog.moment == datetime(2026, 3, 9, 1, 30, tzinfo=UTC)
        await press(screens, pilot, "left", "left")
        assert "As of Fri, Mar 6, 2026, 6:30 pm" in seen(screens)
        await press(screens, pilot, "a", *"2026-03-05")
        assert "2026-03-05" in seen(screens) and dialog.query_one("#when", EntryLine).value == "2026-03-05"


@pytest.mark.parametrize(("words", "said"), [
    ("2026-02-01", "This logbook begins on Sun, Mar 1, 2026, 8:00 am; until then there is nothing here."),
    ("frday", "✗ Cannot read the time “frday”. Write it like"),
    ("2026-02-30", "✗ “2026-02-30” is not a day of the calendar"),
    ("1812-01-01", "years from 1970 to 2200 are accepted"), ("2200-12-31", "As of Wed, Dec 31, 2200, 12:00 pm"),
    ("", "Type a time"),
])
async def test_what_cannot_be_shown_is_told_in_words(screens: GwlogApp, words: str, said: str) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        await typed(screens, pilot, "2026-05-03")
        told = await typed(screens, pilot, words)
        assert said in told and ("Valve ▶" in told) == (said.startswith("As of"))
        if not said.startswith("As of"):
            await press(screens, pilot, "enter")
            assert isinstance(screens.screen, MomentDialog) and "Valve" not in seen(screens)
        assert dialog.is_running


async def test_a_new_entry_changes_the_page_and_another_look_alone_does_not(screens: GwlogApp, clock: Clock,
                                                                           monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[datetime] = []

    def counted(then: Household, width: int) -> object:
        asked.append(then.now)
        return page(then, width)

    monkeypatch.setattr(moment, "page", counted)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await opened(screens, pilot)
        told = await typed(screens, pilot, "2026-06-10 12:00")
        assert "GARDEN for 101 days" in told and len(asked) == 1
        await screens.reload()
        await settle(screens, pilot)
        assert len(asked) == 1
        append(screens.path, [ValveSwitch(**{**BASE, "happened_at": NOW - timedelta(days=8)}, position="sewer")],
               now=NOW)
        await screens.reload()
        await settle(screens, pilot)
        assert "SEWER for 2 days" in seen(screens) and len(asked) == 2


async def test_a_page_that_takes_long_blocks_no_key_and_the_newest_wish_wins(
        screens: GwlogApp, monkeypatch: pytest.MonkeyPatch) -> None:
    allowed = Event()

    def slow(then: Household, width: int) -> object:
        assert allowed.wait(30.0)
        return [plain(f"page of {then.now:%d %b}")]

    monkeypatch.setattr(moment, "page", slow)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = await opened(screens, pilot)
        field = dialog.query_one("#when", EntryLine)
        for words in ("2026-05-03", "2026-05-04", "2026-05-05"):
            field.value = words
            await pilot.pause(moment.WAIT_S + 0.1)
            assert f"May {words[-1]}, 2026" in seen(screens) and "Working …" in seen(screens)
        allowed.set()
        await settle(screens, pilot)
        assert "page of 05 May" in seen(screens)


async def test_nasty_words_are_no_moment(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await opened(screens, pilot)
        for words in NASTY:
            await typed(screens, pilot, words)
            assert clean(seen(screens)) and "✗" in seen(screens)
            await press(screens, pilot, "enter")
    assert len(read(screens.path)) == len(household())
