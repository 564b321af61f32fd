"""The parts of the fault benchmark within one process: mutated files, arguments, keys, a jumping clock."""

from __future__ import annotations

import asyncio
import contextlib
import io
import os
import random
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.faults.parts import Part
from tests.faults.runner import Run, surroundings
from tests.faults.world import NOW, copy, seal

TOKENS = (b"999999999999999999", b"-1", b"NaN", b"1e400", b"\0", b'"', b"'", b"[", b"]", b"=", b",", b"\xff\xfe",
          b"\n\n", b"2026-02-30", b"true", b"{}", b"0x10", "é☃".encode(), b"\x1b[31m", b"inf", b";", b"\t", b"#")
FOLDER_WORDS = ("a", "b.pdf", "c.zip", "d.csv", "site.toml", "old.db", "old.jsonl", "more.toml", "weather.csv")
WORDS = ("towels", "Fig", "Hose", "1", "15", "99", "2in", "3 gal", "garden", "sewer", "tue 7pm", "2026-05-03",
         "ponding", "Ines", "-1", "nan", "", " ", "can", "x" * 300, "\udc80", "\u202eabc", "%s",
         "9" * 40, "a\nb", "--", "-",
         "1:5", "freq=daily", "FREQ=WEEKLY;BYDAY=MO", "us-ut", "desk", "yesterday 18:30", *FOLDER_WORDS)


@contextlib.contextmanager
def inside(folder: Path) -> Iterator[None]:
    """This very process at work in a folder of the world, at the world's moment."""
    from gwlog import clock

    before, here, now = dict(os.environ), Path.cwd(), clock.now
    os.environ.update(surroundings(folder))
    os.chdir(folder)
    tempfile.tempdir = None   # it is asked for once only
    clock.now = lambda: datetime.fromisoformat(NOW)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)
        os.chdir(here)
        tempfile.tempdir = None
        clock.now = now


def say(*args: str) -> Run:
    """Run a command line in this process."""
    from gwlog.cli.main import run

    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = run(args)
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        except BaseException as raised:
            return Run(70, out.getvalue(), f"Traceback: {type(raised).__name__}: {raised}", 0, "", 0, 0)
    return Run(code, out.getvalue(), err.getvalue(), 0, "", 0, 0)


def mutated(content: bytes, dice: random.Random) -> bytes:
    """The content with a few faults: bits, bytes, pieces cut, doubled or put in."""
    made = bytearray(content)
    for _ in range(dice.choice((1, 1, 2, 5))):
        at, other = dice.randrange(len(made) + 1), dice.randrange(len(made) + 1)
        how = dice.randrange(6)
        if how == 0 and at < len(made):
            made[at] ^= 1 << dice.randrange(8)
        elif how == 1:
            del made[at:at + dice.randrange(1, 30)]
        elif how == 2:
            made[at:at] = made[other:other + dice.randrange(1, 60)]
        elif how == 3:
            made[at:at + dice.randrange(6)] = dice.choice(TOKENS)
        elif how == 4:
            made[at:at] = dice.randbytes(dice.randrange(1, 9))
        elif dice.random() < 0.3:
            del made[at:]
        made = made or bytearray(b"\n")
    return bytes(made)


