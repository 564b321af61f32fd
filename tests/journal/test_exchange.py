"""Export and import: the same entries and the same seal, or nothing; CSV that a spreadsheet cannot run."""

from __future__ import annotations

import csv
import io
import json
import shutil
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput, GwlogError, LogbookNewer, NotVerified
from gwlog.journal import chain, exchange, reader, seal
from gwlog.journal.facts import KINDS, Fact, Observation, Withdrawal
from gwlog.journal.sealed_parts import parts_of_columns
from gwlog.journal.spreadsheet import cell, csv_files
from gwlog.journal.writer import append, withhold_note
from tests.journal.first_form import first_form
from tests.journal.samples import NASTY, NOW, ONE_OF_EACH, common, load, made_up


@pytest.fixture
def filled(logbook: Path) -> Path:
    append(logbook, ONE_OF_EACH, now=NOW)
    return logbook


def rewritten(content: bytes, change: Callable[[list[dict[str, object]]], None]) -> bytes:
    """The export with lines changed, bodies as objects, and every hash made anew: a forger who knows the rule."""
    lines = [json.loads(line) for line in content.decode().split("\n")[:-1]]
    for line in lines:
        line["body"] = json.loads(line["body"])
        for part in line.get("parts", {}).values():
            part["text"] = json.loads(part["text"])
    change(lines)
    previous, made = chain.START, []
    for line in lines:
        for name, part in line.get("parts", {}).items():
            part["text"] = chain.canonical(part["text"])
            line["body"]["parts_sha256"][name] = chain.digest_of_part(part["text"], part["salt"])
        body = chain.canonical(line["body"])
        previous = chain.link(previous, body)
        made.append(chain.canonical({**line, "body": body, "hash": previous}))
    return "".join(f"{line}\n" for line in made).encode()


def test_an_import_gives_the_same_entries_notes_salts_and_seal(filled: Path, tmp_path: Path) -> None:
    withhold_note(filled, 17)
    content, other = exchange.export(filled), tmp_path / "new" / "other.db"
    assert exchange.import_into(other, content) == len(ONE_OF_EACH)
    assert reader.read(other) == reader.read(filled)
    assert reader.last_seal(other) == reader.last_seal(filled)
    assert exchange.export(other) == content
    assert seal.verify(other) == seal.verify(filled) and seal.verify(other).levels[1].detail == "1 note left out"
    assert other.stat().st_mode & 0o777 == 0o600
    append(other, [load()], now=NOW)
    assert seal.verify(other).holds


@given(facts=st.lists(
    st.sampled_from([kind for kind in KINDS if kind not in ("resolution", "withdrawal")]).flatmap(made_up),
    min_size=1, max_size=6))
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_was_logged_comes_back_with_the_same_seal(facts: list[Fact], blank: Path, tmp_path: Path) -> None:
    one, other = tmp_path / "one.db", tmp_path / "other.db"
    for file in tmp_path.iterdir():
        file.unlink()
    shutil.copyfile(blank, one)
    shutil.copyfile(blank, other)
    append(one, facts, now=NOW)
    exchange.import_into(other, exchange.export(one))
    assert reader.last_seal(one) == reader.last_seal(other) and reader.read(one) == reader.read(other)
    assert seal.verify(other).holds


def test_notes_withheld_by_kind_leave_the_chain_whole(filled: Path, tmp_path: Path) -> None:
    content = exchange.export(filled, withhold=["observation"])
    assert b"a [/] b" not in content and b"dug in" in content
    exchange.import_into(tmp_path / "other.db", content)
    assert reader.last_seal(tmp_path / "other.db") == reader.last_seal(filled)
    assert [fact.note for fact in reader.read(tmp_path / "other.db") if isinstance(fact, Observation)] == [None]
    everything = exchange.export(filled, withhold=list(KINDS))
    assert all("note" not in json.loads(line) and "salt" not in json.loads(line) for line in everything.splitlines())


def test_a_logbook_with_entries_is_never_imported_into(filled: Path, blank: Path) -> None:
    content, before = exchange.export(filled), reader.read(filled)
    with pytest.raises(BadInput, match="holds entries already"):
        exchange.import_into(filled, content)
    assert reader.read(filled) == before


def _line(number: int, change: Callable[[str], str]) -> Callable[[bytes], bytes]:
    def done(content: bytes) -> bytes:
        lines = content.decode().split("\n")
        lines[number - 1] = change(lines[number - 1])
        return "\n".join(lines).encode()

    return done


def _body(number: int, **more: object) -> Callable[[bytes], bytes]:
    """A forger seals other columns, each in the part in which its kind seals it."""
    def change(lines: list[dict[str, Any]]) -> None:
        line = lines[number - 1]
        what = line["parts"]["what"]["text"] if "what" in line.get("parts", {}) else line["body"]
        parts = {**parts_of_columns(what["kind"]), "kind": None if what is line["body"] else "what"}
        for name, value in more.items():
            part = parts.get(name) if "parts" in line else None
            (line["body"] if part is None else line["parts"][part]["text"])[name] = value

    return lambda content: rewritten(content, change)


