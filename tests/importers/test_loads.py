"""A household's own spreadsheet of past loads: understood by columns, all faults together, safe to repeat."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from gwlog import clock
from gwlog.errors import BadInput
from gwlog.importers.load_columns import columns_of
from gwlog.journal import reader
from gwlog.journal.facts import Fact, OutletMove, ValveSwitch, WashLoad, standing_entries
from gwlog.state import State, fold
from gwlog.units import LITRES_PER_GALLON
from tests.conftest import Runner

ZONE = "America/Los_Angeles"
COLUMNS = "date=Datum,load=What,to=Where,volume=Gallons"
SHEET = """\
Datum,What,Where,Gallons
2026-06-01,Towels,Fig,20
2026-06-02 19:30,diapers,sewer,
2026-06-02 21:00,towels,,
2026-06-03,towels,garden,75 L
"""


def put(tmp_path: Path, content: str, name: str = "loads.csv") -> str:
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    return str(path)


def entries(tmp_path: Path) -> list[Fact]:
    return reader.read(tmp_path / "logbook.db")


def loads(tmp_path: Path) -> list[WashLoad]:
    return sorted((fact for fact in entries(tmp_path) if isinstance(fact, WashLoad)), key=lambda load: load.happened_at)


def state(tmp_path: Path) -> State:
    return fold(standing_entries(entries(tmp_path)).facts)


def at(load: Fact) -> str:
    return f"{clock.local(load.happened_at, ZONE):%d %H:%M}"


def test_rows_become_loads_with_the_turns_and_moves_that_they_imply(home: Runner, tmp_path: Path) -> None:
    answer = home("import", put(tmp_path, SHEET), "--columns", COLUMNS)
    assert answer.code == 0 and "4 loads logged, Jun 1, 2026 to Jun 3, 2026" in answer.out, answer.err
    got = loads(tmp_path)
    assert [(at(x), x.usual_load, x.went_to) for x in got] == [
        ("01 12:00", "towels", "garden"), ("02 19:30", "diapers", "sewer"), ("02 21:00", "towels", "sewer"),
        ("03 12:00", "towels", "garden")]
    gallons = [20, 18, 18, 75 / LITRES_PER_GALLON]
    assert [x.volume_ml for x in got] == [pytest.approx(1000 * LITRES_PER_GALLON * g, abs=1) for g in gallons]
    assert got[1].contents == ("diapers",) and got[0].products == ("plain liquid",)
    now = state(tmp_path)
    # The log of before stands again afterwards: the hose at the pomegranate, the valve on garden.
    assert now.outlet_at["Hose"].basin == "Pomegranate" and now.valve == "garden"
    assert [(run.day.day, [d.basin for d in run.deliveries]) for run in now.loads] == [
        (1, ["Fig"]), (2, []), (2, []), (3, ["Fig"])]
    assert now.problems == []
    implied = [fact for fact in entries(tmp_path) if isinstance(fact, ValveSwitch | OutletMove)]
    assert all(fact.note and "follows from a past load" in fact.note for fact in implied) and len(implied) == 4
    assert home("verify").code == 0


def test_reading_the_file_again_logs_nothing_and_new_rows_come_in(home: Runner, tmp_path: Path) -> None:
    home("import", put(tmp_path, SHEET), "--columns", COLUMNS)
    before = entries(tmp_path)
    again = home("import", put(tmp_path, SHEET), "--columns", COLUMNS)
    assert again.code == 0 and "0 loads logged." in again.out and "4 loads in the logbook already." in again.out
    assert entries(tmp_path) == before
    longer = SHEET.replace("2026-06-02 19:30", "2026-06-01,towels,Fig,20\n2026-06-01,towels,Fig,21\n2026-06-02 19:30")
    told = home("import", put(tmp_path, longer), "--columns", COLUMNS, "--json").json
    assert (told["loads"], told["known"]) == (2, 4)
    assert [at(x) for x in loads(tmp_path)[:3]] == ["01 12:00", "01 12:01", "01 12:02"]
    assert state(tmp_path).problems == []


def test_a_corrected_and_a_withdrawn_load_do_not_come_back(home: Runner, tmp_path: Path) -> None:
    home("import", put(tmp_path, SHEET), "--columns", COLUMNS)
    first, *_, last = loads(tmp_path)
    assert home("correct", str(first.id), "--volume", "19gal").code == 0
    assert home("withdraw", str(last.id), "--note", "typed twice").code == 0
    assert "0 loads logged." in home("import", put(tmp_path, SHEET), "--columns", COLUMNS).out


def test_a_load_logged_at_the_machine_is_not_logged_again_from_the_sheet(home: Runner, tmp_path: Path) -> None:
    home("load", "towels", "--at", "2026-06-05 18:30:12", "--volume", "17gal")
    sheet = "day,time,load\n2026-06-05,6:30pm,towels\n2026-06-05,,towels\n"
    told = home("import", put(tmp_path, sheet), "--columns", "date=day,time=time,load=load", "--json").json
    assert (told["loads"], told["known"]) == (1, 1)


def test_loads_that_the_log_holds_already_keep_valve_and_outlet_as_they_were(home: Runner, tmp_path: Path) -> None:
    for day in (2, 4):
        home("load", "towels", "--at", f"2026-06-0{day} 12:00")
    sheet = "d,l,t\n2026-06-01,towels,sewer\n2026-06-03,towels,Fig\n2026-06-03 12:30,diapers,sewer\n"
    assert home("import", put(tmp_path, sheet), "--columns", "date=d,load=l,to=t").code == 0
    now = state(tmp_path)
    assert [(run.day.day, run.fact.went_to, [d.basin for d in run.deliveries]) for run in now.loads] == [
        (1, "sewer", []), (2, "garden", ["Pomegranate"]), (3, "garden", ["Fig"]), (3, "sewer", []),
        (4, "garden", ["Pomegranate"])]
    assert now.problems == [] and now.valve == "garden"


def implied(tmp_path: Path) -> list[tuple[str, str]]:
    """The moves that follow from rows, with their moments to the second."""
    return [(f"{clock.local(fact.happened_at, ZONE):%d %H:%M:%S}", fact.basin) for fact in entries(tmp_path)
            if isinstance(fact, OutletMove)]


@pytest.mark.parametrize(("logged", "back"), [
    ("12:00:30", "12:00:15"),    # half a minute of room: half way
    ("12:01:59", "12:00:59"),    # nearly two minutes: half way, whole seconds
    ("12:02:00", "12:01:00"),    # two minutes: one after the row
    ("18:00:00", "12:01:00"),
])
def test_an_outlet_is_put_back_between_the_row_and_the_next_logged_load(home: Runner, tmp_path: Path, logged: str,
                                                                        back: str) -> None:
    home("load", "whites", "--to", "garden", "--at", f"2026-06-03 {logged}")
    sheet = "d,l,t\n2026-06-03 12:00,towels,Fig\n"
    assert home("import", put(tmp_path, sheet), "--columns", "date=d,load=l,to=t").code == 0
    assert implied(tmp_path) == [("03 12:00:00", "Fig"), (f"03 {back}", "Pomegranate")]
    now = state(tmp_path)
    assert [[d.basin for d in run.deliveries] for run in now.loads] == [["Fig"], ["Pomegranate"]]
    assert now.problems == []


def test_an_outlet_is_put_back_before_now_after_a_row_of_this_minute(home: Runner, tmp_path: Path) -> None:
    sheet = "d,l,t\n2026-07-14 10:59,towels,Fig\n2026-07-14 11:00,towels,Fig\n"     # it is 11:00
    assert home("import", put(tmp_path, sheet), "--columns", "date=d,load=l,to=t").code == 0
    assert implied(tmp_path) == [("14 10:59:00", "Fig"), ("14 11:00:00", "Pomegranate")]
    assert [[d.basin for d in run.deliveries] for run in state(tmp_path).loads] == [["Fig"], ["Fig"]]


def test_a_dry_run_writes_nothing(home: Runner, tmp_path: Path) -> None:
    before = entries(tmp_path)
    answer = home("import", put(tmp_path, SHEET), "--columns", COLUMNS, "--dry-run")
    assert answer.code == 0 and "4 loads would be logged" in answer.out
    assert entries(tmp_path) == before


FAULTY = """\
Datum,What,Where,Gallons
2026-06-01,towels,Fig,20
2026-06-31,towels,,
3/6/2026,towels,,
2026-06-04,rugs,,
2026-06-05,towels,Rose,
2026-06-06,towels,,many
2026-06-07,towels,,9000
2026-04-01,towels,,
2027-01-01,towels,,
2026-06-08,towels,Carrots,
,towels,,
2026-06-09 25:00,towels,,
"""
FAULTS = {3: "not a day of the calendar", 4: "could be two days", 5: "no usual load called “rugs”", 6: "“Rose”",
          7: "many", 8: "out of range", 9: "before this logbook begins", 10: "in the future", 11: "No outlet reaches",
          12: "not a day like", 13: "Cannot read the time"}


def test_all_faults_are_told_together_by_line_and_nothing_is_written(home: Runner, tmp_path: Path) -> None:
    before = entries(tmp_path)
    answer = home("import", put(tmp_path, FAULTY), "--columns", COLUMNS)
    assert answer.code == 2 and "11 rows of 12 cannot be used; nothing was logged" in answer.err
    told = {int(line.split()[1].rstrip(":")): line for line in answer.err.splitlines() if line.startswith("  line")}
    assert set(told) == set(FAULTS)
    for number, said in FAULTS.items():
        assert said in told[number], told[number]
    assert entries(tmp_path) == before
    left = home("import", put(tmp_path, FAULTY), "--columns", COLUMNS, "--leave-out")
    assert left.code == 0 and "1 load logged" in left.out and left.out.count("left out: line") == 11


@pytest.mark.parametrize(("written", "order"), [
    ("2026-06-05", "ymd"), ("2026/6/5", "ymd"), ("5.6.2026", "ymd"), ("05.06.26", "ymd"), ("6/5/2026", "mdy"),
    ("5/6/2026", "dmy"), ("6-5-26", "mdy"), ("2026-06-05T18:30", "mdy"), ("2026-06-05", "dmy"),
])
def test_days_are_read_as_the_household_writes_them(home: Runner, tmp_path: Path, written: str, order: str) -> None:
    sheet = put(tmp_path, f"d,l\n{written},towels\n")
    assert home("import", sheet, "--columns", "date=d,load=l", "--days", order).code == 0
    [load] = loads(tmp_path)
    assert clock.local(load.happened_at, ZONE).date() == date(2026, 6, 5)


def test_words_and_columns_of_their_own(home: Runner, tmp_path: Path) -> None:
    sheet = ("Tag;Wäsche;Wohin;Liter;Wer;Bemerkung;Mittel;Inhalt\n"
             "05.06.2026;Handtücher;Kanal;72,5;Ines;\x1b[31m=voll;bleach;soiled, dye\n05.06.2026;;;;;;;\n")
    answer = home("import", put(tmp_path, sheet), "--columns",
                  "date=Tag,load=wäsche,to=Wohin,volume_l=Liter,by=Wer,note=Bemerkung,products=Mittel,contents=Inhalt",
                  "--name", "handtücher=towels", "--name", "Kanal=sewer")
    assert answer.code == 0, answer.err
    first, second = loads(tmp_path)
    assert (first.usual_load, first.went_to, first.volume_ml, first.recorded_by) == ("towels", "sewer", 72_500, "Ines")
    assert (first.note, first.products, first.contents) == ("[31m=voll", ("bleach",), ("soiled", "dye"))
    assert (second.usual_load, second.washer, second.volume_ml) == (None, "front loader", 68_137)


@pytest.mark.parametrize(("said", "told"), [
    ("load=What", "column with the date is missing"), ("date=D,date=E", "said twice"), ("date", "does not say"),
    ("date=D,colour=C", "not something that a column can hold"), ("date=D,volume=V,volume_l=L", "keep one"),
])
def test_a_map_that_cannot_be_followed_is_refused(said: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        columns_of(said)


def test_a_file_that_does_not_fit_its_map_is_refused(home: Runner, tmp_path: Path) -> None:
    for sheet, told in (("a,b\n1,2\n", "no column called “Datum”"), ("Datum,Datum\n1,2\n", "Several columns"),
                        ("", "empty")):
        answer = home("import", put(tmp_path, sheet), "--columns", "date=Datum")
        assert answer.code == 2 and told in answer.err
    assert "go with --columns" in home("import", put(tmp_path, SHEET), "--days", "dmy").err
    assert home("import", str(tmp_path / "none.csv"), "--columns", "date=D").code == 2
    assert "does not translate a word" in home("import", put(tmp_path, SHEET), "--columns", COLUMNS, "--name", "x").err
