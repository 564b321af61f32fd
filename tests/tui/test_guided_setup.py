"""The guided setup: from nothing to the first verdict, left and gone on with, and what is refused on the way."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from textual.pilot import Pilot

from gwlog.journal.facts import Basin, Outlet, Product, Site, UsualLoad, Washer
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.setup.draft import of_text
from gwlog.setup.example import starter
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.guided_setup import GuidedSetupDialog
from gwlog.tui.dialogs.load import LoadDialog
from gwlog.tui.setup import guided_draft
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import BEGIN, Clock, household, press, seen, settle
from tests.tui.test_nasty_text import NASTY, clean

Size = tuple[int, int]
COLD = "3 3 4 5 7 10 12 12 10 8 5 3"
WARM = "10 11 13 15 18 21 24 24 21 18 13 10"


async def fill(app: GwlogApp, pilot: Pilot[None], **values: str) -> None:
    """Type into fields."""
    for key, value in values.items():
        app.screen.query_one(f"#f-{key}", EntryLine).value = value
    await settle(app, pilot)


async def as_far_as_basins(app: GwlogApp, pilot: Pilot[None], *, metric: bool) -> None:
    await fill(app, pilot, name="Quarry Lane 7", timezone="los angeles", latitude="36.9")
    if metric:
        await press(app, pilot, "tab", "m")
    await press(app, pilot, "enter")
    if metric:
        await press(app, pilot, "right", "right")  # from temperatures
        await fill(app, pilot, tmin=COLD, tmax=WARM)
    else:
        await fill(app, pilot, eto_zone="3")
    await press(app, pilot, "enter")
    assert "Check your local code" in seen(app)
    await press(app, pilot, "c", "enter")  # California
    page = seen(app)
    assert "What the chosen code asks of the system itself" in page
    assert "Is the washing machine alone connected?" in page
    assert not app.screen.query("#f-groundwater")    # California asks nothing of it
    await press(app, pilot, "tab", "right", "enter")  # one-family; the others are not answered
    page = seen(app)
    assert "bucket" in page and "air vent" in page and "Usual for front-load" in page
    await fill(app, pilot, volume="70" if metric else "18")
    await press(app, pilot, "enter")


@pytest.mark.parametrize(("size", "metric"), [((80, 24), False), ((140, 50), True)], ids=["80x24 us", "140x50 metric"])
async def test_from_nothing_to_the_first_verdict(tmp_path: Path, clock: Clock, size: Size, metric: bool) -> None:
    path = tmp_path / "new folder" / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        assert isinstance(screens.screen, GuidedSetupDialog)
        await as_far_as_basins(screens, pilot, metric=metric)
        await fill(screens, pilot, name="Fig", area="2.2" if metric else "24", plants="fig tree",
                   canopy="6" if metric else "60")
        await press(screens, pilot, "enter")
        assert "So far: Fig" in seen(screens)
        await fill(screens, pilot, name="Plum", area="1.2 m2", plants="plum")
        await press(screens, pilot, "enter", "enter")
        assert "Never join the graywater pipe" in seen(screens)
        await press(screens, pilot, "enter", "enter")
        await fill(screens, pilot, name="plain liquid")
        await press(screens, pilot, "enter", "enter", "tab", "space", "enter", "enter")
        page = seen(screens)
        assert "basin “Fig”" in page and "mind:" in page and "monthly_rain" not in page
        assert not path.exists() and guided_draft.draft_file(path).exists()
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, LoadDialog)
        assert "towels" in seen(screens) and "GARDEN" in seen(screens)
    assert not guided_draft.draft_file(path).exists()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    facts = read(path)
    assert [type(fact) for fact in facts] == [Site, Washer, Basin, Basin, Product, UsualLoad, Outlet]
    site, washer, fig, *_, load, hose = facts
    assert isinstance(site, Site) and isinstance(washer, Washer) and isinstance(fig, Basin)
    assert isinstance(load, UsualLoad) and isinstance(hose, Outlet)
    assert (site.zone, site.code, site.valve) == ("America/Los_Angeles", "us-ca-washer", "unknown")
    assert (site.code_edition, site.system_answers) == ("2026-11", ("dwelling: one-family",))
    assert (load.products, hose.basin, hose.reaches) == (("plain liquid",), "Fig", None)
    assert fig.area_cm2 == (22_000 if metric else round(24 * 929.0304))
    if metric:
        assert site.monthly_eto_um is not None and 100_000 < site.monthly_eto_um[6] < 200_000
        assert site.monthly_tmean_mdegc is not None
        assert site.monthly_tmean_mdegc[:3] == (6_500, 7_000, 8_500)   # halfway between the lowest and the highest
    else:
        assert (site.eto_zone, washer.volume_ml) == (3, 68_137)


async def test_left_at_any_page_it_goes_on_there(tmp_path: Path, clock: Clock) -> None:
    path = tmp_path / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await as_far_as_basins(screens, pilot, metric=False)
        await fill(screens, pilot, name="Fig", area="twenty")
        await press(screens, pilot, "escape")
        page = seen(screens)
        assert "There is no logbook" in page and "7 opens the guided setup" in page
        await press(screens, pilot, "7")
        assert "twenty" in seen(screens)
        await press(screens, pilot, "ctrl+q")
    kept = guided_draft.draft_file(path)
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600 and not path.exists()
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        page = seen(screens)
        assert "twenty" in page and "You are where you left" in page
        await press(screens, pilot, "enter")
        assert "cannot be read; write it like 20ft2" in seen(screens)
        await press(screens, pilot, "pageup")
        assert "bucket" in seen(screens) and screens.screen.query_one("#f-volume", EntryLine).value == "18 gal"
        await press(screens, pilot, "enter")
        assert "twenty" in seen(screens)
        await press(screens, pilot, "ctrl+n", "ctrl+n")
        assert "A new logbook" in seen(screens) and not kept.exists()


async def test_a_basin_is_needed_taken_out_again_and_may_not_come_twice(tmp_path: Path, clock: Clock) -> None:
    screens = GwlogApp(tmp_path / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await as_far_as_basins(screens, pilot, metric=False)
        await press(screens, pilot, "enter")
        assert "✗ Name is missing" in seen(screens)
        await fill(screens, pilot, name="Fig", area="24", plants="fig")
        await press(screens, pilot, "enter")
        await fill(screens, pilot, name="fig", area="24", plants="fig")
        assert "There is one called “fig” already" in seen(screens)
        await press(screens, pilot, "enter", "pageup", "f4")
        assert isinstance(screens.screen, GuidedSetupDialog) and screens.screen.guided.draft["basin"] == []


async def test_a_household_described_meanwhile_is_left_alone(tmp_path: Path, clock: Clock, empty: Path) -> None:
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = screens.screen
        assert isinstance(dialog, GuidedSetupDialog)
        dialog.guided = guided_draft.Guided(of_text(starter(clock()).replace("T09:00 ", "T09:00:00 ")),
                                         ("look over", 0))
        await dialog._turn()
        guided_draft.save(empty, dialog.guided)
        await settle(screens, pilot)
        assert "usual load “towels”" in seen(screens)
        append(empty, household(), now=BEGIN)
        await press(screens, pilot, "enter")
        assert "described meanwhile by somebody else" in seen(screens)
        await press(screens, pilot, "escape")
    assert len(read(empty)) == len(household()) and guided_draft.draft_file(empty).exists()


async def test_answers_that_cannot_be_kept_are_not_lost_unsaid(tmp_path: Path, clock: Clock) -> None:
    (tmp_path / "file").write_text("in the way")
    screens = GwlogApp(tmp_path / "file" / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await fill(screens, pilot, name="Quarry Lane 7")
        await press(screens, pilot, "escape")
        assert "cannot be kept" in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, GuidedSetupDialog)


@pytest.mark.parametrize("content", [b"", b"[]", b"\xff", b'{"at": ["moon", 3], "site_file": "", "typed": {}}',
                                     b'{"at": ["site", 0], "site_file": "[kitchen]", "typed": {}}'])
def test_a_spoilt_draft_begins_afresh(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "house.db"
    guided_draft.draft_file(path).write_bytes(content)
    kept = guided_draft.load(path)
    assert kept is None or kept.at == ("site", 0)


async def test_nasty_words_on_every_page(tmp_path: Path, clock: Clock) -> None:
    screens = GwlogApp(tmp_path / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = screens.screen
        assert isinstance(dialog, GuidedSetupDialog)
        pages = dialog.guided.pages()[:-1]
        for turn, page in enumerate(pages):
            dialog.guided = guided_draft.Guided(at=page)
            await dialog._turn()
            await settle(screens, pilot)
            for number, field in enumerate(dialog.query(EntryLine)):
                field.value = NASTY[(number + turn) % len(NASTY)]
            await press(screens, pilot, "enter")
            assert clean(seen(screens)) and ("✗" in seen(screens) or page[0] == "code"), page
    assert not (tmp_path / "house.db").exists()
