"""The manual holds what the code asks for, of this very system, and stays free of people's names."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from gwlog import files
from gwlog.app import exports
from gwlog.documents.manual import words
from gwlog.documents.manual.manual import MARK, document, manual
from gwlog.documents.render.blocks import Blanks, Block, Heading, Picture, Points, Sourced, Table
from gwlog.errors import GwlogError
from gwlog.household import Household
from gwlog.reference.codes import PROFILES
from tests.conftest import SITE, Runner
from tests.documents.conftest import Looker
from tests.documents.test_pdf import words_of


def test_it_holds_what_the_code_asks_of_a_manual(manual_printed: bytes) -> None:
    said = words_of(manual_printed)
    for asked in ("The parts and their places", "How to operate it", "How the quality of the water is kept",
                  "How to shut it down", "Inspection and maintenance", "Who to call"):
        assert asked in said                           # the six contents of reference.codes.MANUAL_HOLDS
    for part in ("front loader", "18 gal a run", "VALVE", "AIR VENT", "LINE", "SEWER", "Hose", "Pomegranate", "Fig"):
        assert part in said
    for upkeep in PROFILES["us-ca-washer"].upkeep:
        assert " ".join(upkeep.name.split()[:2]) in said
        assert upkeep.every in said
    for condition in PROFILES["us-ca-washer"].conditions:
        assert condition.text in said
    assert "check your local code" in said


def test_it_says_where_each_usual_load_goes_and_why(manual_printed: bytes) -> None:
    said = words_of(manual_printed)
    assert "▼ SEWER Contains chlorine bleach (“bleach”)" in said
    assert "▼ SEWER This load contains diapers" in said
    assert "▶ garden" in said


BUILT = """
[places]
valve = "behind the machine"
pipe = "along the fence, under the bark"
vent = "above the machine"
clean_out = "at the back step"

[setbacks]
property_line_ft = 1.25
building_ft = 3

[contacts]
installer = "Alder Waterworks, 555 0134"
installed = 2026-03-01
maker = "Halcyon Laundry Works, 555 0161"
plumber = "Tidewell Plumbing, 555 0119"

