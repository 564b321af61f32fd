"""The file with the checkpoints: when it is used, when it is thrown away, and that it never changes an answer."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.checkpoints import file, keep, restore
from gwlog.checkpoints.log import Log
from gwlog.household import Household, look
from gwlog.journal import reader, store
from gwlog.journal.facts import Fact, Observation, WashLoad, WeatherDay
from gwlog.journal.writer import append, withhold_note
from tests.checkpoints.lives import BASINS, Life
from tests.conftest import Shelf
from tests.water.household import ZONE

SECRET = "Aunt Perpetua came by"
DAYS = 400


def _life() -> Life:
    life = Life(3, cold=False, tap=True)
    life.write(DAYS)
    return life


NOW = _life().now


def _write(where: Path) -> None:
    store.create(where)
    append(where, [replace(fact, id=0, note=SECRET if isinstance(fact, (Observation, WashLoad)) else fact.note)
                   for fact in _life().entries], now=NOW)


@pytest.fixture
def logbook(tmp_path: Path, shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a logbook of a year, looked at on its last evening, with a folder for its checkpoints."""
    monkeypatch.setenv("GWLOG_CHECKPOINTS", str(tmp_path / "kept"))
    monkeypatch.setattr("gwlog.clock.now", lambda: NOW)
    return shelf.copy("a year.db", _write, tmp_path / "logbook.db")


def kept(logbook: Path) -> Path:
    """The file with its checkpoints, made now where it is missing."""
    look(logbook, NOW)
    keep.keep_up()
    return logbook.parent / "kept" / f"{store.logbook_id(logbook)}.json"


def part(home: Household) -> object:
    log = home._log
    assert isinstance(log, Log)
    return log.part


def stands(home: Household) -> tuple[object, ...]:
    """What is known at once, without a plan."""
    salts = [salt.now for salt in home.garden.salts.values()]
    return home.problems, home.upkeep, home.open_exceptions, home.garden.basins, salts


def told(home: Household) -> tuple[object, ...]:
    """What the light commands tell."""
    return (home.every_reminder, home.advice.loads, home.advice.plan(), home.problems, home.upkeep,
            home.open_exceptions)


def same(logbook: Path, now: datetime = NOW) -> None:
    """What is told is what the whole logbook tells."""
    assert stands(look(logbook, now)) == stands(Household(logbook, now, reader.read(logbook)))


def refuse(*_: object) -> None:
    raise AssertionError("the part before the checkpoint was read")


