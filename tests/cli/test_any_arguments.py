"""Whatever is typed as an argument: one sentence and an exit code that means something, never a mistake of ours."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from gwlog.cli.main import COMMANDS, cli
from tests.conftest import Runner

NASTY = ("\0", "a\0b", "\udc80", "x" * 300, "y/" * 3000, "~nobody-of-that-name/x", "~", "", " ", "-1",
         "9" * 40, "nan", "1e999", "..", "/", "💧", "a\nb", "\x1b[31m", "\u202eabc", "%s%n", "[/b]",
         "12:99", "2026-02-30", "-0", "²", "/dev/null")
CODES = {0, 1, 2, 3, 4, 5}
LEFT_OUT = ("watch", "begin")   # one goes on for ever; the other asks, or makes a file wherever it is told


def asked(ctx: click.Context, command: click.Command, *before: str) -> Iterator[tuple[list[str], int]]:
    """Each argument and option of a command, with words that are in order before it, and the place of its value."""
    if isinstance(command, click.Group):
        for name in command.list_commands(ctx):
            found = command.get_command(ctx, name)
            assert found is not None
            yield from asked(ctx, found, *before, name)
        return
    arguments = [param for param in command.params if isinstance(param, click.Argument)]
    plain = ["towels"] * sum(param.required for param in arguments)
    for place in range(len(arguments)):
        words = [*before, *plain[:place], "", *plain[place + 1:]]
        yield words, len(before) + place
    for param in command.params:
        if isinstance(param, click.Option) and not param.is_flag and not param.hidden:
            yield [*before, *plain, param.opts[0], ""], len(before) + len(plain) + 1


def lines() -> Iterator[list[str]]:
    ctx = click.Context(cli)
    for name in COMMANDS:
        if name not in LEFT_OUT:
            command = cli.get_command(ctx, name)  # type: ignore[attr-defined]
            for words, place in asked(ctx, command, name):
                for value in NASTY:
                    yield [*words[:place], value, *words[place + 1:]]


EVERY = list(lines())
STEP = 61   # no divisor of the number of values, so that each argument meets others


@pytest.mark.parametrize("first", [0, *(pytest.param(first, marks=pytest.mark.long) for first in (7, 23))])
def test_no_argument_is_taken_for_a_mistake_of_ours(
        first: int, home: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("HOME", str(folder))
    assert len(EVERY) > 2000
    for words in EVERY[first::STEP if first == 0 else 13]:
        said = home(*words)
        assert said.code in CODES, words
        assert "bug in gwlog" not in said.err, (words, said.err)
        assert said.code in (0, 3, 4) or said.err.strip(), words


@pytest.mark.parametrize(("path", "words"), [
    ("~nobody-of-that-name/log.db", "names the folder of somebody who has none on this machine"),
    ("a\0b", "holds a sign that no path can hold"), ("x" * 300, "is too long for a path"),
    ("y/" * 3000, "is too long for a path")])
@pytest.mark.parametrize("command", [("--logbook", "{}", "today"), ("report", "{}"), ("backup", "--to", "{}"),
                                     ("weather", "import", "{}"), ("setup", "apply", "{}"), ("verify", "{}"),
                                     ("calendar", "{}"), ("import", "{}")])
def test_what_can_be_no_path_is_refused_in_words(path: str, words: str, command: tuple[str, ...], home: Runner) -> None:
    said = home(*(word.format(path) for word in command))
    assert said.code == 2 and words in said.err and "\0" not in said.err


def test_a_logbook_may_have_a_name_that_is_no_text(home: Runner, tmp_path: Path) -> None:
    place = tmp_path / "caf\udce9.db"
    place.write_bytes((tmp_path / "logbook.db").read_bytes())
    assert home("--logbook", str(place), "valve", "sewer").code == 0
    assert "sewer" in home("--logbook", str(place), "entries").out