def _note(number: int, note: str) -> Callable[[bytes], bytes]:
    """A forger seals a note of his own, with a digest that is right."""
    def change(lines: list[dict[str, object]]) -> None:
        body = lines[number - 1]["body"]
        assert isinstance(body, dict)
        body["note_sha256"] = chain.digest_of_note(note, "5a17")
        lines[number - 1] |= {"note": note, "salt": "5a17"}

    return lambda content: rewritten(content, change)


def _lines(change: Callable[[list[bytes]], list[bytes]]) -> Callable[[bytes], bytes]:
    return lambda content: b"".join(change(content.splitlines(keepends=True)))


def _spelled(old: str, new: str) -> Callable[[bytes], bytes]:
    """Bodies spelled in another way, every hash made anew."""
    def done(content: bytes) -> bytes:
        previous, made = chain.START, []
        for line in content.decode().split("\n")[:-1]:
            said = json.loads(line)
            for one in said.get("parts", {}).values():
                digest = chain.digest_of_part(one["text"], one["salt"])
                one["text"] = one["text"].replace(old, new)
                said["body"] = said["body"].replace(digest, chain.digest_of_part(one["text"], one["salt"]))
            said["body"] = said["body"].replace(old, new)
            previous = said["hash"] = chain.link(previous, said["body"])
            made.append(json.dumps(said) + "\n")
        return "".join(made).encode()

    return done


FALSE = NotVerified
REFUSED: dict[str, tuple[Callable[[bytes], bytes], type[GwlogError], str]] = {
    "a volume changed": (_line(10, lambda x: x.replace("68137", "68138")), FALSE,
                         "Entry 10 (does not follow|has another part “what”)"),
    "a note changed": (_line(16, lambda x: x.replace("a [/] b", "all fine")), FALSE, "Entry 16 has another note"),
    "a line taken out": (_lines(lambda x: x[:4] + x[5:]), FALSE, "Entry 5 is missing"),
    "the first line taken out": (_lines(lambda x: x[1:]), FALSE, "Entry 1 is missing"),
    "a line doubled": (_lines(lambda x: x[:4] + x[3:]), FALSE, "Entry 5 is missing; entry 4 stands"),
    "two lines swapped": (_lines(lambda x: [*x[:4], x[5], x[4], *x[6:]]), FALSE, "Entry 5 is missing"),
    "the last line cut": (lambda content: content[:-9], FALSE, "cut off"),
    "no export": (lambda _: b"date,load\n2026-05-03,towels\n", FALSE, "Line 1 is not an entry"),
    "no words": (lambda _: b"\xff\xfe\x00", BadInput, "not UTF-8"),
    "empty": (lambda _: b"", BadInput, "empty"),
    "a list": (lambda _: b"[1]\n", FALSE, "not an object"),
    "nested": (lambda _: b"[" * 99_999 + b"\n", FALSE, "nested too deeply"),
    "a key twice": (_line(10, lambda x: x.replace('{"body"', '{"seq":10,"body"')), FALSE, "a key occurs twice"),
    "a body's key twice": (_line(2, lambda x: x.replace('{\\"act', '{\\"id\\":9,\\"act')), FALSE, "occurs twice"),
    "a number with a point": (_line(10, lambda x: x.replace('"seq":10', '"seq":10.0')), FALSE, "whole number"),
    "something besides": (_line(10, lambda x: x.replace('"seq"', '"more":1,"seq"')), FALSE, "Line 10"),
    "a salt without note": (_line(10, lambda x: x.replace('"seq"', '"salt":"1","seq"')), FALSE, "go together"),
    "a kind unknown": (_body(10, kind="hosepipe"), LogbookNewer, "does not know"),
    "a column too many": (_body(10, colour="red"), FALSE, "not spelled as gwlog seals it"),
    "yes as a number": (_body(2, active=1), BadInput, "active"),
    "a moment elsewhere": (_body(10, happened_at="2026-07-14T11:30:12+02:00"), FALSE, "not in UTC"),
    "a moment spelled long": (_body(10, happened_at="2026-07-14T09:30:12.000000Z"), FALSE, "not spelled"),
    "a moment before all": (_body(10, happened_at="1912-07-14T09:30:12Z"), FALSE, "out of range"),
    "a zone unknown": (_body(10, zone="Mars/Base"), FALSE, "not a time zone"),
    "a volume out of range": (_body(10, volume_ml=9_000_000), BadInput, "volume_ml"),
    "a place unknown": (_body(10, went_to="street"), BadInput, "went_to"),
    "a digest that is none": (_body(10, note_sha256="x"), FALSE, "no digest"),
    "corrects what comes later": (_body(10, corrects_id=11), BadInput, "no entry 11"),
    "corrects another kind": (_body(11, corrects_id=10), BadInput, "wash load"),
    "a name that escapes": (_body(2, name="In\x1b[31mês"), FALSE, "control characters"),
    "a name that reorders": (_body(2, name="In\u202ees"), FALSE, "control characters"),
    "a note that escapes": (_note(16, "red \x1b[31m"), FALSE, "control characters"),
    "a body with half a pair": (_line(2, lambda x: x.replace("Inês", "\\ud800")), FALSE, "half of a surr"),
    "letters spelled another way": (_spelled("Inês", "In\\u00eas"), FALSE, "not spelled as gwlog seals it"),
}


