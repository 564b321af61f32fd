"""Random keys break nothing: every place and box, without a logbook, empty, small, ten years; three sizes.

A broken walk names its seed and its keys; `random_keys.walk(path, size, seed, count, keys=[...])` shows it again.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from gwlog.tui.background_task import BackgroundTask
from tests.tui.conftest import Clock
from tests.tui.random_keys import SIZES, Size, walk
from tests.tui.test_every_household import MORNING, demo, shared

__all__ = ["shared"]
PLACES = {"TodayScreen", "GardenScreen", "PlanScreen", "LogScreen", "UpkeepScreen", "RecordsScreen", "SetupScreen"}
DIFFERENT = pytest.mark.parametrize("size", SIZES, ids=[f"{w}x{h}" for w, h in SIZES])


@pytest.fixture(autouse=True)
def _no_process(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Long work is refused at once: what its process does is tested beside it. Files go into this test's folder."""
    async def refused(task: BackgroundTask, _order: Any, done: Any) -> None:
        task.progress = None
        task._changed()
        done({"refused": "Nothing is written in this test.", "hint": None})

    monkeypatch.setattr(BackgroundTask, "_run", refused)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@DIFFERENT
async def test_random_keys_on_an_empty_logbook(size: Size, empty: Path) -> None:
    await walk(empty, size, seed=size[0], count=15)


@DIFFERENT
async def test_random_keys_on_a_small_household(size: Size, lived_in: Path) -> None:
    fingers = await walk(lived_in, size, seed=size[0] + 1, count=50)
    assert len(fingers.places) > 3, sorted(fingers.places)


async def test_random_keys_where_there_is_no_logbook(tmp_path: Path) -> None:
    await walk(tmp_path / "none.db", (80, 24), seed=5, count=15)


@pytest.mark.long
@DIFFERENT
async def test_many_random_keys_on_ten_years(size: Size, shared: Path, tmp_path: Path) -> None:
    path = tmp_path / "house.db"
    path.write_bytes(demo(shared, 10, "us").read_bytes())
    await walk(path, size, seed=size[1], count=40, clock=Clock(MORNING))


@pytest.mark.long
@DIFFERENT
async def test_many_random_keys_go_everywhere(size: Size, lived_in: Path) -> None:
    fingers = await walk(lived_in, size, seed=size[1] + 7, count=200)
    assert len(fingers.places & PLACES) > 4 and len(fingers.places) > 9, sorted(fingers.places)
