"""What is said back about an entry of an earlier day, of a load planned twice, and of words that are no time."""

from __future__ import annotations

import pytest

from tests.conftest import Runner


def test_a_late_load_is_told_where_the_outlet_was_when_it_ran(home: Runner) -> None:
    assert home("move", "Hose", "Fig").code == 0
    late = home("load", "towels", "--at", "yesterday 18:30", "--to", "garden")
    assert late.code == 0 and "to Pomegranate." in late.out and "to Fig." not in late.out
    assert "to Fig." in home("load", "towels", "--to", "garden").out


def test_a_load_planned_twice_for_the_same_minute_is_asked_about(home: Runner) -> None:
    assert home("plan-load", "towels", "--on", "sat 9:00", "--every", "weekly").code == 0
    for words in (("--on", "sat 9:00", "--every", "weekly"), ("--on", "sat 9:00"), ("--on", "sun 9:00", "--every",
                                                                                    "daily")):
        again = home("plan-load", "towels", *words)
        assert again.code == 2 and "planned already" in again.err and "Is that the same load?" in again.err, words
    assert home("plan-load", "towels", "--on", "sat 9:10", "--every", "weekly").code == 0
    assert home("plan-load", "diapers", "--on", "sat 9:00").code == 0
    assert home("plan-load", "towels", "--drop").code == 0
    assert home("plan-load", "towels", "--on", "sat 9:00").code == 0


def test_a_site_file_that_plans_a_load_twice_is_asked_about(home: Runner, tmp_path_factory: pytest.TempPathFactory,
                                                           ) -> None:
    site = home("setup", "show").out
    plan = '\n[[planned_load]]\nname = "{}"\nload = "towels"\nstarts = 2026-07-18T09:00:00\nevery = "FREQ=WEEKLY"\n'
    path = tmp_path_factory.mktemp("twice") / "site.toml"
    path.write_text(site + plan.format("towels") + plan.format("more towels"), encoding="utf-8")
    answer = home("setup", "apply", str(path), "--dry-run")
    assert answer.code == 0 and "“towels” is planned twice at the same times" in answer.out + answer.err
