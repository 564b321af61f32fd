"""Help in groups, no line of it cut; every example is accepted; and the manual page holds it all."""

from __future__ import annotations

import shlex
import shutil
import subprocess

import click
import pytest

from gwlog.cli.help_texts import GROUPS, LONGEST_LINE, TEXTS
from gwlog.cli.main import COMMANDS, cli
from tests.conftest import Runner

EXAMPLES = [line for _, lines in TEXTS.values() for line in lines]


def test_every_command_stands_in_one_group_with_a_whole_sentence_and_examples() -> None:
    grouped = [name for names in GROUPS.values() for name in names]
    assert sorted(grouped) == sorted(COMMANDS) and len(grouped) == len(set(grouped)) and set(TEXTS) == set(COMMANDS)
    for name, (words, examples) in TEXTS.items():
        assert 10 < len(words) < LONGEST_LINE and words.endswith(".") and words[0].isupper(), name
        assert 2 <= len(examples) <= 3 and all(shlex.split(line)[:2] == ["gwlog", name] for line in examples), name


def test_the_list_fits_80_columns_and_cuts_nothing(gwlog: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    out = gwlog("--help").out
    assert max(map(len, out.splitlines())) <= 80 and "..." not in out.split("Options:")[1]
    places = [out.index(f"{group}:") for group in GROUPS]
    assert places == sorted(places)


@pytest.mark.parametrize("line", EXAMPLES)
def test_an_example_is_accepted_as_it_stands(line: str) -> None:
    words = shlex.split(line.split(" > ")[0].split(" | ")[0])[1:]
    command: click.Command | None = cli
    context = click.Context(cli, info_name="gwlog")
    while isinstance(command, click.Group) and words:
        command = command.get_command(context, words.pop(0))
    assert command is not None
    command.make_context("gwlog", words, parent=context)   # raises for an unknown option or a missing argument


def test_a_command_s_help_ends_with_its_examples(gwlog: Runner) -> None:
    out = gwlog("rain", "--help").out
    for line in TEXTS["rain"][1]:
        assert f"\n  {line}\n" in out or f"\n    {line}\n" in out


def test_the_manual_page_holds_every_command_option_and_example(gwlog: Runner) -> None:
    page = gwlog("manpage").out
    said = page.replace("\\-", "-").replace("\\&", "")
    assert page.startswith(".TH GWLOG 1") and not gwlog("manpage").err
    for name in COMMANDS:
        assert f".SS gwlog {name}" in said, name
    for line in (*EXAMPLES, "--since DAY", "--what-if TEXT", ".SS gwlog setup apply", ".SH AT THE MACHINE"):
        assert line in said
    for line in page.splitlines():   # a line that begins with a dot is a macro, by groff_man(7)
        assert not line.startswith("'") and (line[:1] != "." or line[1:3].strip() in
                                             ("TH", "SH", "SS", "PP", "TP", "B", "nf", "fi")), line
    if shutil.which("groff"):
        checked = subprocess.run(["groff", "-man", "-Tutf8", "-ww"], input=page.encode("ascii", "replace"),
                                 capture_output=True, check=False)
        assert checked.returncode == 0
