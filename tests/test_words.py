"""Words, names and signs that are gone stay gone: in texts, help, JSON and README; and one sign marks one thing."""

from __future__ import annotations

import ast
import json
import re
import zipfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click
import pytest

from gwlog.cli import former_names
from gwlog.cli.main import COMMANDS, cli
from gwlog.decisions.acknowledgements import said
from gwlog.decisions.reminder_model import FORMER_KINDS, KINDS
from gwlog.journal import exchange, pack, seal
from gwlog.journal.facts import ReminderAnswer
from gwlog.notify.settings_file import read_settings
from gwlog.state import State
from gwlog.views.basins import STANDING_SHAPE
from tests.conftest import NOW, Runner

ROOT = Path(__file__).resolve().parent.parent
FIRST_FORM = Path(__file__).parent / "journal" / "pack_of_the_first_form.zip"

GONE = {
    r"snooz\w*": "later, put off until", r"\ba?sleep(s|ing)?\b": "later, put off until",
    r"\banchor\w*": "seal number", r"\bheads?\b(?! past)": "seal number", r"--(against|anchor)\b": "--noted",
    r"verify_pack": "check_seal.py", r"gwlog (init|log|snooze)\b": "gwlog begin, entries, later",
    r"rain or frost hold": "garden shut for weather", r"Search for commands": "a text of our own",
    r"[╌◀🔎]": "a mark where each outlet is",
}
"""What is gone, as a pattern without regard to case, and what is said instead."""

GONE_BY_FOLDER = {
    r"\bfortnight\w*": "two weeks", r"\bstr(uck|ike) out\b": "withdraw", r"\banew\b": "again",
    r"\bagainst a must\b": "against a rule", r"\brather sewer\b": "better sewer", r"\bWhom\b": "who",
    r"past the roots|\bpercolate[sd]?\b": "sink below the roots",
    r"\b(mind|odd): ": "careful, check", r"\bdeficit\b|need unmet": "missing, go short",
    r"\bl(ies|ay) at\b|\bcarried to\b|outlets lie\b": "is at, moved to",
    r"no walk needed|walks? more\b": "moves",
    r"is told anything|would be told|\bis mended\b": "messages, fixed",
    r"has root-zone room|\bhas room for\b": "can take",
    r"\b(labelled|neighbours?|colours?|afterwards|allotment|[Gg]rey bars|litres)\b": "US spelling",
    r"\bverdict\b": "answer", r"Nobody has looked yet|nobody has looked": "the label has not been checked",
    r"had to go to the sewer;|had to go there": "should have gone to the sewer", r"\bThe cover (at|was)\b": "mulch",
    r"\bthe cover at\b": "mulch",
    r"settled yet": "resolved", r"Called off": "Stopped early", r"Altogether:": "In total:",
}
"""What is gone from the sentences in FOLDERS. Names of single words, keys and columns of tables among them, are not
sentences; sources keep their titles."""

FOLDERS = ("decisions/", "views/", "documents/", "notify/", "water/", "demo/", "state.py", "reference/cautions.py",
           "reference/upkeep.py")

GONE_AT_THE_SCREENS = {
    r"\bfortnight\b": "two weeks", r"\bstr(uck|ike) out\b": "withdraw", r"\banew\b": "again",
    r"\bagainst a must\b": "against a rule", r"\b(mind|odd): ": "check", r"\bsettled? (an|yet)\b": "resolve",
    r"sinks? away|sank away": "sink below the roots", r"would be (told|accepted)|are accepted": "use",
    r"mistake in gwlog": "a bug", r"\bMend\b": "fix", r"nobody has looked": "not checked", r"Known here": "choose from",
    r"would be appended|\bAppended\b": "applied", r"take out of use|taken out of use": "retire",
    r"\bput back\b": "restored", r"lies (at|now)": "is at", r"under way": "running", r"\bwanted, ": "must be",
}
"""What is gone from the sentences in SCREENS."""

