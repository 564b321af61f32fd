"""The one door: what is decided while others write is decided anew, and nothing is written anywhere else."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from gwlog.app import corrections, door, entries
from gwlog.errors import BadInput, LogbookBusy
from gwlog.household import Household, look
from gwlog.journal import reader, seal, writer
from gwlog.journal.facts import Fact, OutletMove, ValveSwitch, WashLoad
from gwlog.state import State
from tests.conftest import NOW, Runner

GWLOG = Path(door.__file__).parents[1]
MINUTE = timedelta(minutes=1)


@pytest.fixture
def logbook(home: Runner, tmp_path: Path) -> Path:
    """The small household at NOW, as a file."""
    return tmp_path / "logbook.db"


def told(path: Path, *facts: Fact) -> list[Fact]:
    """What somebody else writes, past this process's decisions."""
    return writer.append(path, facts, now=NOW)


def valve(position: str, at: datetime = NOW - MINUTE) -> ValveSwitch:
    return ValveSwitch(happened_at=at, zone="America/Los_Angeles", position=position)


def moved(basin: str, at: datetime = NOW - MINUTE) -> OutletMove:
    return OutletMove(happened_at=at, zone="America/Los_Angeles", outlet="Hose", basin=basin)


class Meanwhile:
    """A decision during which somebody else writes: `others`, one batch for each of the first decisions."""

    def __init__(self, path: Path, decide: Callable[[Household], object], *others: Sequence[Fact]) -> None:
        self.path, self.decide, self.others, self.heads = path, decide, list(others), list[int]()

    def __call__(self, home: Household) -> object:
        made = self.decide(home)
        self.heads.append(home.head)
        if self.others:
            told(self.path, *self.others.pop(0))
        return made


def load(home: Household, **more: str) -> entries.LoadDraft:
    return entries.load(home, "towels", entries.Author(home.now), **more)  # type: ignore[arg-type]


def state(path: Path) -> State:
    return look(path, NOW + timedelta(hours=1)).state


