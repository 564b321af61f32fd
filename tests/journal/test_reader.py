"""The light reader: whole, in order, from any path, without the writer's libraries."""

from __future__ import annotations

import shutil
import subprocess
import sys
from datetime import UTC
from pathlib import Path

import pytest

from gwlog.errors import NotALogbook
from gwlog.journal import chain, reader, store
from gwlog.journal.writer import append, withhold_note
from tests.journal.samples import NOW, ONE_OF_EACH, load
from tests.journal.test_seal import tampered


@pytest.mark.parametrize("name", [
    "100%25 sure #b?c=d&mode=memory", "Wäsche 🧺; 'quote' \"double\"", "file:x %s",
])
def test_any_path_is_made_written_and_read(name: str, tmp_path: Path) -> None:
    path = tmp_path / name / f"{name}.db"
    store.create(path)
    written = append(path, ONE_OF_EACH[:2], now=NOW)
    assert reader.read(path) == written
    assert [entry.name for entry in path.parent.iterdir() if not entry.name.endswith(("-wal", "-shm"))] == [path.name]


def test_a_relative_path_is_read_where_it_says(blank: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copyfile(blank, tmp_path / "here.db")
    monkeypatch.chdir(tmp_path)
    append("here.db", [load()], now=NOW)
    assert len(reader.read("here.db")) == 1


def test_every_kind_is_read_in_the_order_of_its_number(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH, now=NOW)
    found = reader.read(logbook)
    assert [fact.id for fact in found] == list(range(1, len(ONE_OF_EACH) + 1))
    assert all(fact.happened_at.tzinfo is UTC and fact.recorded_at.tzinfo is UTC for fact in found)


def test_the_head_is_the_last_entry(logbook: Path) -> None:
    assert reader.last_seal(logbook) == (0, chain.START, None)
    append(logbook, [load(), load()], now=NOW)
    number, hashed, recorded = reader.last_seal(logbook)
    assert (number, recorded) == (2, NOW) and len(hashed) == 64


def test_the_version_differs_once_the_content_does_and_not_before(logbook: Path) -> None:
    seen = [reader.data_version(logbook)]
    assert reader.data_version(logbook) == seen[0]
    append(logbook, [load(note="n")], now=NOW)
    seen.append(reader.data_version(logbook))
    withhold_note(logbook, 1)
    seen.append(reader.data_version(logbook))
    assert len(set(seen)) == 3


def test_a_read_sees_one_moment_while_another_writes(logbook: Path) -> None:
    append(logbook, [load()], now=NOW)
    with reader.reading(logbook) as connection:
        assert connection.execute("SELECT count(*) FROM seal").fetchone() == (1,)
        append(logbook, [load()], now=NOW)
        assert connection.execute("SELECT count(*) FROM wash_load").fetchone() == (1,)
    assert len(reader.read(logbook)) == 2


def test_a_damaged_row_is_told_with_the_way_to_find_it(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH, now=NOW)
    tampered(logbook, lambda connection: connection.execute("UPDATE outlet SET reaches = '[oops]'"))
    with pytest.raises(NotALogbook, match=r"cannot be read \(outlet: ") as damaged:
        reader.read(logbook)
    assert damaged.value.hint and "gwlog verify" in str(damaged.value.hint)


def test_a_reader_cannot_write(logbook: Path) -> None:
    import sqlite3

    from gwlog.errors import GwlogError

    with pytest.raises(GwlogError, match="may not be written"), reader.reading(logbook) as connection:
        connection.execute("INSERT INTO meta VALUES ('a', 'b')")
    assert sqlite3.sqlite_version_info >= (3, 35)


def test_reading_checking_and_verifying_load_no_heavy_library(logbook: Path) -> None:
    append(logbook, [load()], now=NOW)
    code = (
        "import sys\n"
        "from gwlog.journal import reader, store, seal\n"
        f"path = {str(logbook)!r}\n"
        "store.ready(path); store.logbook_id(path); reader.read(path); reader.data_version(path); seal.verify(path)\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules} & {'sqlmodel', 'sqlalchemy', 'pydantic',"
        " 'alembic', 'textual', 'rich', 'dateutil'}))"
    )
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert said.strip() == "[]"


def test_writing_loads_no_migrations(logbook: Path) -> None:
    code = (
        "import sys\n"
        "from gwlog.journal.writer import append\n"
        "from tests.journal.samples import load, NOW\n"
        f"append({str(logbook)!r}, [load()], now=NOW)\n"
        "print('sqlmodel' in sys.modules, 'alembic' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert said.strip() == "True False"
