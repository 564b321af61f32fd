"""Records and the rehearsal: periods, files asked for and written, work that can be stopped while keys are answered."""

from __future__ import annotations

import asyncio
import json
import signal
import sqlite3
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from gwlog.journal.reader import last_seal, read
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.rehearsal import RehearsalDialog
from gwlog.tui.dialogs.save_file import SaveFileDialog
from gwlog.tui.screens.records import RecordsScreen
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.worker import orders
from tests.tui.conftest import NOW, Clock, press, season, seen, settle, words
from tests.tui.test_nasty_text import NASTY, clean


async def make(screens: GwlogApp, pilot: Pilot[None], work: str, where: Path | None = None) -> None:
    """Choose a work of the records, and type where it goes."""
    works = screens.screen.query_one("#works", OptionList)
    works.highlighted = works.get_option_index(work)
    await press(screens, pilot, "enter")
    if where is not None:
        screens.screen.query_one("#path", EntryLine).value = str(where)
        await settle(screens, pilot)
        await press(screens, pilot, "enter")


async def test_the_seal_is_verified_and_a_record_is_written(lived_in: Path, clock: Clock, tmp_path: Path) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        assert isinstance(screens.screen, RecordsScreen)
        await make(screens, pilot, "verify")
        page = seen(screens)
        number, head, _ = last_seal(lived_in)
        assert f"seal number {number}:{head[:16]}" in page and "✓ Verify the seal" in page
        await press(screens, pilot, "full_stop")
        page = seen(screens)
        assert "seal number" in page
        screens.screen.query_one("#period", Choice).choose(2)
        out = tmp_path / "my record.md"
        await make(screens, pilot, "md", out)
        assert "✓ Letter, Markdown" in seen(screens) and str(out)[:40] in seen(screens).replace("\n", "")
    # whole weeks: the Monday before March 1, and the Sunday before today
    assert "February 23, 2026 to June 14, 2026" in out.read_text()


