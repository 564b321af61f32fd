"""Words that the commands share, told in keys on the screens; and what a form says once its entry is written."""

from __future__ import annotations

import ast
import re
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.actions import Action, Argument, Hint
from gwlog.app.forms.correction import correction_of
from gwlog.app.forms.entries import FORMS, load_form, withdrawal_of
from gwlog.app.forms.model import FormSpec, judge
from gwlog.app.forms.of_action import form_for
from gwlog.household import Household, look
from gwlog.journal.facts import Mulch, OutletMove, WashLoad
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.key_hints import key, refused, words
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import NOW, ZONE, Clock, filled_in, press, seen, settle
from tests.tui.conftest import words as words_seen

ROOT = Path(__file__).parents[2] / "gwlog"
MODULES = ("app/entries.py", "app/corrections.py", "app/planned_loads.py", "app/reminder_replies.py",
           "decisions/plan_search.py", "decisions/expected.py", "decisions/what_if.py",
           "decisions/upkeep_reminders.py", "views/answers.py", "household.py", "state.py",
           "water/oddities.py", "journal/references.py")


def words_of(node: ast.AST) -> str | None:
    """What a string or an f-string of the source says, with a name or a number for each of its values."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        parts = []
        for part in node.values:
            if isinstance(part, ast.Constant):
                parts.append(str(part.value))
            else:
                source = ast.unparse(part)
                parts.append("7" if re.search(r"\bid\b|number|loads\[0\]", source) else "sewer" if "went_to" in source
                             else "Fig tree")
        return "".join(parts)
    return None


def plain_sentences() -> list[str]:
    """Every sentence in the shared packages that names a command, or an option of one, in plain words."""
    found = []
    for module in MODULES:
        tree = ast.parse((ROOT / module).read_text(encoding="utf-8"))
        docs = {id(node.body[0].value) for node in ast.walk(tree)
                if isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef)) and node.body
                and isinstance(node.body[0], ast.Expr)}
        inside = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in ast.walk(node)
                  if part is not node}
        for node in ast.walk(tree):
            sentence = None if id(node) in docs | inside else words_of(node)
            if sentence and re.search(r"\bgwlog [a-z]|--[a-z]{2,}", sentence):
                found.append(sentence)
    return found


def actions_named() -> set[str]:
    """The kind of every action that a sentence or a constant of the shared packages names."""
    return {node.args[0].value for folder in ("app", "decisions", "water", "journal", "views", "setup", "importers")
            for file in (ROOT / folder).rglob("*.py")
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Action"
            and isinstance(node.args[0], ast.Constant)}


def test_no_plain_sentence_that_screens_can_show_spells_a_command() -> None:
    assert words_of(ast.parse('f"see: gwlog entries {one.id}"').body[0].value) == "see: gwlog entries 7"  # type: ignore[attr-defined]
    assert plain_sentences() == []


@pytest.mark.parametrize("kind", sorted(actions_named()))
def test_every_action_that_a_sentence_names_has_a_key(kind: str) -> None:
    assert "gwlog" not in key(Action(kind))


def test_known_hints_read_as_sentences() -> None:
    setup = Action("setup apply", file="SITE.toml")
    assert words(Hint("Describe one with: ", setup)) == "Describe one with: 7 (Setup)"
    move = Action("move", outlet="Hose", basin="Fig", at="2026-06-01 09:00")
    assert words(Hint("Log its move first, like: ", move)) == \
        "Log its move first, like: m (move): Hose to Fig, when: 2026-06-01 09:00"
    assert words(Hint("Log it: ", Action("move", outlet="OUTLET", basin="BASIN", at="mon 9"))) == \
        "Log it: m (move), when: mon 9"
    assert words(Hint("If the valve stood on sewer: ", Action("correct", number=12, to="sewer"))) == \
        "If the valve stood on sewer: x in the Log (4)"
    assert words(Hint("Or drop it: ", Action("plan-load", load="towels", drop=""))) == "Or drop it: x in Plan (3)"
    assert words("Describe one: a [[basin]] in the site file.") == "Describe one: a [[basin]] in the setup (7)."
    assert words(Hint("Nothing was logged. See the numbers with: ", Action("entries"))) == \
        "Nothing was logged. See the numbers with: 4 (Log)"
    assert words(Hint("See more: ", Action("entries", odd=""))) == "See more: i in the Log (4)"
    assert words(Hint("For example: ", Argument("until", "sat"), ", or leave ", Argument("at"), " empty")) == \
        "For example: sat, or leave “When” empty"
    assert words(Hint("Choose another name, or say ", Argument("replace"), ".")) == "Choose another name."
    assert words("Did you mean “Fig”?") == "Did you mean “Fig”?"


@pytest.mark.parametrize(("action", "form", "preset"), [
    (Action("move", outlet="Hose", basin="Fig"), "move", {"outlet": "Hose", "basin": "Fig"}),
    (Action("mulch", basin="Fig", measured=""), "mulch", {"basin": "Fig", "action": "measured"}),
    (Action("observe", kind="ponding", basin="BASIN"), "observe", {"kind": "ponding"}),
    (Action("water", basin="Fig", amount="AMOUNT"), "water", {"basin": "Fig"}),
    (Action("done", task="wipe the tray"), "done", {"task": "wipe the tray"}),
    (Action("mulch", basin="Fig", added="2in"), "mulch", {"basin": "Fig"}),
    (Action("setup apply", file="SITE.toml"), None, {}), (None, None, {}),
])
def test_an_action_opens_its_form_filled_in(action: Action | None, form: str | None, preset: dict[str, str]) -> None:
    assert form_for(action) == (None if form is None else (form, preset))


async def fill(app: GwlogApp, field: str, typed: str) -> None:
    """Type into a field or choose in it."""
    found = app.screen.query_one(f"#f-{field}")
    if isinstance(found, Choice):
        found.choose([option.value for option in found.options].index(typed))
    elif isinstance(found, EntryLine):
        found.value = typed


def forms_to_refuse(home: Household) -> list[tuple[FormSpec, dict[str, str], str]]:
    """Forms with what is typed into them, and what each refuses in keys and fields; “” where it refuses nothing."""
    run = home.state.loads[-1].fact
    return [
        (FORMS["valve"], {"at": "in 3 hours"}, "Add a planned load in Plan: 3, then a."),
        (load_form("towels"), {"load": "towels", "at": "2026-06-13 10:00"},
         "give the second one another minute with “When”."),
        (FORMS["observe"], {"kind": "ponding", "basin": ""}, ""),
        (withdrawal_of(home, run.id), {}, "Say why in a few words, like: typed twice."),
        (correction_of(home, run.id), {}, "Change what was wrong."),
        (correction_of(home, run.id), {"load_name": "towels", "volume": "18 gal"}, "Name what was different: “To”"),
    ]


@pytest.mark.parametrize("number", range(6))
def test_refusals_of_forms_name_keys_and_fields(seasoned: Path, number: int) -> None:
    home = look(seasoned, NOW)
    spec, typed, told = forms_to_refuse(home)[number]
    judgement = judge(spec, home, filled_in(spec, home, **typed))
    assert (judgement.refusal is None) == (told == "")
    no = "" if judgement.refusal is None else refused(judgement.refusal)
    shown = " ".join([no, *judgement.entries, *judgement.advice])
    assert told in shown and "gwlog " not in shown and " --" not in shown


async def test_a_refusal_stands_in_the_form(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "v")
        await fill(screens, "at", "in 3 hours")
        await settle(screens, pilot)
        assert isinstance(screens.screen, FormDialog)
        assert "✗ Tue, Jun 16, 2026, 1:00 pm is in the future" in words_seen(screens)
        assert "Add a planned load in Plan: 3, then a." in words_seen(screens)
        await press(screens, pilot, "ctrl+n")
        assert "✗" not in seen(screens)
        await press(screens, pilot, "escape", "4", "x")
        assert "Change what was wrong." in seen(screens)


async def test_a_move_that_reaches_back_tells_which_loads_it_sent_elsewhere(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "m")
        await fill(screens, "basin", "Fig")
        await fill(screens, "at", "2026-06-10 8:00")
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "went to Fig. If it was moved back before, log that too." in " ".join(seen(screens).split())
        await press(screens, pilot, "m")
        await fill(screens, "basin", "Fig")
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "Hose to Fig. It is there already." in seen(screens)
        await press(screens, pilot, "v")
        await fill(screens, "to", "garden")
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        assert "valve to garden. It was there already." in seen(screens)


async def test_a_late_entry_tells_what_no_longer_fits(lived_in: Path, clock: Clock) -> None:
    screens = GwlogApp(lived_in, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "v")
        await fill(screens, "to", "sewer")
        await fill(screens, "at", "2026-06-12 8:00")
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
        page = " ".join(seen(screens).split())
        assert "check: " in page and "→ Log the missing turn of the valve" in page and "gwlog" not in page
        await press(screens, pilot, "4", "i")
        assert "Entries that contradict each other" in seen(screens) and "gwlog" not in seen(screens)


async def test_rain_ahead_is_a_forecast_and_rain_anew_replaces_what_was_said(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        for amount in ("0.5in", "0.8in"):
            await press(screens, pilot, "r")
            await fill(screens, "amount", amount)
            await fill(screens, "day", "tomorrow")
            await settle(screens, pilot)
            await press(screens, pilot, "enter")
        assert "It replaces 0.50 in logged for that day before." in " ".join(seen(screens).split())
    assert read(screens.path)[-1].day == (NOW + timedelta(days=1)).date()  # type: ignore[attr-defined]


async def test_each_part_of_an_entry_can_be_corrected_from_what_there_is(logbook: Path, clock: Clock) -> None:
    at = NOW - timedelta(days=1)
    append(logbook, [
        OutletMove(happened_at=at, zone=ZONE, outlet="Hose", basin="Fig", recorded_by="Tom", note="by the path"),
        Mulch(happened_at=at + timedelta(hours=1), zone=ZONE, basin="Fig", action="added", depth_mm=51),
        WashLoad(happened_at=at + timedelta(hours=2), zone=ZONE, usual_load="whites", washer="front loader",
                 volume_ml=68_137, products=("plain liquid", "oxygen booster"), went_to="garden")], now=NOW)
    screens = GwlogApp(logbook, clock, poll=False)
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "p", "4", "x")
        page = seen(screens)
        assert all(part in page for part in ("■ now: garden   □ sewer", "now: 18 gal", "■ now: whites",
                                               "now: plain liquid, oxygen booster; several with"))
        for field, value in (("to", "sewer"), ("volume", "15gal"), ("product", "none"), ("contents", "dye")):
            await fill(screens, field, value)
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "down", "x")
        assert "now: 2.0 in" in seen(screens) or "now: 2 in" in seen(screens)
        await fill(screens, "basin", "Plum")
        await fill(screens, "depth", "3in")
        await settle(screens, pilot)
        await press(screens, pilot, "enter", "down", "x")
        assert "■ now: Tom" in seen(screens) and "now: by the path; - alone removes it" in seen(screens)
        await fill(screens, "basin", "Lemon")
        await fill(screens, "note", "-")
        await settle(screens, pilot)
        await press(screens, pilot, "enter")
    run, mulch, move = read(logbook)[-3:]
    assert (run.went_to, run.products, run.contents) == ("sewer", (), ("dye",))  # type: ignore[attr-defined]
    assert run.volume_ml == 56_781  # type: ignore[attr-defined]
    assert (mulch.basin, mulch.depth_mm) == ("Plum", 76)  # type: ignore[attr-defined]
    assert (move.basin, move.note, move.recorded_by) == ("Lemon", None, "Tom")  # type: ignore[attr-defined]
