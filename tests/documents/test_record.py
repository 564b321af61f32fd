"""The record: exceptions first, the same figures as every other face, what was mended, what is withheld."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.record.privacy import Privacy
from gwlog.documents.render.csv import csv as as_csv
from gwlog.documents.render.html import html
from gwlog.errors import BadInput
from gwlog.household import look
from tests.conftest import NOW, Runner
from tests.documents.conftest import Looker


def test_figures_agree_with_the_json_of_the_commands_to_the_last_digit(lived: Runner, looked: Looker) -> None:
    made = record(looked())
    rows = list(csv.reader(io.StringIO(as_csv(document(made)))))

    loads = [one for one in lived("entries", "--json").json["entries"] if one["kind"] == "wash_load"]
    assert round(made.totals.litres * 1000) == sum(one["volume_ml"] for one in loads)
    assert round(sum(week.litres for week in made.weeks), 3) == made.totals.litres
    assert [made.totals.garden_loads, made.totals.sewer_loads] == [
        sum(one["went_to"] == place for one in loads) for place in ("garden", "sewer")]
    assert {str(one.id) for one in made.wrong} == {str(one["id"]) for one in loads if one["exception"]}

    by_name = {row[1]: row for row in rows if row[0] == "basins"}
    cover = {row[1]: row for row in rows if row[0] == "mulch by basin"}
    for basin in lived("basins", "--json").json["basins"]:
        assert float(by_name[basin["name"]][5]) == basin["allowance_l_per_day"]
        assert float(cover[basin["name"]][5]) == basin["cover_mm"]
        assert cover[basin["name"]][7] == basin["cover_due"]
    for load in (row for row in rows if row[0] == "sewer loads" and row[1].isdigit()):
        volume = next(one["volume_ml"] for one in loads if str(one["id"]) == load[1])
        assert float(load[4]) * 1000 == pytest.approx(volume, abs=1e-6)


def test_the_page_shows_the_volumes_that_the_screens_show(lived: Runner, looked: Looker) -> None:
    home = looked()
    page = html(document(record(home)))
    assert home.reader.volume(record(home).totals.litres) in page
    for name, basin in home.garden.basins.items():
        assert f"<td>{name}</td>" in page
        assert f">{home.reader.length(basin.cover_mm).split()[0]}<" in page   # its unit is in the column's head


def test_exceptions_are_the_first_chapter_and_name_the_load(lived: Runner, looked: Looker) -> None:
    page = html(document(record(looked())))
    main = page[page.index("<main>"):]
    first = main[main.index("<h2 "):main.index("Who and where</h2>")]
    assert first.startswith('<h2 id="part1">Exceptions first')
    assert "whites" in first and "chlorine bleach" in first and "watered with clean water" in first


def test_loads_that_had_to_go_to_the_sewer_and_whether_they_did(lived: Runner, looked: Looker) -> None:
    told = {(one.load, one.diverted) for one in record(looked()).sewer}
    assert ("whites", False) in told
    assert ("diapers", True) in told


def test_mended_entries_say_what_they_said_before(lived: Runner, looked: Looker) -> None:
    mended = {one.what: one for one in record(looked()).corrections}
    assert "200 gal" in mended["corrected"].before
    assert "20 gal" in mended["corrected"].since and "a nought too many" in mended["corrected"].since
    assert "1.0 in of mulch added at Fig" in mended["withdrawn"].before
    assert mended["withdrawn"].note == "that was another basin"
    assert "logged 4 days later" in mended["late"].since


def test_what_was_set_up_is_no_turn_and_no_move(lived: Runner, looked: Looker) -> None:
    page = html(document(record(looked())))
    assert "The valve was turned 3 times, an outlet moved 1 time." in page
    assert "garden (as set up)" in page and "Hose to Pomegranate (as set up)" in page


def test_an_observation_is_told_with_its_end(lived: Runner, looked: Looker) -> None:
    (seen,) = record(looked()).observations
    assert seen.what == "ponding at Pomegranate"
    assert seen.resolution == "soaked in"


def test_conditions_without_evidence_say_so(lived: Runner, looked: Looker) -> None:
    found = {one.condition.id: one for one in record(looked()).evidence}
    assert found["notice"].finding == "not in the log"
    assert found["hazardous"].finding == "not in the log"
    assert found["diapers"].finding == "met"
    assert found["ponding"].finding == "met with exceptions"


def test_the_seal_is_told_with_its_head_and_holds(lived: Runner, looked: Looker) -> None:
    made = record(looked())
    assert made.seal.number == lived("verify", "--json").json["seal_number"]
    assert made.seal.holds
    page = html(document(made))
    assert str(made.seal.number) in page and "does not prove that an entry is true" in page


def test_a_broken_seal_is_the_first_thing_told(lived: Runner, looked: Looker, tmp_path: Path) -> None:
    import sqlite3
    from contextlib import closing

    lived("today")
    with closing(sqlite3.connect(tmp_path / "logbook.db")) as file, file:
        for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            file.execute(f'DROP TRIGGER "{name}"')
        file.execute("UPDATE wash_load SET volume_ml = volume_ml + 1 WHERE id = (SELECT min(id) FROM wash_load)")
    made = record(looked())
    assert not made.seal.holds
    page = html(document(made))
    assert page.index("The seal does not hold") < page.index("Who and where</h2>")


def test_a_period_holds_its_days_and_no_other(lived: Runner, looked: Looker) -> None:
    made = record(looked(), date(2026, 7, 5), date(2026, 7, 6))
    assert made.totals.loads == 2
    assert [(week.first, week.last) for week in made.weeks] == [
        (date(2026, 7, 5), date(2026, 7, 5)), (date(2026, 7, 6), date(2026, 7, 6))]
    assert made.observations == ()


def test_what_was_seen_before_and_still_open_belongs_to_the_period(lived: Runner, looked: Looker) -> None:
    assert [one.what for one in record(looked(), date(2026, 7, 10)).observations] == ["ponding at Pomegranate"]


@pytest.mark.parametrize(("start", "end"), [
    (date(2026, 7, 8), date(2026, 7, 7)), (date(2027, 1, 1), None), (date(2027, 1, 1), date(2027, 2, 1)),
])
def test_an_empty_period_is_refused(lived: Runner, looked: Looker, start: date, end: date | None) -> None:
    with pytest.raises(BadInput, match="is empty"):
        record(looked(), start, end)


def test_a_period_is_cut_to_today(lived: Runner, looked: Looker) -> None:
    assert record(looked(), date(2026, 7, 1), date(2030, 1, 1)).last == date(2026, 7, 14)


def test_notes_are_withheld_by_kind_and_counted(lived: Runner, looked: Looker) -> None:
    page = html(document(record(looked(), without_notes=("wash load",))))
    assert "forgot the valve" not in page and "a nought too many" not in page
    assert "soaked in" in page
    assert "notes left out" in page
    made = record(looked(), without_notes=True)
    page = html(document(made))
    assert made.notes_withheld and made.seal.holds
    for said in ("forgot the valve", "soaked in", "another basin", "clean water", "written down late", "HYPERLINK"):
        assert said not in page


def test_an_unknown_kind_of_note_is_refused(lived: Runner, looked: Looker) -> None:
    with pytest.raises(BadInput, match="is not a kind of entry"):
        record(looked(), without_notes=("secrets",))


def test_roles_stand_for_names_in_notes_too(lived: Runner, looked: Looker) -> None:
    page = html(document(record(looked(), roles=True)))
    assert "Ines" not in page
    assert "resident 1 forgot the valve" in page


def test_a_name_in_any_case_is_a_name() -> None:
    filter_ = Privacy(roles={"Ines": "resident 1"})
    assert filter_.words("INES, ines and ınes’ bed; Inesita stays") == \
        "resident 1, resident 1 and a resident’ bed; Inesita stays"


def test_a_logbook_without_any_happening_makes_a_record(home: Runner, looked: Looker) -> None:
    made = record(looked())
    assert made.totals.loads == 0
    page = html(document(made))
    assert "No wash load was logged in this period." in page
    assert "Every entry was logged within a day" in page


def test_an_empty_file_makes_a_record(tmp_path: Path, frozen: Callable[[datetime], None]) -> None:
    from gwlog.journal import store

    store.create(tmp_path / "logbook.db")
    made = record(look(tmp_path / "logbook.db", NOW))
    assert made.seal.number is None
    assert "there is nothing to seal" in html(document(made))


def test_a_week_counts_days_above_the_days_allowance(home: Runner, looked: Looker,
                                                     frozen: Callable[[datetime], None]) -> None:
    for hour in range(4):
        frozen(NOW - timedelta(hours=5 - hour))
        home("load", "towels", "--to", "garden")
    weeks = record(looked()).weeks
    assert weeks[-1].basins["Pomegranate"].days_over == 1
    # Sandy loam 2.5 gal/ft2/day on 20 ft2 (plumbing code's soil table), two days of this week so far; areas are
    # kept in whole cm2.
    assert weeks[-1].basins["Pomegranate"].allowance_l == pytest.approx(2 * 50 * 3.785411784, abs=0.02)