async def test_every_paper_is_made_and_asks_before_it_replaces(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        for work, ending in (("csv", ".csv"), ("pack", ".zip"), ("export", ".jsonl")):
            await make(screens, pilot, work, tmp_path / f"{work}{ending}")
            assert (tmp_path / f"{work}{ending}").stat().st_size > 100, seen(screens)
        (tmp_path / "card.pdf").write_text("mine")
        await make(screens, pilot, "card", tmp_path / "card.pdf")
        assert "Enter again replaces it." in seen(screens) and (tmp_path / "card.pdf").read_text() == "mine"
        await press(screens, pilot, "enter")
        assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
        await make(screens, pilot, "backup", tmp_path / "away")
        assert "✓ Backup" in seen(screens)
    assert len(list((tmp_path / "away").glob("*.db"))) == 1


async def test_what_the_chosen_reader_learns_is_told_before_a_letter_is_written(
        lived_in: Path, clock: Clock, tmp_path: Path) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        await make(screens, pilot, "html")
        await settle(screens, pilot)
        assert "The landlord will learn:" in words(screens)
        read = words(screens)
        for _ in range(6):
            await press(screens, pilot, "pagedown")
            read += words(screens)
        assert "No day and no hour" in read
        await press(screens, pilot, "escape")
        screens.screen.query_one("#reader", Choice).choose(1)
        await make(screens, pilot, "annex html", out := tmp_path / "annex.html")
        assert "✓ Annex, HTML" in seen(screens)
    assert "Laundry water record" in out.read_text() and "what is remarkable" in out.read_text()


async def test_a_place_that_cannot_be_written_is_told_before(screens: GwlogApp, tmp_path: Path) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        await make(screens, pilot, "pdf")
        field = screens.screen.query_one("#path", EntryLine)
        assert "7-Quarry-Lane-lower-unit-letter-for-landlord-2026-01-01-to-2026-06-16.pdf" in field.value
        for words, said in ((str(tmp_path / "x.txt"), "must end in .pdf"), ("", "Name a file"),
                            (str(tmp_path / "no" / "x.pdf"), "no folder"), *((words, "✗") for words in NASTY)):
            field.value = words
            await settle(screens, pilot)
            await press(screens, pilot, "enter")
            assert said in seen(screens) and clean(seen(screens)) and isinstance(screens.screen, SaveFileDialog)
        await press(screens, pilot, "escape")
        await make(screens, pilot, "pdf")
        assert screens.screen.query_one("#path", EntryLine).value == field.value


async def test_periods_are_read_and_refused_in_words(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        place = screens.screen
        assert isinstance(place, RecordsScreen) and screens.home is not None
        for number, said in ((0, "Thu, Jan 1, 2026 to Tue, Jun 16, 2026"),
                             (1, "Tue, Jun 17, 2025 to Tue, Jun 16, 2026"),
                             (2, "the logbook's first day to Tue, Jun 16, 2026")):
            place.query_one("#period", Choice).choose(number)
            await settle(screens, pilot)
            assert said in seen(screens)
        place.query_one("#period", Choice).choose(3)
        for begin, end, said in (("2026-03-01", "", "Sun, Mar 1, 2026"), ("2026-06-01", "2026-05-01", "ends before"),
                                 *((words, "", "✗") for words in NASTY)):
            place.query_one("#from", EntryLine).value, place.query_one("#to", EntryLine).value = begin, end
            await settle(screens, pilot)
            assert said in seen(screens) and clean(seen(screens))


async def test_a_rehearsal_shows_its_table_and_plots(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "e")
        assert isinstance(screens.screen, RehearsalDialog)
        for words in NASTY:
            screens.screen.query_one("#days", EntryLine).value = words
            await press(screens, pilot, "enter")
            assert "a whole number from 1 to" in seen(screens) and clean(seen(screens))
        screens.screen.query_one("#days", EntryLine).value = "21"
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "Tue, Jun 16, 2026 to Mon, Jul 6, 2026" in page and "never moving the outlet" in page
        assert "the plan" in page
        await press(screens, pilot, "pagedown")
        assert "missing, in gal" in seen(screens)
    assert len(read(lived_in)) == 14 + len(season())


async def test_keys_are_answered_while_a_rehearsal_runs_and_it_stops(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await pilot.press("e")
        await pilot.pause()
        screens.screen.query_one("#days", EntryLine).value = "1830"
        await pilot.press("enter")
        while screens.background_task.progress is None or screens.background_task.progress.done == 0:
            await pilot.pause(0.02)
        assert "%" in seen(screens) and "Rehearsing" in seen(screens)
        child = screens.background_task.process
        assert child is not None
        child.send_signal(signal.SIGSTOP)   # it is under way for as long as the keys take
        field = screens.screen.query_one("#weather", EntryLine)
        field.focus()
        await pilot.press(*"keys")
        assert screens.background_task.progress is not None and field.value == "keys", "answered while it runs"
        screens.set_focus(None)
        await pilot.press("x")
        child.send_signal(signal.SIGCONT)
        await settle(screens, pilot)
        assert screens.background_task.progress is None and "Stopped early" in seen(screens)


async def test_leaving_ends_the_work_and_one_runs_at_a_time(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        order = orders.Rehearse(logbook=lived_in, now=NOW, days=1830)
        outcomes: list[dict[str, object]] = []
        assert screens.background_task.begin("Rehearsing", order, outcomes.append)
        assert not screens.background_task.begin("Another", order, outcomes.append)
        while screens.background_task.process is None:
            await pilot.pause(0.02)
        child = screens.background_task.process
    assert await asyncio.wait_for(child.wait(), 5) == -signal.SIGKILL and outcomes == []


@pytest.mark.parametrize(("order", "said"), [
    (orders.Verify(logbook=Path("/nowhere/house.db"), now=NOW), "no logbook at"),
    (orders.Card(logbook=Path("/nowhere/house.db"), now=NOW, out=Path("x.pdf")), "no logbook at"),
])
async def test_a_refused_order_is_told(screens: GwlogApp, order: orders.Order, said: str) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        outcomes: list[dict[str, object]] = []
        assert screens.background_task.begin("A try", order, outcomes.append)
        await settle(screens, pilot)
    assert len(outcomes) == 1 and said in json.dumps(outcomes[0], default=str) and "refused" in outcomes[0]


async def test_the_logbook_is_checked_and_repaired_from_the_list(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(100, 40)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        await make(screens, pilot, "check")
        page = " ".join(words(screens).split())
        assert "✓ Check the logbook" in page and "sound file: every page and index" in page
        assert "MIND newest backup: there is none" in page and "Make one: 6 (Records)" in page
        assert "gwlog backup" not in page
        _drop_a_guard(lived_in)
        await make(screens, pilot, "check")
        page = " ".join(words(screens).split())
        assert "✗ Check the logbook" in page and "FAULT write protection: missing: seal_no_delete" in page
        await make(screens, pilot, "repair")
        page = " ".join(words(screens).split())
        assert "✓ Repair the logbook" in page and "The write protection and the views were rebuilt." in page


def _drop_a_guard(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER seal_no_delete")
    connection.commit()
    connection.close()


async def test_what_is_wrong_with_the_file_is_told_at_the_start(lived_in: Path, clock: Clock) -> None:
    _drop_a_guard(lived_in)
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await screens._quick_check()
        await pilot.pause()
        told = [notice.message for notice in screens._notifications]
        assert len(told) == 1 and "not as it should be" in told[0] and "6 (Records)" in told[0]


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_the_seal_number_is_shown_for_a_witness_and_logged(lived_in: Path, clock: Clock,
                                                                  size: tuple[int, int]) -> None:
    from gwlog.journal.reader import last_seal
    from gwlog.journal.seal_number import spoken

    screens = GwlogApp(lived_in, clock)
    count, hashed, _ = last_seal(lived_in)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        screens.open("witness")
        await settle(screens, pilot)
        shown = seen(screens)
        assert f"{count}:{hashed[:16]}" in shown and all(one in shown for one in spoken(count, hashed).split())
        assert shown.count("▀") > 20 and "esc back" in shown
        await press(screens, pilot, "enter", *"Ruth", "enter")
        await settle(screens, pilot)
    assert last_seal(lived_in)[0] == count + 1
