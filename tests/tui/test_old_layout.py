"""A logbook of the first layout: the screens bring it up to date when they open it, with a backup beside it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from gwlog.journal import store
from gwlog.journal.facts import KINDS
from gwlog.journal.reader import read
from gwlog.tui.app import GwlogApp
from tests.tui.conftest import Clock, household, press, seen, settle


def into_the_first_layout(path: Path) -> None:
    """Take away what the later layouts added, as the first left the file."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for sort, name in connection.execute(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall():
            connection.execute(f'DROP {sort} "{name}"')
        connection.execute("DROP TABLE reminder_answer")
        connection.execute("DROP TABLE delivery")
        for table in ("other_water", "soil_reading", "attestation", "attached", "seal_part"):
            connection.execute(f"DROP TABLE {table}")
        for table, kind in KINDS.items():
            for column in kind.ADDED_LATER:
                connection.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
        connection.execute("UPDATE alembic_version SET version_num = '0001'")


async def test_a_logbook_of_the_first_layout_opens_and_is_written_to(logbook: Path, clock: Clock) -> None:
    into_the_first_layout(logbook)
    assert store.stale(logbook)
    screens = GwlogApp(logbook, clock)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        assert "Pomegranate" in seen(screens), seen(screens)
        await press(screens, pilot, "l", "1", "s")
    assert not store.stale(logbook) and len(read(logbook)) > len(household())
    assert [part for part in logbook.parent.iterdir() if part.name.endswith(".backup")]
