"""Every form of tampering in the printed table is tried, and comes out as the table says."""

from __future__ import annotations

import shutil
import subprocess
from importlib import import_module
from pathlib import Path

import pytest

from gwlog.app.verify import Verified, verify
from gwlog.journal import check_seal, promise
from gwlog.journal.promise import FORMS, FOUND, HANDOVER, NEVER, NUMBER, PACK, SHOWN, Form
from gwlog.views.seal_report import lines
from tests.conftest import Runner
from tests.promise.material import NOW, Material, manifest_of, members_in
from tests.promise.tampered import TAMPERINGS, Bench, Given

for _name in ("logbook", "pack", "handover", "export"):
    import_module(f"tests.promise.{_name}_forms")


def verified(file: Path, *noted: str) -> Verified:
    return verify(file, noted, own=False, now=NOW)


def told(done: Verified) -> str:
    """Everything that is said of a file."""
    return " ".join([*lines(done.found, done.unchecked), *done.all_odd, *done.told])


def test_every_form_can_be_tried() -> None:
    assert {form.id for form in FORMS} == set(TAMPERINGS) and len(FORMS) >= 100
    assert len({form.id for form in FORMS}) == len(FORMS) == len({(form.of, form.words) for form in FORMS})


# A handover is a logbook, a pack and papers: each takes long to be verified.
TRIED = [pytest.param(form, marks=[pytest.mark.long] if form.of == HANDOVER else [], id=form.id) for form in FORMS]


@pytest.mark.parametrize("form", TRIED)
def test_a_form_comes_out_as_is_printed(form: Form, material: Material, tmp_path: Path,
                                        monkeypatch: pytest.MonkeyPatch) -> None:
    given = TAMPERINGS[form.id](Bench(material, tmp_path, monkeypatch))
    done = verified(given.file, *given.noted)
    assert done.holds == (form.outcome != FOUND), told(done)
    if form.outcome == SHOWN:
        assert given.says and given.says in told(done), told(done)
    if form.outcome in (NUMBER, NEVER):
        assert given.number is not None
        assert verified(given.file, *given.noted, given.number).holds == (form.outcome == NEVER)
    if form.of == PACK:
        by_program(form, given)


def by_program(form: Form, given: Given) -> None:
    """The same by the program in the pack."""
    found = check_seal.examine(given.file, list(given.noted))
    details = " ".join(level.detail for level in found.levels)
    assert found.holds == (form.by_program != FOUND), details
    if form.by_program == SHOWN:
        assert given.says in details, details
    if form.by_program == NUMBER:
        assert given.number is not None and not check_seal.examine(given.file, [given.number]).holds


@pytest.mark.parametrize("kind", promise.KINDS)
def test_what_was_not_tampered_with_holds(kind: str, material: Material, tmp_path: Path) -> None:
    """Else every form would be found, whatever was done."""
    (tmp_path / "given.jsonl").write_bytes(material.export)
    file = {"logbook": material.logbook, "pack": material.pack(), "handover": material.handover(),
            "export": tmp_path / "given.jsonl"}[kind]
    number = material.handed_number if kind == "handover" else material.number
    done = verified(file, number)
    assert done.holds and not done.all_odd, told(done)
    assert verified(material.pack("landlord"), number).holds or kind == "handover"


def test_the_printed_table_is_the_one_that_was_tried(gwlog: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    answer = gwlog("verify", "--promise")
    assert answer.code == 0 and max(map(len, answer.out.splitlines())) <= 80
    whole = " ".join(answer.out.split())
    assert all(form.words in whole for form in FORMS)
    told = gwlog("verify", "--promise", "--json").json
    assert [one["id"] for one in told["forms"]] == [form.id for form in FORMS]


def test_what_the_program_cannot_find_it_says(material: Material) -> None:
    """Each outcome that is not “found” has its sentence in what check_seal.py says it did not check."""
    said = " ".join((*check_seal.NOT_CHECKED, check_seal.CANNOT_MAKE))
    missed = {form.by_program for form in FORMS if form.of == PACK} - {FOUND}
    assert missed == {SHOWN, NUMBER, NEVER}
    for words in ("left out", "compare with a seal number noted earlier", "true", "cannot make them",
                  "added at the end by somebody who knows the rule"):
        assert words in said
    readme = members_in(material.pack())["README.txt"].decode()
    assert "verify --promise" in readme and "cannot make the letter" in " ".join(readme.split())


@pytest.mark.parametrize("program", ["unzip", "bsdtar"])
def test_another_reader_of_zips_finds_the_same_files(program: str, material: Material, tmp_path: Path) -> None:
    # Info-ZIP's unzip and libarchive's bsdtar, which know nothing of how gwlog packs; GNU coreutils' sha256sum.
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not installed here")
    for pack in (material.pack(), material.pack("landlord")):
        where = tmp_path / pack.stem
        where.mkdir()
        words = ["unzip", "-q", str(pack), "-d", str(where)] if program == "unzip" else \
            ["bsdtar", "-xf", str(pack), "-C", str(where)]
        done = subprocess.run(words, capture_output=True, text=True, check=True)
        assert not done.stderr
        members = members_in(pack)
        assert {file.name: file.read_bytes() for file in where.iterdir()} == members
        listing = "".join(f"{digest}  {name}\n" for name, digest in manifest_of(members)["files"].items())
        summed = subprocess.run(["sha256sum", "--check", "--strict"], input=listing, cwd=where, text=True,
                                capture_output=True, check=True)
        assert summed.stdout.count(": OK\n") == len(members) - 1
