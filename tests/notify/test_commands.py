"""The commands about reminders: listed with keys, answered by number or part of a key; the watcher's odd days."""

from __future__ import annotations

import plistlib
import shlex
import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.journal import reader, seal
from gwlog.notify import service_files
from tests.conftest import NOW, Runner

Clock = Callable[[datetime], None]


@pytest.fixture
def two(home: Runner) -> Runner:
    """The small household with two reminders."""
    assert home("observe", "ponding", "Fig").code == 0
    assert home("observe", "leak", "Pomegranate").code == 0
    return home


def keys(run: Runner, *words: str) -> list[str]:
    return [one["key"] for one in run("reminders", "--json", *words).json["reminders"]]


def test_reminders_are_listed_with_number_key_and_action(two: Runner) -> None:
    told = two("reminders", "--json").json["reminders"]
    assert set(told[0]) == {"key", "kind", "subject", "due", "state", "text", "action", "answer"}
    out = two("reminders").out
    for number, one in enumerate(told, start=1):
        assert f"{number}  " in out and f"key {one['key']}" in out
    assert [one["key"] for one in two("today", "--json").json["reminders"]] == [one["key"] for one in told]


def chosen_text(run: Runner, key: str) -> str:
    return next(one["text"] for one in run("reminders", "--json", "--all").json["reminders"] if one["key"] == key)


@pytest.mark.parametrize("by", ["number", "key", "part"])
def test_a_seen_reminder_is_gone_and_listed_with_who_saw_it(two: Runner, by: str, tmp_path: Path) -> None:
    before = keys(two)
    chosen = before[1]
    typed = {"number": "2", "key": chosen, "part": chosen.split("|", 1)[1].upper()}[by]
    answer = two("seen", typed, "--by", "ines", "--note", "phoned the plumber")
    assert answer.code == 0 and answer.out.startswith("Logged ")
    assert keys(two) == [key for key in before if key != chosen]
    listed = {one["key"]: one["answer"] for one in two("reminders", "--json", "--all").json["reminders"]}
    assert listed[chosen] == "seen by Ines" and len(listed) == len(before)
    assert f"seen by Ines: {chosen_text(two, chosen)[:30]}" in " ".join(two("reminders", "--all").out.split())
    assert two("seen", chosen).code == 2
    last = " ".join(two("entries", "--last", "1").out.split())
    assert "reminder “" in last and "seen" in last and chosen.split("|")[0].split()[0] in last
    assert seal.verify(tmp_path / "logbook.db").holds


def test_a_reminder_put_off_comes_back(two: Runner, frozen: Clock) -> None:
    before = keys(two)
    answer = two("later", "1", "--until", "tomorrow")
    assert "put off until Wed, Jul 15, 8:00 am" in answer.out
    assert len(keys(two)) == len(before) - 1
    assert "put off until Wed, Jul 15, 2026, 8:00 am" in " ".join(two("reminders", "--all").out.split())
    frozen(NOW + timedelta(hours=21, minutes=1))
    assert before[0] in keys(two)
    two("later", before[0], "--until", "2026-08-02")
    assert before[0] not in keys(two)
    two("seen", before[0])
    frozen(NOW + timedelta(days=40))
    assert before[0] not in keys(two)


def test_withdrawing_the_answer_brings_the_reminder_back(two: Runner, tmp_path: Path) -> None:
    before = keys(two)
    two("seen", "1")
    number = str(reader.read(tmp_path / "logbook.db")[-1].id)
    assert two("withdraw", number, "--note", "not yet").code == 0
    assert keys(two) == before


def test_doing_it_settles_it(two: Runner) -> None:
    for one in two("reminders", "--json").json["reminders"]:
        if one["kind"] == "follow up":
            assert two(*shlex.split(one["action"])[1:]).code == 0
    assert not [key for key in keys(two, "--all") if key.startswith("follow up")]


@pytest.mark.parametrize(("words", "says"), [
    (("seen", "99"), "There is no reminder 99"), (("seen", "0"), "There is no reminder 0"),
    (("seen", ""), "There is no reminder with"), (("seen", "paint the fence"), "There is no reminder with"),
    (("seen", "follow up"), "could be"), (("later", "1", "--until", "yesterday"), "is in the past"),
    (("later", "1", "--until", "whenever"), "Cannot read the time"),
    (("later", "1", "--until", "2031-01-01"), "a year ahead"),
    (("later", "1"), "--until"), (("seen", "1", "--by", "Nobody"), "Nobody"),
    (("watch", "--once", "--example"), "do not go together"), (("watch", "--print-unit", "bell"), "no unit called"),
])
def test_what_cannot_be_meant_is_refused_in_words(two: Runner, words: tuple[str, ...], says: str,
                                                  tmp_path: Path) -> None:
    before = len(reader.read(tmp_path / "logbook.db"))
    answer = two(*words)
    assert answer.code == 2 and says in answer.err and "Traceback" not in answer.err
    assert len(reader.read(tmp_path / "logbook.db")) == before