@pytest.fixture(scope="module")
def in_parts(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("exported") / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, ONE_OF_EACH, now=NOW)
    return exchange.export(path)


@pytest.mark.parametrize("form", ["first", "in parts"])
@pytest.mark.parametrize("what", list(REFUSED))
def test_a_file_that_does_not_hold_is_refused_and_nothing_is_written(
        what: str, form: str, in_parts: bytes, blank: Path, tmp_path: Path) -> None:
    change, error, said = REFUSED[what]
    content = change(in_parts if form == "in parts" else first_form(ONE_OF_EACH, NOW))
    empty, new = tmp_path / "empty.db", tmp_path / "new.db"
    shutil.copyfile(blank, empty)
    for path in (empty, new):
        with pytest.raises(error, match=said):
            exchange.import_into(path, content)
    assert reader.read(empty) == [] and seal.verify(empty).holds
    assert not [file for file in tmp_path.iterdir() if file.name.startswith((".", "new"))]


def test_a_forger_who_rewrites_from_some_entry_on_shows_only_against_the_old_head(filled: Path, tmp_path: Path) -> None:
    # What the promise says: only a seal number noted earlier shows this.
    head = reader.last_seal(filled)
    exchange.import_into(tmp_path / "forged.db", _body(10, volume_ml=1)(exchange.export(filled)))
    assert seal.verify(tmp_path / "forged.db").holds
    assert not seal.verify(tmp_path / "forged.db", noted=[f"{head[0]}:{head[1][:16]}"]).holds


FORMULAS = (
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", '"=1', "＝1", "＋1", "a;=1", "a,@b",
    'x;"=HYPERLINK("//h")', "a\n=1", "a|-1", ";;=1", "=cmd|' /C calc'!A0",
)
STARTS = tuple("=+-@\t\r＝＋－＠")


@pytest.mark.parametrize("words", FORMULAS)
def test_no_cell_runs_as_a_formula_whatever_separates_the_cells(words: str) -> None:
    shown = cell(words)
    line = io.StringIO()
    csv.writer(line).writerow(["first", shown, "last"])
    for separator in ",;\t|":
        for row in csv.reader(io.StringIO(line.getvalue()), delimiter=separator):
            for part in row:
                assert not part.lstrip(" \"'" if not part.startswith("'") else "").startswith(STARTS), (separator, part)


@given(st.text(st.characters(), max_size=30) | st.sampled_from(NASTY))
def test_a_cell_is_one_line_without_control_characters_and_plain_words_stay(words: str) -> None:
    shown = cell(words)
    assert not any(unicodedata.category(sign) in ("Cc", "Cs") for sign in shown)
    assert not shown.startswith(STARTS)
    assert cell("Inês: 3 in of chips, “fine” (2-3 weeks)") == "Inês: 3 in of chips, “fine” (2-3 weeks)"


def test_there_is_one_csv_per_kind_with_every_wording_and_numbers_as_numbers(filled: Path) -> None:
    append(filled, [load(corrects_id=None, note="=1+1"), Withdrawal(**common(note="-"), withdraws_id=23)], now=NOW)
    made = csv_files(filled, withhold=["observation"])
    assert set(made) == {f"{kind}.csv" for kind in KINDS}
    sheets = {name: list(csv.DictReader(io.StringIO(content.decode("utf-8-sig")))) for name, content in made.items()}
    loads = sheets["wash_load.csv"]
    assert [row["note"] for row in loads] == ["", "'=1+1"]
    assert [row["withdrawn_by"] for row in loads] == ["18", "24"]
    assert (loads[0]["volume_ml"], loads[0]["happened_at"], loads[0]["contents"]) == (
        "68137", "2026-07-14T09:30:12Z", "dye; soiled")
    assert sheets["weather_day.csv"][0]["tmin_mdegc"] == "-1500"
    assert sheets["observation.csv"][0]["note"] == ""
    assert sheets["product.csv"][0]["chlorine_bleach"] == "no" and sheets["product.csv"][0]["borax"] == ""


def test_the_export_of_a_tampered_logbook_shows_what_was_sealed(filled: Path) -> None:
    import sqlite3
    from contextlib import closing

    sound = exchange.export(filled)
    with closing(sqlite3.connect(filled)) as connection, connection:
        connection.execute("DROP TRIGGER wash_load_no_change")
        connection.execute("UPDATE wash_load SET volume_ml = 1")
    connection.close()
    assert exchange.export(filled) == sound
    assert not seal.verify(filled).holds


def test_facts_of_an_export_are_the_facts_that_were_logged(filled: Path) -> None:
    found = exchange.read_export(exchange.export(filled))
    assert [replace(fact, note=None) for _, fact in found] == [replace(fact, note=None) for fact in reader.read(filled)]
