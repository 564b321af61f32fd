"""A note's words can be erased for good: out of every wording of the entry, with the seal still holding."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

from tests.conftest import Runner


def test_the_words_are_gone_from_every_wording_and_the_seal_holds(home: Runner, tmp_path: Path) -> None:
    logged = home("observe", "other", "--note", "grandmother's secret remedy")
    assert logged.code == 0
    number = logged.out.split()[1].rstrip(":")
    assert home("correct", number, "--kind", "odour").code == 0
    asked = home("erase-note", number)
    assert asked.code == 2 and "cannot be brought back" in asked.err and "--yes" in asked.err
    assert b"secret remedy" in everything(tmp_path)
    erased = home("erase-note", number, "--yes")
    assert erased.code == 0 and "Backups, packs, exports and papers made before still hold them" in erased.out
    assert "versions of one entry" in erased.out
    assert b"secret remedy" not in everything(tmp_path)
    assert home("verify").code == 0
    assert "secret remedy" not in home("entries", "--all").out
    again = home("erase-note", number, "--yes")
    assert again.code == 2 and f"Entry {number} has no note" in again.err


def everything(folder: Path) -> bytes:
    """Every byte of the logbook's files."""
    return b"".join(file.read_bytes() for file in folder.glob("logbook.db*"))


def test_an_entry_that_is_not_there_or_has_no_note_is_refused(home: Runner) -> None:
    for number in ("9999", "0", "-3"):
        refused = home("erase-note", number, "--yes")
        assert refused.code == 2 and "There is no entry" in refused.err and "gwlog entries" in refused.err
    assert home("erase-note", "1", "--yes").code == 2


def test_at_a_terminal_it_asks_first(home: Runner, tmp_path: Path) -> None:
    number = home("observe", "other", "--note", "words to go").out.split()[1].rstrip(":")
    for answer, left in (("n\n", True), ("y\n", False)):
        here, there = pty.openpty()
        os.write(here, answer.encode())
        done = subprocess.run([sys.executable, "-m", "gwlog", "--logbook", str(tmp_path / "logbook.db"), "erase-note",
                               number], stdin=there, capture_output=True, text=True, timeout=60)
        os.close(here)
        os.close(there)
        assert "still hold them" in done.stdout and "for good?" in done.stderr
        assert (done.returncode == 130) is left and (b"words to go" in everything(tmp_path)) is left
