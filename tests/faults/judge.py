"""One fault at one call of one command: what was lost, doubled, said falsely or left over, after it and after the next.

What the command is to have done is known from a run without a fault. Then it is run with one; what it said is compared
with what it did; somebody who was told that nothing was done does it again; the next commands look and write.
"""

from __future__ import annotations

import re
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.runner import KILLED, Run, Runner
from tests.faults.world import LATER, NOW, Command, commands, copy, notes, seal, whole

COLUMNS = ("lost", "doubled", "half", "uncaught", "false words", "leftovers", "unsound")
NOTHING = re.compile(r"[Nn]othing (more |half-done )?(was|is|were) (written|changed|kept|logged)|as it was"
                     r"|there is no logbook|Nothing was|could not be (made|written)", re.IGNORECASE)
NOTHING_CLAIMED = re.compile(r"[Nn]othing (was|is|were|of it was) (written|changed|kept|logged|restored|brought|made)"
                             r"|(was|is) left as it was", re.IGNORECASE)
KEPT = re.compile(r"\b(is|are|was|were) (kept|there|written|made|restored|put back|in place|erased)\b|Logged|Wrote",
                  re.IGNORECASE)
OURS = re.compile(r"mistake in gwlog itself|Traceback|Error:")
HIDDEN = re.compile(r"/\.|draft|\.tmp|-journal$|gwlog-")


@dataclass
class Clean:
    """What a command does when nothing fails."""

    command: Command
    before: list[tuple[int, str]]
    after: list[tuple[int, str]]
    notes: int
    names: set[str]
    out: str
    calls: int

    @property
    def added(self) -> int:
        return len(self.after) - len(self.before)


@dataclass
class Found:
    """What was found wrong over many faults, by column, and each in words."""

    counts: Counter[str] = field(default_factory=Counter)
    words: list[str] = field(default_factory=list)
    cases: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0

    def add(self, column: str, words: str) -> None:
        self.counts[column] += 1
        self.words.append(f"{column}: {words}")


