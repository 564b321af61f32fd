"""The four places: what each shows and what its keys do, on a small and on a large terminal."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import DataTable

from gwlog.household import Household
from gwlog.journal.delivery import Delivery
from gwlog.journal.facts import Observation
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.basin import BasinDialog
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.screens import log_rows
from gwlog.tui.screens.garden import GardenScreen
from gwlog.tui.screens.log import LogScreen
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.garden_map import GardenMap
from gwlog.tui.widgets.reminder_list import ReminderList
from gwlog.views.log import LogRow
from tests.tui.conftest import NOW, SIZES, ZONE, Clock, press, season, seen, settle

Size = tuple[int, int]


@SIZES
async def test_garden_chooses_a_basin_and_shows_its_days(lived_in: Path, clock: Clock, size: Size) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "2")
        assert isinstance(screens.screen, GardenScreen)
        page = seen(screens)
        assert all(name in page for name in ("Pomegranate", "Fig", "Plum", "Lemon")) and "◆ Hose" in page
        await press(screens, pilot, "right")
        assert screens.screen.query_one(GardenMap).chosen == "Fig"
        await press(screens, pilot, "left", "up")
        assert screens.screen.query_one(GardenMap).chosen == "Plum"
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, BasinDialog)
        page = seen(screens)
        assert "plants go short" in page and "its last 30 days and the 14 to come" in page
        assert "✕ too small for one load" in page and "ponding" in page
        await press(screens, pilot, "escape")
        assert isinstance(screens.screen, GardenScreen)


async def test_the_mouse_chooses_a_basin_and_goes_between_places(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await pilot.click("HouseholdHeader", offset=(13, 1))
        await settle(screens, pilot)
        assert isinstance(screens.screen, GardenScreen)
        plan = screens.screen.query_one(GardenMap)
        box = next(box for box in plan.drawing(plan.content_size.width).boxes if box.name == "Fig")
        await pilot.click(GardenMap, offset=(box.x + 2, box.y + 1))
        await settle(screens, pilot)
        assert plan.chosen == "Fig"
        await pilot.click("KeyFooter", offset=(41, 0))  # “l load”
        await settle(screens, pilot)
        assert "Which load?" in seen(screens)


async def test_log_finds_entries_by_words_and_kind(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "4", "slash")
        screens.screen.query_one("#words-in").value = "plum path jun 2026"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        assert "1 entry" in seen(screens) and "ponding at Plum" in seen(screens)
        await press(screens, pilot, "enter", "enter")
        assert "near the [bold]path[/]" in seen(screens) and "first version" in seen(screens)
        await press(screens, pilot, "escape", "escape")
        while "wash load ·" not in seen(screens):
            await press(screens, pilot, "f")
        assert "20 entries" in seen(screens)


async def test_log_shows_five_hundred_rows_at_a_time(logbook: Path, clock: Clock) -> None:
    append(logbook, [Observation(happened_at=NOW - timedelta(minutes=count + 1), zone=ZONE, observed="other",
                                 note=f"no {count}") for count in range(520)], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "4")
        table = screens.screen.query_one(DataTable)
        assert table.row_count == 500 and "page 1 of 2" in seen(screens)
        await press(screens, pilot, "full_stop", "full_stop")
        assert table.row_count == 34 and "page 2 of 2" in seen(screens)
        await press(screens, pilot, "comma")
        assert table.row_count == 500 and "page 1 of 2" in seen(screens)


async def test_log_goes_to_a_day_or_the_nearest_older_entry_of_what_is_listed(logbook: Path, clock: Clock,
                                                                              monkeypatch: pytest.MonkeyPatch
                                                                              ) -> None:
    monkeypatch.setattr(log_rows, "PAGE", 50)
    append(logbook, [*season(), *(Observation(happened_at=NOW - timedelta(minutes=count + 1), zone=ZONE,
                                              observed="other") for count in range(60))], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "4")
        place = screens.screen
        assert isinstance(place, LogScreen)

        async def go(typed: str) -> None:
            await press(screens, pilot, "g")
            place.query_one("#day", EntryLine).value = typed
            await press(screens, pilot, "enter")

        def there() -> LogRow:
            return next(row for row in place.shown.rows if row.id == place.chosen)

        for typed, found in (("2026-05-17", "2026-05-17"), ("2026-05-19", "2026-05-17"), ("2026-05-20", "2026-05-20")):
            await go(typed)  # towels ran on every third day only
            assert there().happened_at.date().isoformat() == found and "page 2 of 2" in seen(screens)
        await go("yesterday")
        assert (there().kind, there().sentence) == ("observation", "ponding at Plum")
        while place.kind != "weather day":
            await press(screens, pilot, "f")
        await go("2026-05")
        assert there().happened_at.date().isoformat() == "2026-05-22" and "page 1 of 1" in seen(screens)
        await go("someday")
        assert "“someday” is not a day gwlog can read" in seen(screens)
        place.query_one("#day", EntryLine).value = "2020-01-01"
        await press(screens, pilot, "enter")
        assert "Nothing here is as old as Wed, Jan 1, 2020" in seen(screens)
        place.query_one("#day", EntryLine).value = "1"
        await press(screens, pilot, "enter")
        assert "Entry 1 is not in this list." in seen(screens)
        await press(screens, pilot, "escape", "F")
        while place.kind:
            await press(screens, pilot, "F")
        await go("1")
        assert there().id == 1 and not place.query_one("#go").display


async def test_log_corrects_and_strikes_out_the_entry_under_the_cursor(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "1", "s", "4", "x")
        screens.screen.query_one("#f-volume").value = "15gal"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "towels, 15 gal to garden" in seen(screens)
        await press(screens, pilot, "enter")
        assert "first version" in seen(screens) and "corrected" in seen(screens)
        await press(screens, pilot, "escape", "w", "enter")
        assert "A withdrawal needs a reason" in seen(screens)
        await press(screens, pilot, *"twice", "enter")
        assert not isinstance(screens.screen, FormDialog)
        await press(screens, pilot, "a")
        assert "withdrawn by 17" in seen(screens)
    corrected, struck = read(screens.path)[-2:]
    assert (corrected.corrects_id, struck.note) == (15, "twice")


async def test_a_description_cannot_be_corrected_from_the_log(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "4", "x")
        assert isinstance(screens.screen, LogScreen)
        assert "cannot be corrected" in seen(screens)
        await press(screens, pilot, "i")
        assert "No contradictions in the log." in seen(screens)


async def test_upkeep_says_where_each_interval_comes_from(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "5")
        assert screens.home is not None
        for item in screens.home.upkeep:
            page = " ".join(seen(screens).split())
            assert f"{item.name}: {item.often}, never done." in page
            assert (item.source or "this household") in page
            await press(screens, pilot, "down")


async def test_upkeep_notes_the_task_under_the_cursor(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "5")
        assert "‼ overdue" in seen(screens) and "Nothing: no observation is open" in seen(screens)
        await press(screens, pilot, "down", "enter")
        assert "■ flush the soil with drinking water" in seen(screens)
        await press(screens, pilot, "enter")
    assert read(screens.path)[-1].task == "flush the soil with drinking water"  # type: ignore[attr-defined]


async def test_a_thing_to_do_opens_the_form_that_notes_it(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert screens.home is not None
        at = next(n for n, r in enumerate(screens.home.reminders) if r.kind == "upkeep")
        await press(screens, pilot, *["down"] * at, "enter")
        assert isinstance(screens.screen, FormDialog)
        assert screens.screen.spec.key == "done"
        assert f"■ {screens.home.reminders[at].subject}" in seen(screens)


async def test_reminders_that_were_answered_are_shown_on_request(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        todo = screens.screen.query_one(ReminderList)
        count = len(todo.shown)
        await press(screens, pilot, "p", "a", "z", "enter", "escape")
        assert len(todo.shown) == count - 2
        await press(screens, pilot, "A")
        assert "To do, and 2 seen or put off" in seen(screens) and len(todo.shown) == count
        await press(screens, pilot, "end")
        answers = [one.answer for one in todo.shown if one.answer]
        assert sorted(answers) == ["put off by Ines until Wed, Jun 17, 2026, 8:00 am", "seen by Ines"]
        todo.highlighted = next(n for n, one in enumerate(todo.shown) if one.answer.startswith("seen"))
        await pilot.pause()
        assert "seen by Ines:" in seen(screens)
        await press(screens, pilot, "a")
        assert "That reminder was marked as seen already, by entry" in " ".join(seen(screens).split())
        await press(screens, pilot, "escape")
        todo.highlighted = next(n for n, one in enumerate(todo.shown) if one.answer.startswith("put off"))
        await pilot.pause()
        assert "put off by Ines until Wed, Jun 17, 2026, 8:00 am:" in seen(screens)
        await press(screens, pilot, "z")
        screens.screen.query_one("#f-until", EntryLine).value = "yesterday"
        await settle(screens, pilot)
        page = " ".join(seen(screens).split())
        assert "For example: tomorrow 9:00, or sat" in page and "--until" not in page
        await press(screens, pilot, "escape", "A")
        assert "To do, and" not in seen(screens) and len(todo.shown) == count - 2


async def test_what_could_not_be_told_elsewhere_stands_on_today(logbook: Path, clock: Clock,
                                                               monkeypatch: pytest.MonkeyPatch) -> None:
    failed = Delivery("key", "mulch|Fig|2026-06-16", "Tom", "mail", "failed", 2, NOW, None, "no such address")
    monkeypatch.setattr(Household, "undelivered", (failed,))
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "“mulch” has not reached Tom by mail: no such address." in seen(screens)


async def test_typed_lines_are_said_back_kept_and_logged_together(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "t")
        screens.screen.query_one("#line").value = "mon 9 towels"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        assert "Understood: Mon, Jun 15, 2026, 9:00 am: towels, 18 gal to garden" in seen(screens)
        await press(screens, pilot, "enter", "escape", "t")
        assert "Mon, Jun 15, 2026, 9:00 am" in seen(screens)
        screens.screen.query_one("#line").value = "mon 11 valve sewer, Ines"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "enter")
        await press(screens, pilot, *([] if "Logged 2 entries" in seen(screens) else ["enter"]))
        assert "Logged 2 entries from 2 lines." in seen(screens)
    assert [fact.KIND for fact in read(screens.path)[-2:]] == ["wash_load", "valve_switch"]


async def test_a_note_is_erased_from_the_log_at_the_second_key(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "v")
        screens.screen.query_one("#f-note").value = "words to go"  # type: ignore[attr-defined]
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "4", "N")
        assert "Press N again to erase the note of entry 15 for good." in seen(screens)
        assert "Backups, packs" in " ".join(seen(screens).split()) and b"words to go" in screens.path.read_bytes()
        await press(screens, pilot, "N")
        assert "The note of entry 15 is erased for good." in seen(screens)
        await press(screens, pilot, "N")
        assert "Entry 15 has no note" in seen(screens)
    assert read(screens.path)[-1].note is None
    assert not any(b"words to go" in file.read_bytes() for file in screens.path.parent.glob("house.db*"))
