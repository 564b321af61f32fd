"""What keeps people safe is said first, and its steps stand in the order in which people do them.

Pause, valve, then on: standing practice for pumps; a wet machine is cut off at the breaker before anybody touches it
(electrical-safety advice of US consumer bodies). Gloves before mulch, hands washed last: Arizona graywater brochure.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from gwlog.decisions.exceptions import FOLLOW_UP
from gwlog.decisions.follow_up import COVER_WET_MULCH
from gwlog.documents.card.card import card
from gwlog.documents.manual.words import AT_ONCE, TROUBLE
from gwlog.household import look
from gwlog.reference.cautions import CAUTION_BY_ID
from gwlog.reference.upkeep import FLUSH_LINE, with_how
from tests.conftest import NOW, SITE, Runner

UNREAD = SITE + """
[[product]]
name = "market pods"
kind = "detergent"

[[usual_load]]
name = "shirts"
products = ["market pods"]
"""


def in_order(words: str, *steps: str) -> None:
    """Every step is there, one after the other."""
    places = [words.find(step) for step in steps]
    assert -1 not in places, (steps, words)
    assert places == sorted(places), (steps, words)


def test_in_an_emergency_the_machine_is_paused_the_valve_turned_and_then_it_goes_on() -> None:
    in_order(" ".join(AT_ONCE), "pumping, pause it", "Turn the valve to SEWER", "let the machine finish",
             "Keep people and pets away", "gloves", "rake mulch", "wash your hands")
    assert [step.split()[0] for step in AT_ONCE] == ["If", "Turn", "Keep"]


def test_a_leak_is_first_about_electricity() -> None:
    leak = dict(TROUBLE)["A leak at valve, clamp or pipe"]
    in_order(leak, "Stop the machine", "wet hands", "wet floor", "breaker", "Valve to SEWER", "Tighten")


@pytest.mark.parametrize("words", [COVER_WET_MULCH, FOLLOW_UP])
def test_gloves_come_before_the_mulch(words: str) -> None:
    in_order(words.casefold(), "gloves", "mulch")


def test_people_are_kept_off_before_anything_is_done_at_the_basin() -> None:
    in_order(FOLLOW_UP, "Keep people and pets off", "gloves", "standing water", "log it")


@pytest.mark.parametrize(("caution", "steps"), [
    ("contact", ("Keep people, above all children, and pets away", "wet soil", "gloves", "wash your hands afterward")),
    ("wet ground", ("After heavy rain", "soaked or frozen", "goes to the sewer")),
    ("odour", ("smells or plants look sick", "send the wash to the sewer", "until you know why")),
    ("solvent cement", ("toxic, flammable fumes", "ventilate", "no flames or sparks", "gloves")),
])
def test_a_caution_says_all_of_it(caution: str, steps: tuple[str, ...]) -> None:
    in_order(CAUTION_BY_ID[caution].value, *steps)


def test_flushing_the_line_never_means_a_hose_from_the_house() -> None:
    """A hose held at the line joins it to the drinking water (California Plumbing Code, cross-connection)."""
    assert with_how(FLUSH_LINE.name) == "flush the line (a plain rinse load, or a bucket; never a hose from the house)"
    assert "never a hose" in dict(TROUBLE)["The machine drains slowly, or stops with a fault"]


def test_after_a_wrong_load_the_valve_the_people_the_mulch_and_only_then_the_log(home: Runner) -> None:
    said = " ".join(home("load", "whites", "--to", "garden").out.split())
    in_order(said, "should have gone to the sewer", "pause it. Turn the valve to sewer, then let the machine finish",
             "Keep people, above all children, and pets off", "gloves", "rake dry mulch over the wet spot",
             "wash your hands", "If the valve was really on sewer: gwlog correct")


def test_a_wrong_load_that_has_drained_asks_for_no_valve(home: Runner) -> None:
    said = home("load", "whites", "--to", "garden", "--at", "yesterday 9:00").out
    assert "Keep people" in said and "pause it" not in said


def test_an_unread_label_is_asked_for_before_the_load_goes_to_the_garden(
        gwlog: Runner, frozen: object, tmp_path: Path) -> None:
    from tests.documents.test_pdf import words_of

    (tmp_path / "site.toml").write_text(UNREAD, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    said = " ".join(gwlog("where", "shirts").out.split())
    assert "careful: The label of “market pods” has not been checked. Check it for chlorine bleach, borax and sodium " \
           "before this load goes to the garden." in said
    printed = words_of(card(look(tmp_path / "logbook.db", NOW)))
    in_order(printed, "shirts ▶ Pomegranate", "First check the label of “market pods”.", "When in doubt: SEWER")


def test_an_older_load_is_told_with_its_entry(home: Runner) -> None:
    home("load", "whites", "--to", "garden")
    number = home("entries", "--json", "--last", "1").json["entries"][0]["id"]
    (told,) = [one["text"] for one in home("reminders", "--json", "--at", "2026-12-01 9:00").json["reminders"]
               if one["kind"] == "follow up"]
    assert told.startswith("1 older load went to the garden against a rule and was not followed up: entry "
                           f"{number}, ")
    in_order(told, "keep people, above all children, and pets off", "gloves", "wash your hands")
