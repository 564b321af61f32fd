"""Somebody else writes while an answer is on the screen: nothing is logged on the old one, and the new one is shown."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot

from gwlog.errors import GwlogError
from gwlog.journal import reader
from gwlog.journal.facts import Fact, Mulch, Observation, OutletMove, ValveSwitch, WashLoad
from gwlog.journal.writer import append
from gwlog.tui import app as the_app
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.dialogs.load import LoadDialog
from gwlog.tui.dialogs.quick_entry import QuickEntryDialog
from tests.tui.conftest import NOW, ZONE, Clock, press, seen, settle, words
from tests.tui.test_next_load import expecting

MINUTE = timedelta(minutes=1)


def others(path: Path, *facts: Fact) -> None:
    append(path, list(facts), now=NOW)


def valve(position: str) -> ValveSwitch:
    return ValveSwitch(happened_at=NOW - MINUTE, zone=ZONE, position=position)


def moved(basin: str) -> OutletMove:
    return OutletMove(happened_at=NOW - MINUTE, zone=ZONE, outlet="Hose", basin=basin)


ILLNESS = Observation(happened_at=NOW - MINUTE, zone=ZONE, observed="illness")


def loads(path: Path) -> list[WashLoad]:
    return [fact for fact in reader.read(path) if isinstance(fact, WashLoad)]


async def test_the_next_load_is_not_logged_on_an_answer_that_is_another_one(logbook: Path, clock: Clock) -> None:
    expecting(logbook, "towels", "2026-06-16T10:00")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "GARDEN: Lemon" in seen(screens)
        others(logbook, ILLNESS)
        await press(screens, pilot, "y")
        assert loads(logbook) == [] and isinstance(screens.screen, LoadDialog)
        await press(screens, pilot, "escape")
        assert "Nothing was logged: it was GARDEN: Lemon, and is SEWER (must) by now." in words(screens)


@pytest.mark.parametrize("change", [valve("sewer"), moved("Fig"), ILLNESS], ids=["valve", "outlet", "answer"])
async def test_a_chosen_load_is_not_logged_where_things_stand_otherwise(change: Fact, screens: GwlogApp,
                                                                        logbook: Path) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "1")
        asked = screens.screen
        assert isinstance(asked, LoadDialog) and asked.asking
        others(logbook, change)
        await press(screens, pilot, "s")
        assert loads(logbook) == [] and not asked.asking
        assert "Nothing was logged" in words(screens)
        assert asked.home.head == reader.last_seal(logbook)[0], "the new answer is shown"
        await press(screens, pilot, "1")
        if asked.asking:
            await press(screens, pilot, "s")
        assert [load.usual_load for load in loads(logbook)] == ["towels"]


async def test_a_load_goes_on_where_what_was_written_changes_nothing_of_it(screens: GwlogApp, logbook: Path) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "1")
        others(logbook, Mulch(happened_at=NOW - MINUTE, zone=ZONE, basin="Fig", action="added", depth_mm=20))
        await press(screens, pilot, "a")
        assert len(loads(logbook)) == 1


async def test_a_form_shows_what_it_would_log_by_now_and_asks_again(screens: GwlogApp, logbook: Path) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "e")
        form = screens.screen
        assert isinstance(form, FormDialog)
        assert ("Hose" in words(screens) and "outlet" in words(screens)) or "Lemon" in words(screens)
        others(logbook, ILLNESS)
        await press(screens, pilot, "enter")
        assert loads(logbook) == [] and "somebody else logged first" in words(screens)
        await press(screens, pilot, "enter")
        assert [load.went_to for load in loads(logbook)] == ["sewer"], "as it was shown the second time"


async def test_typed_lines_are_read_again(screens: GwlogApp, logbook: Path) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        screens.open("quick entry")
        await settle(screens, pilot)
        dialog = screens.screen
        assert isinstance(dialog, QuickEntryDialog)
        await press(screens, pilot, *"towels", "enter")
        others(logbook, valve("sewer"))
        await press(screens, pilot, "enter")
        assert loads(logbook) == [] and "now says" in words(screens) and "sewer" in words(screens)
        await press(screens, pilot, "enter")
        assert [load.went_to for load in loads(logbook)] == ["sewer"]


async def test_what_two_take_back_is_taken_back_once(screens: GwlogApp, logbook: Path) -> None:
    from gwlog.app import entries
    from gwlog.household import look

    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "v", "enter")
        home = look(logbook, NOW)
        others(logbook, entries.withdraw(home, home.head, entries.Author(NOW, note="no")))
        await press(screens, pilot, "b")
        assert "was withdrawn by entry" in words(screens)
    assert reader.last_seal(logbook)[0] == home.head + 1


async def test_a_clock_that_is_behind_is_told_on_the_screens(screens: GwlogApp, clock: Clock, logbook: Path) -> None:
    others(logbook, valve("garden"))
    async with screens.run_test(size=(100, 40)) as pilot:
        clock.move(days=-3)
        await settle(screens, pilot)
        await press(screens, pilot, "v", "enter")
        told = [notice.message for notice in screens._notifications]
    assert any("before the last entry was written" in words for words in told)


async def test_letters_in_a_field_without_a_choice_do_nothing(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "s", "a", "1", "space", "left")
        assert "nothing to choose" in seen(screens)


def test_screens_that_fail_end_with_a_sentence_and_a_file(
        logbook: Path, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def break_it(pilot: Pilot[None]) -> None:
        note = "what people wrote"
        pilot.app.call_later(lambda: note + 1)  # type: ignore[operator]

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    run = App.run
    monkeypatch.setattr(GwlogApp, "run", lambda self: run(self, headless=True, auto_pilot=break_it))
    with pytest.raises(GwlogError, match="bug in gwlog: TypeError") as ended:
        the_app.run(logbook, clock)
    assert ended.value.exit_code == 1
    place = tmp_path / "data" / "gwlog" / "screens-failed.txt"
    assert str(place) in str(ended.value.hint) and place.stat().st_mode & 0o777 == 0o600
    kept = place.read_text()
    assert "note + 1" in kept and "what people wrote" not in kept