class Judge:
    """Runs commands with faults on copies of one world, and notes in `found` what is wrong with what follows."""

    def __init__(self, runner: Runner, world: Path, work: Path) -> None:
        self.runner = runner
        self.world = world
        self.work = work
        self.found = Found()
        self.commands = {command.name: command for command in commands(world)}
        self._clean: dict[str, Clean] = {}

    def clean(self, name: str) -> Clean:
        """The command without a fault; every later run is compared with it."""
        if name not in self._clean:
            command, folder = self.commands[name], copy(self.world, self.work / "clean")
            before = seal(folder / command.logbook)
            run = self.runner.run(folder, *command.args, now=NOW)
            assert run.code == 0, (command, run)
            self._clean[name] = Clean(command, before, seal(folder / command.logbook), notes(folder / command.logbook),
                                      names(folder), run.out, run.calls)
            shutil.rmtree(folder)
        return self._clean[name]

    def case(self, name: str, at: int, what: str, *, lasting: bool = False) -> None:
        """One fault: at the `at`th call of the command."""
        clean, folder = self.clean(name), copy(self.world, self.work / "case")
        command = clean.command
        self.found.cases["kills" if what == "kill" else "disk faults"] += 1
        run = self._run(folder, *command.args, now=NOW, at=at, what=what, lasting=lasting)
        label = f"{name}, {what}{' from there on' if lasting else ''} at call {at} of {clean.calls} ({run.last})"
        for words in self._said(run, clean):
            self.found.add("uncaught", f"{label}: {words}")
        # one look first: what a killed process left is put in order by whoever opens the file next
        done = self._done(folder, clean, label)
        self._truth(run, clean, done, label)
        if done is False:
            self._again(folder, clean, label)
        self._afterwards(folder, clean, label)
        shutil.rmtree(folder)

    def _run(self, folder: Path, *args: str, now: str = LATER, at: int = 0, what: str | None = None,
             lasting: bool = False) -> Run:
        run = self.runner.run(folder, *args, now=now, at=at, what=what, lasting=lasting)
        self.found.seconds += run.seconds
        return run

    def _said(self, run: Run, clean: Clean) -> Iterator[str]:
        if run.code == KILLED:
            return
        if OURS.search(run.err) or run.code == 70:
            yield run.err[-600:]
        if run.code != 0 and not run.err.strip():
            yield f"exit code {run.code} without a word"

    def _done(self, folder: Path, clean: Clean, label: str) -> bool | None:
        """Whether the work is done; None where it is half done, which is noted."""
        command = clean.command
        try:
            after = seal(folder / command.logbook)
        except Exception as broken:
            self.found.add("half", f"{label}: the logbook cannot be opened: {broken}")
            return None
        if after[:len(clean.before)] != clean.before and after != clean.after[:len(after)]:
            self.found.add("lost", f"{label}: entries that were there are gone")
            return None
        told = {(folder / name).exists() and (folder / name).read_bytes() != self._former(name)
                for name in command.files}
        for name in command.files:
            if (folder / name).exists() and not whole(folder / name):
                self.found.add("half", f"{label}: {name} is not whole")
                return None
        if command.name == "backup":
            told = {any((folder / "backups").glob("house-*.db"))}
        if command.name == "restore":
            return len(after) == len(clean.after)
        if command.name == "erase-note":
            return notes(folder / command.logbook) == clean.notes
        if clean.added:
            if len(after) not in (len(clean.before), len(clean.after)):
                self.found.add("half", f"{label}: {len(after) - len(clean.before)} of {clean.added} entries")
                return None
            told.add(len(after) == len(clean.after))
        return told == {True} if told else None

    def _former(self, name: str) -> bytes | None:
        before = self.world / name
        return before.read_bytes() if before.exists() else None

    def _truth(self, run: Run, clean: Clean, done: bool | None, label: str) -> None:
        if run.code == KILLED or done is None:
            return
        said = run.out + run.err
        if run.code == 0 and not done and not clean.command.name.endswith(" again"):
            self.found.add("lost", f"{label}: told as done, and is not: {said[-300:]}")
        if run.code != 0 and done and NOTHING_CLAIMED.search(run.err):
            self.found.add("false words", f"{label}: it is done, but: {run.err[-400:]}")
        elif run.code != 0 and done and not KEPT.search(said):
            self.found.add("false words", f"{label}: it is done, which nobody is told: {run.err[-400:]}")
        if run.code not in (0, KILLED) and not done and re.search(r"\b(is|are) kept;", run.err):
            self.found.add("false words", f"{label}: it is not done, but: {run.err[-400:]}")

    def _again(self, folder: Path, clean: Clean, label: str) -> None:
        command = clean.command
        run = self._run(folder, *command.args, now=NOW)
        if run.code != 0:
            self.found.add("unsound", f"{label}: the same again is refused: {run.err[-400:]}")
        elif len(seal(folder / command.logbook)) != len(clean.after):
            self.found.add("doubled", f"{label}: the same again made "
                                      f"{len(seal(folder / command.logbook)) - len(clean.before)} entries")

    def _afterwards(self, folder: Path, clean: Clean, label: str) -> None:
        """The next command that writes, a check, and what is then left in the folder."""
        for logbook in {clean.command.logbook, "house.db"}:
            if not (folder / logbook).exists():
                continue
            for args in (("check",), ("verify",), ("observe", "odour")):
                run = self._run(folder, "--logbook", logbook, *args)
                if run.code != 0:
                    self.found.add("unsound", f"{label}: then {args[0]}: {run.code} {(run.out + run.err)[-500:]}")
        extra = sorted(name for name in names(folder) - clean.names if HIDDEN.search(f"/{name}"))
        extra += sorted(name for name in names(folder) - clean.names
                        if name.endswith(("-wal", "-shm")) and name not in extra)
        if extra:
            self.found.add("leftovers", f"{label}: {', '.join(extra)}")


def names(folder: Path) -> set[str]:
    """The names of everything in a folder, hidden or not."""
    return {str(one.relative_to(folder)) for one in folder.rglob("*")}