[permit_or_notice]
kind = "notice"
number = "G-318"
office = "City of Quarry"
day = 2026-03-02
"""


def blocks_of(home: Household) -> tuple[Block, ...]:
    return document(home).blocks


def test_what_is_wanted_at_once_comes_first_and_what_is_looked_up_last(lived: Runner, looked: Looker) -> None:
    chapters = [block.words for block in blocks_of(looked()) if isinstance(block, Heading) and block.level == 1]
    assert chapters[:3] == ["In an emergency", "How to operate it: every wash day", "Which loads go where"]
    assert chapters[-4:] == ["What the code asks", "Cautions", "Handed on", "Date and version"]
    steps = next(block for block in blocks_of(looked()) if isinstance(block, Points))
    assert steps.numbered and steps.words == words.AT_ONCE
    said = " ".join(words.AT_ONCE)
    assert said.index("pause it") < said.index("Turn the valve to SEWER") < said.index("let the machine finish")


def test_how_it_was_built_stands_in_it(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE + BUILT, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    made = manual(looked())
    first = " ".join(PdfReader(io.BytesIO(made)).pages[0].extract_text().split())
    assert "The valve behind the machine" in first and "Plumber Tidewell Plumbing, 555 0119" in first
    said = words_of(made)
    for passage in ("Line along the fence, under the bark", "Air vent above the machine", "Clean-out at the back step",
                    "Alder Waterworks, 555 0134; finished March 1, 2026", "Halcyon Laundry Works, 555 0161",
                    "number G-318", "office City of Quarry", "day March 2, 2026",
                    "Once a year: nothing joins the drinking water"):
        assert passage in said
    rows = {str(row[0]): row for block in blocks_of(looked()) if isinstance(block, Table) and block.name == "setbacks"
            for row in block.rows}
    # California Plumbing Code, location table: building 2 ft, property line 1.5 ft, well 100 ft
    assert [said_of(cell) for cell in rows["building"]] == ["building", "2 ft", "3 ft", "kept"]
    assert [said_of(cell) for cell in rows["property line"]] == ["property line", "1.5 ft", "1.25 ft",
                                                                "NEARER than the code asks"]
    assert [said_of(cell) for cell in rows["water-supply well"]][1:] == ["100 ft", "________", "not measured yet"]
    page = manual(looked(), form=".html").decode()
    assert "along the fence, under the bark" in page and "NEARER than the code asks" in page


def said_of(cell: object) -> str:
    return cell.words if isinstance(cell, Sourced) else str(cell)


def test_what_nobody_stated_is_left_to_the_pencil(lived: Runner, looked: Looker) -> None:
    blanks = {name for block in blocks_of(looked()) if isinstance(block, Blanks) for name in block.names}
    assert {"The valve is", "Valve", "Line", "Air vent", "Clean-out", "Plumber, licensed",
            "Who built this system, and when", "Permit or notice, number"} <= blanks


def test_how_sure_a_source_is_is_said_once(manual_printed: bytes, lived: Runner, looked: Looker) -> None:
    said = words_of(manual_printed)
    assert said.count("quoted, not re-checked") == 1 and "(memory)" not in said and "(copy)" not in said
    page = manual(looked(), form=".html").decode()
    assert page.count("quoted, not re-checked") == 1 and "(memory)" not in page and '<h2 id="sources">' in page


@pytest.mark.parametrize(("number", "about"), [
    # California Plumbing Code, clothes-washer system (1503.1.1 in 2019 and 2022), its conditions by their numbers
    ("1", "agency"), ("2", "valve"), ("3", "drinking water"), ("4", "lot"), ("5", "mulch basin"), ("6", "runs off"),
    ("7", "2 in"), ("8", "pets"), ("9", "diapers"), ("10", "chemicals"), ("11", "ordinance"), ("12", "manual"),
])
def test_californias_conditions_carry_their_numbers(manual_printed: bytes, number: str, about: str) -> None:
    said = words_of(manual_printed)
    start = said.index(f"Condition {number}: ")
    assert about in said[start:start + 120]


@pytest.mark.parametrize(("code", "cited"), [
    # where each text has it: Utah's flows are its table 1 and its distances table 2, both of R317-401-5
    ("us-ut", "Utah Administrative Code R317-401-5, table 2"), ("us-ca-washer", "1503.1.1 in 2019 and 2022"),
    ("us-wa-1", "Washington Administrative Code 246-274-100"), ("us-co-a1", "5 CCR 1002-86, 86.10 and 86.14"),
    ("us-nm", "20.7.3.810"), ("us-tx", "210.83"), ("us-or-1", "340-053-0"),
])
def test_sources_are_cited_by_their_sections(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path, code: str,
                                             cited: str) -> None:
    (tmp_path / "site.toml").write_text(SITE.replace("us-ca-washer", code), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    assert cited in manual(looked(), form=".html").decode()


def test_drawings_have_words_for_those_who_cannot_see_them(lived: Runner, looked: Looker) -> None:
    pictures = [block for block in blocks_of(looked()) if isinstance(block, Picture)]
    assert "Drawing of the system: front loader, then the valve" in pictures[0].words
    assert "Hose at Fig" in pictures[0].words and all(one.words for one in pictures)


def test_it_names_nobody_of_the_household_and_carries_no_note(manual_printed: bytes) -> None:
    said = words_of(manual_printed)
    assert "Ines" not in said
    assert "forgot the valve" not in said


def test_it_carries_date_version_title_and_language(manual_printed: bytes, looked: Looker) -> None:
    reader = PdfReader(io.BytesIO(manual_printed))
    last = max(entry.id for entry in looked().entries)
    assert f"Version 2026-07-14.{last}" in words_of(manual_printed)
    assert reader.metadata is not None
    assert reader.metadata.title == "Operation and maintenance manual · Tern Cottage"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_the_same_household_gives_the_same_bytes(manual_printed: bytes, looked: Looker) -> None:
    assert files.signed(manual(looked()), MARK) == manual_printed


def test_metric_households_read_metres_on_a4(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(SITE.replace('units = "us"', 'units = "metric"'), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    content = manual(looked())
    said = words_of(content)
    assert "68 L a run" in said
    assert "property line 0.46 m" in said      # 1.5 ft (California Plumbing Code, location table)
    assert float(PdfReader(io.BytesIO(content)).pages[0].mediabox.height) == pytest.approx(841.89, abs=0.5)


@pytest.mark.parametrize("code", ["us-wa-1", "us-ut", "au-wa"])   # a season; a limit per occupant; elsewhere
def test_other_code_profiles_make_a_manual(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path,
                                           code: str) -> None:
    (tmp_path / "site.toml").write_text(SITE.replace("us-ca-washer", code), encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    assert PROFILES[code].document[:20] in words_of(manual(looked()))


def test_basins_are_drawn_where_the_setup_puts_them(gwlog: Runner, frozen: object, looked: Looker,
                                                    tmp_path: Path) -> None:
    site = SITE
    for number, name in enumerate(("Pomegranate", "Fig", "Carrots")):
        head = f'[[basin]]\nname = "{name}"'
        site = site.replace(head, f"{head}\nat_ft = [{number * 9}, {number}]")
    (tmp_path / "site.toml").write_text(site, encoding="utf-8")
    assert gwlog("begin", str(tmp_path / "site.toml")).code == 0
    said = words_of(manual(looked()))
    assert "10 ft" in said
    assert "Sketch house" not in said


@pytest.mark.long
def test_many_parts_still_fit_the_drawing(gwlog: Runner, frozen: object, looked: Looker, tmp_path: Path) -> None:
    start = SITE.index("[[basin]]")
    basin = SITE[start:SITE.index("[[basin]]", start + 1)]
    site = SITE + "\n".join(basin.replace('"Pomegranate"', f'"Long bed number {n} by the wall"') for n in range(30))
    site += "".join(f'\n[[outlet]]\nname = "End {n}"\nat = "Pomegranate"\n' for n in range(12))
    (tmp_path / "site.toml").write_text(site, encoding="utf-8")
    answer = gwlog("begin", str(tmp_path / "site.toml"))
    assert answer.code == 0, answer.err
    assert "End 11" in words_of(manual(looked()))


def test_without_a_household_there_is_no_manual(tmp_path: Path, frozen: object) -> None:
    from gwlog.journal import store
    from tests.conftest import NOW

    store.create(tmp_path / "logbook.db")
    with pytest.raises(GwlogError, match="describes no household"):
        exports.manual(Household(tmp_path / "logbook.db", NOW, []), tmp_path / "m.pdf")
    assert not (tmp_path / "m.pdf").exists()


def test_the_command_writes_it_for_its_owner_only(lived: Runner, tmp_path: Path) -> None:
    assert lived("manual", str(tmp_path / "m.pdf"), "--paper", "a4").code == 0
    assert (tmp_path / "m.pdf").stat().st_mode & 0o777 == 0o600
