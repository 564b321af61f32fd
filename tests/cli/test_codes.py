"""The code on the command line: side by side, what is kept and offered, and a rule of the place at the machine."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from gwlog.journal import seal
from tests.conftest import SITE, Runner

CITY = '\n[[local_rule]]\nname = "city\'s limit"\nsource = "City of Tern, 14.08"\nlimit_gal = 30\n'


def test_profiles_stand_side_by_side_differences_first(gwlog: Runner) -> None:
    out = gwlog("reference", "codes", "us-ca-washer", "us-ut").out
    assert out.startswith("permit or permission")
    assert "us-ca-washer: No permit while" in out and "us-ut: A permit comes first" in out
    found = gwlog("reference", "codes", "us-ca-washer", "upc", "--json").json
    different = [row["different"] for row in found["side_by_side"][1:]]
    assert different == sorted(different, reverse=True) and set(different) == {1, 2}
    assert {row["name"] for row in found["rows"]} == {"us-ca-washer", "upc"}


def test_all_profiles_are_listed_by_topic_with_their_dates(gwlog: Runner) -> None:
    out = gwlog("reference", "codes").out
    assert "us-nv: A permit comes first." in out and "in force until May 1, 2027" in out
    assert "May hold more:" in out and "says nothing of it, as far as it was read" in out


def test_a_profile_that_is_not_held_is_refused_and_no_other_table_takes_one(gwlog: Runner) -> None:
    assert gwlog("reference", "codes", "us-xx").code == 2
    refused = gwlog("reference", "soils", "us-ut")
    assert refused.code == 2 and "only the table “codes”" in refused.err


def test_a_permit_that_comes_first_is_said_at_setup_and_in_the_first_answer(gwlog: Runner, frozen: object,
                                                                            tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE.replace("us-ca-washer", "us-ut"), encoding="utf-8")
    said = gwlog("begin", str(tmp_path / "site.toml")).out
    assert "check: Permit first (us-ut): A permit comes first, always" in said
    assert "careful: Permit first" in gwlog("where", "towels").out
    gwlog("load", "towels", "--to", "garden")
    assert "Permit first" not in gwlog("where", "towels").out


def test_a_permit_that_comes_first_stands_under_the_next_load_and_over_the_plan(
        gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    site = SITE.replace("us-ca-washer", "us-ut")
    (tmp_path / "site.toml").write_text(site, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    short = "Permit first (us-ut): not yet settled."
    assert short in gwlog("today").out.split("valve")[0]
    gwlog("plan-load", "towels", "--on", "tomorrow 9:00")
    gwlog("plan-load", "towels", "--on", "in 3 days")
    for words in ("today", "plan"):
        lines = gwlog(words).out.splitlines()
        assert sum(line.strip() == short for line in lines) == 1, lines
    every = [*gwlog("today", "--json").json["next"], *gwlog("plan", "--json").json["loads"]]
    garden = [one for one in every if one["verdict"] == "garden"]
    assert garden and all("permission" in [each["rule"] for each in one["warnings"]] for one in garden)
    assert gwlog("plan", "--days", "7", "--json").json["permission"] == short
    gwlog("load", "towels", "--to", "garden")
    assert "Permit first" not in gwlog("today").out + gwlog("plan").out


def test_that_there_is_no_permit_is_told_after_a_load_has_gone_to_the_garden_too(
        gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    site = SITE.replace("us-ca-washer", "us-ut") + '\n[system]\npermit = "none"\n'
    (tmp_path / "site.toml").write_text(site, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    gwlog("load", "towels", "--to", "garden")
    assert "careful: Permit first" in gwlog("where", "towels").out


def test_setup_code_tells_the_profile_and_has_nothing_newer_to_take(home: Runner) -> None:
    told = home("setup", "code").out
    assert "California (us-ca-washer)" in told and "held as of 2026-11" in told
    assert "Is the washing machine alone connected? not answered" in " ".join(told.split())
    refused = home("setup", "code", "--take")
    assert refused.code == 2 and "newest edition" in refused.err
    assert home("setup", "code", "--json").json["newer_edition"] == []


def test_an_old_logbook_is_offered_the_newer_edition_and_takes_it(gwlog: Runner, frozen: object,
                                                                  tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(
        SITE.replace('code = "us-ca-washer"', 'code = "us-ut"\ncode_edition = "first"'), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    assert "setup code" in gwlog("today").out
    told = gwlog("setup", "code").out
    assert "~ volume (limit a day → design flow)" in told and "gwlog setup code --take" in told
    taken = gwlog("setup", "code", "--take", "--note", "read it").out
    assert "edition of the code profile “first” → “2026-11”" in taken and "check: Permit first" in taken
    assert "setup code" not in gwlog("today").out
    assert seal.verify(tmp_path / "logbook.db").holds
    with closing(sqlite3.connect(tmp_path / "logbook.db")) as connection:
        assert connection.execute("SELECT code_edition FROM site ORDER BY id").fetchall() == [("first",), ("2026-11",)]


def test_a_rule_of_the_place_is_told_at_the_machine(gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE + CITY, encoding="utf-8")
    assert "city's limit" in gwlog("begin", str(tmp_path / "site.toml")).out
    out = gwlog("where", "towels", "--volume", "31gal").out
    assert "SEWER (must)" in out and "the local rule allows 30 gal" in " ".join(out.split())
    gwlog("setup", "apply", str(tmp_path / "site.toml"))
    assert "[[local_rule]]" in gwlog("setup", "show").out


def test_a_condition_whose_text_was_not_read_is_not_said_to_be_kept(gwlog: Runner, frozen: object,
                                                                    tmp_path: Path) -> None:
    site = SITE.replace("us-ca-washer", "us-or-1") + '\n[system]\ndistances_kept = true\n'
    (tmp_path / "site.toml").write_text(site, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    out = " ".join(gwlog("setup", "code").out.split())
    assert "its text was not read: ask for it: Table 2" in out and "as the code asks: Table 2" not in out
