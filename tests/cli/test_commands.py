"""The commands as people type them, on a real logbook file: what they say, what they log, how they refuse."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gwlog.journal import reader
from tests.conftest import NOW, SITE, Runner


def entries(tmp_path: Path) -> int:
    return len(reader.read(tmp_path / "logbook.db"))


class TestWhereAndLoad:
    def test_a_plain_load_goes_to_the_garden_where_the_hose_lies(self, home: Runner) -> None:
        answer = home("where", "towels", "--json")
        told = answer.json
        assert answer.code == 0
        assert (told["schema"], told["verdict"], told["strength"]) == (1, "garden", None)
        assert (told["basin"], told["outlet"], told["move_first"]) == ("Pomegranate", "Hose", False)
        assert (told["turn_valve"], told["turn_back"]) == (None, False)
        assert told["volume_l"] == pytest.approx(18 * 3.785411784, abs=0.001)

    def test_a_bleach_load_must_go_to_the_sewer_and_the_valve_back_after(self, home: Runner) -> None:
        answer = home("where", "whites", "--json")
        told = answer.json
        assert answer.code == 3
        assert (told["verdict"], told["strength"], told["basin"]) == ("sewer", "must", None)
        assert (told["turn_valve"], told["turn_back"]) == ("sewer", True)
        assert all(reason["source"] and reason["text"] for reason in told["reasons"])

    def test_where_logs_nothing(self, home: Runner, tmp_path: Path) -> None:
        before = entries(tmp_path)
        home("where", "towels")
        assert entries(tmp_path) == before

    def test_a_load_against_a_must_is_kept_marked_and_followed_up(self, home: Runner) -> None:
        assert "exception" in home("load", "diapers", "--note", "in a hurry").out
        row = home("entries", "--json", "--kind", "wash load").json["entries"][0]
        assert row["exception"] is True
        follow = [r for r in home("today", "--json").json["reminders"] if r["kind"] == "follow up"]
        assert len(follow) == 1
        assert home("resolve", str(row["id"]), "--note", "rinsed the basin, kept people away").code == 0
        assert not [r for r in home("today", "--json").json["reminders"] if r["kind"] == "follow up"]

    def test_to_sewer_logs_the_turned_valve_along_with_the_load(self, home: Runner) -> None:
        answer = home("load", "whites", "--to", "sewer")
        assert "valve to sewer" in answer.out
        assert home("today", "--json").json["valve"] == "sewer"

    def test_to_a_basin_logs_the_moved_outlet_along_with_the_load(self, home: Runner) -> None:
        home("load", "towels", "--to", "fig")
        assert home("today", "--json").json["outlets"][0]["basin"] == "Fig"

    def test_the_litres_reach_the_basin(self, home: Runner) -> None:
        before = {b["name"]: b for b in home("basins", "--json").json["basins"]}
        home("load", "towels")
        after = {b["name"]: b for b in home("basins", "--json").json["basins"]}
        litres = 18 * 3.785411784
        assert after["Pomegranate"]["used_today_l"] == pytest.approx(litres, abs=0.01)
        assert before["Pomegranate"]["deficit_l"] - after["Pomegranate"]["deficit_l"] == pytest.approx(litres, abs=0.01)
        assert after["Fig"] == before["Fig"]


class TestUnderstanding:
    @pytest.mark.parametrize(("typed", "litres"), [("20gal", 75.708), ("75 L", 75.0), ("20", 75.708), ("7.5e1l", 75.0)])
    def test_a_quantity_with_a_unit_is_always_understood(self, home: Runner, typed: str, litres: float) -> None:
        assert home("where", "towels", "--volume", typed, "--json").json["volume_l"] == pytest.approx(litres, abs=0.01)

    def test_a_typed_moment_is_echoed_as_understood(self, home: Runner) -> None:
        answer = home("load", "towels", "--at", "yesterday 18:30")
        assert answer.code == 0
        assert "Mon, Jul 13, 2026, 6:30 pm" in answer.err
        assert home("entries", "--json", "--last", "1").json["entries"][0]["happened_at"] == "2026-07-14T01:30:00Z"

    def test_at_asks_about_another_moment(self, home: Runner) -> None:
        home("valve", "sewer")
        assert home("today", "--json", "--at", "yesterday 9:00").json["valve"] == "garden"

    def test_names_are_found_by_a_beginning_and_in_any_case(self, home: Runner) -> None:
        whole = home("where", "towels", "--json")
        assert home("where", "TOW", "--json").json == whole.json
        said = home("move", "hose", "fi")
        assert said.code == 0 and "Hose" in said.out and "Fig" in said.out
        assert home("today", "--json").json["outlets"] == [{"name": "Hose", "basin": "Fig",
                                                            "since": "2026-07-14T18:00:00Z"}]


REFUSED = [
    (("where", "towls"), "towels"),
    (("wehre", "towels"), "where"),
    (("load", "towels", "--volume", "5000gal"), "5000gal"),
    (("load", "towels", "--volume", "-3"), "-3"),
    (("load", "towels", "--volume", "0"), "0"),
    (("load", "towels", "--volume", "nan"), "nan"),
    (("load", "towels", "--volume", "inf"), "inf"),
    (("load", "towels", "--volume", "3 buckets"), "buckets"),
    (("load", "towels", "--volume", "1e400"), "1e400"),
    (("load", "towels", "--at", "tomorrow 9am"), "future"),
    (("load", "towels", "--at", "2025-01-01"), "before this logbook begins"),
    (("load", "towels", "--at", "the day of the cat"), "the day of the cat"),
    (("load", "towels", "--by", "Nobody"), "Nobody"),
    (("load", "towels", "--note", "x" * 100_000), "100,000"),
    (("load", "towels", "--product", "glitter"), "glitter"),
    (("load", "towels", "--contents", "gold"), "gold"),
    (("load", "towels", "--to", "moon"), "moon"),
    (("load",), "LOAD"),
    (("load", "towels", "--colour", "red"), "--colour"),
    (("valve", "up"), "up"),
    (("move", "Hose", "Carrots"), "does not reach"),
    (("move", "Hoze", "Fig"), "Hose"),
    (("mulch", "Fig"), "added"),
    (("mulch", "Fig", "--added", "0"), "0"),
    (("mulch", "Fig", "--added", "2in", "--measured", "3in"), "either"),
    (("mulch", "Fig", "--added", "9 feet"), "9 feet"),
    (("mulch", "Fog", "--added", "2in"), "Fig"),
    (("rain", "-1"), "-1"),
    (("rain", "99999in"), "99999in"),
    (("rain", "1in", "--at", "2027-12-01"), "16 days"),
    (("water", "Fog", "3gal"), "Fig"),
    (("water", "Fig"), "minutes and the flow"),
    (("water", "Fig", "0"), "“0”"),
    (("water", "Fig", "-3"), "“-3”"),
    (("water", "Fig", "1e9 gal"), "5,283 gal"),
    (("water", "Fig", "3gal", "--minutes", "20"), "not both"),
    (("water", "Fig", "--minutes", "20"), "flow"),
    (("water", "Fig", "--minutes", "soon", "--flow", "2 gal/min"), "soon"),
    (("water", "Fig", "3gal", "--way", "rain"), "rain"),
    (("water", "Fig", "3gal", "--at", "tomorrow 9am"), "future"),
    (("observe", "dragons"), "dragons"),
    (("resolve", "9999"), "9999"),
    (("resolve", "1"), "site"),
    (("resolve", "one"), "one"),
    (("done", "dusting"), "dusting"),
    (("correct", "9999", "--at", "today"), "9999"),
    (("withdraw", "5"), "reason"),
    (("entries", "--kind", "poem"), "poem"),
    (("weather", "import", "/nowhere/rain.csv"), "/nowhere/rain.csv"),
    (("setup", "apply", "/nowhere/site.toml"), "/nowhere/site.toml"),
    (("plan-load", "towels", "--on", "saturday 9:00", "--every", "FREQ=SOMETIMES"), "FREQ=SOMETIMES"),
    (("plan-load", "towels"), "--on"),
    (("today", "--at", "12:99"), "12:99"),
    (("today", "--at", "0001-01-01T00:00"), "0001"),
    (("reference", "planets"), "planets"),
]


@pytest.mark.parametrize(("words", "named"), REFUSED, ids=[" ".join(words)[:50] for words, _ in REFUSED])
def test_bad_input_is_named_and_nothing_is_lost(home: Runner, tmp_path: Path, words: tuple[str, ...],
                                                named: str) -> None:
    before = entries(tmp_path)
    answer = home(*words)
    assert answer.code == 2
    assert named in answer.err
    assert answer.out == ""
    assert entries(tmp_path) == before


class TestOtherEntries:
    def test_mulch_rain_observation_and_its_end(self, home: Runner) -> None:
        assert "2.0 in of mulch added" in home("mulch", "Fig", "--added", "2in").out
        assert "0.50 in of rain" in home("rain", "0.5in", "--at", "yesterday").out
        seen = home("observe", "ponding")
        assert "ponding at Pomegranate" in seen.out
        told = home("where", "towels", "--json").json
        assert (told["basin"], told["move_first"]) == ("Fig", True)
        number = seen.out.split()[1].rstrip(":")
        assert home("resolve", number).code == 0
        assert home("resolve", number).code == 2

    def test_upkeep_done_moves_its_due_date(self, home: Runner) -> None:
        first = home("upkeep", "--json").json["upkeep"][0]
        home("done", first["name"])
        again = next(i for i in home("upkeep", "--json").json["upkeep"] if i["name"] == first["name"])
        assert again["last_done"] == "2026-07-14"
        assert again["due"] > first["due"]

    def test_two_loads_at_one_instant_are_two_but_the_same_twice_is_refused(self, home: Runner) -> None:
        assert home("load", "towels", "--at", "2026-07-13T09:00").code == 0
        assert home("load", "diapers", "--to", "sewer", "--at", "2026-07-13T09:00").code == 0
        again = home("load", "towels", "--at", "2026-07-13T09:00", "--to", "garden")
        assert again.code == 2 and again.err and not again.out
        rows = home("entries", "--json", "--last", "4").json["entries"]
        kinds = [(row["kind"], row.get("usual_load")) for row in rows]
        assert [load for kind, load in kinds if kind == "wash_load"] == ["towels", "diapers"]

    def test_planned_loads_are_added_skipped_and_dropped(self, home: Runner) -> None:
        def planned() -> list[tuple[object, ...]]:
            rows = home("entries", "--json", "--kind", "planned load").json["entries"]
            return [(row["load"], row["starts"], row["every"], row["skips"], row["active"]) for row in rows]

        assert home("plan-load", "towels", "--on", "sat 9am", "--every", "weekly").code == 0
        made = ("towels", "2026-07-18T09:00", "FREQ=WEEKLY")
        assert planned()[-1:] == [(*made, [], True)]
        assert home("plan-load", "towels", "--skip", "2026-07-25").code == 0
        assert planned()[-1:] == [(*made, ["2026-07-25"], True)]
        assert home("plan-load", "towels", "--drop").code == 0
        assert planned()[-1:] == [(*made, ["2026-07-25"], False)]
        before = planned()
        again = home("plan-load", "towels", "--drop")
        assert again.code == 2 and "towels" in again.err and planned() == before


class TestMending:
    def test_a_correction_counts_and_the_first_wording_stays(self, home: Runner) -> None:
        home("load", "towels", "--at", "2026-07-13T09:00")
        number = str(home("entries", "--json", "--last", "1").json["entries"][0]["id"])
        assert home("correct", number, "--volume", "10gal", "--note", "half load").code == 0
        wordings = home("entries", "--entry", number, "--json").json["entries"]
        assert [w["volume_ml"] for w in wordings] == [68137, 37854]
        assert home("entries", "--json", "--kind", "wash load").json["entries"][0]["volume_ml"] == 37854

    def test_a_correction_of_a_correction_and_its_withdrawal(self, home: Runner) -> None:
        home("load", "towels")
        number = str(home("entries", "--json", "--last", "1").json["entries"][0]["id"])
        home("correct", number, "--volume", "10gal")
        assert home("correct", number, "--volume", "12gal").code == 0
        assert home("withdraw", number, "--note", "it was the neighbour's").code == 0
        assert home("entries", "--json", "--kind", "wash load").json["entries"] == []
        assert len(home("entries", "--json", "--all", "--kind", "wash load").json["entries"]) == 3
        assert home("correct", number, "--volume", "9gal").code == 2

    @pytest.mark.parametrize(("log", "mend", "changed"), [
        (("move", "Hose", "Fig"), ("--note", "with Ines"), {"note": "with Ines", "basin": "Fig"}),
        (("valve", "sewer"), ("--to", "garden"), {"position": "garden"}),
        (("mulch", "Fig", "--added", "2in"), ("--depth", "3in"), {"depth_mm": 76, "action": "added"}),
        (("rain", "1in"), ("--rain", "2in"), {"rain_um": 50_800}),
        (("observe", "odour", "Fig"), ("--kind", "leak"), {"observed": "leak", "basin": "Fig"}),
        (("load", "towels"), ("--load", "whites"), {"usual_load": "whites"}),
        (("load", "towels"), ("--at", "yesterday 8:00"), {"happened_at": "2026-07-13T15:00:00Z"}),
    ])
    def test_each_kind_can_be_corrected(self, home: Runner, log: tuple[str, ...], mend: tuple[str, ...],
                                        changed: dict[str, object]) -> None:
        assert home(*log).code == 0
        first = home("entries", "--json", "--all").json["entries"][-1]
        number = str(first["id"])
        assert home("correct", number, *mend).code == 0, number
        *_, before, after = home("entries", "--json", "--entry", number).json["entries"]
        assert {name: after[name] for name in changed} == changed
        assert any(before[name] != after[name] for name in changed)
        assert after["corrects_id"] == first["id"] and before["id"] == first["id"]
        assert home("verify").code == 0

    def test_a_correction_that_changes_nothing_is_refused(self, home: Runner, tmp_path: Path) -> None:
        home("load", "towels")
        number = str(home("entries", "--json", "--last", "1").json["entries"][0]["id"])
        before = entries(tmp_path)
        for words, named in (((), "already says"), (("--depth", "2in"), "--depth")):
            refused = home("correct", number, *words)
            assert refused.code == 2 and refused.out == "" and named in refused.err.casefold(), refused.err
        assert entries(tmp_path) == before


class TestSetup:
    def test_the_shown_setup_applies_to_no_change(self, home: Runner, tmp_path: Path) -> None:
        (tmp_path / "shown.toml").write_text(home("setup", "show").out, encoding="utf-8")
        before = entries(tmp_path)
        assert "Nothing changed." in home("setup", "apply", str(tmp_path / "shown.toml")).out
        assert entries(tmp_path) == before

    def test_a_change_is_appended_and_the_past_stays(self, home: Runner, tmp_path: Path,
                                                     frozen: Callable[[datetime], None]) -> None:
        frozen(NOW + timedelta(days=1))
        changed = SITE.replace("area_ft2 = 25", "area_ft2 = 40")
        (tmp_path / "new.toml").write_text(changed, encoding="utf-8")
        before = entries(tmp_path)
        assert home("setup", "apply", str(tmp_path / "new.toml"), "--dry-run").code == 0
        assert entries(tmp_path) == before
        assert home("setup", "apply", str(tmp_path / "new.toml")).code == 0
        assert entries(tmp_path) == before + 1
        now = {b["name"]: b for b in home("basins", "--json").json["basins"]}
        then = {b["name"]: b for b in home("basins", "--json", "--at", "2026-07-10").json["basins"]}
        assert now["Fig"]["allowance_l_per_day"] == pytest.approx(1.6 * then["Fig"]["allowance_l_per_day"], rel=1e-4)

    def test_every_fault_is_told_with_its_line_and_nothing_is_made(self, gwlog: Runner, tmp_path: Path) -> None:
        faulty = SITE.replace("occupants = 3", "occupants = -3").replace('soil = "sandy loam"', 'soil = "sandy lome"')
        (tmp_path / "site.toml").write_text(faulty, encoding="utf-8")
        answer = gwlog("begin", str(tmp_path / "site.toml"))
        assert answer.code == 2
        assert "occupants" in answer.err and "sandy loam" in answer.err and answer.err.count("line ") >= 2
        assert not (tmp_path / "logbook.db").exists()

    def test_init_never_touches_a_logbook_that_is_there(self, home: Runner, tmp_path: Path) -> None:
        before = (tmp_path / "logbook.db").read_bytes()
        assert home("begin", str(tmp_path / "site.toml")).code == 2
        assert (tmp_path / "logbook.db").read_bytes() == before

    def test_without_a_logbook_the_way_to_one_is_told(self, gwlog: Runner) -> None:
        answer = gwlog("today")
        assert answer.code == 2
        assert "gwlog begin" in answer.err

    def test_the_example_site_file_makes_a_logbook(self, gwlog: Runner, tmp_path: Path) -> None:
        (tmp_path / "site.toml").write_text(gwlog("begin", "--example").out, encoding="utf-8")
        assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
        (tmp_path / "shown.toml").write_text(gwlog("setup", "show").out, encoding="utf-8")
        assert "Nothing changed." in gwlog("setup", "apply", str(tmp_path / "shown.toml")).out
        today = gwlog("today", "--json").json
        assert today["outlets"] and [row["name"] for row in gwlog("basins", "--json").json["basins"]]
        assert today["valve"] is None  # nobody has said


class TestKeeping:
    def test_verify_holds_and_names_its_limits(self, home: Runner) -> None:
        home("load", "towels")
        answer = home("verify")
        assert answer.code == 0
        assert "never proves" in answer.out
        head = home("verify", "--json").json["seal_number"]
        assert home("verify", "--noted", head).code == 0

    def test_paths_and_reference(self, home: Runner, tmp_path: Path) -> None:
        assert home("paths", "--json").json["logbook"] == str(tmp_path / "logbook.db")
        rows = home("reference", "soils", "--json").json["rows"]
        assert len({row["name"] for row in rows}) == 6
        assert all(row["source"] and row["sure"] for row in rows)

    @pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
    def test_completion_scripts_name_the_command(self, gwlog: Runner, shell: str) -> None:
        assert "_GWLOG_COMPLETE" in gwlog("completion", shell).out


NASTY = [
    "a [/] b", "[@click=app.quit]x[/]", "\x1b]0;title\x07", "\u202egnp.exe", "é\u0301\u0301", "👩‍👧 נקי", "\ud800",
    "\0",
    "'; DROP TABLE wash_load; --", "=cmd()", "%s %n", "\r\n\r\n",
]


@pytest.mark.parametrize("note", NASTY)
def test_nasty_notes_are_kept_as_text_without_control_signs(home: Runner, note: str) -> None:
    answer = home("load", "towels", "--note", note)
    assert answer.code == 0
    shown = home("entries", "--last", "1")
    assert shown.code == 0
    assert not set(shown.out) & set("\x1b\x07\u202e\0\ud800")
    assert home("verify").code == 0


WORDS = st.text(max_size=30)


@pytest.mark.long
@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from([
    lambda a, b: ("where", a, "--volume", b), lambda a, b: ("load", "towels", "--at", a, "--note", b),
    lambda a, b: ("load", "towels", "--to", a, "--by", b), lambda a, b: ("mulch", a, "--added", b),
    lambda a, b: ("rain", a, "--at", b), lambda a, b: ("water", "Fig", a, "--way", b),
    lambda a, b: ("water", a, "--minutes", b, "--flow", a),
    lambda a, b: ("observe", a, b), lambda a, b: ("resolve", a, "--at", b),
    lambda a, b: ("correct", a, "--volume", b), lambda a, b: ("move", a, b), lambda a, b: ("done", a, "--note", b),
    lambda a, b: ("plan-load", "towels", "--on", a, "--every", b), lambda a, b: ("today", "--at", a),
    lambda a, b: ("entries", "--since", a, "--kind", b), lambda a, b: (a, b), lambda a, b: ("verify", "--noted", a),
]), WORDS, WORDS)
def test_no_words_make_a_traceback(home: Runner, make: Callable[[str, str], tuple[str, ...]], a: str, b: str) -> None:
    answer = home(*make(a, b))
    assert answer.code in (0, 2, 3), answer.err
    assert "bug in gwlog" not in answer.err


def test_every_command_has_help_and_stands_in_the_readme(gwlog: Runner) -> None:
    from gwlog.cli.main import COMMANDS

    readme = Path(__file__).parents[2].joinpath("README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        answer = gwlog(command, "--help")
        assert answer.code == 0
        assert len(answer.out.splitlines()[2].strip()) > 20, command
        assert f"gwlog {command}" in readme, command