SCREENS = ("tui/", "cli/", "app/", "setup/", "journal/", "importers/", "worker/", "errors.py")

ALLOWED = {
    "cli/former_names.py": "snooze|anchor|--against|--anchor",                  # each with the name it has now
    "decisions/reminder_model.py": "rain or frost hold",                 # logbooks and settings say it
    "journal/pack.py": "verify_pack",                                    # the program of packs of the first form
    "journal/check_seal.py": "verify_pack|anchors|head|snoozed",         # the same, and words as they are stored
    "journal/columns.py": "snoozed", "journal/tables.py": "snoozed?", "app/reminder_replies.py": "snoozed",
    "views/log.py": "snoozed", "journal/migrations/versions/r0002.py": "snoozed?",   # the stored word
    "journal/store.py": "head",                                          # alembic's word for the newest layout
    "documents/render/html.py": "head", "documents/card/html.py": "head",           # an element
    "tui/dialogs/notifications.py": "head",                              # the id of a widget
    "documents/drawings/pen.py": "anchor", "documents/render/chart.py": "anchor",   # an attribute of SVG
    "documents/render/faces.py": "head",                                 # a table of a font
}
"""Where a word that is gone may stand in gwlog/, and which."""


@cache
def texts() -> tuple[tuple[str, str], ...]:
    """(file, text) of every text in the code that a person may meet: no docstrings but those of commands."""
    return tuple(_texts())


def _texts() -> Iterator[tuple[str, str]]:
    for file in sorted((ROOT / "gwlog").rglob("*.py")):
        name = file.relative_to(ROOT / "gwlog").as_posix()
        tree = ast.parse(file.read_text(encoding="utf-8"))
        hidden = {id(node.body[0].value) for node in ast.walk(tree)
                  if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)) and node.body
                  and isinstance(node.body[0], ast.Expr)
                  and not (name.startswith("cli/") and isinstance(node, ast.FunctionDef))}
        hidden |= {id(node.value) for part in ast.walk(tree) if isinstance(part, (ast.Module, ast.ClassDef))
                   for node in part.body if isinstance(node, ast.Expr)}   # what stands below a constant
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in hidden:
                yield name, node.value


def gone_in(words: str) -> list[str]:
    """The words of a text that are gone."""
    return [hit.group() for pattern in GONE for hit in re.finditer(pattern, words, re.IGNORECASE)]


def test_no_text_says_what_is_gone() -> None:
    said = {name: hit for name, text in texts() for hit in gone_in(text)
            if not re.fullmatch(ALLOWED.get(name, ""), hit)}
    assert not said


@pytest.mark.parametrize(("pattern", "now"), GONE_BY_FOLDER.items())
def test_no_sentence_of_answers_and_papers_says_what_is_gone(pattern: str, now: str) -> None:
    said = [(name, text) for name, text in texts()
            if name.startswith(FOLDERS) and " " in text.strip() and re.search(pattern, text)]
    assert not said, f"say: {now}"


@pytest.mark.parametrize(("pattern", "now"), GONE_AT_THE_SCREENS.items())
def test_no_sentence_of_screens_and_commands_says_what_is_gone(pattern: str, now: str) -> None:
    said = [(name, text) for name, text in texts()
            if name.startswith(SCREENS) and " " in text.strip() and re.search(pattern, text)]
    assert not said, f"say: {now}"


def test_every_allowed_place_is_needed() -> None:
    assert {name for name, text in texts() if gone_in(text)} == set(ALLOWED)


@pytest.mark.parametrize("file", ["README.md", "gwlog/setup/starter.toml", "gwlog/demo/household.toml", ".ci/run"])
def test_no_page_says_what_is_gone(file: str) -> None:
    words = (ROOT / file).read_text(encoding="utf-8")
    assert not [hit for hit in gone_in(words) if "head -n" not in words or hit != "head"]


