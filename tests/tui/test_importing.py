"""What comes in from a file: seen before it is written, all of it or nothing, stopped at a key, told in words."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from gwlog.journal import backup, exchange
from gwlog.journal.disclosure import EVERYTHING, READERS
from gwlog.journal.facts import WashLoad, WeatherDay
from gwlog.journal.reader import last_seal, read
from gwlog.journal.writer import append
from gwlog.setup.show import show
from gwlog.state import fold
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.guided_setup import GuidedSetupDialog
from gwlog.tui.dialogs.import_file import ImportFileDialog
from gwlog.tui.dialogs.save_file import SaveFileDialog
from gwlog.tui.dialogs.site_file import SiteFileDialog
from gwlog.tui.screens.records import RecordsScreen
from gwlog.tui.screens.records_tasks import WORKS
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from gwlog.tui.widgets.path_line import completed, likely
from tests.tui.conftest import NOW, Clock, household, press, season, seen, settle, words
from tests.tui.test_nasty_text import NASTY, clean

pytestmark = pytest.mark.long

WEATHER = "date,rain_mm,tmin_c,tmax_c\n2026-06-10,0,9,24\n2026-06-11,2.5,8,19\n"


async def open_work(screens: GwlogApp, pilot: Pilot[None], work: str) -> None:
    """Go to Records and choose a work there."""
    await press(screens, pilot, "6")
    works = screens.screen.query_one("#works", OptionList)
    works.highlighted = works.get_option_index(work)
    await press(screens, pilot, "enter")


async def name_file(screens: GwlogApp, pilot: Pilot[None], file: Path | str) -> None:
    """Type a path into the dialog that is open."""
    screens.screen.query_one("#path", EntryLine).value = str(file)
    await settle(screens, pilot)


def weather_days(logbook: Path) -> list[WeatherDay]:
    return [fact for fact in read(logbook) if isinstance(fact, WeatherDay)]


async def test_weather_is_seen_before_it_is_logged(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    (file := tmp_path / "garden weather.csv").write_text(WEATHER)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "weather")
        await name_file(screens, pilot, file)
        await press(screens, pilot, "enter")
        assert "2 days would be logged, Jun 10, 2026 to Jun 11, 2026." in seen(screens)
        assert "Enter again logs it." in seen(screens) and weather_days(logbook) == []
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, RecordsScreen) and "✓ Weather" in seen(screens)
        assert [day.rain_um for day in weather_days(logbook)] == [0, 2500]
        # repeating it is safe, and says so; the path is still there
        await open_work(screens, pilot, "weather")
        assert screens.screen.query_one("#path", EntryLine).value == str(file)
        await press(screens, pilot, "enter")
        assert "2 days in the logbook already." in seen(screens) and "There is nothing new in it" in seen(screens)
        await press(screens, pilot, "escape", "4")
        assert "rain 0.10 in" in seen(screens)
    assert len(weather_days(logbook)) == 2


async def test_what_a_weather_file_leaves_open_is_chosen_among_its_readings(logbook: Path, clock: Clock, tmp_path: Path
                                                                            ) -> None:
    (file := tmp_path / "w.csv").write_text("DATE,PRCP,TMAX,TMIN\n2026-06-10,0,75,48\n2026-06-11,0,77,49\n")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "weather")
        await name_file(screens, pilot, file)
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "does not say in which unit" in page and "Units" in page and weather_days(logbook) == []
        assert screens.focused is screens.screen.query_one("#units", Choice)
        await press(screens, pilot, "right", "enter")
        assert "2 days would be logged" in seen(screens)
        await press(screens, pilot, "enter")
    assert [day.tmax_mdegc for day in weather_days(logbook)] == [23889, 25000]


async def test_rows_that_cannot_be_used_are_told_and_may_be_left_out(logbook: Path, clock: Clock,
                                                                     tmp_path: Path) -> None:
    (file := tmp_path / "w.csv").write_text(WEATHER + "2026-06-12,much,8,19\n")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "weather")
        await name_file(screens, pilot, file)
        await press(screens, pilot, "enter", "enter")
        page = seen(screens)
        assert "“much” is not a number" in page and "--leave-out" not in page and weather_days(logbook) == []
        screens.screen.query_one("#leave_out", Choice).choose(1)
        await press(screens, pilot, "enter")
        assert "2 days would be logged" in seen(screens) and "left out: line 4" in seen(screens)
        # another file in between: what was found for the first does not count for it
        (tmp_path / "v.csv").write_text("date,rain_mm\n2026-06-01,1\n")
        await name_file(screens, pilot, tmp_path / "v.csv")
        assert "Enter reads it again." in seen(screens)
        await press(screens, pilot, "enter")
        assert "1 day would be logged, Jun 1, 2026." in seen(screens) and weather_days(logbook) == []


async def test_past_loads_are_asked_for_by_column_and_by_word(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    (file := tmp_path / "old.csv").write_text(
        "Datum;Was;Wohin;Liter\n03.05.2026;Handtücher;garden;60\n04.05.2026;Windeln;Kanal;\n")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "loads")
        await name_file(screens, pilot, file)
        await press(screens, pilot, "enter")
        assert "The first row: Datum 03.05.2026 · Was Handtücher" in seen(screens)
        dialog = screens.screen
        assert dialog.query_one("#c-date", Choice).value == "Datum", "the title speaks for it"
        dialog.query_one("#c-load", Choice).choose(2)
        dialog.query_one("#c-to", Choice).choose(3)
        dialog.query_one("#c-volume_l", Choice).choose(4)
        await press(screens, pilot, "enter")
        assert "Not known in this logbook" in seen(screens) and "Handtücher" in seen(screens)
        await press(screens, pilot, "enter")
        assert "not explained yet" in seen(screens)
        for number, word in enumerate(dialog.unknown):  # type: ignore[attr-defined]
            meant = {"Handtücher": "towels", "Windeln": "diapers", "Kanal": "sewer"}[word]
            choice = dialog.query_one(f"#w-{number}", Choice)
            choice.choose([option.value for option in choice.options].index(meant))
        await press(screens, pilot, "enter")
        assert "2 loads would be logged, May 3, 2026 to May 4, 2026" in seen(screens)
        await press(screens, pilot, "enter")
        assert "✓ Past loads" in seen(screens)
    loads = [fact for fact in read(logbook) if isinstance(fact, WashLoad)]
    assert [(load.usual_load, load.volume_ml, load.went_to) for load in loads] == [
        ("towels", 60_000, "garden"), ("diapers", 68_137, "sewer")]


async def test_a_backup_is_put_back_and_what_was_there_is_kept(logbook: Path, clock: Clock) -> None:
    made = backup.backup(logbook, now=NOW)
    append(logbook, season(), now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "restore")
        choice = screens.screen.query_one("#found", Choice)
        assert str(made.file) in [option.value for option in choice.options], "it lies where backups are put"
        choice.choose([option.value for option in choice.options].index(str(made.file)))
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert f"Only in the logbook as it is now: {len(season())} entries" in seen(screens).replace("\n", " ")
        assert len(read(logbook)) == len(household()) + len(season())
        await press(screens, pilot, "enter")
        assert "✓ Restore a backup" in seen(screens)
        assert screens.home is not None and len(screens.home.entries) == len(household())
    kept = list(logbook.parent.glob("house-before-restore-*.db"))
    assert len(read(logbook)) == len(household()) and len(read(kept[0])) == len(household()) + len(season())


async def test_a_damaged_backup_changes_nothing(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    (bad := tmp_path / "bad.db").write_bytes(logbook.read_bytes()[:9000])
    before = last_seal(logbook)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "restore")
        for file, said in ((bad, "✗"), (logbook, "is the logbook itself"), (tmp_path / "none.db", "There is no file"),
                           ("", "Name a file"), *((nasty, "✗") for nasty in NASTY)):
            await name_file(screens, pilot, file)
            await press(screens, pilot, "enter", "enter")
            assert said in words(screens) and clean(seen(screens)) and isinstance(screens.screen, ImportFileDialog)
        await press(screens, pilot, "escape")
    assert last_seal(logbook) == before


@pytest.mark.parametrize("kind", ["export", "backup", "site file"])
async def test_a_logbook_begins_from_a_file(logbook: Path, clock: Clock, tmp_path: Path, kind: str) -> None:
    file = tmp_path / {"export": "e.jsonl", "backup": "b.db", "site file": "s.toml"}[kind]
    if kind == "site file":
        file.write_text(show(fold(read(logbook), until=NOW)))
    else:
        file.write_bytes(exchange.export(logbook) if kind == "export" else logbook.read_bytes())
    path = tmp_path / "new" / "logbook.db"
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert isinstance(screens.screen, GuidedSetupDialog) and "from a file instead" in seen(screens)
        await press(screens, pilot, "f3")
        await name_file(screens, pilot, file)
        await press(screens, pilot, "enter")
        assert "Enter again makes the logbook." in seen(screens) and not path.exists()
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "is made." in page and "Pomegranate" in page and not screens.screen.is_modal
    assert len(read(path)) == len(household()) and (kind == "site file" or last_seal(path) == last_seal(logbook))


async def test_a_damaged_logbook_is_put_back_from_the_place_that_tells_of_it(logbook: Path, clock: Clock,
                                                                             tmp_path: Path) -> None:
    made = backup.backup(logbook, now=NOW)
    head = last_seal(logbook)
    logbook.write_bytes(b"not a logbook any more")
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "F3 restores a backup." in seen(screens)
        await press(screens, pilot, "f3")
        await name_file(screens, pilot, made.file)
        await press(screens, pilot, "enter", "enter")
        assert "is there again" in words(screens) and "Pomegranate" in seen(screens)
    assert last_seal(logbook) == head


async def test_a_site_file_changes_the_setup_line_by_line(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    setup = show(fold(read(logbook), until=NOW))
    (file := tmp_path / "s.toml").write_text(setup.replace('name = "Fig"', 'name = "Fig"\n# more').replace(
        'name = "Tom"', 'name = "Tomas"'))
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await open_work(screens, pilot, "take site file")
        assert isinstance(screens.screen, SiteFileDialog)
        screens.screen.query_one("#f-path", EntryLine).value = str(file)
        await settle(screens, pilot)
        page = seen(screens)
        assert "Tomas" in page and "+ " in page
        for nasty in NASTY:
            screens.screen.query_one("#f-from", EntryLine).value = nasty
            await settle(screens, pilot)
            assert "✗" in seen(screens) and clean(seen(screens))
        screens.screen.query_one("#f-from", EntryLine).value = "2027-01-01"
        await press(screens, pilot, "enter")
        assert "in the future" in seen(screens)
        screens.screen.query_one("#f-from", EntryLine).value = ""
        # left by mistake, nothing is lost
        await press(screens, pilot, "escape")
        await open_work(screens, pilot, "take site file")
        assert screens.screen.query_one("#f-path", EntryLine).value == str(file)
        await press(screens, pilot, "enter")
        assert "Applied 2 descriptions" in seen(screens)
    state = fold(read(logbook), until=NOW)
    assert state.people["Tomas"].active and not state.people["Tom"].active


async def test_a_head_noted_earlier_and_another_file_are_verified(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    number, head, _ = last_seal(logbook)
    made = backup.backup(logbook, now=NOW, folder=tmp_path / "away").file
    append(logbook, season(), now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        for file, against, mark, said in (
                ("", f"{number}:{head[:16]}", "✓", "seal number"), ("", f"{number}:0123456789abcdef", "✗", "BROKEN"),
                (str(made), "", "✓", f"{number} entries; seal number {number}"), ("", "nonsense", "✗", "nonsense"),
                (str(tmp_path / "none.zip"), "", "✗", "There is no file")):
            await open_work(screens, pilot, "verify other")
            screens.screen.query_one("#file", EntryLine).value = file
            screens.screen.query_one("#noted", EntryLine).value = against
            await press(screens, pilot, "enter")
            page = seen(screens)
            assert f"{mark} Verify another" in page and said in page, page


async def test_calendar_spreadsheets_and_setup_are_written(lived_in: Path, clock: Clock, tmp_path: Path) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for work, out in (("calendar", tmp_path / "laundry.ics"), ("site file", tmp_path / "site.toml"),
                          ("spreadsheets", tmp_path / "sheets"), ("calendar", tmp_path / "laundry.ics")):
            await open_work(screens, pilot, work)
            assert isinstance(screens.screen, SaveFileDialog)
            again = out.is_file()
            await name_file(screens, pilot, out)
            await press(screens, pilot, *(["enter"] * (2 if again else 1)))
            assert "✓" in seen(screens), seen(screens)
        assert "0 new, 0 changed" in seen(screens), "the same file, written again, brings nothing new"
        await open_work(screens, pilot, "backup")
        screens.screen.query_one("#more", EntryLine).value = "none"
        await press(screens, pilot, "enter")
        assert "a whole number from 1 to" in seen(screens) and isinstance(screens.screen, SaveFileDialog)
    assert (tmp_path / "laundry.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    assert "Pomegranate" in (tmp_path / "site.toml").read_text() and (tmp_path / "sheets" / "wash_load.csv").exists()


async def test_notes_of_some_kinds_are_left_out_of_a_record(logbook: Path, clock: Clock, tmp_path: Path) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for form, note in (("o", "a secret of the garden"), ("v", "the valve squeaks")):
            await press(screens, pilot, form)
            screens.screen.query_one("#f-note", EntryLine).value = note
            await press(screens, pilot, "enter")
            clock.move(minutes=1)
        await press(screens, pilot, "6")
        screens.screen.query_one("#left-out", Choice).choose(1)
        await press(screens, pilot)
        place = screens.screen.query_one("#left-out", Choice)
        place.action_mark()
        await settle(screens, pilot)
        kinds = screens.screen.query_one("#kinds", Choice)
        assert [option.value for option in kinds.options] == ["observation", "valve_switch"]
        kinds.action_mark()
        await settle(screens, pilot)
        screens.screen.query_one("#reader", Choice).choose(READERS.index(EVERYTHING))
        await open_work(screens, pilot, "csv")
        await name_file(screens, pilot, tmp_path / "r.csv")
        await press(screens, pilot, "enter")
    written = (tmp_path / "r.csv").read_text()
    assert "a secret of the garden" not in written and "the valve squeaks" in written


@pytest.mark.long
async def test_every_work_opens_from_the_list_of_everything(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        named = {command.title: command for command in screens.get_system_commands(screens.screen)}
        for work in WORKS:
            title = next(title for title in named if title.endswith(f": {work.title}"))
            await named[title].callback()
            await settle(screens, pilot)
            assert screens.screen.is_modal or "✓" in seen(screens), work.id
            await press(screens, pilot, "escape")
            assert screens.current_mode == "records" and not screens.screen.is_modal


def test_a_path_is_completed_by_what_lies_there(tmp_path: Path) -> None:
    (tmp_path / "rain 2026.csv").touch()
    (tmp_path / "rain.pdf").touch()
    (tmp_path / "records").mkdir()
    (tmp_path / "rain\x1bugly.csv").touch()
    assert completed(f"{tmp_path}/ra", (".csv",)) == f"{tmp_path}/rain 2026.csv"
    assert completed(f"{tmp_path}/re", (".csv",)) == f"{tmp_path}/records/"
    assert completed(f"{tmp_path}/rain.p", (".csv",)) is None and completed("ra", (".csv",)) is None
    assert completed(f"{tmp_path}/nowhere/x", (".csv",)) is None and completed("~nobody-here/x", ()) is None
    os.utime(tmp_path / "rain 2026.csv", (1, 1))
    (tmp_path / "new.csv").touch()
    assert [path.name for path in likely([tmp_path, tmp_path / "none"], (".csv",))] == ["new.csv", "rain 2026.csv"]


async def test_a_paper_with_the_entries_says_that_names_stay_in_it(logbook: Path, clock: Clock) -> None:
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "6")
        left_out = screens.screen.query_one("#left-out", Choice)
        for number in (0, 2):
            left_out.choose(number)
            left_out.action_mark()
        screens.screen.query_one("#reader", Choice).choose(READERS.index(EVERYTHING))
        await settle(screens, pilot)
        for work, minds in (("pack", True), ("export", True), ("md", False)):
            await open_work(screens, pilot, work)
            page = " ".join(seen(screens).split())
            assert ("names stay in it" in page and "nobody gets them back" in page) is minds, work
            await press(screens, pilot, "escape")
        left_out.choose(1)
        left_out.action_mark()
        await settle(screens, pilot)
        await open_work(screens, pilot, "md")
        assert "Mark after “notes of”" in seen(screens) and not screens.screen.is_modal


async def test_measured_days_with_other_figures_are_told_before_they_count(logbook: Path, clock: Clock,
                                                                           tmp_path: Path) -> None:
    (file := tmp_path / "w.csv").write_text(WEATHER)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for again in (False, True):
            file.write_text(WEATHER.replace("2.5", "7") if again else WEATHER)
            await open_work(screens, pilot, "weather")
            await name_file(screens, pilot, file)
            await press(screens, pilot, "enter")
            page = " ".join(seen(screens).replace("│", " ").split())
            assert ("1 day with other figures than the logbook holds (Thu, Jun 11, 2026)" in page) is again, page
            await press(screens, pilot, "enter")
    assert [day.rain_um for day in weather_days(logbook)] == [0, 2500, 7000]
