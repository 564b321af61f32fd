"""Lines of catching up: what speaks against a load is said, and notes, people and volumes find their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from gwlog.app.quick_entry import read_line
from gwlog.errors import BadInput
from gwlog.household import look
from gwlog.journal.facts import WashLoad
from tests.conftest import NOW, Runner


@pytest.mark.parametrize(("line", "exception"), [
    ("towels", False), ("diapers sewer", False), ("diapers garden", True), ("whites to garden", True),
])
def test_a_load_run_against_a_must_is_kept_as_an_exception_and_no_other(home: Runner, tmp_path: Path, line: str,
                                                                        exception: bool) -> None:
    caught = read_line(look(tmp_path / "logbook.db", NOW), line)
    assert ("kept as an exception" in caught.said) is exception


@pytest.mark.parametrize(("line", "by", "note"), [
    ("towels", None, None), ("towels, Ines", "Ines", None), ("towels, half full", None, "half full"),
    ("towels, half full, INES, in a hurry", "Ines", "half full, in a hurry"), ("towels,, ,", None, None),
])
def test_a_name_is_who_wrote_and_all_else_is_the_note(home: Runner, tmp_path: Path, line: str, by: str | None,
                                                      note: str | None) -> None:
    load = read_line(look(tmp_path / "logbook.db", NOW), line).facts[-1]
    assert (load.recorded_by, load.note) == (by, note)


@pytest.mark.parametrize(("line", "ml", "went_to"), [
    ("towels", 68_137, "garden"), ("towels 20gal", 75_708, "garden"), ("towels 20 gal", 75_708, "garden"),
    ("towels sewer 75 L", 75_000, "sewer"), ("towels to sewer 75L", 75_000, "sewer"), ("towels 20", 75_708, "garden"),
])
def test_the_volume_comes_last_with_or_without_a_blank(home: Runner, tmp_path: Path, line: str, ml: int,
                                                       went_to: str) -> None:
    load = read_line(look(tmp_path / "logbook.db", NOW), line).facts[-1]
    assert isinstance(load, WashLoad)
    assert (load.volume_ml, load.went_to) == (ml, went_to)


def test_a_line_of_four_hundred_signs_is_read_and_a_longer_one_refused(home: Runner, tmp_path: Path) -> None:
    there = look(tmp_path / "logbook.db", NOW)
    line = "towels, " + "n" * 392
    assert len(line) == 400 and read_line(there, line).facts[-1].note == "n" * 392
    with pytest.raises(BadInput, match="401 characters"):
        read_line(there, line + "n")
