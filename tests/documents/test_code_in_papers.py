"""The code in the papers: every condition of every profile in the report, with evidence, “not shown” or “not asked”."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from gwlog.documents.card.card import card
from gwlog.documents.manual.manual import manual
from gwlog.documents.record.chapters import document
from gwlog.documents.record.gather import record
from gwlog.documents.render.blocks import Table
from gwlog.household import Household
from gwlog.journal.facts import Fact, Site
from gwlog.reference.codes import PROFILES, held
from gwlog.reference.codes.topics import TOPICS
from gwlog.reference.source import marked
from gwlog.setup.read import read_site_file
from tests.conftest import NOW, SITE, Runner
from tests.documents.test_pdf import words_of

pytestmark = pytest.mark.long

CITY = '\n[[local_rule]]\nname = "city\'s limit"\nsource = "City of Tern, 14.08"\nlimit_gal = 30\n'


def home_under(code: str, more: str = "", edition: str | None = None) -> Household:
    """The example's household under another code, in memory."""
    facts = list(read_site_file(SITE.replace("us-ca-washer", code) + more, now=NOW).facts)
    if edition is not None:
        facts = [replace(one, code_edition=None) if isinstance(one, Site) else one for one in facts]
    numbered: list[Fact] = [replace(one, id=number, recorded_at=NOW - timedelta(days=1))
                            for number, one in enumerate(facts, 1)]
    return Household(Path("nowhere.db"), NOW, numbered)


@pytest.fixture
def reported(gwlog: Runner, frozen: object, tmp_path: Path) -> Callable[..., dict[str, list[tuple[object, ...]]]]:
    """The tables of a report by name, of a household under a code."""
    from gwlog.household import look

    def make(code: str, more: str = "") -> dict[str, list[tuple[object, ...]]]:
        (tmp_path / "site.toml").write_text(SITE.replace("us-ca-washer", code) + more, encoding="utf-8")
        made = gwlog("begin", str(tmp_path / "site.toml"))
        assert made.code == 0, made.err
        gwlog("load", "towels")
        blocks = document(record(look(tmp_path / "logbook.db", NOW))).blocks
        return {block.name: list(block.rows) for block in blocks if isinstance(block, Table)}

    return make


@pytest.mark.parametrize("code", PROFILES)
def test_a_report_lists_every_condition_of_its_profile_and_what_it_does_not_ask(
        code: str, reported: Callable[..., dict[str, list[tuple[object, ...]]]]) -> None:
    profile = PROFILES[code]
    rows = reported(code)["conditions"]
    assert len(rows) == len(profile.conditions) + len(profile.silent)
    for condition, (text, finding, said, known) in zip(profile.conditions, rows, strict=False):
        assert str(text).startswith(condition.text)
        assert finding in ("met", "met with exceptions", "exceptions only", "not in the log", "open question")
        assert said or finding == "not in the log"
        assert str(known).endswith(marked(f" ({condition.sure})"))
    silent = rows[len(profile.conditions):]
    assert [(str(text).casefold().rstrip("."), finding) for text, finding, *_ in silent] == [
        (TOPICS[topic], "not asked") for topic in profile.silent]


def test_the_gate_stands_in_the_report(reported: Callable[..., dict[str, list[tuple[object, ...]]]]) -> None:
    rows = reported("us-ca-washer", "\n[system]\nonly_washer = true\nadded_pump = true\nruns = \"level\"\n")["gate"]
    told = {question: (answer, by) for question, answer, by in rows}
    assert told["Is the washing machine alone connected?"][0] == "yes"
    assert str(told["Is there a pump besides the washing machine's own?"][1]).startswith("AGAINST the code")
    assert told["What dwelling is it?"][0] == "not answered"
    assert told["How does the line run from the machine to the basins?"] == ("level", "not asked by this code")


def test_the_report_says_what_has_to_be_known_of_the_code(
        reported: Callable[..., dict[str, list[tuple[object, ...]]]]) -> None:
    said: dict[object, object] = dict(reported("us-or-1", CITY)["household"])
    assert "adapted by the household" in str(said["code profile"])
    for words in ("in force until May 1, 2027", "held as of 2026-11"):
        assert words in str(said["code profile"])
    assert str(said["before the first load"]).startswith("Permit first")
    assert "City of Tern, 14.08" in str(said["rule of the place"])
    assert "0080 was read up to (6)" in str(said["may hold more"])


@pytest.mark.parametrize("code", ["us-ut", "us-or-1", "us-nv", "us-mt", "us-co-a1", "generic"])
def test_manual_and_card_say_first_what_comes_first(code: str, gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    from gwlog.household import look

    (tmp_path / "site.toml").write_text(SITE.replace("us-ca-washer", code), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    home = look(tmp_path / "logbook.db", NOW)
    first = {"us-co-a1": "Local permission first", "generic": "Not known to be lawful"}.get(
        code, "Permit first")
    for paper in (manual(home), card(home)):
        assert first in words_of(paper)


def test_the_manual_holds_every_condition_the_gate_and_the_rule_of_the_place(
        gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    from gwlog.household import look

    (tmp_path / "site.toml").write_text(SITE + "\n[system]\npipes_uncut = true\n" + CITY, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    said = words_of(manual(look(tmp_path / "logbook.db", NOW)))
    for condition in PROFILES["us-ca-washer"].conditions:
        assert condition.text in said, condition.id
    for words in ("city's limit: at most 30 gal (114 L) a day (City of Tern, 14.08)", "water softener",
                  "Were the house's drain pipes left", "adapted by the household",
                  "The garden may get at most 30 gal a day, by the local rule."):
        assert words in said, words


def test_an_old_logbook_is_reported_under_the_edition_it_keeps_and_the_newer_is_offered() -> None:
    from gwlog.views import code_profile

    home = home_under("us-ut", edition="first")
    said = dict(code_profile.said(home.state, NOW.date()))
    assert "as first held" in said["code profile"] and "2026-11" in said["newer edition"]
    assert held("us-ut").conditions == code_profile.profile_at(home.state.site).conditions
    assert "newer edition" not in dict(code_profile.said(home_under("us-ut").state, NOW.date()))
