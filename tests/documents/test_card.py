"""The card: one page whatever the household's size, the valve in words and shapes, this fortnight's outlets."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from gwlog.documents.card import MOST_LOADS, PIPE_LABEL, card, schedule
from tests.conftest import SITE, Runner
from tests.documents.conftest import Looker
from tests.documents.test_pdf import words_of


def test_it_tells_the_valve_the_loads_the_outlets_and_the_labels(lived: Runner, looked: Looker) -> None:
    content = card(looked())
    said = words_of(content)
    for passage in ("GARDEN", "SEWER", "towels", "whites", "▼ SEWER", "▶ garden", "The outlets until Mon, Jul 27",
                    "Write here by hand", "day, time", PIPE_LABEL, "check your local code"):
        assert passage in said
    assert len(PdfReader(io.BytesIO(content)).pages) == 1
    assert PdfReader(io.BytesIO(content)).trailer["/Root"]["/Lang"] == "en"


def test_the_schedule_is_the_plans(lived: Runner, looked: Looker) -> None:
    home = looked()
    plan = home.plan
    rows, note = schedule(home)
    assert [what for _, what in rows] == [f"{turn.outlet} at {turn.basin}" for turn in plan.turns]
    assert note == plan.note
    said = words_of(card(home))
    for when, what in rows:
        assert when in said and what in said


def test_without_a_plan_the_outlets_present_places_are_shown(home: Runner, looked: Looker) -> None:
    rows, _ = schedule(looked())
    assert any("Hose at Pomegranate" in what for _, what in rows)
    assert "Hose at Pomegranate" in words_of(card(looked()))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_large_household_still_fits_one_page(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path,
                                               paper: str) -> None:
    loads = "".join(f'\n[[usual_load]]\nname = "a load with a long name, number {n}, of the household"\n'
                    'products = ["plain liquid"]\n' for n in range(40))
    outlets = "".join(f'\n[[outlet]]\nname = "hose with a very long name, number {n}"\nat = "Fig"\n' for n in range(20))
    (tmp_path / "site.toml").write_text(SITE + loads + outlets, encoding="utf-8")
    answer = gwlog("begin", str(tmp_path / "site.toml"))
    assert answer.code == 0, answer.err
    content = card(looked(), paper=paper)
    said = words_of(content)
    assert len(PdfReader(io.BytesIO(content)).pages) == 1
    assert f"and {43 - MOST_LOADS} more" in said
    assert said.count("▶☐") >= 5
    assert PIPE_LABEL in said


def test_a_household_without_usual_loads_has_a_card(gwlog: Runner, frozen: object, looked: Looker,
                                                    tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE[:SITE.index("[[usual_load]]")], encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    assert "None is described" in words_of(card(looked()))


def test_the_command_writes_it_for_its_owner_only(lived: Runner, tmp_path: Path) -> None:
    assert lived("card", str(tmp_path / "c.pdf")).code == 0
    assert (tmp_path / "c.pdf").stat().st_mode & 0o777 == 0o600
