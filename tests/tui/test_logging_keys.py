"""The keys that log: each flow from the key to the entry in the file, on a small and on a large terminal."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from textual.pilot import Pilot

from gwlog.journal.facts import Fact, OutletMove
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.dialogs.load import LoadDialog
from tests.tui.conftest import NOW, SIZES, ZONE, Clock, press, seen, settle

Size = tuple[int, int]


def logged(path: Path) -> list[Fact]:
    """What was appended after the descriptions."""
    return [fact for fact in read(path) if fact.happened_at > NOW - timedelta(days=60)]


async def write(app: GwlogApp, pilot: Pilot[None], field: str, words: str) -> None:
    """Type into a field of the form by giving it the words at once."""
    app.screen.query_one(f"#f-{field}").value = words  # type: ignore[attr-defined]
    await settle(app, pilot)


@SIZES
async def test_two_keys_log_a_load_and_its_answer_stands_there_before_the_second(screens: GwlogApp, size: Size) -> None:
    before = OutletMove(happened_at=NOW - timedelta(hours=1), zone=ZONE, outlet="Hose", basin="Lemon")
    append(screens.path, [before], now=NOW)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l")
        assert "towels, 18 gal  →  GARDEN: Lemon" in seen(screens)
        await press(screens, pilot, "1")
        assert "Logged 16: towels, 18 gal to Lemon." in seen(screens)
    _, run = logged(screens.path)
    assert (run.KIND, run.usual_load, run.went_to) == ("wash_load", "towels", "garden")  # type: ignore[attr-defined]


async def test_the_answer_follows_the_highlight(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "down")
        assert "diapers, 18 gal  →  SEWER (must)" in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, LoadDialog)
    assert logged(screens.path) == []


async def test_as_advised_logs_the_turn_of_the_valve_with_the_load(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "2")
        assert "Did you do the steps first?" in seen(screens)
        assert logged(screens.path) == []
        await press(screens, pilot, "a")
        assert "▼ SEWER" in seen(screens)
    valve, run = logged(screens.path)
    assert (valve.position, run.went_to) == ("sewer", "sewer")  # type: ignore[attr-defined]


async def test_as_it_stands_logs_the_truth_as_an_exception(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "2", "s")
        assert "This load should have gone to the sewer" in seen(screens)
    (run,) = logged(screens.path)
    assert (run.usual_load, run.went_to) == ("diapers", "garden")  # type: ignore[attr-defined]


async def test_as_advised_moves_the_outlet_when_its_basin_has_had_enough(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for _ in range(2):  # the second would pass what Pomegranate may soak in a day
            await press(screens, pilot, "l", "1")
            clock.move(minutes=50)
            await screens.reload()
            await settle(screens, pilot)
        await press(screens, pilot, "l", "1")
        dialog = screens.screen
        assert isinstance(dialog, LoadDialog) and dialog.asking
        await press(screens, pilot, "a")
    kinds = [fact.KIND for fact in logged(screens.path)]
    assert "outlet_move" in kinds
    move = next(fact for fact in logged(screens.path) if fact.KIND == "outlet_move")
    run = logged(screens.path)[-1]
    assert run.KIND == "wash_load" and move.id < run.id and move.basin != "Pomegranate"  # type: ignore[attr-defined]


FLOWS: list[tuple[str, dict[str, str], str, dict[str, object]]] = [
    ("v", {}, "valve_switch", {"position": "sewer"}),
    ("m", {}, "outlet_move", {"outlet": "Hose", "basin": "Fig"}),
    ("c", {"depth": "2in"}, "mulch", {"basin": "Pomegranate", "action": "added", "depth_mm": 51}),
    ("r", {"amount": "0.5in"}, "weather_day", {"rain_um": 12_700}),
    ("W", {"amount": "3gal"}, "other_water", {"volume_ml": 11_356, "way": "can"}),
    ("r", {"amount": "8 mm", "since": "2026-06-10", "day": "2026-06-12"}, "weather_day",
     {"rain_um": 8_000, "rain_from": date(2026, 6, 10), "day": date(2026, 6, 12)}),
    ("o", {"note": "by the path"}, "observation", {"observed": "ponding", "basin": "Fig", "note": "by the path"}),
    ("d", {}, "upkeep_done", {"task": "look for ponding and runoff"}),
]


async def test_each_form_makes_its_entry(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for key, typed, kind, _ in FLOWS:
            await press(screens, pilot, key)
            for field, words in typed.items():
                await write(screens, pilot, field, words)
            assert "Will log:" in seen(screens), kind
            await press(screens, pilot, "enter")
            assert not isinstance(screens.screen, FormDialog), kind
    facts = logged(screens.path)
    assert [fact.KIND for fact in facts] == [kind for _, _, kind, _ in FLOWS]
    for fact, (_, _, _, parts) in zip(facts, FLOWS, strict=True):
        assert {part: getattr(fact, part) for part in parts} == parts


async def test_an_observation_is_settled_from_the_list_of_open_ones(screens: GwlogApp, clock: Clock) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "s")
        await press(screens, pilot, "enter")
        assert "Nothing to resolve" in seen(screens)
        await press(screens, pilot, "escape", "o", "enter")
        clock.move(hours=1)
        await press(screens, pilot, "s", "enter")
    seen_fact, settled = logged(screens.path)
    assert settled.resolves_id == seen_fact.id  # type: ignore[attr-defined]


async def test_a_wrong_value_is_told_in_the_form_and_nothing_is_logged(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "r", *"abc")
        assert "✗ The rain “abc” cannot be read" in seen(screens)
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, FormDialog)
        assert "✗ The rain “abc” cannot be read" in seen(screens)
    assert logged(screens.path) == []


async def test_leaving_a_form_keeps_what_was_typed(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "r", *"0.4", "escape", "r")
        assert screens.screen.query_one("#f-amount").value == "0.4"  # type: ignore[attr-defined]
        assert "what you typed earlier" in seen(screens)
        await press(screens, pilot, "escape", "q")
        assert "again to leave without it" in seen(screens)
        await press(screens, pilot, "r", "ctrl+n")
        assert screens.screen.query_one("#f-amount").value == ""  # type: ignore[attr-defined]


async def test_one_key_takes_back_everything_that_was_logged_together(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "2", "a", "b")
        assert "Taken back" in seen(screens)
        assert "▶ GARDEN" in seen(screens)
        await press(screens, pilot, "b")
        assert "You have logged nothing here" in seen(screens)
    withdrawn = [fact for fact in logged(screens.path) if fact.KIND == "withdrawal"]
    assert sorted(fact.withdraws_id for fact in withdrawn) == [15, 16]  # type: ignore[attr-defined]
    assert all(fact.note for fact in withdrawn)


async def test_who_writes_goes_with_every_entry(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "p", "l", "1", "v", "enter")
        assert "logging as Ines" in seen(screens)
    assert [fact.recorded_by for fact in logged(screens.path)] == ["Ines", "Ines"]


async def test_quitting_from_a_form_keeps_it_and_asks_once_more(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "o")
        await write(screens, pilot, "note", "half a thought")
        await press(screens, pilot, "ctrl+q")
        assert screens.is_running and "again to leave without it" in seen(screens)
        await press(screens, pilot, "o")
        assert "half a thought" in seen(screens)
        await write(screens, pilot, "note", "")
        await press(screens, pilot, "escape")
        assert screens.drafts == {}


async def test_a_key_pressed_before_the_first_look_is_not_lost(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        screens.open("load")
        await settle(screens, pilot)
        assert isinstance(screens.screen, LoadDialog)
        assert "GARDEN: Lemon" in seen(screens)


async def test_say_more_logs_what_was_different(screens: GwlogApp) -> None:
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "l", "e")
        await write(screens, pilot, "volume", "75 L")
        await write(screens, pilot, "at", "yesterday 18:30")
        await press(screens, pilot, "enter")
        assert not isinstance(screens.screen, FormDialog)
    run = read(screens.path)[-1]
    assert run.volume_ml == 75_000  # type: ignore[attr-defined]
    assert run.happened_at.isoformat() == "2026-06-16T01:30:00+00:00"
