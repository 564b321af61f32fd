"""The manual holds what the code asks for, of this very system, and stays free of people's names."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from gwlog import files
from gwlog.app import exports
from gwlog.documents.manual.manual import MARK, manual
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
    assert "property line 0.5 m" in said
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
