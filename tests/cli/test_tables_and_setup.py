"""Tables, the setup and planned loads from the command line: what they say, and to other programs."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from gwlog.household import Household
from gwlog.journal.reader import read
from gwlog.views.basins import facts, planted_ago
from tests.conftest import NOW, SITE, Runner

TINY = SITE + """
[[outlet]]
name = "Short hose"
reaches = ["Fig", "Carrots"]
at = "Fig"

[[basin]]
name = "Thyme"
area_ft2 = 6
mulch_in = 4
soil = "sandy loam"
plants = "thyme"

[[upkeep]]
name = "look under the stairs"
every = "3 months"
"""


def applied(home: Runner, tmp_path: Path, site: str, *words: str) -> None:
    (tmp_path / "changed.toml").write_text(site, encoding="utf-8")
    answer = home("setup", "apply", str(tmp_path / "changed.toml"), *words)
    assert answer.code == 0, answer.err


def test_the_kind_of_a_description_is_told_because_names_repeat(home: Runner) -> None:
    home("plan-load", "towels", "--on", "sat 9:00", "--every", "weekly")
    out = home("entries").out
    assert "usual load towels described" in out
    assert "planned load towels described" in out
    assert "basin Fig described" in out


def test_a_log_without_oddities_says_so(home: Runner) -> None:
    assert home("entries", "--odd").out == "No contradictions in the log.\n"
    home("load", "towels", "--at", "yesterday 18:00")
    home("valve", "sewer", "--at", "yesterday 17:00")
    assert "1 entry to check" in home("today").out


def test_a_small_basin_is_told_with_what_it_would_get(home: Runner, tmp_path: Path) -> None:
    applied(home, tmp_path, TINY)
    remark = " ".join(home("basins").out.splitlines()[-3:])
    assert "Thyme is too small for one usual load" in remark
    assert "it would get 9 gal of a usual load of 18 gal" in remark


def test_upkeep_of_the_household_itself_names_its_origin(home: Runner, tmp_path: Path) -> None:
    applied(home, tmp_path, TINY)
    told = next(one for one in home("upkeep", "--json").json["upkeep"] if "under the stairs" in one["name"])
    assert told["source"] is None
    assert "this household" in home("upkeep").out


def test_a_rest_says_until_when_or_that_it_waits_for_the_ponding(home: Runner) -> None:
    seen = home("observe", "ponding", "Fig").out.split()[1].rstrip(":")
    assert "resting until the ponding is over and resolved" in home("today").out
    assert "ponding" in home("basins").out
    home("resolve", seen)
    assert "resting until Thu, Jul 16" in home("today").out


def test_setup_is_shown_to_programs_as_entries(home: Runner) -> None:
    told = home("setup", "show", "--json").json
    kinds = [entry["kind"] for entry in told["setup"]]
    assert kinds[0] == "site"
    assert (kinds.count("basin"), kinds.count("usual_load"), kinds.count("outlet")) == (3, 3, 1)
    assert next(e for e in told["setup"] if e["kind"] == "washer")["volume_ml"] == 68137


def test_a_change_of_the_setup_bears_who_and_why(home: Runner, tmp_path: Path) -> None:
    applied(home, tmp_path, SITE.replace("area_ft2 = 25", "area_ft2 = 30"), "--by", "ines", "--note", "dug wider")
    entry = home("entries", "--last", "1", "--json").json["entries"][0]
    assert (entry["kind"], entry["recorded_by"], entry["note"]) == ("basin", "Ines", "dug wider")
    assert home("setup", "apply", str(tmp_path / "changed.toml"), "--by", "Nobody").code == 2


class TestPlannedLoads:
    def test_a_load_is_not_expected_in_the_past(self, home: Runner) -> None:
        refused = home("plan-load", "towels", "--on", "2026-07-13 9:00")
        assert refused.code == 2
        assert "is past" in refused.err
        assert "gwlog load towels --at" in refused.err
        assert home("plan-load", "towels", "--on", "today 9:00").code == 0

    def test_in_some_days_is_understood(self, home: Runner) -> None:
        assert "Fri, Jul 17, 2026, 11:00 am" in home("plan-load", "towels", "--on", "in 3 days").out

    def test_a_skipped_day_is_said_back(self, home: Runner) -> None:
        home("plan-load", "towels", "--on", "sat 9:00", "--every", "weekly")
        assert "skips Sat, Jul 18, 2026." in home("plan-load", "towels", "--skip", "sat").out

    @pytest.mark.parametrize("rule", ["FREQ=DAILY;BYHOUR=7,18", "rrule:freq=weekly;until=20261231t080000z;", "daily"])
    def test_what_is_planned_is_shown_and_applied_again(self, home: Runner, tmp_path: Path, rule: str) -> None:
        assert home("plan-load", "towels", "--on", "sat 9:00", "--every", rule).code == 0
        (tmp_path / "shown.toml").write_text(home("setup", "show").out, encoding="utf-8")
        again = home("setup", "apply", str(tmp_path / "shown.toml"))
        assert (again.code, again.err) == (0, "")
        assert "nothing" in again.out.casefold()

    @pytest.mark.parametrize(("rule", "said"), [
        ("FREQ=HOURLY", "FREQ “HOURLY”; accepted: one of YEARLY, MONTHLY, WEEKLY, DAILY"),
        ("FREQ=SECONDLY", "FREQ “SECONDLY”; accepted: one of YEARLY, MONTHLY, WEEKLY, DAILY"),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "it never comes to a day after 2026-07-18"),
    ])
    def test_a_rule_below_a_day_or_for_no_day_is_refused(self, home: Runner, rule: str, said: str) -> None:
        refused = home("plan-load", "towels", "--on", "sat 9:00", "--every", rule)
        assert refused.code == 2 and said in refused.err
        assert home("entries", "--kind", "planned load", "--json").json["entries"] == []


@pytest.mark.parametrize(("csv", "code", "said"), [
    (b"date,rain_mm\r2026-06-01,1.5\r2026-06-02,2\r", 0, "2 days logged"),
    (b"date,rain_mm\n1931-06-01,1.5\n2026-06-02,2\n", 0, "1 day before the logbook begins"),
    (b"date,rain_mm\n", 2, "no day"),
    (b"date,rain_mm,wind_ms,sky\n2026-06-02,2,3,clear\n", 0, "Not used: “wind_ms” and “sky”"),
    (b"date,tmax\n2026-06-02,80\n", 2, "--units us: °F"),
    (b"date,tmax\n2026-06-02,80.6\n", 0, "read as °F: no other unit"),
    (b"date,rain_mm\n2026-06-02,2\n", 0, "1 day logged, Jun 2, 2026."),
])
def test_weather_files_of_other_makers(home: Runner, tmp_path: Path, csv: bytes, code: int, said: str) -> None:
    (tmp_path / "w.csv").write_bytes(csv)
    answer = home("weather", "import", str(tmp_path / "w.csv"))
    assert answer.code == code
    assert said in answer.out + answer.err


def test_a_day_with_one_temperature_is_told_in_the_log(home: Runner, tmp_path: Path) -> None:
    (tmp_path / "w.csv").write_bytes(b"date,tmax_c\n2026-06-02,30\n")
    home("weather", "import", str(tmp_path / "w.csv"))
    assert "Tue, Jun 2: highest 86 °F" in home("entries", "--last", "1").out


def test_a_young_tree_tells_its_age_and_how_far_its_roots_reach(home: Runner, tmp_path: Path) -> None:
    applied(home, tmp_path, SITE + """