def files(part: Part) -> None:
    """Every kind of file that people give to gwlog, mutated."""
    from tests.faults.parts import uncaught

    folder, dice, count = copy(part.world, part.work / "files"), random.Random(3), part.many(20_000)
    with inside(folder):
        for args in (("pack", "old.zip"), ("handover", "handed.zip")):
            assert (run := say(*args)).code == 0, run
        config = folder / "home/config/gwlog"
        config.mkdir(parents=True, exist_ok=True)
        from gwlog.notify.overview import examples

        settings, channels = (content for _, content in examples())
        whole = {name: (folder / name).read_bytes() for name in
                 ("more.toml", "weather.csv", "loads.csv", "old.jsonl", "old.zip", "handed.zip", "old.db", "same.ics")}
        asked: list[tuple[str, bytes, Path, tuple[str, ...]]] = [
            ("more.toml", whole["more.toml"], folder / "in.toml", ("setup", "apply", "in.toml", "--dry-run")),
            ("weather.csv", whole["weather.csv"], folder / "in.csv", ("weather", "import", "in.csv", "--dry-run")),
            ("loads.csv", whole["loads.csv"], folder / "in.csv",
             ("import", "in.csv", "--columns", "date=Day,load=What,to=Where", "--dry-run")),
            ("old.jsonl", whole["old.jsonl"], folder / "in.jsonl",
             ("--logbook", "none.db", "import", "in.jsonl", "--dry-run")),
            ("old.zip", whole["old.zip"], folder / "in.zip", ("verify", "in.zip")),
            ("handed.zip", whole["handed.zip"], folder / "in.zip",
             ("--logbook", "none.db", "import", "in.zip", "--dry-run")),
            ("old.db", whole["old.db"], folder / "in.db", ("verify", "in.db")),
            ("same.ics", whole["same.ics"], folder / "in.ics", ("calendar", "in.ics")),
            ("settings.toml", settings.encode(), config / "settings.toml", ("watch", "--once")),
            ("channels.toml", channels.encode(), config / "channels.toml", ("watch", "--test", "no such")),
        ]
        before = seal(folder / "house.db")
        for number in range(count):
            name, content, where, args = asked[number % len(asked)]
            where.write_bytes(mutated(content, dice))
            where.chmod(0o600)
            uncaught(part, say(*args), f"mutated {name}, number {number}")
            if where.parent == config:
                where.unlink()
        if seal(folder / "house.db") != before:
            part.found("doubled", "mutated files that were only looked at wrote entries")
    shutil.rmtree(folder)
    part.row("mutated files of ten kinds", count)


def arguments(part: Part) -> None:
    """Random argument lists, in a folder of their own."""
    import click

    from gwlog.cli.main import COMMANDS, cli
    from tests.faults.parts import uncaught

    folder, dice, count = copy(part.world, part.work / "arguments"), random.Random(4), part.many(10_000)
    options: dict[str, list[str]] = {}
    context = click.Context(cli)
    for name in COMMANDS:
        command = cli.get_command(context, name)
        assert command is not None
        parts = [command.get_command(context, one) for one in command.list_commands(context)] \
            if isinstance(command, click.Group) else [command]
        options[name] = [word for one in parts if one is not None for param in one.params
                         if isinstance(param, click.Option) for word in param.opts]
    with inside(folder):
        before, put_back = seal(folder / "house.db"), False
        for number in range(count):
            name = dice.choice([name for name in COMMANDS if name not in ("watch", "rehearse")])
            args = [name]
            for _ in range(dice.randrange(6)):
                if dice.random() < 0.4 and options[name]:
                    args.append(dice.choice(options[name]))
                args.append(dice.choice(WORDS))
            run = say(*args)
            uncaught(part, run, f"arguments {number} {args!r}")
            put_back = put_back or (name == "restore" and run.code == 0)
            if number % 500 == 499:
                after = seal(folder / "house.db")
                if after[:len(before)] != before and not put_back:
                    part.found("lost", f"entries are gone by arguments up to {number}")
                shutil.rmtree(folder)
                copy(part.world, folder)
                os.chdir(folder)
                put_back = False
    shutil.rmtree(folder)
    part.row("random argument lists", count)


