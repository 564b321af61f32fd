"""Noted seal numbers on a screen: what they say, a second place, and an older copy that was meant."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.journal import noted_lines
from gwlog.journal.facts import ValveSwitch
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.noted import NotedDialog
from tests.tui.conftest import BASE, NOW, press, seen, settle


@pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=["60x20", "80x24"])
async def test_an_older_copy_is_told_and_taken_as_meant_and_a_second_place_named(
        screens: GwlogApp, logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    monkeypatch.setenv("GWLOG_NOTED", str(tmp_path / "noted"))
    shutil.copyfile(logbook, tmp_path / "older.db")
    append(logbook, [ValveSwitch(**{**BASE, "happened_at": NOW - timedelta(hours=1)}, position="sewer")],
           now=NOW - timedelta(hours=1))
    shutil.copyfile(tmp_path / "older.db", logbook)
    (tmp_path / "disk").mkdir()
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        assert screens.home is not None and screens.home.alarms
        assert "not fit together" in " ".join(seen(screens).split())
        screens.push_screen(NotedDialog(screens.home))
        await settle(screens, pilot)
        await pilot.pause(0.2)
        await settle(screens, pilot)
        said = " ".join(seen(screens).replace("│", " ").split())
        assert "1 entry at the end is gone" in said
        await press(screens, pilot, "ctrl+t")
        assert "ctrl+t again" in " ".join(seen(screens).split())
        await press(screens, pilot, *str(tmp_path / "disk"))
        await press(screens, pilot, "enter")
        assert noted_lines.second_place() == tmp_path / "disk"
        await press(screens, pilot, "ctrl+t", "ctrl+t")
        await pilot.pause(0.2)
        await settle(screens, pilot)
        assert noted_lines.compared(logbook).difference is None
    assert next((tmp_path / "disk").iterdir()).stat().st_size
