"""A note given once stands once; where older logbooks hold it at several entries, it goes from all of them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import corrections, door, entries
from gwlog.app.setup_changes import compared
from gwlog.documents.record.privacy import WITHHELD, privacy
from gwlog.household import look
from gwlog.journal import exchange, reader, seal
from gwlog.journal.facts import KINDS, OutletMove, ValveSwitch
from gwlog.journal.listing import asking
from gwlog.journal.spreadsheet import csv_files
from gwlog.setup.read import read_site_file
from gwlog.setup.show import show
from tests.conftest import NOW, Runner
from tests.journal.first_form import written_first
from tests.journal.samples import ONE_OF_EACH, common, load

WORDS = "the baby was ill"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """As it was written before: the note of the load at the outlet's move and the valve's switch too; and, at another
    moment, by chance the same words."""
    path = tmp_path / "old.db"
    written_first(path, [
        *ONE_OF_EACH[:15],
        OutletMove(**common(note=WORDS), outlet="Hose", basin="Pomegranate"),
        ValveSwitch(**common(note=WORDS), position="garden"), load(note=WORDS),
        ValveSwitch(**{**common(note=WORDS), "happened_at": NOW - timedelta(hours=9)}, position="sewer"),
    ], NOW)
    return path


def noted(path: Path) -> dict[int, str]:
    return {fact.id: fact.note for fact in reader.read(path) if fact.note is not None}


def test_the_note_of_a_load_stands_at_the_load(home: Runner, tmp_path: Path) -> None:
    assert home("load", "towels", "--to", "sewer", "--note", WORDS).code == 0
    assert home("load", "towels", "--as-advised", "--at", "10:00", "--note", "and this one").code == 0
    found = [(fact.KIND, fact.note) for fact in reader.read(tmp_path / "logbook.db") if fact.KIND in (
        "wash_load", "valve_switch", "outlet_move")]
    assert found[:2] == [("valve_switch", None), ("wash_load", WORDS)]
    assert [note for kind, note in found if kind != "wash_load"] == [None] * (len(found) - 2)
    assert WORDS in home("entries").out
    home("export", str(tmp_path / "out.jsonl"), "--without-notes-of", "wash load")
    assert WORDS.encode() not in (tmp_path / "out.jsonl").read_bytes()


def test_the_note_of_a_changed_setup_stands_at_its_first_entry(home: Runner, tmp_path: Path) -> None:
    then = look(tmp_path / "logbook.db", NOW)
    changed = show(then.state).replace("occupants = 3", "occupants = 4") + '\n[[person]]\nname = "Benno"\n'
    made = compared(then, read_site_file(changed, now=NOW), NOW, entries.Author(NOW, note=WORDS)).drafts
    assert len(made) > 1 and [fact.note for fact in made] == [WORDS, *[None] * (len(made) - 1)]


def test_copies_of_a_note_are_left_out_with_it(old: Path) -> None:
    assert sorted(noted(old)) == [16, 17, 18, 19]
    some = exchange.export(old, withhold=["wash_load"])
    assert some.count(WORDS.encode()) == 1 and b'"seq":19' in next(
        line for line in some.splitlines() if WORDS.encode() in line)
    sheets = csv_files(old, withhold=["valve_switch"])
    assert not any(WORDS.encode() in content for content in sheets.values())
    facts = reader.read(old)
    filtered = privacy(facts, without_notes=["wash load"])
    assert [filtered.note(fact) for fact in facts[15:]] == [WITHHELD, WITHHELD, WITHHELD, WORDS]


@pytest.mark.parametrize("number", [16, 18])
def test_copies_of_a_note_are_erased_with_it(number: int, old: Path, frozen: Callable[[datetime], None]) -> None:
    frozen(NOW)
    with asking(old) as lists:
        assert corrections.noted_wordings(lists, number) == (16, 17, 18)
    assert door.erase_note(old, number, lambda: NOW) == (16, 17, 18)
    assert noted(old) == {19: WORDS} and seal.verify(old).holds
    everything = exchange.export(old, withhold=list(KINDS))
    assert WORDS.encode() not in everything
