"""The number of a reminder keeps its meaning from the list to the answer, whatever comes between."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import Runner


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder in which lists are remembered."""
    monkeypatch.setenv("GWLOG_CHECKPOINTS", str(tmp_path / "kept"))
    return tmp_path / "kept"


def keys(home: Runner) -> list[str]:
    return [one["key"] for one in home("reminders", "--json").json["reminders"]]


def test_a_number_means_the_reminder_beside_it_in_the_list_that_was_printed_last(home: Runner, kept: Path) -> None:
    home("observe", "leak", "--note", "by the wall")
    home("observe", "ponding", "Fig")
    listed = home("reminders").out
    before = keys(home)
    assert len(before) >= 2 and f"key {before[1]}" in listed
    assert home("seen", "1").code == 0
    assert keys(home) == before[1:]          # the list that would be printed now is another one
    assert home("seen", "2").code == 0       # and yet 2 is what stood beside it
    assert keys(home) == before[2:]
    again = home("seen", "2")
    assert again.code == 2 and "was marked as seen already" in again.err


def test_a_number_that_was_not_in_the_list_is_refused_in_one_sentence(home: Runner, kept: Path) -> None:
    home("observe", "leak")
    home("reminders")
    refused = home("later", "99", "--until", "tomorrow")
    assert refused.code == 2 and "There is no reminder 99 in the list that was printed last" in refused.err
    assert "gwlog reminders" in refused.err


def test_a_list_that_cannot_be_kept_or_read_is_no_fault(home: Runner, kept: Path) -> None:
    home("observe", "leak")
    kept.write_text("a file where the folder should be")
    assert home("reminders").code == 0
    first = keys(home)[0]
    assert home("seen", "1").code == 0 and first not in keys(home)
    kept.unlink()
    home("observe", "ponding", "Fig")
    home("reminders")
    for file in kept.glob("listed-*.json"):
        file.write_text("{not a list")
    assert home("seen", "1").code == 0
