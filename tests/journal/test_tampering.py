"""1,000 random edits of a logbook file and of a record pack: what the promise covers is found, and it says the rest."""

from __future__ import annotations

import shutil
import sqlite3
from collections import Counter
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest

from gwlog.documents import pack as documents_pack
from gwlog.errors import GwlogError
from gwlog.household import look
from gwlog.journal import check_seal, pack, reader, seal
from gwlog.journal.writer import append
from gwlog.views.seal_report import PROMISE
from tests.journal.samples import NOW, ONE_OF_EACH, load
from tests.journal.tampering import (
    FOUND,
    HARMLESS_OR_FOUND,
    ONLY_IF_NOTED,
    FileEdits,
    PackEdits,
    content,
    members_of,
)

EDITS = 500   # of each of the two


@pytest.fixture(scope="module")
def filled(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with the guards taken away, as somebody who edits the file would do first."""
    path = tmp_path_factory.mktemp("tampered") / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, ONE_OF_EACH, now=NOW)
    append(path, [load(volume_ml=60_000 + n, note=f"load {n}" if n % 3 else None) for n in range(14)],
           now=NOW + timedelta(days=20))
    return path


@pytest.fixture(scope="module")
def bare(filled: Path) -> Path:
    path = filled.with_name("bare.db")
    shutil.copyfile(filled, path)
    connection = sqlite3.connect(path)
    for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    connection.commit()
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    return path


def holds(path: Path, *noted: str) -> bool:
    """Whether every level but the guards holds; a file that cannot be read does not."""
    try:
        found = seal.verify(path, noted=noted)
        return all(level.holds for level in found.levels if level.name != "write protection")
    except GwlogError:
        return False


@pytest.mark.long
def test_every_edit_of_the_file_that_the_promise_covers_is_found(bare: Path, tmp_path: Path) -> None:
    number, head, _ = reader.last_seal(bare)
    anchor, sound, path = f"{number}:{head[:16]}", content(bare), tmp_path / "edited.db"
    assert holds(bare, anchor) and sound is not None
    random, seen, harmless = Random(20_260_714), Counter[str](), 0
    for turn in range(EDITS):
        shutil.copyfile(bare, path)
        promised = FileEdits(path, random).edit()
        seen[promised] += 1
        if promised == FOUND:
            assert not holds(path), turn
        elif promised == ONLY_IF_NOTED:
            assert holds(path), turn
            assert not holds(path, anchor), turn
        elif holds(path):
            # Bytes that hold nothing, or that nobody reads: what the seal speaks of is as it was.
            assert content(path) == sound, turn
            harmless += 1
    assert min(seen.values()) > 40 and 0 < harmless < seen[HARMLESS_OR_FOUND]


@pytest.mark.long
def test_every_edit_of_the_pack_that_the_promise_covers_is_found(filled: Path, tmp_path: Path) -> None:
    packed = documents_pack.packed(look(filled, NOW + timedelta(days=21)), reader="everything")
    path = tmp_path / "edited.zip"
    path.write_bytes(packed.content)
    assert pack.verify(path, noted=[packed.seal_number]).holds
    random, seen, harmless = Random(20_260_714), Counter[str](), 0
    for turn in range(EDITS):
        edited, promised = PackEdits(packed.content, random).edit()
        path.write_bytes(edited)
        seen[promised] += 1
        found = pack.verify(path)
        if promised == FOUND:
            assert not found.holds, turn
        elif promised == ONLY_IF_NOTED:
            assert found.holds, (turn, found)
            assert not pack.verify(path, noted=[packed.seal_number]).holds, turn
        elif found.holds:
            # The zip's own bookkeeping (dates, permissions): every file in it is as it was.
            assert members_of(edited) == members_of(packed.content), turn
            harmless += 1
    assert min(seen.values()) > 40 and harmless < seen[HARMLESS_OR_FOUND]


def test_the_text_says_what_shows_only_against_a_number_noted_earlier() -> None:
    for text in (PROMISE, " ".join(check_seal.NOT_CHECKED), " ".join(pack.README.split())):
        assert "full rewrite" in text or "rewritten" in text
        assert "old" in text                     # an older copy put back
        assert "compare with" in text and ("noted earlier" in text or "you noted" in text)
        assert "true" in text                    # never proven
    assert all("cut-off end" in text for text in (PROMISE, pack.README))
    assert "the end was cut off" in " ".join(check_seal.NOT_CHECKED)
