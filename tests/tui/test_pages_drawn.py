"""Whole screens as plain text, a few of them: what changes here was changed on purpose."""

from __future__ import annotations

from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from gwlog.tui.app import GwlogApp
from tests.tui.conftest import Clock, press, seen, settle

PAGES = {
    "today 80x24": ((80, 24), ""), "today 140x50": ((140, 50), ""), "load 80x24": ((80, 24), "l"),
    "garden 140x50": ((140, 50), "2"), "log 80x24": ((80, 24), "4"), "observe 80x24": ((80, 24), "o"),
}


@pytest.mark.parametrize("page", PAGES)
async def test_page(lived_in: Path, clock: Clock, snapshot: SnapshotAssertion, page: str) -> None:
    size, keys = PAGES[page]
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, *keys)
        assert seen(screens) == snapshot


async def test_without_colour_every_state_still_reads(lived_in: Path, clock: Clock,
                                                      monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert screens.no_color
        page = seen(screens)
        for sign in ("▶ GARDEN", "○ wants water", "◌ resting", "‼ overdue", "[1 Today]"):
            assert sign in page
        await press(screens, pilot, "l")
        assert "▸ 1" in seen(screens)
        await press(screens, pilot, "escape", "2")
        assert "┏━ Pomegranate" in seen(screens)
