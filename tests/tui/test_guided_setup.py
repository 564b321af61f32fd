"""The guided setup: from nothing to the first answer, left and gone on with, and what is refused on the way."""

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
from gwlog.tui.dialogs.practice import PracticeDialog, TourDialog
from gwlog.tui.setup import guided_draft
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import BEGIN, Clock, household, press, seen, settle
from tests.tui.test_nasty_text import NASTY, clean

Size = tuple[int, int]
COLD = "3 3 4 5 7 10 12 12 10 8 5 3"
WARM = "10 11 13 15 18 21 24 24 21 18 13 10"


@pytest.fixture(autouse=True)
def _zone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The machine stands in California, so that towns there are offered first."""
    monkeypatch.setenv("TZ", "America/Los_Angeles")


async def fill(app: GwlogApp, pilot: Pilot[None], **values: str) -> None:
    """Type into fields."""
    for key, value in values.items():
        app.screen.query_one(f"#f-{key}", EntryLine).value = value
    await settle(app, pilot)


def page_of(app: GwlogApp) -> str:
    """The id of the page at hand."""
    assert isinstance(app.screen, GuidedSetupDialog)
    return app.screen.guided.at[0]


async def to_the_guesses(app: GwlogApp, pilot: Pilot[None], where: str = "Davis, CA") -> None:
    await fill(app, pilot, where=where)
    await press(app, pilot, "enter")
    assert page_of(app) == "guesses"


async def to_the_basins(app: GwlogApp, pilot: Pilot[None], where: str = "Davis, CA") -> None:
    await to_the_guesses(app, pilot, where)
    while page_of(app) != "basin":
        await press(app, pilot, "enter")


async def make(app: GwlogApp, pilot: Pilot[None]) -> None:
    """From the review on: everything is looked at, then made."""
    for _ in range(12):
        if not isinstance(app.screen, GuidedSetupDialog):
            return
        await press(app, pilot, "enter")


@pytest.mark.long
@pytest.mark.parametrize(("size", "metric"), [((80, 24), False), ((140, 50), True)], ids=["80x24 us", "140x50 metric"])
async def test_every_page_filled_in_beside_the_way_too(tmp_path: Path, clock: Clock, size: Size, metric: bool) -> None:
    path = tmp_path / "new folder" / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await to_the_guesses(screens, pilot)
        page = " ".join(seen(screens).split())
        assert "check your local code" in page and "give or take 25 %" in page and "America/Los_Angeles" in page
        if metric:
            await press(screens, pilot, "u")
            assert "litres, metres, millimetres" in seen(screens) and "as you said" in seen(screens)
        await press(screens, pilot, "c")
        assert page_of(screens) == "climate"
        await press(screens, pilot, *(("e",) if metric else ("l", "tab", "c", "right", "right")))
        if metric:
            await fill(screens, pilot, tmin=COLD, tmax=WARM)
        else:
            assert "■ coastal valleys and plains" in seen(screens)   # by its name, not its number
        await press(screens, pilot, "enter")
        assert page_of(screens) == "guesses"
        await press(screens, pilot, "a")
        page = seen(screens)
        assert "What the chosen code asks of the system itself" in page
        assert "Is the washing machine alone connected?" in page
        assert not screens.screen.query("#f-groundwater")    # California asks nothing of it
        await press(screens, pilot, "tab", "right", "enter")  # one-family; the others are not answered
        await press(screens, pilot, "h")
        await fill(screens, pilot, name="Quarry Lane 7", occupants="3")
        await press(screens, pilot, "enter")
        while page_of(screens) != "basin":
            await press(screens, pilot, "enter")
        await fill(screens, pilot, name="Fig", area="2.2" if metric else "24", plants="fig tree",
                   canopy="6" if metric else "60")
        await press(screens, pilot, "enter")
        assert "So far: Fig" in seen(screens)
        await fill(screens, pilot, area="1.2 m2", plants="plum")
        await press(screens, pilot, "enter", "enter")
        assert "Never join the graywater pipe" in seen(screens)
        await press(screens, pilot, "enter", "enter")
        page = seen(screens)
        assert "bucket" in page and "air vent" in page and "Usual for front-load" in page
        await fill(screens, pilot, volume="70" if metric else "18", loads="towels, diapers", detergent="plain liquid")
        await press(screens, pilot, "enter")
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert not path.exists() and guided_draft.draft_file(path).exists()
        assert "monthly_rain" not in page and "check:" in page
        await make(screens, pilot)
        assert isinstance(screens.screen, LoadDialog)
        assert "towels" in seen(screens) and "GARDEN" in seen(screens)
    assert not guided_draft.draft_file(path).exists()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    facts = read(path)
    assert [type(fact) for fact in facts] == [Site, Washer, Basin, Basin, Product, UsualLoad, UsualLoad, Outlet]
    site, washer, fig, plum, _, load, diapers, hose = facts
    assert isinstance(site, Site) and isinstance(washer, Washer) and isinstance(fig, Basin) and isinstance(plum, Basin)
    assert isinstance(load, UsualLoad) and isinstance(hose, Outlet) and isinstance(diapers, UsualLoad)
    assert (site.name, site.occupants, site.zone) == ("Quarry Lane 7", 3, "America/Los_Angeles")
    assert (site.code, site.valve, plum.name) == ("us-ca-washer", "unknown", "Plum")
    assert (site.code_edition, site.system_answers) == ("2026-11", ("dwelling: one-family",))
    assert (load.products, hose.basin, hose.reaches) == (("plain liquid",), "Fig", None)
    assert diapers.contents == ("diapers",) and diapers.note is not None and "by its name" in diapers.note
    assert fig.area_cm2 == (22_000 if metric else round(24 * 929.0304))
    assert site.note is not None and "time zone" in site.note and "people" not in site.note
    assert "climate" not in site.note     # it was said
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
        await to_the_basins(screens, pilot)
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
        assert "twenty" in page and "You are where you stopped" in page
        await press(screens, pilot, "tab", "enter")
        assert "cannot be read; write it like" in seen(screens)
        assert screens.focused is screens.screen.query_one("#f-area")     # where the fault is
        await press(screens, pilot, "pageup")
        assert page_of(screens) == "guesses" and "Davis, California" in seen(screens)
        await press(screens, pilot, "enter")
        assert "twenty" in seen(screens)
        await press(screens, pilot, "ctrl+n", "ctrl+n")
        assert "A new logbook" in seen(screens) and not kept.exists()


async def test_a_basin_is_needed_taken_out_again_and_may_not_come_twice(tmp_path: Path, clock: Clock) -> None:
    screens = GwlogApp(tmp_path / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await to_the_basins(screens, pilot)
        assert "✗" not in seen(screens)
        await press(screens, pilot, "enter")
        assert "✗ Area is missing" in seen(screens)
        await fill(screens, pilot, name="Fig", area="0x4", plants="fig")
        await press(screens, pilot, "enter")
        assert "“0x4” is 0; write it like" in seen(screens) and page_of(screens) == "basin"
        await fill(screens, pilot, area="4 x 6 ft")
        await press(screens, pilot, "enter")
        await fill(screens, pilot, name="fig", area="24", plants="fig")
        assert "There is one called “fig” already" in seen(screens)
        await press(screens, pilot, "enter", "ctrl+b", "f4")
        assert isinstance(screens.screen, GuidedSetupDialog) and screens.screen.guided.draft["basin"] == []


async def test_a_place_that_is_not_known_and_towns_of_one_name(tmp_path: Path, clock: Clock) -> None:
    screens = GwlogApp(tmp_path / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "The place of the garden is missing" in " ".join(seen(screens).split())
        for words, told in (("Nowhereville", "No town of 15,000 people"), ("SW1A 1AA", "no US ZIP code"),
                            ("3000", "in another country write the town"), ("70", "-66 to 66 degrees")):
            await fill(screens, pilot, where=words)
            await press(screens, pilot, "enter")
            page = " ".join(seen(screens).split())
            assert told.casefold() in page.casefold() and page_of(screens) == "place", words
            assert screens.focused is screens.screen.query_one("#f-where")
        await fill(screens, pilot, where="Portland")
        await press(screens, pilot, "enter")
        assert "■ 1 Portland, Oregon" in seen(screens) and "Portland, Maine" in seen(screens)
        await press(screens, pilot, "2", "enter")
        page = seen(screens)
        assert "Portland, Maine" in page and "America/New_York" in page and "everywhere else (generic)" in page
        await press(screens, pilot, "ctrl+b")
        await fill(screens, pilot, where="Portland, OR")
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "Oregon (us-or-1)" in page and "America/Los_Angeles" in page and "permit" in page


async def test_the_review_lets_nothing_pass_unseen_and_what_never_works_comes_first(tmp_path: Path,
                                                                                    clock: Clock) -> None:
    path = tmp_path / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(60, 20)) as pilot:
        await settle(screens, pilot)
        await to_the_basins(screens, pilot)
        await fill(screens, pilot, area="2x2", plants="lavender")
        await press(screens, pilot, *["enter"] * 5)
        assert page_of(screens) == "look over"
        page = seen(screens)
        assert page.index("✗") < page.index("can never take") and "show the rest" in page
        assert "check:" not in page[: page.index("✗")]
        keys = 0
        read_so_far = page
        while page_of(screens) == "look over" and "make the logbook" not in seen(screens).splitlines()[-2:][0] + \
                seen(screens).splitlines()[-1]:
            await press(screens, pilot, "enter")
            assert not path.exists()
            read_so_far += seen(screens)
            keys += 1
            assert keys < 9
        assert keys and "outlet “Hose”" in read_so_far and "Assumed, since nobody said it" in read_so_far
        await press(screens, pilot, "home", *["pageup"] * keys)
        assert page_of(screens) == "look over" and "show the rest" in seen(screens)
        await make(screens, pilot)
    assert path.exists()


async def test_a_practice_load_logs_nothing_and_the_tour_is_one_screen(tmp_path: Path, clock: Clock) -> None:
    path = tmp_path / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(60, 20)) as pilot:
        await settle(screens, pilot)
        await to_the_basins(screens, pilot)
        await fill(screens, pilot, area="5x6", plants="fig")
        await press(screens, pilot, *["enter"] * 4)
        assert page_of(screens) == "valve"
        await press(screens, pilot, "right", "enter")     # it points to the garden
        await make(screens, pilot)
        assert isinstance(screens.screen, PracticeDialog) and "Nothing is logged" in seen(screens)
        count = len(read(path))
        await press(screens, pilot, "1")
        assert "Nothing was logged" in " ".join(seen(screens).split()) and len(read(path)) == count
        await press(screens, pilot, "escape")
        assert isinstance(screens.screen, TourDialog)
        page = seen(screens)
        assert all(words in page for words in ("Today", "Records", "all keys", "closes"))
        await press(screens, pilot, "enter")
        assert not isinstance(screens.screen, TourDialog)
    site = read(path)[0]
    assert isinstance(site, Site) and site.valve == "garden"


async def test_a_latitude_alone_asks_for_four_temperatures(tmp_path: Path, clock: Clock) -> None:
    path = tmp_path / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await to_the_guesses(screens, pilot, "38.5")
        assert "not known: four temperatures" in seen(screens) and "this machine's" in seen(screens)
        await press(screens, pilot, "enter")
        assert page_of(screens) == "climate" and "■ four temperatures" in seen(screens)
        await fill(screens, pilot, cold_low="60", cold_high="54", hot_low="57", hot_high="94")
        await press(screens, pilot, "enter")
        assert "A low is above its high" in seen(screens)
        await fill(screens, pilot, cold_low="38")
        await press(screens, pilot, "enter")
        assert page_of(screens) == "guesses" and "as you said" in seen(screens)
        await press(screens, pilot, "enter")
        assert page_of(screens) == "basin"
        assert isinstance(screens.screen, GuidedSetupDialog)
        climate = screens.screen.guided.site["climate"]
        # Davis by the state's zone table: 57.0 in (California DWR, zone 14); four temperatures: within a quarter
        assert sum(climate["monthly_eto_in"]) == pytest.approx(57.0, rel=0.25)
        assert len(climate["monthly_tmean_c"]) == 12


async def test_a_product_and_a_load_on_pages_of_their_own(tmp_path: Path, clock: Clock) -> None:
    path = tmp_path / "house.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await to_the_basins(screens, pilot)
        await fill(screens, pilot, area="5x6", plants="fig")
        await press(screens, pilot, "enter", "enter", "enter")
        await fill(screens, pilot, loads="25:00", detergent="plain liquid")
        await press(screens, pilot, "enter")
        assert "“25:00” is no load's name" in seen(screens)
        assert screens.focused is screens.screen.query_one("#f-loads")
        await fill(screens, pilot, loads="towels, whites")
        await press(screens, pilot, "f2")
        assert page_of(screens) == "product" and "plain liquid" in seen(screens)
        screens.screen.query_one("#f-borax", Choice).choose(2)
        await press(screens, pilot, "enter", "enter")
        assert page_of(screens) == "usual_load" and "towels" in seen(screens)
        await press(screens, pilot, "enter")
        await fill(screens, pilot, volume="20 gal")
        await press(screens, pilot, "enter", "enter")
        assert page_of(screens) == "wash" and "towels, whites" in seen(screens)
        await press(screens, pilot, "enter", "enter")
        assert page_of(screens) == "look over"
        await make(screens, pilot)
    facts = {(fact.KIND, getattr(fact, "name", "")): fact for fact in read(path)}
    whites, liquid = facts["usual_load", "whites"], facts["product", "plain liquid"]
    assert isinstance(whites, UsualLoad) and isinstance(liquid, Product)
    assert whites.volume_ml == round(20 * 3785.411784) and whites.products == ("plain liquid",)
    assert liquid.borax is False and liquid.chlorine_bleach is None


async def test_a_household_described_meanwhile_is_left_alone(tmp_path: Path, clock: Clock, empty: Path) -> None:
    screens = GwlogApp(empty, clock, poll=False)
    async with screens.run_test(size=(80, 60)) as pilot:
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
        assert "Somebody else has set up the household" in seen(screens)
        await press(screens, pilot, "escape")
    assert len(read(empty)) == len(household()) and guided_draft.draft_file(empty).exists()


async def test_answers_that_cannot_be_kept_are_not_lost_unsaid(tmp_path: Path, clock: Clock) -> None:
    (tmp_path / "file").write_text("in the way")
    screens = GwlogApp(tmp_path / "file" / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await fill(screens, pilot, where="Davis")
        await press(screens, pilot, "escape")
        assert "cannot be kept" in seen(screens)
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, GuidedSetupDialog)


@pytest.mark.parametrize("content", [b"", b"[]", b"\xff", b'{"at": ["moon", 3], "site_file": "", "typed": {}}',
                                     b'{"at": ["site", 0], "site_file": "[kitchen]", "typed": {}}',
                                     b'{"at": ["wash", 0], "site_file": "", "typed": {}, "place": {"moon": 1}}'])
def test_a_spoilt_draft_begins_afresh(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "house.db"
    guided_draft.draft_file(path).write_bytes(content)
    kept = guided_draft.load(path)
    assert kept is None or kept.at == ("place", 0)


def test_a_draft_of_before_goes_on_with_what_is_known(tmp_path: Path) -> None:
    path = tmp_path / "house.db"
    guided_draft.draft_file(path).write_text(
        '{"at": ["washer", 0], "site_file": "[site]\\nname = \\"Quarry Lane 7\\"\\n", "typed": {}}')
    kept = guided_draft.load(path)
    assert kept is not None and kept.at == ("guesses", 0) and kept.site["name"] == "Quarry Lane 7"


async def test_nasty_words_on_every_page(tmp_path: Path, clock: Clock) -> None:
    screens = GwlogApp(tmp_path / "house.db", clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        dialog = screens.screen
        assert isinstance(dialog, GuidedSetupDialog)
        for turn, page in enumerate(("place", "site", "climate", "code", "system", "basin", "outlet", "wash", "product",
                                     "usual_load")):
            dialog.guided = guided_draft.Guided(at=(page, 0))
            await dialog._turn()
            await settle(screens, pilot)
            for number, field in enumerate(dialog.query(EntryLine)):
                field.value = NASTY[(number + turn) % len(NASTY)]
            await press(screens, pilot, "enter")
            assert clean(seen(screens)) and ("✗" in seen(screens) or page in ("code", "system", "wash")), page
    assert not (tmp_path / "house.db").exists()