def keys(part: Part) -> None:
    """Random keys on the screens: without a logbook, empty, small, ten years; three sizes."""
    from gwlog.journal import store
    from gwlog.journal.writer import append
    from gwlog.tui.background_task import BackgroundTask
    from tests.tui import conftest as house
    from tests.tui.random_keys import SIZES, Broken, walk
    from tests.tui.test_every_household import MORNING, demo

    async def refused(task: BackgroundTask, _order: Any, done: Any) -> None:
        task.progress = None
        task._changed()
        done({"refused": "Nothing is written in this walk.", "hint": None})

    BackgroundTask._run = refused  # type: ignore[method-assign]
    folder, pressed = part.work / "keys", 0
    folder.mkdir()
    for inner in ("home/config", "home/data", "tmp"):
        (folder / inner).mkdir(parents=True)
    empty, small = folder / "empty.db", folder / "small.db"
    store.create(empty)
    shutil.copyfile(empty, small)
    append(small, house.household(), now=house.BEGIN)
    append(small, house.season(), now=house.NOW)
    sources = {"none": None, "empty": empty, "small": small, "ten years": demo(folder, 10, "us")}
    for seed in range(4):
        for name, source in sources.items():
            for size in SIZES:
                many = part.many(417)
                path = folder / "walked.db"
                path.unlink(missing_ok=True)
                if source is not None:
                    shutil.copyfile(source, path)
                now = house.Clock(MORNING) if name == "ten years" else None
                with inside(folder), contextlib.redirect_stderr(io.StringIO()):
                    try:
                        asyncio.run(walk(path, size, seed * 100 + size[0], many, clock=now))
                    except Broken as broken:
                        part.found("uncaught", f"{name}: {broken}")
                pressed += many
    part.row("random keys, 4 households x 3 sizes", pressed)


HOUR_S, TICK_S = 3600, 1.5
JUMPS = ((600, timedelta(days=-1)), (1200, timedelta(days=1)), (1800, timedelta(days=365)),
         (2100, timedelta(days=-365)), (2700, timedelta(hours=6)))
"""After so many seconds, by how much the clock jumps: a day back, a year ahead, a machine that slept."""


class _Ear:
    """A channel that only listens."""

    name = "stdout"

    def __init__(self) -> None:
        self.heard: list[str] = []

    def send(self, message: Any) -> None:
        self.heard += message.lines


def watcher(part: Part) -> None:
    """An hour of the watcher, tick by tick: its clock jumps, the machine sleeps; beside it an hour without that."""
    seconds = part.many(HOUR_S)
    told = {name: _hour(part, name, seconds, jumps) for name, jumps in (("still", ()), ("jumping", JUMPS))}
    if not told["still"]:
        part.found("lost", "the watcher told nothing at all")
    for line, count in Counter(told["jumping"]).items():
        if count > 1:
            part.found("doubled", f"told {count} times: {line}")
    for line in set(told["still"]) - set(told["jumping"]):
        part.found("lost", f"never told: {line}")
    part.row("ticks of a watcher whose clock jumps", round(seconds / TICK_S))


def _hour(part: Part, name: str, seconds: int, jumps: tuple[tuple[int, timedelta], ...]) -> list[str]:
    from gwlog import clock
    from gwlog.notify import watcher as module

    folder, ear, said = copy(part.world, part.work / name), _Ear(), []
    at, past = datetime(2026, 7, 14, 18, 0, tzinfo=UTC), 0.0
    pending = list(jumps)
    original = module.read_channels
    with inside(folder):
        module.read_channels = lambda: {"stdout": ear}  # type: ignore[assignment,dict-item]
        try:
            one = module.Watcher(folder / "house.db", said.append)
            clock.now = lambda: at
            one._read_files()
            while past < seconds:
                at, past = at + timedelta(seconds=TICK_S), past + TICK_S
                if pending and past * HOUR_S / seconds >= pending[0][0]:
                    at += pending.pop(0)[1]
                try:
                    one.tick()
                except Exception as raised:
                    part.found("uncaught", f"tick after {past:.0f} s: {type(raised).__name__}: {raised}")
        finally:
            module.read_channels = original
    for words in said:
        part.found("uncaught", f"the watcher says: {words}")
    shutil.rmtree(folder)
    return ear.heard
