"""Entries that reach back, corrections and withdrawals: what the commands say follows from them, and the way out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from tests.conftest import NOW, SITE, Runner

TWO_HOSES = SITE + """
[[outlet]]
name = "Short hose"
reaches = ["Fig", "Carrots"]
at = "Fig"
share = 1.0
"""


def entry_of(said: str) -> str:
    """The number in the last “Logged N:” of what a command said."""
    return [line for line in said.splitlines() if line.startswith("Logged ")][-1].split()[1].rstrip(":")


@pytest.fixture
def two_hoses(home: Runner, tmp_path_factory: pytest.TempPathFactory) -> Runner:
    site = tmp_path_factory.mktemp("site") / "two.toml"
    site.write_text(TWO_HOSES, encoding="utf-8")
    answer = home("setup", "apply", str(site), "--from", "2026-06-01")
    assert answer.code == 0, answer.err
    return home


class TestWhatFollows:
    def test_while_the_garden_is_shut_nobody_is_told_to_turn_the_valve_back_to_it(self, home: Runner) -> None:
        home("observe", "ponding", "Pomegranate")
        home("observe", "ponding", "Fig")
        after = [line for line in home("where", "towels").out.splitlines() if "after:" in line]
        assert after == ["  after: Turn the valve back to garden when this is put right."]

    def test_illness_says_only_to_leave_the_valve_on_sewer(self, home: Runner) -> None:
        home("observe", "illness")
        home("observe", "leak")
        after = [line for line in home("where", "whites").out.splitlines() if "after:" in line]
        assert len(after) == 1
        assert "Leave the valve on sewer" in after[0]
        logged = home("load", "whites", "--to", "sewer").out
        assert "Leave the valve on sewer" in logged
        assert "Turn the valve back" not in logged

    def test_a_load_that_alone_had_to_go_there_is_followed_by_turning_back(self, home: Runner) -> None:
        drained = "after: Turn the valve back to garden at 12:00 pm, when the machine has drained"
        assert f"{drained}." in " ".join(home("where", "whites").out.split())
        said = " ".join(home("load", "whites", "--to", "sewer").out.split())
        assert f"{drained}, and log it: gwlog valve garden" in said

    def test_a_load_is_judged_where_its_water_went(self, two_hoses: Runner) -> None:
        said = two_hoses("load", "towels", "--to", "Carrots").out
        assert "Short hose to Carrots" in said
        assert "careful: Carrots grows root crops" in said

    def test_a_hose_leaves_root_crops_where_there_is_another_place(self, two_hoses: Runner) -> None:
        # CPC chapter 15, clothes washer systems, limits of use: no root crops, no edible parts touching the soil.
        assert two_hoses("move", "Short hose", "Carrots").code == 0
        said = two_hoses("where", "towels")
        assert said.code == 0 and "before: Move Short hose from Carrots to" in said.out, said.out
        assert "Carrots grows root crops, for which graywater is not allowed" in " ".join(said.out.split())
        assert "to Carrots" not in said.out and "Short hose at Carrots" not in said.out


class TestReachingBack:
    def test_a_late_move_names_the_loads_whose_place_it_changes(self, home: Runner) -> None:
        run = entry_of(home("load", "towels", "--at", "yesterday 18:00").out)
        said = home("move", "Fig", "--at", "yesterday 9:00").out
        assert f"So 1 later load ({run}) went to Fig." in said
        assert "went to" not in home("move", "Pomegranate").out

    def test_a_late_load_tells_which_basin_rests_because_of_it(self, home: Runner) -> None:
        said = home("load", "towels", "--volume", "200gal", "--to", "garden", "--at", "1 hour ago").out
        assert "With it Pomegranate has had enough and rests until" in said
        assert "rests" not in home("load", "diapers", "--to", "sewer", "--at", "2 hours ago").out

    def test_a_late_load_to_a_basin_tells_it_too(self, home: Runner) -> None:
        run = entry_of(home("load", "towels", "--at", "yesterday 18:00").out)
        assert f"({run}) went to Fig" in home("load", "towels", "--to", "Fig", "--at", "yesterday 9:00").out

    def test_a_late_move_to_where_the_outlet_lay_already_changes_no_load(self, home: Runner) -> None:
        home("move", "Fig", "--at", "2 days ago")
        home("load", "towels", "--at", "yesterday 18:00")
        said = home("move", "Fig", "--at", "yesterday 9:00").out
        assert "It is there already." in said and "later load" not in said

    def test_a_late_move_tells_only_of_loads_after_it_and_before_the_next_move_of_that_outlet(
            self, two_hoses: Runner) -> None:
        two_hoses("load", "towels", "--at", "yesterday 8:00")
        between = entry_of(two_hoses("load", "towels", "--at", "yesterday 10:00").out)
        two_hoses("move", "Short hose", "Carrots", "--at", "yesterday 11:00")       # the other hose does not end it
        before_back = entry_of(two_hoses("load", "towels", "--at", "yesterday 12:00").out)
        two_hoses("move", "Hose", "Fig", "--at", "yesterday 13:00")
        two_hoses("load", "towels", "--at", "yesterday 14:00")
        said = two_hoses("move", "Hose", "Fig", "--at", "yesterday 9:00").out
        assert f"So 2 later loads ({between} and {before_back}) went to Fig." in said

    def test_many_later_loads_are_told_by_the_first_and_the_last(self, home: Runner) -> None:
        runs = [entry_of(home("load", "towels", "--volume", "5gal", "--at", f"yesterday {hour}:00").out)
                for hour in range(10, 16)]
        said = home("move", "Fig", "--at", "yesterday 9:00").out
        assert f"So 6 later loads ({runs[0]} to {runs[-1]}) went to Fig." in said

    def test_a_late_valve_entry_says_what_no_longer_fits(self, home: Runner) -> None:
        run = entry_of(home("load", "towels", "--at", "yesterday 18:00").out)
        said = home("valve", "sewer", "--at", "yesterday 9:00").out
        assert f"check: Load {run} went to the garden, but the log has the valve on sewer." in said
        assert "→ Log the missing turn of the valve" in said

    def test_a_withdrawn_valve_entry_says_it_as_well_and_only_the_first_few(self, home: Runner) -> None:
        turned = entry_of(home("valve", "sewer", "--at", "yesterday 6:00").out)
        for hour in range(7, 12):
            home("load", "whites", "--at", f"yesterday {hour}:00")
        said = home("withdraw", turned, "--note", "it was not turned").out
        assert "valve to sewer" in said
        assert said.count("but the log has the valve on garden") == 3
        assert "check: 2 more" in said

    def test_turning_what_stands_there_already_is_logged_and_said(self, home: Runner) -> None:
        assert "already" in home("valve", "garden").out
        assert "already" not in home("valve", "sewer").out
        assert "already" in home("move", "Pomegranate").out

    def test_which_of_two_outlets_is_asked_with_the_moment(self, two_hoses: Runner) -> None:
        now = two_hoses("load", "towels", "--to", "Fig", "--at", "2026-06-02 09:00")
        assert now.code == 0, "an outlet lies there already"
        two_hoses("move", "Short hose", "Carrots", "--at", "2026-06-03 9:00")
        asked = two_hoses("load", "towels", "--to", "Fig", "--at", "2026-06-04 09:00")
        assert asked.code == 2
        assert 'gwlog move "' in asked.err
        assert '--at "2026-06-04 09:00"' in asked.err


class TestCorrections:
    def test_a_basin_of_a_load_is_mended_by_moves_and_the_refusal_says_so(self, home: Runner) -> None:
        run = entry_of(home("load", "towels", "--at", "yesterday 18:00").out)
        for words in (("--to", "fig"), ("--basin", "Fig"), ("--outlet", "Hose")):
            refused = home("correct", run, *words)
            assert refused.code == 2
            assert "“Hose” at “Pomegranate”" in refused.err
            assert '--at "2026-07-13 17:59"' in refused.err
        assert home("move", "Fig", "--at", "2026-07-13 17:59").code == 0

    def test_a_basin_of_a_load_to_the_sewer_points_to_the_valve(self, home: Runner) -> None:
        run = entry_of(home("load", "whites", "--to", "sewer").out)
        refused = home("correct", run, "--to", "Fig")
        assert f"gwlog correct {run} --to garden" in refused.err
        assert home("correct", run, "--to", "nowhere").code == 2

    def test_who_it_was_can_be_corrected_alone(self, home: Runner) -> None:
        run = entry_of(home("load", "towels").out)
        assert home("correct", run, "--by", "Ines").code == 0
        assert home("entries", "--last", "1", "--json").json["entries"][0]["recorded_by"] == "Ines"
        assert ", by Ines" in home("entries", "--entry", run).out
        assert home("correct", run, "--by", "Ines").code == 2

    def test_a_correction_made_later_does_not_make_an_entry_late(self, home: Runner,
                                                                 frozen: Callable[[datetime], None]) -> None:
        run = entry_of(home("load", "towels").out)
        frozen(NOW + timedelta(days=5))
        late = entry_of(home("load", "towels", "--at", "3 days ago").out)
        home("correct", run, "--volume", "17gal")
        rows = {str(row["id"]): row for row in home("entries", "--json", "--kind", "wash load").json["entries"]}
        assert rows[run]["fate"].startswith("corrected by")
        assert (rows[run]["late"], rows[late]["late"]) == (False, True)

    def test_a_rain_of_another_day_is_moved_to_that_day(self, home: Runner) -> None:
        number = entry_of(home("rain", "0.4in", "--at", "yesterday").out)
        assert "Sun, Jul 12" in home("correct", number, "--at", "2 days ago").out
        entry = home("entries", "--last", "1", "--json").json["entries"][0]
        assert (entry["day"], entry["happened_at"][:10]) == ("2026-07-12", "2026-07-13")

    def test_a_withdrawal_stays(self, home: Runner) -> None:
        run = entry_of(home("load", "towels").out)
        struck = entry_of(home("withdraw", run, "--note", "typed twice").out)
        refused = home("withdraw", struck, "--note", "it was right")
        assert refused.code == 2
        assert f"If entry {run} was right after all, log it again." in refused.err

    def test_the_first_site_points_to_the_setup(self, home: Runner) -> None:
        assert "gwlog setup apply" in home("withdraw", "1", "--note", "why not").err


class TestNumbersBelowZero:
    @pytest.mark.parametrize("words", [("rain", "-1"), ("rain", "-.5in", "--at", "yesterday"),
                                       ("rain", "--at", "yesterday", "-1cm"), ("resolve", "-3"),
                                       ("correct", "-3", "--to", "sewer"), ("withdraw", "-2", "--note", "x")])
    def test_they_are_refused_for_what_they_are(self, home: Runner, words: tuple[str, ...]) -> None:
        refused = home(*words)
        assert refused.code == 2
        assert "option" not in refused.err
        assert next(word for word in words if word[:1] == "-" and word[1] in ".0123456789") in refused.err
