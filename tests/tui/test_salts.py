"""Salt on the screens: the garden's page of it, the tap water's page, a label line by line, a soil test by keys."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gwlog.journal.facts import Product, Site, SoilReading
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.label import LabelDialog
from gwlog.tui.dialogs.salts import SaltsDialog
from gwlog.tui.widgets.salt_plot import SaltPlot
from tests.tui.conftest import NOW, Clock, household, press, seen, settle, words
from tests.tui.test_setup_screen import field, open_row

pytestmark = pytest.mark.long

REPORT = ("ec_us_cm=620", "calcium_meq_l=2.4", "magnesium_meq_l=1", "sodium_meq_l=2.8", "alkalinity_meq_l=3")
SIZES = pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 50)], ids=["60x20", "80x24", "140x50"])


def with_report(path: Path) -> None:
    """Say what the water report says, from the beginning of the season on."""
    site = household()[0]
    assert isinstance(site, Site)
    append(path, [replace(site, tap_water=REPORT)], now=NOW)


@SIZES
async def test_the_salt_of_the_garden_is_drawn_with_what_is_borne(
        lived_in: Path, clock: Clock, size: tuple[int, int]) -> None:
    with_report(lived_in)
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "2", "k")
        assert isinstance(screens.screen, SaltsDialog)
        plot = screens.screen.query_one("#ece", SaltPlot)
        assert plot.shown is not None and plot.shown.ece_limit == 2.7 and plot.display
        assert "(1 of 4)" in seen(screens)
        said = words(screens)
        assert "pomegranate at Pomegranate can bear the" in said
        await press(screens, pilot, *["down"] * 40)
        if size[1] < 50:
            assert "nothing is taken to fall out" in words(screens)
        else:
            assert said.index("towels") < said.index("whites") and "its boron" in said
        await press(screens, pilot, "right")
        assert "(2 of 4)" in seen(screens)
        await press(screens, pilot, "left", "left")
        assert "(4 of 4)" in seen(screens) and plot.shown.ece_limit == 1.0   # lemon, rated sensitive
        await press(screens, pilot, "escape")
        assert not isinstance(screens.screen, SaltsDialog)


async def test_without_a_report_the_page_says_what_is_wanted(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "2", "k")
        assert "The tap water is not known" in seen(screens)
        assert not screens.screen.query_one("#ece", SaltPlot).display


async def test_the_tap_water_is_typed_with_its_units(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7")
        await open_row(screens, pilot, "The tap water")
        field(screens, "tap_ec").value = "620"
        await settle(screens, pilot)
        assert "not an amount with its unit" in words(screens)
        field(screens, "tap_ec").value = "620 uS/cm"
        field(screens, "tap_calcium").value = "2.4 meq/L"
        field(screens, "tap_sodium").value = "not known"
        field(screens, "tap_ph").value = "7.4"
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "conductivity 620 µS/cm" in seen(screens)
        await press(screens, pilot, "a", "enter")
        assert "Applied 1 description." in seen(screens)
        await open_row(screens, pilot, "The tap water")
        assert field(screens, "tap_calcium").value == "2.4 meq/L" and field(screens, "tap_sodium").value == "not known"
    site = read(logbook)[-1]
    assert isinstance(site, Site) and site.tap_water is not None
    assert set(site.tap_water) == {"ec_us_cm=620", "calcium_meq_l=2.4", "sodium_mg_l=not known", "ph=7.4"}


@pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=["60x20", "80x24"])
async def test_a_label_is_asked_for_line_by_line(logbook: Path, clock: Clock, size: tuple[int, int]) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=size) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "7", "i")
        assert "First choose a product in the list" in words(screens)
        await choose(screens, pilot, "oxygen booster")
        await press(screens, pilot, "i")
        assert isinstance(screens.screen, LabelDialog)
        await press(screens, pilot, *"percarbonate", "enter", "ctrl+z")
        assert "not known" not in words(screens).split("Ingredient")[0].split("line yet")[-1]
        await press(screens, pilot, *"sodium percarbonate 60-70 %", "enter")
        assert "brings sodium and alkali" in words(screens)
        await press(screens, pilot, *"borax 50 %", "enter")
        assert "add up to 110 %" in words(screens)
        for _ in range(len("borax 50 %")):
            await press(screens, pilot, "backspace")
        await press(screens, pilot, *"soda ash", "enter", "enter", *"30 g", "enter")
        assert not isinstance(screens.screen, LabelDialog)
        await press(screens, pilot, "a", "enter")
    made = read(logbook)[-1]
    assert isinstance(made, Product)
    assert made.label == ("sodium percarbonate 60-70 %", "soda ash") and made.dose_mg == 30_000


async def choose(screens: GwlogApp, pilot: object, name: str) -> None:
    """Highlight the row of a thing in the setup's list."""
    things = screens.screen.query_one("#things")
    number = next(n for n, one in enumerate(things.options) if name in str(one.prompt))  # type: ignore[attr-defined]
    things.highlighted = number  # type: ignore[attr-defined]
    await settle(screens, pilot)  # type: ignore[arg-type]


async def test_a_soil_test_is_logged_by_keys(lived_in: Path, clock: Clock) -> None:
    with_report(lived_in)
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "S", "tab", "tab", *"2.4 dS/m", "tab", *"5")
        assert "EC 2.4 dS/m, SAR 5 (saturation extract)" in words(screens)
        await press(screens, pilot, "enter")
        assert "ECe: measured 2.4 dS/m, reckoned" in words(screens)
    entry = read(lived_in)[-1]
    assert isinstance(entry, SoilReading) and (entry.ec_us_cm, entry.sar_milli) == (2400, 5000)
