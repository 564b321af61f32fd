"""Loads to come from the Plan place: expected, a day left out, expected no longer; and the rule in plain words."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from gwlog.app import planned_loads
from gwlog.app.forms.model import judge
from gwlog.app.forms.planned_loads import EXPECT
from gwlog.errors import BadInput
from gwlog.household import look
from gwlog.journal.facts import PlannedLoad, Site
from gwlog.journal.reader import read
from gwlog.journal.writer import append
from gwlog.tui import key_hints
from gwlog.tui.app import GwlogApp
from gwlog.tui.dialogs.form import FormDialog
from gwlog.tui.screens.plan import PlanScreen
from gwlog.tui.widgets.choice import Choice
from gwlog.tui.widgets.entry_line import EntryLine
from tests.tui.conftest import NOW, Clock, filled_in, household, press, season, seen, settle, words
from tests.tui.test_nasty_text import NASTY, clean


async def fill(app: GwlogApp, pilot: Pilot[None], field: str, words: str) -> None:
    """Give a field its words at once."""
    app.screen.query_one(f"#f-{field}", EntryLine).value = words
    await settle(app, pilot)


async def choose(app: GwlogApp, pilot: Pilot[None], field: str, value: str) -> None:
    """Choose a value among those that are offered."""
    choice = app.screen.query_one(f"#f-{field}", Choice)
    choice.choose([option.value for option in choice.options].index(value))
    await settle(app, pilot)


def planned(path: Path) -> list[PlannedLoad]:
    """The planned loads that were logged, each wording."""
    return [fact for fact in read(path) if isinstance(fact, PlannedLoad)]


async def test_a_load_is_expected_then_a_day_left_out_then_no_longer(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        assert "No load is planned" in str(screens.screen.query_one("#turns").content)  # type: ignore[attr-defined]
        await press(screens, pilot, "a")
        await choose(screens, pilot, "load", "whites")
        assert "When will it run?" in seen(screens)
        await fill(screens, pilot, "on", "sat 9am")
        await choose(screens, pilot, "repeats", "weekly")
        assert "whites: every week, next Sat, Jun 20, 9:00 am; Sat, Jun 27, 9:00 am;" in seen(screens)
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, PlanScreen)
        page = seen(screens)
        assert "Logged 15: whites: every week" in page and "▼ sewer: whites" in page
        await press(screens, pilot, "escape", "k")
        assert "■ whites: next Sat, Jun 20, 9:00 am (every week)" in seen(screens)
        assert "Which day is skipped?" in seen(screens)
        await press(screens, pilot, "tab", "space")
        assert "whites skips Sat, Jun 20, 2026. Then next Sat, Jun 27, 9:00 am;" in seen(screens)
        await fill(screens, pilot, "other", "2026-07-04, tomorrow")
        assert "whites is not expected on Wed, Jun 17, 2026." in seen(screens)
        await press(screens, pilot, "enter")
        assert "It is expected next on Jun 20, Jun 27 or" in " ".join(seen(screens).split())
        await fill(screens, pilot, "other", "2026-07-04")
        await press(screens, pilot, "enter")
        assert "Logged 16: whites skips Jun 20 and Jul 4." in " ".join(seen(screens).split())
        await press(screens, pilot, "escape", "x")
        assert "■ whites: next Sat, Jun 27, 9:00 am (every week)" in seen(screens)
        await press(screens, pilot, "enter")
        assert "Logged 17: whites is no longer planned." in seen(screens)
        await press(screens, pilot, "k")
        assert "No load is planned, so there is nothing to change." in seen(screens)
    first, second, third = planned(screens.path)
    assert (first.load, first.starts, first.every, first.active) == ("whites", "2026-06-20T09:00", "FREQ=WEEKLY", True)
    assert second.skips == ("2026-06-20", "2026-07-04") and second.active
    assert third.skips == second.skips and not third.active


async def test_what_was_dropped_can_be_taken_back(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3", "a")
        await fill(screens, pilot, "on", "tomorrow 18:00")
        await press(screens, pilot, "enter", "x", "enter", "b")
        assert screens.home is not None
        assert list(planned_loads.planned(screens.home)) == ["towels"]
        assert "next Wed, Jun 17" not in seen(screens)
        await press(screens, pilot, "k")
        assert "■ towels: next Wed, Jun 17, 6:00 pm (once)" in seen(screens)


@pytest.mark.parametrize(("when", "rule", "repeats", "told"), [
    ("", "", "", "When will it run?"),
    ("yesterday 9am", "", "", "A load that ran is logged with: l (load), then e"),
    ("someday", "", "", "Cannot read the time “someday”."),
    ("sat 9am", "mon", "weekly", "Choose “as typed below”, or empty the rule."),
    ("sat 9am", "", "rule", "How often does it come?"),
    ("sat 9am", "every so often", "rule", "“every so often” is not a recurrence rule"),
    ("sat 9am", "FREQ=WEEKLY;BYDAY=XX", "rule", "BYDAY “XX”"),
    ("sat 9am", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "rule", "it never comes to a day after 2026-06-20"),
])
def test_wrong_words_are_refused_with_keys_and_fields(described: Path, when: str, rule: str, repeats: str,
                                                      told: str) -> None:
    home = look(described, NOW)
    values = filled_in(EXPECT, home, on=when, rule=rule, repeats=repeats)
    judgement = judge(EXPECT, home, values)
    assert judgement.refusal is not None and judgement.entries == ()
    words = key_hints.refused(judgement.refusal)
    assert told in words and "gwlog " not in words and "--" not in words
    with pytest.raises(BadInput):
        EXPECT.build(home, values)


async def test_a_wrong_rule_stays_in_the_form_and_nothing_is_logged(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3", "a")
        await fill(screens, pilot, "on", "sat 9am")
        await fill(screens, pilot, "rule", "mon")
        await choose(screens, pilot, "repeats", "weekly")
        assert "Choose “as typed below”, or empty the rule." in words(screens)
        await press(screens, pilot, "enter")
        assert isinstance(screens.screen, FormDialog)
    assert planned(screens.path) == []


async def test_weekdays_are_enough_for_a_rule(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "p", "3", "a")
        await fill(screens, pilot, "on", "today 18:00")
        await fill(screens, pilot, "rule", "thu and mon")
        await choose(screens, pilot, "repeats", "rule")
        assert "towels: every Mon and Thu, next Thu, Jun 18, 6:00 pm;" in seen(screens)
        await press(screens, pilot, "enter")
    (load,) = planned(screens.path)
    assert (load.every, load.recorded_by) == ("FREQ=WEEKLY;BYDAY=MO,TH", "Ines")


async def test_the_plan_below_changes_once_it_is_logged_in_a_metric_household(tmp_path: Path, blank: Path,
                                                                              clock: Clock) -> None:
    path = tmp_path / "metric.db"
    path.write_bytes(blank.read_bytes())
    site, *rest = household()
    assert isinstance(site, Site)
    append(path, [replace(site, units="metric"), *rest, *season()], now=NOW)
    screens = GwlogApp(path, clock, poll=False)
    async with screens.run_test(size=(140, 50)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        before = seen(screens)
        await press(screens, pilot, "a")
        await choose(screens, pilot, "load", "diapers")
        await fill(screens, pilot, "on", "fri 8:00")
        await press(screens, pilot, "enter")
        page = seen(screens)
        assert "diapers" in page and "diapers" not in before
        assert "▼ Fri 19 Jun: diapers, 68 L" in page
        await press(screens, pilot, "escape", "g")
        screens.screen.query_one("#days", EntryLine).value = "30"
        await press(screens, pilot, "enter")
        assert "What if for 30 days, nothing logged: to the sewer" in seen(screens) and " L" in seen(screens)


async def test_nasty_words_in_every_field_stay_words(screens: GwlogApp) -> None:
    async with screens.run_test(size=(80, 24)) as pilot:
        await settle(screens, pilot)
        await press(screens, pilot, "3")
        for key in "akxg":
            await press(screens, pilot, key)
            fields = list(screens.screen.query(EntryLine))
            for words in NASTY:
                for field in fields:
                    field.value = ""
                    field.post_message(events.Paste(words))
                await pilot.pause()
                assert clean(seen(screens)), (key, words)
            await press(screens, pilot, "enter", "escape")
            assert not screens.screen.is_modal
        await press(screens, pilot, "4", "g")
        for words in NASTY:
            screens.screen.query_one("#day", EntryLine).value = words
            await press(screens, pilot, "enter")
            assert clean(seen(screens))
    assert planned(screens.path) == []


@pytest.mark.parametrize(("every", "words"), [
    (None, "once"), ("FREQ=DAILY", "every day"), ("FREQ=WEEKLY;INTERVAL=2", "every 2 weeks"),
    ("FREQ=WEEKLY;BYDAY=MO,TH", "every Mon and Thu"), ("FREQ=WEEKLY;INTERVAL=2;BYDAY=SU", "every 2 weeks on Sun"),
    ("FREQ=MONTHLY", "every month"), ("FREQ=MONTHLY;BYDAY=1SA", "FREQ=MONTHLY;BYDAY=1SA"),
    ("FREQ=WEEKLY;COUNT=3", "FREQ=WEEKLY;COUNT=3"),
])
def test_a_rule_is_said_in_words_only_where_they_say_all_of_it(every: str | None, words: str) -> None:
    assert planned_loads.rule_words(every) == words


def test_the_next_dates_leave_out_what_is_skipped_and_give_up_on_a_rule_too_dense(logbook: Path) -> None:
    home = look(logbook, NOW)
    plan = planned_loads.plan_load(home, "towels", "2026-12-01 9:00", "mon, thu")
    assert [str(wall) for wall in planned_loads.coming(home, plan, 3)] == [
        "2026-12-03 09:00:00", "2026-12-07 09:00:00", "2026-12-10 09:00:00"]
    append(logbook, [plan], now=NOW)
    home = look(logbook, NOW + timedelta(hours=1))
    changed = planned_loads.change(home, "towels", skip=["2026-12-07"])
    assert [wall.day for wall in planned_loads.coming(home, changed.draft, 2)] == [3, 10]
    with pytest.raises(BadInput, match="FREQ “SECONDLY”; accepted: one of YEARLY, MONTHLY, WEEKLY, DAILY"):
        planned_loads.plan_load(home, "whites", "today 18:00", "FREQ=SECONDLY")
    assert planned_loads.coming(home, replace(plan, every="FREQ=SECONDLY"), 3) == []
    with pytest.raises(BadInput, match="not a recurrence rule"):
        planned_loads.read_rule("now and then")