@pytest.mark.parametrize("name", COMMANDS)
def test_no_help_says_what_is_gone(name: str) -> None:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None and name not in former_names.COMMANDS
    assert not gone_in(command.get_help(click.Context(command, info_name=name)))


def test_json_has_no_key_and_no_value_that_is_gone(home: Runner) -> None:
    assert home("later", "1", "--until", "tomorrow").code == 0
    for words in ("entries", "reminders --all", "today", "basins", "plan", "upkeep", "verify", "where towels",
                  "backup"):
        assert not gone_in(json.dumps(home(*words.split(), "--json").json)), words
    assert home("entries", "--json", "--last", "1").json["entries"][0]["answer"] == "later"


@pytest.mark.parametrize(("old", "new"), former_names.COMMANDS.items())
def test_an_old_command_names_the_new_one(gwlog: Runner, old: str, new: str) -> None:
    answer = gwlog(old, "--last", "3")
    assert answer.code == 2 and not answer.out
    assert answer.err == f"There is no command called “{old}”.\n→ It is called “{new}” now.\n"


@pytest.mark.parametrize(("where", "new"), former_names.OPTIONS.items())
def test_an_old_option_names_the_new_one(home: Runner, tmp_path: Path, where: tuple[str, str], new: str) -> None:
    command, old = where
    answer = home(command, str(tmp_path / "x.zip"), old, "412:9f3a6c0b12d4e877")
    assert answer.code == 2 and not answer.out and not (tmp_path / "x.zip").exists()
    assert answer.err == f"There is no option called “{old}”.\n→ It is called “{new}” now.\n"


def test_an_unknown_command_is_one_sentence_and_the_way_on(gwlog: Runner) -> None:
    answer = gwlog("lod")
    assert answer.code == 2 and answer.err == "There is no command called “lod”.\n→ Did you mean “load”?\n"


def test_a_pack_of_the_first_form_still_verifies(tmp_path: Path) -> None:
    """It was written by gwlog 0.1.0, with `anchors.txt` and `verify_pack.py` in it."""
    with zipfile.ZipFile(FIRST_FORM) as packed:
        assert {"anchors.txt", "verify_pack.py"} <= set(packed.namelist())
    found = pack.verify(FIRST_FORM)
    assert found.holds and found.entries == 5
    assert pack.verify(FIRST_FORM, noted=[f"5:{found.last_hash[:16]}"]).holds
    assert not pack.verify(FIRST_FORM, noted=["5:" + "0" * 16]).holds
    path = tmp_path / "old.db"
    assert exchange.import_into(path, pack.entries_of(FIRST_FORM)) == 5 and seal.verify(path).holds


def test_an_answer_to_a_reminder_counts_under_its_former_kind_too() -> None:
    assert set(FORMER_KINDS.values()) <= set(KINDS) and not set(FORMER_KINDS) & set(KINDS)
    state = State()
    state.answers["rain or frost hold|rain|2026-07-14"] = ReminderAnswer(
        happened_at=NOW, zone="America/Los_Angeles", key="rain or frost hold|rain|2026-07-14", answer="seen")
    assert said(state, "garden shut for weather|rain|2026-07-14", NOW) == "seen"
    assert said(state, "garden shut for weather|rain|2026-07-15", NOW) is None


def test_settings_with_a_former_kind_are_read(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[[tell]]\nkinds = ["rain or frost hold"]\n', encoding="utf-8")
    assert read_settings((), tmp_path / "settings.toml").tell[0].kinds == ("garden shut for weather",)


def test_what_marks_a_basins_standing_marks_nothing_else() -> None:
    signs = set(STANDING_SHAPE.values())
    places = {name for name, text in texts() if signs & set(text)}
    # the command line writes each of them plainly where a console has none of them
    assert places == {"views/basins.py", "tui/dialogs/help.py", "cli/output.py"}
