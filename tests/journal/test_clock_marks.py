"""Entries written under a wrong clock: by gwlog's rule, by the one in check_seal.py, and by looking at every pair."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.journal import check_seal, seal, writer
from gwlog.journal.clock_marks import AHEAD, BEHIND, FAR_AHEAD, RAN_AHEAD, in_order, marks
from gwlog.journal.facts import UpkeepDone, ValveSwitch
from tests.conftest import NOW, Runner

START = datetime(2026, 1, 1, tzinfo=UTC)
MOMENTS = st.lists(st.integers(0, 1200).map(lambda days: START + timedelta(days=days))
                   | st.integers(0, 30).map(lambda minutes: START + timedelta(minutes=minutes)), max_size=12)


def numbered(moments: list[datetime]) -> list[tuple[int, datetime]]:
    return list(enumerate(moments, start=1))


@settings(max_examples=200)
@given(MOMENTS)
def test_the_two_rules_are_one_and_agree_with_every_pair(moments: list[datetime]) -> None:
    written = numbered(moments)
    found = marks(written)
    assert found == check_seal.clock_marks(written)
    ran_ahead = {number for number, mark in found.items() if mark == RAN_AHEAD}
    behind = {number for number, moment in written if number not in ran_ahead and any(
        moment < other - AHEAD for earlier, other in written if earlier < number and earlier not in ran_ahead)}
    assert {number for number, mark in found.items() if mark == BEHIND} == behind
    assert in_order(written) == (not any(one > other + AHEAD for place, one in enumerate(moments)
                                         for other in moments[place + 1:]))
    if in_order(written):
        assert not found


def test_what_is_marked_and_what_is_not() -> None:
    day = timedelta(days=1)
    assert marks(numbered([START, START + 9 * day, START + 3 * day, START + 10 * day])) == {3: BEHIND}
    assert marks(numbered([START, START - AHEAD])) == {}   # clocks differ by minutes
    far = START + FAR_AHEAD + 5 * day
    assert marks(numbered([START, far, START + day, START + 2 * day])) == {2: RAN_AHEAD}
    assert marks(numbered([far, START, START + day])) == {1: RAN_AHEAD}
    assert marks(numbered([START, far, far + day])) == {}   # a household that rested for a year


def test_an_entry_under_a_clock_set_back_is_named_everywhere(
        home: Runner, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    frozen(NOW + timedelta(days=1))
    home("load", "towels", "--to", "sewer")
    frozen(NOW - timedelta(days=20))
    said = home("observe", "leak").err
    assert "before the last entry was written" in said
    frozen(NOW + timedelta(days=2))
    number = home("entries", "--last", "1", "--json").json["entries"][-1]["id"]
    assert "clock behind" in home("entries", "--last", "1").out
    rows = home("entries", "--json").json["entries"]
    assert [row["id"] for row in rows if row["clock"]] == [number] and rows[-1]["clock"] in (None, "clock behind")
    verified = home("verify")
    assert verified.code == 0 and f"clock behind: 1, the first is entry {number}" in verified.out
    checked = home("check", "--json")
    assert any(part["state"] == "mind" and f"clock behind: entry {number}" in part["detail"]
               for part in checked.json["parts"])
    assert home("report", str(tmp_path / "record.md")).code == 0
    record = (tmp_path / "record.md").read_text("utf-8")
    assert f"Entry {number} was written under a wrong clock (clock behind" in " ".join(record.split())
    every = ("--for", "everything", "--annex", str(tmp_path / "annex.md"))
    assert home("report", str(tmp_path / "all.md"), *every).code == 0
    assert "clock behind" in (tmp_path / "annex.md").read_text("utf-8")
    # a receiver without gwlog
    assert home("pack", str(tmp_path / "record.zip"), "--for", "inspector").code == 0
    with zipfile.ZipFile(tmp_path / "record.zip") as pack:
        pack.extractall(tmp_path / "out")
    alone = subprocess.run([sys.executable, "-I", str(tmp_path / "out" / "check_seal.py")], capture_output=True,
                           text=True, check=False)
    assert alone.returncode == 0 and f"clock behind: 1, the first is entry {number}" in alone.stdout


def test_moments_that_cannot_be_are_told_of_a_logbook_and_of_a_pack(
        home: Runner, frozen: Callable[[datetime], None], tmp_path: Path) -> None:
    later = NOW + timedelta(days=3)
    writer.append(tmp_path / "logbook.db", [ValveSwitch(happened_at=later, zone="UTC", position="sewer")], now=NOW)
    writer.append(tmp_path / "logbook.db", [ValveSwitch(happened_at=later, zone="UTC", position="garden")], now=later)
    found = seal.verify(tmp_path / "logbook.db", now=NOW + timedelta(days=1))
    assert found.holds and len(found.odd) == 2
    assert "written later than now, by this machine's clock: 1" in found.odd[0]
    assert "said to have happened after it was written: 1" in found.odd[1]
    assert len(seal.verify(tmp_path / "logbook.db").odd) == 1   # nobody says what time it is
    home("pack", str(tmp_path / "record.zip"), "--for", "inspector")
    assert home("verify", str(tmp_path / "record.zip"), "--json").json["odd"] == list(found.odd)


def test_upkeep_by_the_word_of_such_an_entry_is_not_in_time(home: Runner, tmp_path: Path) -> None:
    from gwlog.decisions.upkeep_past import rounds
    from gwlog.household import look

    day = NOW.date() + timedelta(days=200)
    due = rounds(look(tmp_path / "logbook.db", NOW).state, day)[-1]
    task = due.task
    done = datetime(due.due.year, due.due.month, due.due.day, 20, tzinfo=UTC)
    path = tmp_path / "logbook.db"
    writer.append(path, [ValveSwitch(happened_at=done + timedelta(days=60), zone="UTC", position="garden")],
                  now=done + timedelta(days=60))
    written = writer.append(path, [UpkeepDone(happened_at=done, zone="America/Los_Angeles", task=task)], now=done)
    state = look(path, done + timedelta(days=61)).state

    def was(behind: set[int]) -> str:
        return next(one.state for one in rounds(state, day, behind) if one.task == task and one.done)

    assert was(set()) == "in time" and was({written[0].id}) == "clock behind"


def test_a_kind_and_a_value_that_no_entry_has_are_found_in_logbook_and_pack(home: Runner, tmp_path: Path) -> None:
    """Somebody who knows the rule seals what no gwlog writes: the chain holds, the values do not."""
    home("load", "towels", "--to", "sewer")
    home("pack", str(tmp_path / "record.zip"), "--for", "everything")
    with zipfile.ZipFile(tmp_path / "record.zip") as pack:
        lines = [json.loads(line) for line in pack.read("entries.jsonl").splitlines()]
    for part, change in (("what", {"volume_ml": 9_000_000}), ("what", {"kind": "blessing"}),
                         ("when", {"happened_at": "2026-13-45T00:00:00Z"})):
        changed = copy.deepcopy(lines)
        there = changed[-1]["parts"][part]
        there["text"] = check_seal.canonical({**json.loads(there["text"]), **change})
        body = json.loads(changed[-1]["body"])
        body["parts_sha256"][part] = check_seal.sha256(f"gwlog-part-1\n{there['salt']}\n{there['text']}".encode())
        changed[-1]["body"] = check_seal.canonical(body)
        changed[-1]["hash"] = check_seal.sha256(
            f"gwlog-seal-1\n{changed[-2]['hash']}\n{changed[-1]['body']}".encode())
        levels, _, broken = check_seal.check_entries(check_seal.canonical(line).encode() for line in changed)
        assert [level.name for level in levels if not level.holds] == ["values"]
        assert broken is not None and broken.startswith(f"entry {len(lines)} ")
