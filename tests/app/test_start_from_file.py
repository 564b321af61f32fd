"""A logbook begun from a file: every kind of file that can be one, and those that are none; the command too."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from gwlog.app.start_from_file import Started, begin
from gwlog.documents.handover import handover
from gwlog.documents.pack import packed
from gwlog.errors import BadInput, GwlogError
from gwlog.household import look
from gwlog.importers.entries import kind_of
from gwlog.journal import exchange
from gwlog.journal.reader import last_seal
from gwlog.setup.show import show
from gwlog.views.import_summary import started_lines
from tests.conftest import NOW, Runner


def lines(done: Started, *, dry: bool) -> list[str]:
    """What people read of a logbook that was begun."""
    return started_lines(done.kind, done.entries, done.restored, done.setup, done.warnings, dry=dry)


@pytest.fixture
def logbook(home: Runner, tmp_path: Path) -> Path:
    """The small household's logbook."""
    return tmp_path / "logbook.db"


@pytest.fixture
def made(home: Runner, logbook: Path, tmp_path: Path, frozen: Callable[[datetime], None]) -> dict[str, Path]:
    """One file of each kind."""
    frozen(NOW)
    found = {kind: tmp_path / f"file{ending}" for kind, ending in (
        ("export", ".jsonl"), ("pack", ".zip"), ("backup", ".db"), ("site file", ".toml"))}
    found["handover"] = tmp_path / "handed on.zip"
    found["export"].write_bytes(exchange.export(logbook))
    found["pack"].write_bytes(packed(look(logbook, NOW), reader="everything").content)
    found["backup"].write_bytes(logbook.read_bytes())
    found["site file"].write_text(show(look(logbook, NOW).state))
    found["handover"].write_bytes(handover(logbook, NOW)[0])
    return found


def test_each_file_says_what_it_is_and_a_logbook_begins_from_it(made: dict[str, Path], logbook: Path,
                                                                tmp_path: Path) -> None:
    for kind, file in made.items():
        assert kind_of(file) == kind
        where = tmp_path / f"new {kind}.db"
        before = begin(file, where, NOW, dry=True)
        assert not where.exists() and "would" in " ".join(lines(before, dry=True))
        told = begin(file, where, NOW, dry=False)
        assert "would" not in " ".join(lines(told, dry=False)) and last_seal(where)[0] >= last_seal(logbook)[0]
        if kind in ("export", "pack", "backup"):
            assert last_seal(where) == last_seal(logbook)
        with pytest.raises(BadInput, match="holds entries already"):
            begin(file, where, NOW, dry=False)


def test_other_files_are_refused_and_leave_nothing(made: dict[str, Path], tmp_path: Path) -> None:
    where = tmp_path / "new.db"
    bad = {name: tmp_path / name for name in ("picture.png", "empty.jsonl", "cut.zip", "cut.db", "other.zip", "none")}
    bad["picture.png"].write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(200))
    bad["empty.jsonl"].touch()
    bad["cut.zip"].write_bytes(made["handover"].read_bytes()[:-3000])
    bad["cut.db"].write_bytes(made["backup"].read_bytes()[:7000])
    with zipfile.ZipFile(bad["other.zip"], "w") as archive:
        archive.writestr("logbook.db", b"SQLite format 3\0" + b"nonsense" * 50)
    bad["folder"] = tmp_path
    for file in bad.values():
        for dry in (True, False):
            with pytest.raises(GwlogError) as refused:
                begin(file, where, NOW, dry=dry)
            assert "Traceback" not in str(refused.value) and not where.exists(), file
    assert not [part for part in tmp_path.iterdir() if part.name.endswith(".draft")]


def test_the_command_takes_a_handover_as_it_is(made: dict[str, Path], gwlog: Runner, tmp_path: Path) -> None:
    where = str(tmp_path / "next.db")
    answer = gwlog("--logbook", where, "import", str(made["handover"]))
    assert answer.code == 0 and "each entry verified" in answer.out, answer.err
    assert gwlog("--logbook", where, "verify").code == 0
