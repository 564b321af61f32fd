"""Whatever call on the disk fails, wherever a command is killed: nothing lost, doubled, half, falsely said, left over.

A few calls here, more under `long`, every one by `python -m tests.bench.faults`.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.faults.judge import Judge
from tests.faults.library import SOURCE, compiled

LIGHT = ("load", "observe", "correct", "erase-note", "export", "calendar again", "backup")
KINDS = ("kill", "ENOSPC", "EIO")
FEW, MORE = 6, 30


def some(judge: Judge, count: int, names: tuple[str, ...], seed: int) -> None:
    """Faults at random calls of random commands."""
    dice = random.Random(seed)
    for number in range(count):
        name = dice.choice(names)
        judge.case(name, dice.randint(1, judge.clean(name).calls), KINDS[number % len(KINDS)],
                   lasting=dice.random() < 0.3)
    assert judge.found.words == [], "\n".join(judge.found.words)


def test_a_few_faults_do_no_harm(judge: Judge) -> None:
    some(judge, FEW, LIGHT, seed=12)


@pytest.mark.long
def test_more_faults_do_no_harm_to_any_command(judge: Judge) -> None:
    some(judge, MORE, tuple(judge.commands), seed=75)


def test_the_rig_sees_a_call_that_fails(judge: Judge) -> None:
    clean = judge.clean("observe")
    assert clean.added == 1 and clean.calls > 5
    folder = judge.work / "seen"
    folder.mkdir()
    (folder / "site.toml").write_text((judge.world / "site.toml").read_text(encoding="utf-8"), encoding="utf-8")
    for what, code in (("EIO", 1), ("kill", -9)):
        run = judge.runner.run(folder, "begin", "site.toml", now="2026-05-01T09:00:00+00:00", at=1, what=what)
        assert run.code == code, run


def test_where_there_is_no_compiler_the_reason_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "compiler" in str(compiled(tmp_path)) or "Linux" in str(compiled(tmp_path))
    assert SOURCE.exists()