[[basin]]
name = "Young olive"
area_ft2 = 20
mulch_in = 4
soil = "sandy loam"
plants = "olive"
canopy_ft2 = 20
planted = 2026-05-01
planted_canopy_ft2 = 2
""")
    row = next(one for one in home("basins", "--json").json["basins"] if one["name"] == "Young olive")
    assert (row["planted"], row["canopy_m2"], row["root_depth_mm"]) == ("2026-05-01", pytest.approx(0.1858), 300)
    assert row["roots_share"] == pytest.approx(0.1, abs=0.001)
    assert row["age_days"] > 60
    words = dict(facts(Household(tmp_path / "logbook.db", NOW, read(tmp_path / "logbook.db")), "Young olive"))
    assert words["young"] == "planted 2 months ago: roots reach 19.1 in across and 11.8 in down"
    whole = next(one for one in home("basins", "--json").json["basins"] if one["name"] == "Fig")
    assert (whole["planted"], whole["roots_share"]) == (None, 1.0)
    shown = home("setup", "show").out
    assert "planted = 2026-05-01" in shown and "planted_canopy_ft2 = 2" in shown


@pytest.mark.parametrize(("days", "words"), [
    (0, "planted today"), (1, "planted 1 day ago"), (13, "planted 13 days ago"), (14, "planted 2 weeks ago"),
    (60, "planted 8 weeks ago"), (61, "planted 2 months ago"), (427, "planted 14 months ago"),
    (731, "planted 2 years ago"),
])
def test_how_long_ago_plants_were_set(days: int, words: str) -> None:
    assert planted_ago(date(2024, 2, 28), date(2024, 2, 28) + timedelta(days=days)) == words
