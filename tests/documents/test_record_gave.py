"""The report's chapters on other water and on what the graywater gave: the figures of the commands, every form."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import exports
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.csv import csv as as_csv
from gwlog.documents.render.html import html
from gwlog.documents.render.markdown import markdown
from gwlog.household import Household, look
from tests.conftest import NOW, Runner
from tests.documents.conftest import Looker


@pytest.fixture
def watered(lived: Runner, frozen: Callable[[datetime], None]) -> Runner:
    """The household that has lived a little, with other water in two months, and one entry withdrawn."""
    frozen(NOW)
    for words in (("fig", "10 gal", "--way", "hose"), ("fig", "2 gal", "--at", "2 days ago"),
                  ("carrots", "5 L", "--at", "2026-06-20"), ("carrots", "500 L", "--at", "2026-06-21")):
        assert lived("water", *words).code == 0
    number = next(one["id"] for one in lived("entries", "--json").json["entries"] if one.get("volume_ml") == 500_000)
    assert lived("withdraw", str(number), "--note", "typed twice").code == 0
    return lived


def rows_of(home: Household, name: str, **period: date) -> list[list[str]]:
    sheet = csv.reader(io.StringIO(as_csv(document(record(home, **period)))))
    return [row[1:] for row in sheet if row[0] == name]


def test_other_water_stands_by_basin_and_month_with_its_ways(watered: Runner, looked: Looker) -> None:
    head, *rows = rows_of(looked(), "other water")
    assert head == ["month", "basin", "times", "water [L]", "came by"]
    assert rows == [["2026-06", "Carrots", "1", "5", "can"], ["2026-07", "Fig", "2", "45.425", "can and hose"]]


def test_what_it_gave_is_what_capacity_tells(watered: Runner, looked: Looker) -> None:
    gave = watered("capacity", "--json").json["gave"]
    head, *rows = rows_of(looked(), "what graywater gave")
    assert head == ["when", "graywater [L]", "gave [L]", "still needed [L]", "other water [L]"]
    told = {row[0]: [float(cell) for cell in row[1:]] for row in rows}
    for one in gave["months"]:
        assert told[one["month"]] == pytest.approx([one["graywater_l"], one["gave_l"], one["unmet_l"],
                                                    one["other_l"]], abs=0.002)
    assert told["2026"] == pytest.approx([gave["years"][0][key] for key in (
        "graywater_l", "gave_l", "unmet_l", "other_l")], abs=0.01)


def test_a_period_counts_its_own_days(watered: Runner, looked: Looker) -> None:
    june = {"start": date(2026, 6, 1), "end": date(2026, 6, 30)}
    assert [row[0] for row in rows_of(looked(), "other water", **june)[1:]] == ["2026-06"]
    assert [row[0] for row in rows_of(looked(), "what graywater gave", **june)[1:]] == ["2026-06"]
    halves = [rows_of(looked(), "what graywater gave", start=first, end=last)[1]
              for first, last in ((june["start"], date(2026, 6, 13)), (date(2026, 6, 14), june["end"]))]
    whole = rows_of(looked(), "what graywater gave", **june)[1]
    for column in range(1, 5):
        assert sum(float(half[column]) for half in halves) == pytest.approx(float(whole[column]), abs=0.01)


def test_with_a_price_the_report_has_a_column_of_money_in_every_form(watered: Runner, looked: Looker,
                                                                     tmp_path: Path) -> None:
    site = watered("setup", "show").out.replace("occupants = 3",
                                                'occupants = 3\nwater_price_per_1000_gal = 9\ncurrency = "USD"')
    (tmp_path / "priced.toml").write_text(site, encoding="utf-8")
    assert watered("setup", "apply", str(tmp_path / "priced.toml")).code == 0
    head, *rows = rows_of(looked(), "what graywater gave")
    assert head[-1] == "saved, USD"
    saved = watered("capacity", "--json").json["gave"]["years"][0]["saved"]
    assert float(next(row[-1] for row in rows if row[0] == "2026")) == pytest.approx(saved, abs=0.011)
    page, plain = html(document(record(looked()))), markdown(document(record(looked())))
    for form in (page, plain):
        assert "What the graywater gave" in form and "9.00 USD for 1,000 gal" in form
    exports.report(looked(), tmp_path / "report.pdf")
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_names_of_people_in_a_basins_name_give_way_to_roles(home: Runner, tmp_path: Path) -> None:
    site = home("setup", "show").out.replace('"Carrots"', '"Ines corner"')
    (tmp_path / "named.toml").write_text(site, encoding="utf-8")
    assert home("setup", "apply", str(tmp_path / "named.toml")).code == 0
    assert home("water", "Ines corner", "3gal").code == 0
    made = record(look(tmp_path / "logbook.db", NOW), roles=True)
    assert [one.basin for one in made.other_water] == ["resident 1 corner"]


def test_without_either_the_chapters_say_so(home: Runner, looked: Looker) -> None:
    page = html(document(record(looked())))
    assert "No other water was logged in this period." in page
    first_day = html(document(record(looked(), start=NOW.date(), end=NOW.date() + timedelta(days=1))))
    assert "No day has ended in this period since a basin" in first_day
