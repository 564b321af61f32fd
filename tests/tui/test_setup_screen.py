"""Setup as forms: judged while typed, gathered, shown line by line, appended together; nothing lost on the way."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import OptionList

from gwlog.journal.facts import Basin, Outlet, PlannedLoad, Site, UpkeepTask, UsualLoad, Washer
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.state import fold
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.setup_item import SETUP, SetupItemDialog
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import BASE, NOW, Clock, basin, household, press, seen, settle, words
from tests.tui.test_nasty_text import NASTY, clean


async def open_row(screens: GwlogApp, pilot: object, words: str) -> None:
    """Open the row of the setup that begins with these words."""
    things = screens.screen.query_one("#things", OptionList)
    things.highlighted = next(number for number, option in enumerate(things.options)
                              if str(option.prompt).lstrip("✎… +").startswith(words) and not option.disabled)
    await press(screens, pilot, "enter")  # type: ignore[arg-type]
    assert isinstance(screens.screen, SetupItemDialog)


def field(screens: GwlogApp, key: str) -> EntryLine:
    return screens.screen.query_one(f"#f-{key}", EntryLine)


async def test_changes_gather_and_are_appended_together(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "Fig")
        field(screens, "area").value = "0"
        await settle(screens, pilot)
        assert "“0” is 0; write it like" in seen(screens)
        field(screens, "area").value = "0.2"
        await settle(screens, pilot)
        assert "out of range; use 0.5 ft²" in seen(screens)
        field(screens, "plants").focus()
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, SetupItemDialog)
        assert screens.focused is field(screens, "area")    # where the fault is
        field(screens, "area").value = "3 m2"
        field(screens, "mulch").value = "1in"
        await settle(screens, pilot)
        page = seen(screens)
        assert "area 24 ft²" in page and "check: Basin “Fig” has 1.0 in of mulch" in page
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "a planned load")
        field(screens, "starts").value = "sat 9am"
        field(screens, "every").value = "weekly"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "a task")
        field(screens, "name").value = "wipe the tray"
        field(screens, "every").value = "6 weeks"
        field(screens, "months").value = "may jun"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert len(read(logbook)) == len(household())
        await press(screens, pilot, "a")
        assert "planned load “towels”: new" in seen(screens)
        await press(screens, pilot, "down", *["tab"], *"hose cut", "enter")
        assert "Applied 3 descriptions" in seen(screens)
        assert screens.drafts == {} and not screens.edits.made
    fig, plan, task = read(logbook)[len(household()):]
    assert isinstance(fig, Basin) and isinstance(plan, PlannedLoad) and isinstance(task, UpkeepTask)
    assert (fig.area_cm2, fig.mulch_mm, fig.recorded_by, fig.note) == (30_000, 25, "Ines", "hose cut")
    assert (plan.load, plan.starts, plan.every) == ("towels", "2026-06-20T09:00", "FREQ=WEEKLY")
    assert (task.every, task.months) == ("6 weeks", (5, 6))
    assert fig.canopy_cm2 == household()[5].canopy_cm2  # type: ignore[attr-defined]


async def test_the_household_in_metric_with_its_climate_and_code(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "The household")
        await press(screens, pilot, "tab", "m", "enter")
        await open_row(screens, pilot, "The climate")
        assert not screens.screen.query_one("#row-monthly_eto").display
        await press(screens, pilot, "right")
        field(screens, "monthly_eto").value = "40 50 70 90 110 130 140 120 90 60 45"
        await settle(screens, pilot)
        assert "twelve numbers" in seen(screens) and "are 11)" in seen(screens)
        field(screens, "monthly_eto").value += " 38"
        field(screens, "monthly_tmean").value = "-6.2 -3.9 1.2 8 14 19 22 21 16 10 3"
        await settle(screens, pilot)
        assert "twelve numbers" in seen(screens)
        field(screens, "monthly_tmean").value += " -3.4"
        screens.screen.query_one("#f-rain").focus()
        await press(screens, pilot, "right")
        assert "yes: else it was dry" in seen(screens) and "Do you write down rain" in seen(screens)
        await press(screens, pilot, "enter")
        await press(screens, pilot, "a", "enter")
        assert "Applied 1 description." in seen(screens)
        await open_row(screens, pilot, "Fig")
        assert field(screens, "area").value.endswith("m²") and field(screens, "mulch").value == "102 mm"
    site = read(logbook)[-1]
    assert isinstance(site, Site)
    assert (site.units, site.eto_zone) == ("metric", None)
    assert site.monthly_eto_um is not None and site.monthly_eto_um[6] == 140_000
    assert site.rain == "as logged"
    assert site.monthly_tmean_mdegc is not None and site.monthly_tmean_mdegc[::11] == (-6_200, -3_400)
    assert site.monthly_rain_um == household()[0].monthly_rain_um  # type: ignore[attr-defined]


async def test_a_new_name_and_a_retirement_are_taken_up_by_what_names_them(logbook: Path, clock: Clock) -> None:
    append(logbook, [Outlet(**BASE, name="Pipe", basin="Fig", reaches=("Fig", "Plum"), share_milli=1000)], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "plain liquid")
        field(screens, "name").value = "mild liquid"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "Plum")
        await press(screens, pilot, "escape", "x")
        assert "retired; u undoes it" in seen(screens) and "basin “Plum”: retired" in seen(screens)
        await press(screens, pilot, "u")
        assert "basin “Plum”: retired" not in seen(screens)
        await press(screens, pilot, "x", "a", "enter")
    state = {(fact.KIND, getattr(fact, "name", "")): fact for fact in read(logbook)}
    plum, load, pipe = state["basin", "Plum"], state["usual_load", "towels"], state["outlet", "Pipe"]
    assert isinstance(plum, Basin) and isinstance(load, UsualLoad) and isinstance(pipe, Outlet)
    assert not plum.active and load.products == ("mild liquid",)
    assert not state["product", "plain liquid"].active  # type: ignore[attr-defined]


async def test_a_form_left_by_mistake_keeps_its_words_and_leaving_warns(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "a person")
        await press(screens, pilot, *"Mar", "escape")
        assert "closed with words in it" in seen(screens)
        await press(screens, pilot, "q")
        assert screens.is_running and f"typed in {SETUP}" in seen(screens)
        await press(screens, pilot, "escape")
        await open_row(screens, pilot, "a person")
        assert field(screens, "name").value == "Mar"
        await press(screens, pilot, "enter")
        assert "person “Mar”: new" in seen(screens)


async def test_what_others_append_meanwhile_is_not_taken_back(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "Fig")
        field(screens, "area").value = "30"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        other = next(fact for fact in household() if isinstance(fact, Basin) and fact.name == "Plum")
        append(logbook, [replace(other, happened_at=NOW, mulch_mm=60)], now=NOW)
        await screens.reload()
        clock.move(minutes=5)
        await press(screens, pilot, "a", "enter")
    assert [fact.name for fact in read(logbook)[len(household()):]] == ["Plum", "Fig"]  # type: ignore[attr-defined]


async def test_nasty_words_in_every_form(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        for turn, row in enumerate(("The household", "Fig", "a planned", "a task")):
            await open_row(screens, pilot, row)
            for number, one in enumerate(screens.screen.query(EntryLine)):
                one.value = NASTY[(number + turn) % len(NASTY)]
            await press(screens, pilot, "enter")
            assert clean(seen(screens)) and isinstance(screens.screen, SetupItemDialog), row
            await press(screens, pilot, "escape")
            assert clean(seen(screens))
        await open_row(screens, pilot, "a person")
        field(screens, "name").value = NASTY[0][:50]
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "a", "enter")
        assert "Applied 1 description." in seen(screens)
        screens.screen.query_one("#things", OptionList).action_last()
        await settle(screens, pilot)
        assert "a [/] b [@click=app.ex" in seen(screens) and clean(seen(screens))
    assert read(screens.path)[-1].name == NASTY[0][:50].strip()  # type: ignore[attr-defined]


async def test_choices_of_an_outlet_are_the_basins(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "an outlet")
        labels = [option.label for option in screens.screen.query_one("#f-at", Choice).options]
        assert labels == ["Pomegranate", "Fig", "Plum", "Lemon"]


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
async def test_the_price_of_water_is_typed_for_any_measure_and_refused_in_words(logbook: Path, clock: Clock,
                                                                              size: tuple[int, int]) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "The household")
        for wrong in ("cheap", "5 per bucket", "-1", "nan", "5 6 per ccf"):
            field(screens, "water_price").value = wrong
            await settle(screens, pilot)
            assert "must be a price like 5 per 1000 gal" in words(screens), wrong
        field(screens, "water_price").value = "4 per ccf"
        field(screens, "currency").value = "much too many words"
        await settle(screens, pilot)
        assert "1 to 12 characters" in words(screens)
        field(screens, "currency").value = "USD"
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "a", "enter")
        assert "Applied 1 description." in words(screens)
        await open_row(screens, pilot, "The household")
        assert field(screens, "water_price").value.endswith("per 1000 gal")
        assert field(screens, "currency").value == "USD"
    site = read(logbook)[-1]
    assert isinstance(site, Site)
    assert (site.water_price_milli, site.currency) == (1413, "USD")
async def test_what_to_mind_about_the_setup_in_force_stands_beside_it(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        calm = " ".join(seen(screens).split())
        await open_row(screens, pilot, "Fig")
        field(screens, "area").value = "3"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await press(screens, pilot, "a", "enter")
        page = " ".join(seen(screens).split())
    assert "“Plum” can never take one usual load" in calm and "“Fig” can never" not in calm
    assert "“Fig” can never take one usual load" in page and "an area of" in page


async def test_a_newer_edition_of_the_code_is_offered_with_what_differs_and_taken(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        assert "An edition of 2026-11 is held too" in " ".join(seen(screens).split())
        await open_row(screens, pilot, "The plumbing code")
        page = " ".join(seen(screens).split())
        assert "type it under Edition to use it" in page and "+ dwelling: For one- and two-family dwellings." in page
        field(screens, "code_edition").value = "2026-11"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await press(screens, pilot, "a", "enter")
        assert "is held too" not in " ".join(seen(screens).split())
    site = read(logbook)[-1]
    assert isinstance(site, Site) and site.code_edition == "2026-11"


async def test_the_system_is_answered_and_a_rule_of_the_place_added(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "The system itself")
        await press(screens, pilot, "right")            # the agency was told
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "a rule of the place")
        for name, words in (("name", "city's limit"), ("source", "City of Quarry, 14.08"), ("limit", "30 gal")):
            field(screens, name).value = words
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await press(screens, pilot, "a", "enter")
    site = read(logbook)[-1]
    assert isinstance(site, Site) and site.system_answers == ("notice: yes",)
    assert site.local_rules is not None and "City of Quarry, 14.08" in site.local_rules[0]


@pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=["60x20", "80x24"])
async def test_how_it_was_built_is_typed_page_by_page(logbook: Path, clock: Clock, size: tuple[int, int]) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "Where the parts are")
        field(screens, "valve").value = "behind the machine"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "Distances as built")
        field(screens, "property_line").value = "far"
        await press(screens, pilot, "enter")
        assert "cannot be read" in words(screens)
        field(screens, "property_line").value = "1.25"        # bare: feet, nearer than the code has it
        field(screens, "building").value = "2 m"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        await open_row(screens, pilot, "Who to call")
        field(screens, "installer").value = "Alder Waterworks, 555 0134"
        field(screens, "installed").value = "2025-04-01"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "property line is 1.25 ft away" in " ".join(seen(screens).replace("│", " ").split()) or size[0] < 80
        await press(screens, pilot, "a", "enter")
        await open_row(screens, pilot, "Distances as built")
        assert field(screens, "property_line").value == "1.25 ft"
    site = read(logbook)[-1]
    assert isinstance(site, Site) and site.as_built == (
        "places.valve=behind the machine", "setbacks.building=2000", "setbacks.property_line=381",
        "contacts.installer=Alder Waterworks, 555 0134", "contacts.installed=2025-04-01")


async def test_a_machine_taken_out_of_use_asks_once_what_becomes_of_its_loads(logbook: Path, clock: Clock) -> None:
    append(logbook, [Washer(**BASE, name="twin tub", machine="top-load-efficient", volume_ml=90_000)], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "front loader")
        await press(screens, pilot, "escape", "x")
        page = " ".join(seen(screens).replace("│", " ").split())
        assert "3 loads run on it: towels, diapers, whites" in page.replace(" and", ","), page
        assert "■ they run on twin tub" in page, page
        await press(screens, pilot, "escape")
        assert not screens.edits.made
        await press(screens, pilot, "x", "enter")
        assert "retired; u undoes it" in seen(screens) and "✗" not in seen(screens)
        await press(screens, pilot, "a", "enter")
    state = fold(read(logbook))
    assert not state.washers["front loader"].active
    assert {load.washer for load in state.usual_loads.values() if load.active} == {"twin tub"}


async def test_the_only_machine_takes_its_loads_with_it_or_stays(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(60, 20)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "front loader")
        await press(screens, pilot, "escape", "x")
        assert "describe that one first" in " ".join(seen(screens).split())
        await press(screens, pilot, "enter")
        assert {thing[0] for thing, table in screens.edits.made.items() if table is None} == {"washer", "usual_load"}


async def test_a_canopy_left_empty_follows_the_basins_area(logbook: Path, clock: Clock) -> None:
    append(logbook, [basin("Quince", 20, canopy_cm2=round(20 * 929.0304))], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "Quince")
        assert field(screens, "canopy").value == ""
        field(screens, "area").value = "5x6 ft"
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "a", "enter")
    quince = read(logbook)[-1]
    assert isinstance(quince, Basin) and quince.canopy_cm2 == quince.area_cm2 == round(30 * 929.0304)