class TestTheHeadMoves:
    """Between a decision and its writing somebody else writes."""

    def test_a_load_goes_where_the_valve_stands_by_then(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        assert home.state.valve == "garden"
        decide = Meanwhile(logbook, load, [valve("sewer")])
        done = door.log(home, decide, now=lambda: NOW)  # type: ignore[type-var]
        assert [fact.went_to for fact in done.written if isinstance(fact, WashLoad)] == ["sewer"]
        assert decide.heads == [home.head, home.head + 1]
        assert (done.home.head, done.home.state.valve) == (home.head + 1, "sewer"), "what is told is of that state"
        assert done.written[0].id == done.home.head + 1

    def test_an_outlet_that_was_moved_is_moved_no_second_time(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        alone = load(home, to="Fig")
        assert [type(fact) for fact in alone.facts] == [OutletMove, WashLoad]
        done = door.log(home, Meanwhile(logbook, lambda then: load(then, to="Fig"), [moved("Fig")]),
                        now=lambda: NOW)  # type: ignore[type-var]
        assert [type(fact) for fact in done.written] == [WashLoad]
        assert state(logbook).loads[-1].deliveries[0].basin == "Fig"

    def test_the_verdict_is_the_one_of_the_state_that_it_is_written_after(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        assert home.answer(home.query("towels")).verdict == "garden"
        seen = [entries.observe(home, "illness", None, entries.Author(NOW - MINUTE))]
        done = door.log(home, Meanwhile(logbook, lambda then: entries.load_as_advised(
            then, "towels", entries.Author(then.now)), seen), now=lambda: NOW)  # type: ignore[type-var]
        assert [fact.KIND for fact in done.written] == ["valve_switch", "wash_load"]
        assert state(logbook).loads[-1].fact.went_to == "sewer"

    def test_the_same_load_said_by_two_is_refused_to_the_second(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        with pytest.raises(BadInput, match="already in the log"):
            door.log(home, Meanwhile(logbook, load, load(home).facts), now=lambda: NOW)  # type: ignore[type-var]
        assert len(state(logbook).loads) == 1

    def test_a_correction_is_of_the_last_wording(self, logbook: Path) -> None:
        number = told(logbook, *load(look(logbook, NOW)).facts)[-1].id
        home = look(logbook, NOW)
        other = corrections.correct(home, number, volume="15gal")
        done = door.log(home, Meanwhile(logbook, lambda then: corrections.correct(then, number, to="sewer"), [other]),
                        now=lambda: NOW)  # type: ignore[type-var]
        assert done.written[0].corrects_id == home.head + 1
        run = state(logbook).loads[-1]
        assert (run.fact.went_to, round(run.litres)) == ("sewer", 57), "15 gallons, as the other one said"

    def test_others_who_write_again_and_again_are_made_to_wait(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        turns = [[valve(one, NOW - MINUTE * back)] for back, one in
                 enumerate(["garden", "sewer"] * (door.TRIES // 2), 1)]
        decide = Meanwhile(logbook, load, *turns)
        done = door.log(home, decide, now=lambda: NOW)  # type: ignore[type-var]
        assert decide.heads == [home.head + count for count in range(door.TRIES + 1)]
        assert done.home.head == home.head + door.TRIES and done.written[-1].id == done.home.head + 1
        assert seal.verify(logbook).holds

    def test_nobody_else_writes_while_the_last_decision_is_made(self, logbook: Path,
                                                                monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(reader, "BUSY_MS", 20)
        monkeypatch.setattr(door, "TRIES", 0)
        home = look(logbook, NOW)
        with pytest.raises(LogbookBusy):
            door.log(home, Meanwhile(logbook, load, [valve("sewer")]), now=lambda: NOW)  # type: ignore[type-var]
        assert reader.last_seal(logbook)[0] == home.head, "neither of the two"

    def test_a_refusal_made_anew_leaves_nothing(self, logbook: Path) -> None:
        home = look(logbook, NOW)
        number = told(logbook, *load(home).facts)[-1].id
        home = look(logbook, NOW)
        gone = entries.withdraw(home, number, entries.Author(NOW, note="typed twice"))
        with pytest.raises(BadInput, match="was withdrawn"):
            door.log(home, Meanwhile(logbook, lambda then: entries.withdraw(
                then, number, entries.Author(NOW, note="me too")), [gone]), now=lambda: NOW)  # type: ignore[type-var]
        assert reader.last_seal(logbook)[0] == home.head + 1

    def test_an_erased_note_does_not_come_back_in_a_correction(self, logbook: Path) -> None:
        draft = entries.load(look(logbook, NOW), "towels", entries.Author(NOW, note="secret words"))
        number = told(logbook, *draft.facts)[-1].id
        home = look(logbook, NOW)

        def decide(then: Household) -> Fact:
            made = corrections.correct(then, number, volume="15gal")
            if then is home:
                assert made.note == "secret words"
                door.erase_note(logbook, number)
            return made

        assert door.log(home, decide, now=lambda: NOW).written[0].note is None
        assert b"secret words" not in logbook.read_bytes()

    def test_a_note_is_erased_in_the_wordings_that_came_meanwhile_too(self, logbook: Path) -> None:
        draft = entries.load(look(logbook, NOW), "towels", entries.Author(NOW, note="secret words"))
        number = told(logbook, *draft.facts)[-1].id
        home = look(logbook, NOW)
        told(logbook, corrections.correct(home, number, volume="15gal"))
        assert door.erase_note(home.path, number, lambda: NOW) == (number, number + 1)
        assert not any(fact.note for fact in reader.read(logbook))

    def test_a_damaged_logbook_can_still_be_written_to(self, logbook: Path) -> None:
        """Rows and seal count differently: nobody wrote, and a household is not kept from its log."""
        home = look(logbook, NOW)
        cut = Household(home.path, home.now, home.entries[:-1])
        assert cut.head == home.head - 1
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(door, "look", lambda *_: cut)
            done = door.log(cut, lambda _: valve("sewer"), now=lambda: NOW)
        assert done.written[0].id == home.head + 1


class TestABeginning:
    """A household described for the first time."""

    def test_a_logbook_that_somebody_else_began_is_left(self, logbook: Path) -> None:
        before = logbook.read_bytes()
        with pytest.raises(BadInput, match="holds entries already"):
            door.describe(logbook, look(logbook, NOW).entries, NOW)
        assert logbook.read_bytes() == before

    def test_a_refused_beginning_leaves_no_file(self, logbook: Path, tmp_path: Path) -> None:
        place = tmp_path / "new" / "logbook.db"
        wrong = replace(valve("garden"), position="nowhere")
        with pytest.raises(BadInput, match="position"):
            door.describe(place, [wrong], NOW)
        assert list(place.parent.iterdir()) == []

    def test_a_household_is_described_whole(self, logbook: Path, tmp_path: Path) -> None:
        place = tmp_path / "another.db"
        written = door.describe(place, look(logbook, NOW).entries, NOW)
        assert reader.read(place) == written and seal.verify(place).holds


class TestTheClock:
    """A clock that looks wrong is told before anything is written, and never refused."""

    @pytest.mark.parametrize(("later", "words"), [
        (timedelta(days=-2), "before the last entry was written"), (timedelta(days=400), "more than a year after"),
        (timedelta(minutes=-4), None), (timedelta(days=300), None)])
    def test_it_is_told(self, later: timedelta, words: str | None, logbook: Path) -> None:
        home = look(logbook, NOW)
        said: list[str] = []
        heads: list[int] = []

        def mind(line: object) -> None:
            said.append(str(line))
            heads.append(reader.last_seal(logbook)[0])

        door.log(home, lambda _: valve("sewer"), now=lambda: NOW + later, mind=mind)
        assert [words in line for line in said] == [True] if words else said == []
        assert set(heads) <= {home.head}
        assert reader.last_seal(logbook)[0] == home.head + 1


# Rounds of commands, one line of standard input each: for each command a process, all of them let go together.
RACE = """
import json, os, sys
from datetime import UTC, datetime
from gwlog import clock
clock.now = lambda: datetime(2026, 7, 14, 18, tzinfo=UTC)
from gwlog.cli.main import run
from gwlog.libraries import WRITER, load
load(*WRITER)
for line in sys.stdin:
    ready, go = os.pipe()
    children = []
    for words in json.loads(line):
        child = os.fork()
        if not child:
            os.close(go)
            os.read(ready, 1)
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            os._exit(run([*sys.argv[1:], *words.split()]))
        children.append(child)
    os.close(ready)
    os.close(go)
    print(*(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children), flush=True)
"""


def race(logbook: Path, *rounds: list[str]) -> list[list[int]]:
    """The exit codes of the processes of each round, sorted."""
    found = subprocess.run([sys.executable, "-c", RACE, "--logbook", str(logbook)], text=True, check=True, timeout=300,
                           input="".join(json.dumps(one) + "\n" for one in rounds), capture_output=True,
                           cwd=GWLOG.parent)
    assert "Traceback" not in found.stderr
    return [sorted(int(code) for code in line.split()) for line in found.stdout.splitlines()]


CONTRADICTING = [("towels", "sewer"), ("whites", "Fig"), ("diapers", "sewer"), ("towels", "Pomegranate"),
                 ("whites", "sewer"), ("diapers", "Fig"), ("towels", "Fig"), ("whites", "garden")]


@pytest.mark.long
def test_many_at_once_are_as_one_after_another(logbook: Path) -> None:
    """What each is told is true, nothing is doubled, and each load moves and turns from where things stand."""
    begin = reader.read(logbook)
    same = "load towels --at 2026-07-12T18:30"
    assert race(logbook, [same] * 2, [same.replace("18:30", "19:30")] * 8, [
        f"load {name} --at 2026-07-13T18:3{number} --to {place}"
        for number, (name, place) in enumerate(CONTRADICTING)]) == [[0, 2], [0] + [2] * 7, [0] * 8]
    assert seal.verify(logbook).holds
    facts = reader.read(logbook)
    assert len([fact for fact in facts if isinstance(fact, WashLoad)]) == 2 + 8
    # the same again in the order in which they were written, alone
    again = logbook.with_name("again.db")
    door.describe(again, begin, NOW)
    together: list[Fact] = []
    for fact in facts[len(begin):]:
        together.append(fact)
        if isinstance(fact, WashLoad):
            place = next((one.basin for one in together if isinstance(one, OutletMove)), None) or fact.went_to
            alone = entries.load(look(again, NOW), fact.usual_load or "", entries.Author(fact.happened_at), to=place)
            assert [one.KIND for one in alone.facts] == [one.KIND for one in together]
            told(again, *together)
            together = []
    assert not together


def test_nothing_else_writes() -> None:
    """The writer is asked by the door alone; a handover and a pack write into copies that nobody else has."""
    asked = re.compile(r"^ *from gwlog\.journal\.writer import (?!_|error_for)|"
                       r"^ *from gwlog\.journal import .*\bwriter\b|"
                       r"^ *import gwlog\.journal\.writer", re.MULTILINE)
    found = {file.relative_to(GWLOG).as_posix() for file in GWLOG.rglob("*.py")
             if asked.search(file.read_text(encoding="utf-8"))}
    assert found == {"app/door.py", "documents/handover.py", "documents/pack.py"}
