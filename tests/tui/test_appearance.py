"""Light or dark is kept from one time to the next; nothing else depends on it."""

from __future__ import annotations

from pathlib import Path

from gwlog.tui import appearance
from gwlog.tui.app import GwlogApp
from gwlog.tui.theme import DAY, NIGHT
from tests.tui.conftest import Clock, press, settle


async def test_light_is_there_again_the_next_time(logbook: Path, clock: Clock) -> None:
    for before, after in ((NIGHT, DAY), (DAY, NIGHT), (NIGHT, DAY)):
        screens = GwlogApp(logbook, clock, poll=False)
        async with screens.run_test(size=(80, 24)) as pilot:
            await settle(screens, pilot)
            assert screens.theme == before.name
            await press(screens, pilot, "n")
            assert screens.theme == after.name


async def test_where_nothing_can_be_kept_the_screens_open_all_the_same(logbook: Path, clock: Clock,
                                                                       tmp_path: Path) -> None:
    (tmp_path / "home" / ".config").write_text("a file where a folder should be")
    assert appearance.look() is None
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "n")
        assert screens.theme == DAY.name and screens.is_running


def test_what_somebody_else_wrote_there_counts_for_nothing() -> None:
    appearance.remember("light")
    assert appearance.look() == "light"
    appearance._file().write_bytes(b"\xff\xfe[bold]")
    assert appearance.look() is None
