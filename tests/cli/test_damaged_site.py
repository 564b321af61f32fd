"""A site whose kept lines cannot be read, as another's file may bring it: told as a problem, and nothing breaks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from gwlog.household import look
from gwlog.journal.facts import SoilReading
from gwlog.journal.writer import append
from tests.conftest import NOW, Runner

ANSWERS = ("bedrooms: many", "groundwater: deep", "permit: held")
RULES = ('{"name":"odd","source":"City of Wren","limit_ml":"thirty"}', "{")


@pytest.fixture
def damaged(home: Runner, tmp_path: Path) -> Runner:
    """The household with a later site of which two answers and two rules cannot be read."""
    site = look(tmp_path / "logbook.db", NOW).state.site
    assert site is not None
    append(tmp_path / "logbook.db", [replace(site, id=0, happened_at=NOW, code="us-ut", code_edition="2026-11",
                                             system_answers=ANSWERS, local_rules=RULES)], now=NOW)
    return home


@pytest.mark.parametrize("words", [
    "today", "where towels", "where towels --json", "load towels", "plan", "basins", "setup show", "setup code",
    "entries", "entries --json", "capacity", "report record.html", "report record.pdf", "manual manual.pdf",
])
def test_every_face_stands(damaged: Runner, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    answer = damaged(*words.split())
    assert answer.code == 0, answer.err


def test_what_cannot_be_read_is_told(damaged: Runner, tmp_path: Path) -> None:
    problems = " ".join(one.text for one in look(tmp_path / "logbook.db", NOW).problems)
    for told in ("“bedrooms: many”", "“groundwater: deep”", "does not bind: “{", '"limit_ml":"thirty"'):
        assert told in problems
    assert "permit" not in problems


def test_a_kept_ratio_of_a_thin_extract_is_told_and_does_not_count(home: Runner, tmp_path: Path) -> None:
    append(tmp_path / "logbook.db", [SoilReading(happened_at=NOW, zone="UTC", basin="Fig", extract="1:5",
                                                 ec_us_cm=200, sar_milli=3000, boron_ug_l=500)], now=NOW)
    problems = " ".join(one.text for one in look(tmp_path / "logbook.db", NOW).problems)
    assert "of “Fig” gives the SAR and boron of a 1:5 extract" in problems
    assert home("today").code == 0
