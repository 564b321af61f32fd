"""The shell's completion: the household's own names, in words that the shell can take, and never an error."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.shell_completion import ShellComplete

from tests.conftest import Runner


def offered(words: list[str], typed: str = "") -> list[str]:
    """What a shell would be offered after `words`, for a word begun as `typed`."""
    from gwlog.cli.main import cli

    return [item.value for item in ShellComplete(cli, {}, "gwlog", "_GWLOG_COMPLETE").get_completions(words, typed)]


@pytest.mark.parametrize(("words", "typed", "wanted"), [
    (["load"], "", ["towels", "whites", "diapers"]),
    (["where"], "TO", ["towels"]),
    (["load", "towels", "--to"], "", ["garden", "sewer", "Pomegranate", "Fig", "Carrots"]),
    (["load", "towels", "--by"], "i", ["Ines"]),
    (["load", "towels", "-p"], "", ["plain liquid", "bleach"]),
    (["where", "towels", "-c"], "dr", ["drum-cleaning"]),
    (["move"], "", ["Hose", "Pomegranate", "Fig", "Carrots"]),
    (["move", "Hose"], "", ["Pomegranate", "Fig"]),
    (["mulch"], "c", ["Carrots"]),
    (["water"], "f", ["Fig"]),
    (["water", "Fig", "3gal", "--way"], "", ["can", "drip", "hose", "flush"]),
    (["correct", "3", "--way"], "d", ["drip"]),
    (["valve"], "s", ["sewer"]),
    (["observe"], "st", ["stressed plant"]),
    (["observe", "ponding"], "f", ["Fig"]),
    (["done"], "throw", ["throw the valve both ways"]),
    (["plan-load"], "w", ["whites"]),
    (["correct", "3", "--load"], "d", ["diapers"]),
])
def test_names_of_the_household_are_offered(home: Runner, words: list[str], typed: str, wanted: list[str]) -> None:
    assert offered(words, typed) == wanted


def test_bash_gets_names_with_blanks_escaped(home: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("_GWLOG_COMPLETE", "bash_complete")
    assert offered(["observe"], "st") == ["stressed\\ plant"]


@pytest.mark.parametrize(("line", "begun", "wanted"), [
    (["gwlog", "observe", "st"], "st", ["'stressed plant'"]),
    (["gwlog", "load"], "", ["towels", "whites", "diapers"]),
    (["gwlog", "load", "towels", "--to", "F"], "F", ["Fig"]),
    (["gwlog", "done", "throw"], "throw", ["'throw the valve both ways'"]),
    (["gwlog"], "", ["where", "load", "today"]),
])
def test_power_shell_hands_over_its_words_line_by_line(
        home: Runner, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], line: list[str], begun: str,
        wanted: list[str]) -> None:
    monkeypatch.setenv("_GWLOG_COMPLETE", "powershell_complete")
    monkeypatch.setenv("COMP_WORDS", "\n".join(line))
    monkeypatch.setenv("COMP_BEGUN", begun)
    with pytest.raises(SystemExit):   # so click ends completion
        home()
    assert capsys.readouterr().out.splitlines()[:len(wanted)] == wanted


def test_power_shell_gets_a_script_that_names_what_it_sets(gwlog: Runner) -> None:
    script = gwlog("completion", "powershell").out
    assert script.startswith("Register-ArgumentCompleter -Native -CommandName gwlog") and "%(" not in script
    assert "$env:_GWLOG_COMPLETE = 'powershell_complete'" in script and script.count("{") == script.count("}")


@pytest.mark.parametrize("content", [None, b"", b"no logbook at all"])
def test_without_a_readable_logbook_nothing_is_offered_and_nothing_made(
        gwlog: Runner, tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "logbook.db"
    if content is not None:
        path.write_bytes(content)
    assert offered(["load"]) == []
    assert offered(["move"]) == []
    assert path.exists() == (content is not None)


def test_the_logbook_named_on_the_line_is_read(home: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GWLOG_LOGBOOK", str(tmp_path / "other.db"))
    named = str(tmp_path / "logbook.db")
    assert offered(["load"]) == []
    assert offered(["--logbook", named, "load"], "t") == ["towels"]
    assert offered(["load", "--logbook", named], "t") == ["towels"]