def test_light_answers_read_the_part_behind_it_alone(logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = told(Household(logbook, NOW, reader.read(logbook)))
    made = kept(logbook)
    assert stat.S_IMODE(made.stat().st_mode) == 0o600
    monkeypatch.setattr(restore.Whole, "state", property(refuse))
    home = look(logbook, NOW)
    assert part(home) is not None
    assert told(home) == whole
    assert not home._log.whole


def test_what_was_made_first_is_kept_and_a_year_ago_joins_it_later(logbook: Path) -> None:
    made = kept(logbook)
    first = made.read_bytes()
    look(logbook, NOW)
    keep.keep_up()
    assert len(made.read_bytes().splitlines()) == 3
    assert made.read_bytes().startswith(first)
    before = made.stat().st_mtime_ns
    look(logbook, NOW)
    keep.keep_up()
    assert made.stat().st_mtime_ns == before


def test_no_word_of_anybody_is_in_it(logbook: Path) -> None:
    noted = next(fact.id for fact in reader.read(logbook) if fact.note)
    withhold_note(logbook, noted)
    held = kept(logbook).read_bytes()
    for words in (SECRET, *SECRET.split()[1:2], *BASINS, "Hose", "Odile", "soda powder"):
        assert words.encode() not in held


def cut(made: Path) -> None:
    made.write_bytes(made.read_bytes()[:-400])


def edited(made: Path) -> None:
    made.write_bytes(made.read_bytes().replace(b'"counts":[', b'"counts":[1', 1))


def older_rules(made: Path) -> None:
    head, _, rest = made.read_text().partition("\n")
    made.write_text(f"{' '.join(head.split()[:2])} 0123456789abcdef\n{rest}")


def other_layout(made: Path) -> None:
    made.write_text("0" + made.read_text())


def empty(made: Path) -> None:
    made.write_bytes(b"")


def no_text(made: Path) -> None:
    made.write_bytes(bytes(range(256)))


def not_a_file(made: Path) -> None:
    made.unlink()
    made.mkdir()


def unreadable(made: Path) -> None:
    made.unlink()
    made.symlink_to(made.parent / "nowhere")


def sound_but_senseless(made: Path) -> None:
    head, line = made.read_text().splitlines()[:2]
    held = file.held_in(line)
    held["content"]["ledgers"] = [[99]]
    made.write_text(f"{head}\n{file.line_of(held)}")


@pytest.mark.parametrize("spoil", [cut, edited, older_rules, other_layout, empty, no_text, not_a_file, unreadable,
                                   sound_but_senseless], ids=lambda spoil: spoil.__name__)
def test_a_checkpoint_that_is_not_sound_is_thrown_away(
    logbook: Path, spoil: Callable[[Path], None], monkeypatch: pytest.MonkeyPatch,
) -> None:
    spoil(kept(logbook))
    made: list[object] = []
    line = keep._line
    monkeypatch.setattr(keep, "_line", lambda *words: made.append(words) or line(*words))
    same(logbook)
    assert made, "it was used"
    keep.keep_up()


def test_another_logbooks_checkpoint_is_thrown_away(logbook: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    store.create(other)
    append(other, [replace(fact, id=0) for fact in _life().entries], now=NOW)
    shutil.copy(kept(logbook), logbook.parent / "kept" / f"{store.logbook_id(other)}.json")
    assert not list(file.read(str(store.logbook_id(other)), file.rules()))
    same(other)


def rain(day: datetime) -> WeatherDay:
    return WeatherDay(happened_at=day, zone=ZONE, day=day.date(), rain_um=30_000)


def test_a_logbook_that_was_restored_to_an_older_copy_has_none(logbook: Path, tmp_path: Path) -> None:
    older = shutil.copy(logbook, tmp_path / "older.db")
    append(logbook, [rain(NOW - timedelta(days=200))], now=NOW)
    kept(logbook)
    shutil.copy(older, logbook)
    same(logbook)
    append(logbook, [rain(NOW - timedelta(days=190))], now=NOW)   # as many entries again, but another last one
    same(logbook)


def test_entries_behind_it_are_read_and_ones_before_it_throw_it_away(logbook: Path) -> None:
    made = kept(logbook).read_bytes()
    append(logbook, [rain(NOW - timedelta(days=2))], now=NOW)
    assert part(look(logbook, NOW)) is not None
    same(logbook)
    keep.keep_up()
    append(logbook, [rain(NOW - timedelta(days=200))], now=NOW)
    same(logbook)
    keep.keep_up()
    again = kept(logbook).read_bytes()
    first, second = (file.held_in(one.decode().splitlines()[1]) for one in (made, again))
    assert second["number"] > first["number"]


def test_a_correction_of_an_old_entry_throws_it_away(logbook: Path) -> None:
    kept(logbook)
    old = next(fact for fact in reader.read(logbook) if isinstance(fact, WashLoad))
    append(logbook, [replace(old, id=0, corrects_id=old.id, volume_ml=old.volume_ml + 9_000)], now=NOW)
    same(logbook)


def test_looks_at_days_gone_by_are_the_same(logbook: Path) -> None:
    kept(logbook)
    for days in (6, 90, 300):
        same(logbook, NOW - timedelta(days=days, hours=5))


def test_where_nothing_can_be_written_nothing_is_said(logbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                      capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a file").write_text("")
    for named in (str(tmp_path / "a file" / "kept"), "", "\0"):
        if "\0" not in named:
            monkeypatch.setenv("GWLOG_CHECKPOINTS", named)
        same(logbook)
        keep.keep_up()
    assert capsys.readouterr() == ("", "")


KILLED = """
import os, sys
from datetime import datetime
from pathlib import Path
from gwlog import clock, files
from gwlog.checkpoints import keep
from gwlog.household import look
now = datetime.fromisoformat(sys.argv[2])
clock.now = lambda: now
files.put = lambda *words, **more: os._exit(9)
look(Path(sys.argv[1]), now)
keep.keep_up()
"""


def test_killed_while_it_is_written_leaves_no_checkpoint(logbook: Path, tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-c", KILLED, str(logbook), NOW.isoformat()],
                          env={**os.environ, "GWLOG_CHECKPOINTS": str(tmp_path / "kept")})
    assert done.returncode == 9
    assert not (tmp_path / "kept" / f"{store.logbook_id(logbook)}.json").exists()
    same(logbook)


def written(home: Household, facts: list[Fact]) -> list[Fact]:
    return [replace(fact, id=home.head + count, recorded_at=NOW) for count, fact in enumerate(facts, 1)]


def test_the_household_steps_on_by_what_was_written(logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept(logbook)
    entries = reader.read(logbook)
    load = next(fact for fact in reversed(entries) if isinstance(fact, WashLoad))
    fresh = [replace(load, happened_at=NOW, note=None, corrects_id=None, went_to="garden"),
             replace(load, happened_at=NOW - timedelta(hours=3), note=None, corrects_id=None)]
    for facts in (fresh[:1], fresh, fresh[1:]):
        home = look(logbook, NOW)
        assert home.head == len(entries)
        _ = home.state
        more = written(home, list(facts))
        after = home.after(more)
        assert after.head == len(entries) + len(facts)
        assert stands(after) == stands(Household(logbook, NOW, [*entries, *more]))
        assert after.entries == [*entries, *more]
