"""Actions: one value, shown as a command, carried to another process, rendered by a face."""

from __future__ import annotations

import subprocess

import click
import pytest

from gwlog.actions import Action, Argument, Hint, as_json, joined, of_json, rendered
from gwlog.cli.main import cli

ODD = ("plain", "two words", 'a "quoted" one', "$HOME and `ls`", "back\\slash", "it's", "Tücher", "-5", "*", "")


@pytest.mark.parametrize("value", [value for value in ODD if value])
def test_a_command_line_gives_a_value_back_as_a_shell_reads_it(value: str) -> None:
    command = Action("move", outlet=value, basin="apple", by=value).command
    read = subprocess.run(["sh", "-c", f"gwlog() {{ printf '%s\\n' \"$@\"; }}; {command}"], capture_output=True,
                          check=True, text=True).stdout
    assert read.splitlines() == ["move", value, "apple", "--by", value]


def test_places_come_first_and_the_rest_are_options() -> None:
    made = Action("move", at="2026-05-03 07:00", basin="fig", outlet="east hose")
    assert made.command == 'gwlog move "east hose" fig --at "2026-05-03 07:00"'
    assert Action("setup apply", file="SITE.toml", dry_run="").command == "gwlog setup apply SITE.toml --dry-run"


def test_what_the_person_fills_in_is_not_known() -> None:
    made = Action("move", outlet="OUTLET", basin="fig")
    assert made.get("outlet") is None and made.get("basin") == "fig" and made.get("at") is None


def test_every_action_with_places_is_a_command_that_takes_them() -> None:
    from gwlog.actions import POSITIONAL

    for kind, places in POSITIONAL.items():
        command: click.Command = cli
        for word in kind.split():
            assert isinstance(command, click.Group)
            found = command.get_command(click.Context(command), word)
            assert found is not None, kind
            command = found
        taken = [param for param in command.params if param.param_type_name == "argument"]
        assert len(taken) >= len(places), kind


def test_a_hint_is_a_command_line_by_itself_and_what_a_face_makes_of_it() -> None:
    hint = Hint("Log it: ", Action("rain", amount="AMOUNT", at="yesterday"), ", or say ", Argument("replace"), ".")
    assert str(hint) == "Log it: gwlog rain AMOUNT --at yesterday, or say --replace."
    assert hint.render(lambda part: f"[{part.kind if isinstance(part, Action) else part.name}]") == \
        "Log it: [rain], or say [replace]."
    assert rendered("plain", lambda part: "never") == "plain"
    assert str(joined([hint, "More."])) == f"{hint} More."


def test_a_hint_reaches_another_process_whole() -> None:
    hint = Hint("Either ", Action("setup apply", file="SITE.toml", from_="monday"), " or ", Argument("at", "tue 7pm"))
    assert of_json(as_json(hint)) == hint and str(of_json(as_json(hint))) == str(hint)
    assert of_json(as_json("plain")) == "plain" and of_json(as_json(None)) is None