def test_once_tells_on_stdout_once(two: Runner) -> None:
    first, second = two("watch", "--once"), two("watch", "--once")
    assert first.code == second.code == 0
    assert "ponding at Fig" in first.out and "leak at Pomegranate" in first.out
    assert second.out == "" == second.err


def test_units_hold_paths_with_odd_signs(gwlog: Runner, tmp_path: Path) -> None:
    path = tmp_path / "log %n $HOME \"book\" & <co>.db"
    plain = plistlib.loads(gwlog("--logbook", str(path), "watch", "--print-unit", "launchd").out.encode())
    assert plain["ProgramArguments"][3:] == ["--logbook", str(path), "watch"]
    systemd = gwlog("--logbook", str(path), "watch", "--print-unit", "systemd").out
    line = next(line for line in systemd.splitlines() if line.startswith("ExecStart="))
    words = shlex.split(line.removeprefix("ExecStart=").replace("%%", "%").replace("$$", "$"))
    assert words[-2:] == [str(path), "watch"]
    assert "Restart=on-failure" in systemd
    cron = gwlog("--logbook", str(path), "watch", "--print-unit", "cron").out.splitlines()[-1]
    assert cron.startswith("*/5 * * * * ") and "%" not in cron.replace("\\%", "")
    assert shlex.split(cron.removeprefix("*/5 * * * * ").replace("\\%", "%"))[-3:] == [str(path), "watch", "--once"]


def test_a_task_of_windows_quotes_twice_and_opens_no_window() -> None:
    # What CreateProcess makes of the argument: the documented rules of its C runtime, as list2cmdline writes them.
    words = ["C:\\Users\\Inés O'Dell\\gwlog\\python.exe", "-m", "gwlog", "--logbook", "C:\\a b\\it's.db", "watch"]
    line = service_files._task(words, service_files.WATCH).splitlines()[-1]
    assert "-Execute 'C:\\Users\\Inés O''Dell\\gwlog\\pythonw.exe'" in line
    assert "-Argument '-m gwlog --logbook \"C:\\a b\\it''s.db\" watch --once'" in line
    assert "-AllowStartIfOnBatteries" in line


def test_a_unit_of_systemd_says_that_it_ends_with_the_session(gwlog: Runner) -> None:
    assert "loginctl enable-linger" in gwlog("watch", "--print-unit", "systemd").out


# --- logbooks on odd days -----------------------------------------------------------------------------------


def test_a_locked_logbook_is_told_and_nothing_is_lost(two: Runner, tmp_path: Path,
                                                      monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "BUSY_MS", 100)
    holder = sqlite3.connect(tmp_path / "logbook.db", isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    locked = two("watch", "--once")
    holder.execute("ROLLBACK")
    holder.close()
    assert (locked.code, locked.out) == (5, "") and "is busy" in locked.err
    assert "ponding at Fig" in two("watch", "--once").out


def test_a_read_only_logbook_is_told_and_nothing_is_told_twice(two: Runner, tmp_path: Path,
                                                               monkeypatch: pytest.MonkeyPatch) -> None:
    from gwlog.journal import store

    plain = store._plain

    def query_only(path: Path) -> sqlite3.Connection:
        connection = plain(path)
        connection.execute("PRAGMA query_only = ON")
        return connection

    with monkeypatch.context() as patch:
        patch.setattr(store, "_plain", query_only)
        refused = two("watch", "--once")
    assert refused.code == 1 and refused.out == "" and "may not be written to" in refused.err
    assert "ponding at Fig" in two("watch", "--once").out


def test_a_missing_a_foreign_and_a_newer_logbook_are_told(two: Runner, tmp_path: Path) -> None:
    assert "There is no logbook" in two("--logbook", str(tmp_path / "gone.db"), "watch").err
    (tmp_path / "other.db").write_text("a shopping list")
    assert two("--logbook", str(tmp_path / "other.db"), "watch", "--once").code == 1
    connection = sqlite3.connect(tmp_path / "logbook.db")
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    for words in (("watch",), ("watch", "--once"), ("calendar", str(tmp_path / "c.ics"))):
        answer = two(*words)
        assert answer.code == 5 and "newer gwlog" in answer.err
