"""The views for other programs: what stands, in the household's units, by plain SQL and without a write."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from gwlog.journal import reader
from gwlog.journal.facts import Site, Withdrawal
from gwlog.journal.views import views
from gwlog.journal.writer import append
from tests.journal.samples import NOW, ONE_OF_EACH, THEN, common, load


def rows(path: Path, view: str) -> list[dict[str, Any]]:
    with reader.reading(path) as connection:
        cursor = connection.execute(f"SELECT * FROM {view}")
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]


def test_every_view_can_be_read_by_a_program_that_distrusts_the_schema(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH, now=NOW)
    empty = {view for view in views() if not rows(logbook, view)}
    assert empty == {"loads"}   # the one load was withdrawn
    with pytest.raises(sqlite3.OperationalError, match="view"), closing(sqlite3.connect(logbook)) as connection:
        connection.execute("INSERT INTO loads DEFAULT VALUES")


def test_quantities_are_in_the_units_of_the_latest_description_of_the_site(logbook: Path) -> None:
    site = ONE_OF_EACH[0]
    assert isinstance(site, Site)
    append(logbook, [*ONE_OF_EACH[:10], *ONE_OF_EACH[12:14]], now=NOW)
    [run] = rows(logbook, "loads")
    # 68.137 L / 3.785411784 = 18.00 gal; 18 581 cm2 / 929.0304 = 20.00 ft2; 102 mm / 25.4 = 4.02 in
    assert (run["volume"], run["volume_unit"]) == (18.0, "gal")
    assert (run["load"], run["products"], run["contents"]) == ("towels", "plain liquid", "dye, soiled")
    assert run["happened_at_utc"] == "2026-07-14 09:30:12.345678"
    [basin] = rows(logbook, "basins")
    assert (basin["area"], basin["area_unit"], basin["mulch"], basin["mulch_unit"]) == (20.0, "ft2", 4.02, "in")
    [day] = rows(logbook, "weather")
    assert (day["lowest"], day["lowest_unit"], day["highest"]) == (29.3, "F", None)
    append(logbook, [replace(site, units="metric", happened_at=THEN + timedelta(days=1))], now=NOW)
    [run] = rows(logbook, "loads")
    assert (run["volume"], run["volume_unit"]) == (68.14, "L")
    [day] = rows(logbook, "weather")
    assert (day["lowest"], day["lowest_unit"], day["rain_unit"]) == (-1.5, "C", "mm")


def test_a_corrected_entry_shows_once_and_a_withdrawn_one_not(logbook: Path) -> None:
    append(logbook, [ONE_OF_EACH[0], load(volume_ml=1_000), load(volume_ml=2_000)], now=NOW)
    append(logbook, [load(volume_ml=3_785, corrects_id=2)], now=NOW)
    append(logbook, [load(volume_ml=7_571, corrects_id=4), Withdrawal(**common(), withdraws_id=3)], now=NOW)
    assert [(run["number"], run["volume"]) for run in rows(logbook, "loads")] == [(2, 2.0)]
    assert [(entry["written_as"], entry["number"], entry["standing"]) for entry in rows(logbook, "entries")] == [
        (1, 1, "stands"), (2, 2, "corrected"), (3, 3, "withdrawn"), (4, 2, "corrected"), (5, 2, "stands"),
        (6, 6, "stands"),
    ]


def test_a_description_is_in_force_until_the_next(logbook: Path) -> None:
    basin = ONE_OF_EACH[3]
    append(logbook, [ONE_OF_EACH[0], basin, replace(basin, happened_at=THEN + timedelta(days=30))], now=NOW)
    first, second = rows(logbook, "basins")
    assert first["in_force_until_utc"] == second["in_force_from_utc"] == "2026-08-13 09:30:12.345678"
    assert second["in_force_until_utc"] is None


def test_an_observation_says_when_it_was_resolved(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH[:16], now=NOW)
    assert [seen["resolved_at_utc"] for seen in rows(logbook, "observations")] == [None]
    append(logbook, ONE_OF_EACH[16:17], now=NOW)
    assert [seen["resolved_at_utc"] for seen in rows(logbook, "observations")] == ["2026-07-14 09:30:12.345678"]


def test_every_time_says_that_it_is_utc(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH[:14], now=NOW)
    for view in set(views()) - {"entry_line", "standing", "household"}:
        for row in rows(logbook, view):
            for name, value in row.items():
                if isinstance(value, str) and value.startswith("2026-07-14 "):
                    assert name.endswith("_utc"), (view, name)
