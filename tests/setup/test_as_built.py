"""How the system was built, in the site file: kept, shown, compared, warned of, and refused with its line."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from gwlog.decisions.setbacks import GROUNDWATER, setbacks
from gwlog.errors import SeveralFaults
from gwlog.household import look
from gwlog.journal import reader
from gwlog.journal.facts import Site
from gwlog.journal.writer import append
from gwlog.reference.as_built import DISTANCES, STATED, damaged, key_of, stated
from gwlog.reference.codes import PROFILES
from gwlog.setup.change import changes
from gwlog.setup.describe import describe
from gwlog.setup.draft import judge, of_text
from gwlog.setup.keys import tables
from gwlog.setup.show import show
from gwlog.state import State, fold
from tests.conftest import NOW as HOME_NOW
from tests.conftest import Runner
from tests.setup.household import METRIC, NOW, US, read

BUILT = """
[places]
valve = "behind the machine, 左"
clean_out = "at the back step"

[setbacks]
property_line_ft = 4
building_m = 1.5

[contacts]
installer = "Alder Waterworks, 555 0134"
installed = 2025-04-01

[permit_or_notice]
kind = "Notice"
office = "City of Quarry"
day = 2025-04-02
"""
LINES = ("places.valve=behind the machine, 左", "places.clean_out=at the back step", "setbacks.building=1500",
         "setbacks.property_line=1219", "contacts.installer=Alder Waterworks, 555 0134",
         "contacts.installed=2025-04-01", "permit_or_notice.kind=notice", "permit_or_notice.office=City of Quarry",
         "permit_or_notice.day=2025-04-02")


def site_of(text: str) -> Site:
    return next(one for one in read(text).facts if isinstance(one, Site))


def first(text: str) -> State:
    return fold(changes(State(), read(text), in_force=NOW))


def test_it_is_kept_line_by_line_and_read_back() -> None:
    site = site_of(US + BUILT)
    assert site.as_built == LINES
    found = stated(site.as_built)
    assert found["setbacks.property_line"] == 1219      # 4 ft of 304.8 mm (NIST Handbook 44, appendix C)
    assert found["permit_or_notice.day"] == date(2025, 4, 2)
    assert site_of(US).as_built is None and site_of(US + "\n[places]\n").as_built is None


@pytest.mark.parametrize("text", [US, METRIC])
def test_it_is_shown_and_read_back_without_a_change(text: str) -> None:
    state = first(text + BUILT)
    shown = show(state)
    assert '[places]\nvalve = "behind the machine, 左"' in shown and "installed = 2025-04-01" in shown
    assert ("property_line_ft = 4" if text is US else "property_line_m = 1.219") in shown
    assert changes(state, read(shown), in_force=NOW) == [] and judge(of_text(shown), NOW).wrong == ()
    assert "[places]" not in show(first(text))


def test_a_change_tells_only_what_differs() -> None:
    state = first(US + BUILT)
    other = US + BUILT.replace("at the back step", "under the slab").replace("property_line_ft = 4",
                                                                             "property_line_ft = 5")
    (line,) = describe(changes(state, read(other), in_force=NOW), state)
    assert "clean out “at the back step”; property line 4 ft → clean out “under the slab”; property line 5 ft" in line
    assert "Alder" not in line
    (gone,) = describe(changes(state, read(US), in_force=NOW), state)
    assert "as built" in gone and "→ not set" in gone


@pytest.mark.parametrize(("more", "key", "said"), [
    ("\n[places]\nvalve = 3\n", "valve = 3", "not text"),
    ('\n[places]\nvalve = ""\n', 'valve = ""', "1 to 200 characters"),
    ('\n[places]\nvalv = "x"\n', 'valv = "x"', "did you mean “valve”?"),
    ("\n[setbacks]\nproperty_line = 3\n", "property_line = 3", "write property_line_ft = … or property_line_m = …"),
    ("\n[setbacks]\nproperty_line_ft = -1\n", "property_line_ft = -1", "out of range"),
    ("\n[setbacks]\nproperty_line_ft = 3\nproperty_line_m = 1\n", "property_line_m", "given twice"),
    ("\n[setbacks]\nchimney_ft = 3\n", "chimney_ft = 3", "not a key of [setbacks]"),
    ("\n[contacts]\ninstalled = 2099-01-01\n", "installed = 2099-01-01", "in the future"),
    ("\n[permit_or_notice]\nday = 2099-01-01\n", "day = 2099-01-01", "in the future"),
    ('\n[permit_or_notice]\nkind = "letter"\n', 'kind = "letter"', "use permit or notice"),
    ('\n[[places]]\nvalve = "x"\n', "[places]", "once and in one bracket"),
])
def test_what_cannot_be_read_is_refused_with_its_line(more: str, key: str, said: str) -> None:
    with pytest.raises(SeveralFaults) as refused:
        read(US + more)
    (fault,) = refused.value.faults
    assert key in fault and said in fault
    number = int(fault.removeprefix("line ").partition(":")[0])
    assert (US + more).splitlines()[number - 1].startswith(key.partition(" ")[0].replace("[places]", "[[places]]"))


def test_every_distance_of_every_profile_can_be_stated() -> None:
    asked = {name for profile in PROFILES.values() for name in profile.setbacks_ft} - {GROUNDWATER}
    assert asked <= set(DISTANCES)
    assert [key.name for key in tables()["setbacks"].keys] == [key_of(name) for name in DISTANCES]


def test_a_distance_that_is_nearer_than_the_code_has_it_is_told() -> None:
    (told,) = [one for one in read(US + "\n[setbacks]\nproperty_line_ft = 1.25\nbuilding_ft = 2\n").warnings
               if one.startswith("As built")]
    # California Plumbing Code, location table: 1.5 ft to the property line, 2 ft to the building
    assert told == "As built, property line is 1.25 ft away; us-ca-washer asks for 1.5 ft."
    site = site_of(US + "\n[setbacks]\nproperty_line_ft = 1.5\nditch_ft = 9\n")
    standing = {one.name: one.standing for one in setbacks(site, PROFILES["us-ca-washer"])}
    assert standing["property line"] == "kept" and standing["building"] == "not measured"
    assert standing["ditch"] == "not asked"


def test_what_another_file_brings_and_cannot_be_read_is_passed_over_and_told(home: Runner, tmp_path: Path) -> None:
    odd = ("setbacks.building=far", "places.valve=", "colour.wall=red", "contacts.installed=spring", LINES[0])
    assert damaged(odd) == odd[:-1] and list(stated(odd)) == ["places.valve"]
    path = tmp_path / "logbook.db"
    site = look(path, HOME_NOW).state.site
    assert site is not None
    append(path, [replace(site, id=0, happened_at=HOME_NOW, as_built=odd)], now=HOME_NOW)
    told = " ".join(one.text for one in look(path, HOME_NOW).problems)
    assert "“setbacks.building=far”" in told and "左" not in told
    assert home("setup", "show").code == 0 and reader.read(path)[-1].as_built == odd  # type: ignore[attr-defined]


def test_every_statement_is_a_key_of_the_site_file() -> None:
    assert {f"{table}.{key.name}" for table in ("places", "setbacks", "contacts", "permit_or_notice")
            for key in tables()[table].keys} == set(STATED)
