"""Entries sealed in parts: against digests made by hand, each part left out, each tampering found, both forms mixed."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput, NotVerified
from gwlog.journal import chain, check_seal, exchange, reader, seal, store
from gwlog.journal.disclosure import DISCLOSURES, LANDLORD, NEXT_TENANT, PARTS, PRIVATE, WHAT, WHEN, WHO, Disclosure
from gwlog.journal.facts import (
    DESCRIPTIONS,
    KINDS,
    Fact,
    Observation,
    OtherWater,
    Person,
    Resolution,
    UpkeepDone,
    WeatherDay,
    Withdrawal,
)
from gwlog.journal.sealed_parts import OPEN, hides, parts_of_columns, stand_in, undecided, without_who
from gwlog.journal.spreadsheet import csv_files
from gwlog.journal.writer import _cleaned, append
from tests.journal.first_form import written_first
from tests.journal.samples import NOW, ONE_OF_EACH, THEN, common, load, made_up
from tests.journal.test_seal import tampered

COMBINATIONS = [frozenset(shown) for count in range(5) for shown in combinations(PARTS, count)]


@pytest.fixture(scope="module")
def filled(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An entry of each kind, two of them by somebody named."""
    path = tmp_path_factory.mktemp("parts") / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, [*ONE_OF_EACH[:21], load(recorded_by="Inês", usual_load="towels", note="a word"),
                  Person(**common(recorded_by="Inês"), name="Pia", active=False), *ONE_OF_EACH[21:]], now=NOW)
    return path


@pytest.fixture
def copied(filled: Path, tmp_path: Path) -> Path:
    return shutil.copyfile(filled, tmp_path / "copied.db")


def asked(path: Path, sql: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(sql).fetchall()


@pytest.mark.parametrize("kind", list(KINDS))
def test_of_every_column_it_is_decided_in_which_part_it_is_sealed(kind: str) -> None:
    assert undecided(kind) == set()
    assert set(parts_of_columns(kind).values()) <= {OPEN, *PARTS}
    assert parts_of_columns(kind)["happened_at"] == WHEN and parts_of_columns(kind)["recorded_by"] == WHO


def test_what_a_landlord_is_not_to_read_is_in_no_open_column() -> None:
    assert {kind for kind in KINDS if not hides(kind)} == {*(kind.KIND for kind in DESCRIPTIONS), "attestation"}
    assert not any(hides(kind) and OPEN in parts_of_columns(kind).values() for kind in KINDS)
    kept = {(kind, name) for kind in KINDS for name, part in parts_of_columns(kind).items() if part is not OPEN}
    assert {("wash_load", "contents"), ("wash_load", "products"), ("wash_load", "usual_load"), ("person", "name"),
            ("observation", "observed"), ("planned_load", "starts"), ("planned_load", "load"), ("usual_load", "name"),
            ("reminder_answer", "key"), ("basin", "started"), ("weather_day", "day"), ("site", "occupants")} <= kept


# --- against digests made by hand ---------------------------------------------------------------------------


def test_a_body_in_parts_is_what_is_written_down_here(logbook: Path) -> None:
    # The rule by hand, with hashlib alone; the texts are spelled out.
    append(logbook, [load(usual_load="towels", products=("plain liquid",), contents=("dye",), recorded_by="Inês",
                          note="a word")], now=NOW)
    texts = {
        "private": '{"contents":["dye"],"products":["plain liquid"],"usual_load":"towels"}',
        "what": '{"corrects_id":null,"kind":"wash_load","volume_ml":68137,"washer":"front loader","went_to":"garden"}',
        "when": '{"happened_at":"2026-07-14T09:30:12.345678Z","recorded_at":"2026-07-14T18:00:00Z",'
                '"zone":"America/Los_Angeles"}',
        "who": '{"recorded_by":"Inês"}',
    }
    [(body, hashed, kept, salt)] = asked(logbook, "SELECT body, hash, parts, salt FROM seal JOIN seal_part USING (seq) "
                                                  "JOIN note_salt USING (seq)")
    parts = json.loads(kept)
    assert {part: one["text"] for part, one in parts.items()} == texts
    assert kept == json.dumps(parts, sort_keys=True, separators=(",", ":"), ensure_ascii=False)

    def digest(rule: str, salted: str, words: str) -> str:
        return hashlib.sha256(rule.encode() + b"\n" + salted.encode() + b"\n" + words.encode()).hexdigest()

    digests = {part: digest("gwlog-part-1", parts[part]["salt"], texts[part]) for part in texts}
    assert body == (
        '{"id":1,"note_sha256":"' + digest("gwlog-note-1", salt, "a word") +
        f'","parts_sha256":{{"private":"{digests["private"]}","what":"{digests["what"]}","when":"{digests["when"]}",'
        f'"who":"{digests["who"]}"}}}}')
    assert hashed == hashlib.sha256(f"gwlog-seal-1\n{'0' * 64}\n{body}".encode()).hexdigest()
    assert reader.last_seal(logbook) == (1, hashed, NOW)


def test_a_description_leaves_out_the_parts_in_which_nothing_is_and_a_happening_none(logbook: Path) -> None:
    append(logbook, [ONE_OF_EACH[2], ONE_OF_EACH[11]], now=NOW)
    (body, kept), (switch, parts) = asked(logbook, "SELECT body, parts FROM seal JOIN seal_part USING (seq)")
    assert set(json.loads(body)["parts_sha256"]) == set(json.loads(kept)) == {WHEN}
    assert set(json.loads(switch)["parts_sha256"]) == set(json.loads(parts)) == set(PARTS)
    assert (json.loads(parts)[PRIVATE]["text"], json.loads(parts)[WHO]["text"]) == ("{}", '{"recorded_by":null}')
    assert seal.verify(logbook).holds


def shapes(path: Path) -> list[Any]:
    """What a landlord's export shows of each entry, every digest by its length."""
    def shape(value: Any) -> Any:
        if isinstance(value, dict):
            return {name: shape(one) for name, one in value.items()}
        return len(value) if isinstance(value, str) else value

    lines = exchange.export(path, disclosure=DISCLOSURES[LANDLORD]).splitlines()
    return [shape({**json.loads(line), "body": json.loads(json.loads(line)["body"])}) for line in lines]


def test_a_landlord_cannot_tell_one_thing_that_happened_from_another(blank: Path, tmp_path: Path) -> None:
    day = THEN.date()
    lived = [load(recorded_by="Inês", contents=("dye",)), load(), load(corrects_id=3, volume_ml=1),
             Withdrawal(**common(), withdraws_id=4),
             Observation(**common(), observed="ponding", basin="Pomegranate"), Resolution(**common(), resolves_id=7)]
    other = [WeatherDay(**common(), day=day, rain_um=0), UpkeepDone(**common(), task="x"),
             WeatherDay(**common(), day=day, rain_from=day, rain_um=0), load(),
             OtherWater(**common(), basin="Pomegranate", volume_ml=19_000, way="can"), ONE_OF_EACH[18]]
    found = []
    for name, facts in (("lived", lived), ("other", other)):
        shutil.copyfile(blank, path := tmp_path / name)
        append(path, [*ONE_OF_EACH[2:4], *facts], now=NOW)
        assert seal.verify(path).holds
        found.append(shapes(path))
        content = exchange.export(path, disclosure=DISCLOSURES[LANDLORD])
        levels, entries, broken = check_seal.check_entries(content.splitlines())
        assert broken is None and entries.counts == {"washer": 1, "basin": 1} and entries.digests_alone == 6
        assert levels[1].detail == "entries: 8; of which only digests are here: 6"
        assert set(csv_files(path, disclosure=DISCLOSURES[LANDLORD])) == {"washer.csv", "basin.csv"}
    assert found[0] == found[1]
    assert found[0][2] == {"body": {"id": 3, "note_sha256": None, "parts_sha256": dict.fromkeys(PARTS, 64)},
                           "hash": 64, "parts": {}, "seq": 3}


def test_a_sheet_for_a_landlord_does_not_tell_which_entry_withdrew_another(logbook: Path) -> None:
    append(logbook, [ONE_OF_EACH[2], ONE_OF_EACH[2], Withdrawal(**common(), withdraws_id=2)], now=NOW)
    assert b",3\r\n" in csv_files(logbook)["washer.csv"]
    assert b",3\r\n" not in csv_files(logbook, disclosure=DISCLOSURES[LANDLORD])["washer.csv"]


@given(st.sampled_from(list(KINDS)).flatmap(made_up))
@settings(max_examples=40)
def test_parts_are_kept_as_canonical_json_and_hold_every_column_once(fact: Fact) -> None:
    clean = replace(_cleaned(fact, NOW), id=7)
    columns, texts = chain.spelled(clean)
    parts = {part: (f"{number:032x}", text) for number, (part, text) in enumerate(texts.items())}
    line = chain.parts_line(parts)
    told = {part: {"salt": salt, "text": text} for part, (salt, text) in parts.items()}
    assert line.encode() == rfc8785.dumps(told) and chain.read_parts(json.loads(line)) == parts
    assert chain.salts_of(line) == {part: salt for part, (salt, _) in parts.items()}
    whole = {name: value for text in (chain.canonical(columns), *texts.values())
             for name, value in json.loads(text).items()}
    first = json.loads(chain.canonical(chain.body_of(clean, 7, None)))
    assert whole | {name: None for name in first if name not in whole} | {
        "id": 7, "kind": fact.KIND, "note_sha256": None} == first


# --- what nobody can guess ----------------------------------------------------------------------------------


def test_no_two_salts_are_alike_and_none_follows_from_what_is_shown(filled: Path, logbook: Path) -> None:
    kept = [json.loads(parts) for (parts,) in asked(filled, "SELECT parts FROM seal_part")]
    salts = [one["salt"] for parts in kept for one in parts.values()]
    assert len(set(salts)) == len(salts) and all(re.fullmatch("[0-9a-f]{32}", salt) for salt in salts)
    # The same entries in another logbook: other salts, since each logbook has a secret of its own.
    append(logbook, ONE_OF_EACH, now=NOW)
    others = {one["salt"] for (parts,) in asked(logbook, "SELECT parts FROM seal_part")
              for one in json.loads(parts).values()}
    assert not others & set(salts)
    secret = asked(filled, "SELECT value FROM meta WHERE key = 'part_salts'")[0][0]
    assert re.fullmatch("[0-9a-f]{64}", secret) and secret.encode() not in exchange.export(filled)


def test_a_part_that_was_left_out_cannot_be_tried_out(filled: Path) -> None:
    shown = exchange.export(filled, disclosure=Disclosure("x", frozenset({WHAT, WHEN, WHO}), notes=False))
    last = json.loads(shown.splitlines()[21])
    digest = json.loads(last["body"])["parts_sha256"][PRIVATE]
    text = '{"contents":[],"products":[],"usual_load":"towels"}'
    kept = json.loads(asked(filled, "SELECT parts FROM seal_part WHERE seq = 22")[0][0])[PRIVATE]
    assert kept["text"] == text and kept["salt"].encode() not in shown
    known = ["", *(one["salt"] for one in last["parts"].values()), last["hash"]]
    assert digest not in {chain.digest_of_part(text, salt) for salt in known}
    assert digest == chain.digest_of_part(text, kept["salt"])


# --- each part left out, in each combination ----------------------------------------------------------------


@pytest.mark.parametrize("notes", [True, False])
@pytest.mark.parametrize("shown", COMBINATIONS, ids=lambda shown: "+".join(sorted(shown)) or "none")
def test_what_was_left_out_is_nowhere_and_the_rest_still_holds(shown: frozenset[str], notes: bool,
                                                               filled: Path) -> None:
    content = exchange.export(filled, disclosure=Disclosure("x", shown, notes))
    levels, entries, broken = check_seal.check_entries(content.splitlines())
    assert all(level.holds for level in levels) and broken is None
    assert entries.last == reader.last_seal(filled)[1]
    assert sum(entries.counts.values()) + entries.digests_alone == entries.number
    assert entries.digests_alone == (0 if WHAT in shown else 13)
    assert entries.period == (["2026-07-14", "2026-07-14"] if WHEN in shown else [])
    words = {WHAT: ("wash_load", "went_to", "resolves_id", "measured", "19000", "weather"),
             WHEN: ("09:30:12", "2026-07-14", "Los_Angeles"), WHO: ("Inês", "Pia"),
             PRIVATE: ("dye", "ponding", "towels", "plain liquid", "mulch due", "snoozed")}
    for part, told in words.items():
        assert all((word in content.decode()) == (part in shown) for word in told), part
    assert (b"a [/] b" in content) == notes
    every = [json.loads(line) for line in content.splitlines()]
    assert {part for line in every for part in line["parts"]} == set(shown)
    left_out = sum(len(json.loads(line["body"])["parts_sha256"]) - len(line["parts"]) for line in every)
    assert levels[3] == check_seal.Level(
        "parts", True, f"as sealed: {sum(len(line['parts']) for line in every)}, left out: {left_out}")


@pytest.mark.parametrize("shown", COMBINATIONS, ids=lambda shown: "+".join(sorted(shown)) or "none")
def test_a_sheet_leaves_the_same_columns_empty(shown: frozenset[str], filled: Path) -> None:
    sheets = csv_files(filled, disclosure=Disclosure("x", shown, notes=False))
    assert {f"{kind}.csv" for kind in KINDS if WHAT in shown or not hides(kind)} == set(sheets)
    if WHAT not in shown:
        return
    loads = sheets["wash_load.csv"].decode()
    assert ("2026-07-14T09:30:12Z" in loads, "Inês" in loads, "towels" in loads) == (
        WHEN in shown, WHO in shown, PRIVATE in shown)
    assert "68137" in loads and "a word" not in loads


Change = Callable[[list[dict[str, Any]]], None]


def _of(number: int, part: str, **changed: str) -> Change:
    return lambda lines: lines[number - 1]["parts"][part].update(changed)


def _doubled(lines: list[dict[str, Any]]) -> None:
    lines[21]["parts"][WHEN]["text"] = lines[21]["parts"][WHEN]["text"].replace(
        '{"happened', '{"happened_at":"2026-07-14T09:30:12.345678Z","happened')


TAMPERED: dict[str, Change] = {
    "another moment": _of(22, WHEN, text='{"happened_at":"2026-07-13T09:30:12Z","recorded_at":"2026-07-14T18:00:00Z",'
                                         '"zone":"America/Los_Angeles"}'),
    "another person": _of(22, WHO, text='{"recorded_by":"Ilse"}'),
    "other contents": _of(22, PRIVATE, text='{"contents":["illness"],"products":[],"usual_load":"towels"}'),
    "another salt": _of(22, PRIVATE, salt="0" * 32),
    "a salt that is none": _of(22, PRIVATE, salt="1\n2"),
    "another entry's part": lambda lines: lines[21]["parts"].update({WHO: lines[22]["parts"][WHO]}),
    "a part more": lambda lines: lines[2]["parts"].update({WHO: lines[22]["parts"][WHO]}),
    "another kind": _of(22, WHAT, text='{"corrects_id":null,"kind":"valve_switch","position":"sewer"}'),
    "a kind beside its part": lambda lines: lines[21].update(
        body=lines[21]["body"].replace('"note_sha', '"kind":"wash_load","note_sha')),
    "a part nobody knows": lambda lines: lines[9]["parts"].update({"where": lines[22]["parts"][WHO]}),
    "a part with more in it": _of(22, WHO, more="x"),
    "a key twice": _doubled,
    "a digest changed": lambda lines: lines[21].update(body=lines[21]["body"].replace('"who":"', '"who":"0')),
    "no parts at all": lambda lines: lines[21].pop("parts"),
    "parts of an entry that has none": lambda lines: lines[21].update(
        body=re.sub(',"parts_sha256":{[^}]*}', "", lines[21]["body"])),
    "nothing but a hash in the middle": lambda lines: [lines[9].pop(name) for name in ("body", "parts")].clear(),
    "a hash that is none": lambda lines: (lines[0].clear(), lines[0].update(seq=1, hash="x"))[0],
}


@pytest.mark.parametrize("what", list(TAMPERED))
def test_every_tampering_of_a_part_is_found(what: str, filled: Path) -> None:
    lines = [json.loads(line) for line in exchange.export(filled).splitlines()]
    TAMPERED[what](lines)
    content = "".join(chain.canonical(line) + "\n" for line in lines).encode()
    levels, _, broken = check_seal.check_entries(content.splitlines())
    assert broken is not None and not all(level.holds for level in levels)
    with pytest.raises((NotVerified, BadInput)):
        exchange.read_export(content)


def _sql(*statements: str) -> Callable[[sqlite3.Connection], None]:
    return lambda connection: [connection.execute(statement) for statement in statements].clear()


IN_THE_FILE = {
    "a text changed": _sql("UPDATE seal_part SET parts = replace(parts, 'towels', 'sheets') WHERE seq = 22"),
    "row and text changed": _sql("UPDATE seal_part SET parts = replace(parts, 'towels', 'sheets') WHERE seq = 22",
                                 "UPDATE wash_load SET usual_load = 'sheets' WHERE id = 22"),
    "a column of a part changed": _sql("UPDATE wash_load SET contents = '[\"illness\"]' WHERE id = 22"),
    "a name changed": _sql("UPDATE wash_load SET recorded_by = 'Ilse' WHERE id = 22"),
    "a name added": _sql("UPDATE wash_load SET recorded_by = 'Ilse' WHERE id = 10"),
    "nobody's name taken away": _sql("UPDATE seal_part SET parts = json_remove(parts, '$.who') WHERE seq = 10"),
    "a kind changed": _sql("UPDATE seal_part SET parts = replace(parts, 'wash_load', 'washed') WHERE seq = 10"),
    "a volume changed": _sql("UPDATE wash_load SET volume_ml = 1 WHERE id = 10"),
    "a name taken away": _sql("UPDATE wash_load SET recorded_by = NULL WHERE id = 22"),
    "the parts taken away": _sql("DELETE FROM seal_part WHERE seq = 22"),
    "one part taken away": _sql("UPDATE seal_part SET parts = json_remove(parts, '$.when') WHERE seq = 22"),
    "spelled another way": _sql("UPDATE seal_part SET parts = replace(parts, ':{', ': {') WHERE seq = 22"),
    "parts that were never sealed": _sql("INSERT INTO seal_part VALUES (99, '{}')"),
    "a name left out, but still there": _sql("UPDATE seal_part SET parts = json_remove(parts, '$.who') WHERE seq = 22"),
    "another stand-in": _sql("UPDATE seal_part SET parts = json_remove(parts, '$.who') WHERE seq = 23",
                             "UPDATE person SET recorded_by = NULL, name = 'resident 2' WHERE id = 23"),
}


@pytest.mark.parametrize("what", list(IN_THE_FILE))
def test_every_tampering_of_the_second_copy_is_found(what: str, copied: Path) -> None:
    tampered(copied, IN_THE_FILE[what])
    found = seal.verify(copied)
    assert not found.holds and found.first_broken is not None and re.search("entry (10|22|23|99)", found.first_broken)


def test_damaged_parts_are_told_when_they_are_to_be_shown(copied: Path) -> None:
    tampered(copied, _sql("UPDATE seal_part SET parts = '{' WHERE seq = 22"))
    with pytest.raises(NotVerified, match="entry 22's parts is damaged"):
        exchange.export(copied)


# --- both forms in one chain --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def mixed(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook begun before there were parts that went on with them: corrections and withdrawals reach back."""
    path = tmp_path_factory.mktemp("mixed") / "logbook.db"
    shutil.copyfile(blank, path)
    written_first(path, [*ONE_OF_EACH[:17], load(recorded_by="Inês")], NOW)
    append(path, [load(corrects_id=18, volume_ml=60_000, recorded_by="Inês", note="a nought too many"),
                  Withdrawal(**common(note="never ran"), withdraws_id=10), load(volume_ml=1)],
           now=NOW + timedelta(days=1))
    append(path, [load(corrects_id=21, volume_ml=2)], now=NOW + timedelta(days=2))
    return path


def test_a_logbook_goes_on_in_the_same_chain(mixed: Path, tmp_path: Path) -> None:
    found = seal.verify(mixed)
    assert found.holds and found.entries == 22
    with_parts = asked(mixed, "SELECT seq FROM seal WHERE body LIKE '%parts_sha256%'")
    assert with_parts == asked(mixed, "SELECT seq FROM seal_part") == [(19,), (20,), (21,), (22,)]
    content = exchange.export(mixed)
    exchange.import_into(tmp_path / "other.db", content)
    assert exchange.export(tmp_path / "other.db") == content
    assert reader.read(tmp_path / "other.db") == reader.read(mixed)
    append(tmp_path / "other.db", [load()], now=NOW + timedelta(days=3))
    assert seal.verify(tmp_path / "other.db").holds


def test_who_is_not_shown_when_gets_the_hashes_of_the_old_entries_alone(mixed: Path, tmp_path: Path) -> None:
    content = exchange.export(mixed, disclosure=DISCLOSURES[LANDLORD])
    lines = [json.loads(line) for line in content.splitlines()]
    assert all(set(line) == {"hash", "seq"} for line in lines[:18]) and b"In\xc3\xaas" not in content
    levels, entries, broken = check_seal.check_entries(content.splitlines())
    assert broken is None and entries.alone == 18 and entries.last == reader.last_seal(mixed)[1]
    assert levels[1].detail == \
        "entries: 4; of which only digests are here: 4; of entries 1 to 18, written before parts could be left out, " \
        "only the hashes"
    with pytest.raises(BadInput, match="Of entry 1 this copy holds only the hash, so no logbook can be made of it"):
        exchange.import_into(tmp_path / "none.db", content)
    # Hashes alone bind nothing that stands before them: they are taken at the beginning only, and the rest is chained.
    lines[19] = {"hash": lines[19]["hash"], "seq": 20}
    assert check_seal.check_entries([chain.canonical(line).encode() for line in lines])[2] is not None
    lines = [json.loads(line) for line in content.splitlines()]
    lines[17]["hash"] = "0" * 64
    assert check_seal.check_entries([chain.canonical(line).encode() for line in lines])[2] == \
        "entry 19 does not follow from the one before it"


def test_an_entry_of_the_first_form_never_comes_after_one_in_parts(copied: Path) -> None:
    def relapse(connection: sqlite3.Connection) -> None:
        fact = reader.read(copied)[-1]
        body, previous = connection.execute("SELECT body, prev FROM seal WHERE seq = 24").fetchone()
        body = chain.canonical(chain.body_of(fact, 24, None))
        connection.execute("UPDATE seal SET body = ?, hash = ? WHERE seq = 24", (body, chain.link(previous, body)))
        connection.execute("DELETE FROM seal_part WHERE seq = 24")

    tampered(copied, relapse)
    found = seal.verify(copied)
    assert [level.name for level in found.levels if not level.holds] == ["chain"]
    assert "entry 24 is sealed as entries were before" in str(found.first_broken)
    assert "older form" in str(check_seal.check_entries(exchange.export(copied).splitlines())[2])
    with pytest.raises(NotVerified, match="Entry 24 is sealed as entries were before"):
        exchange.read_export(exchange.export(copied))


def test_a_logbook_of_the_ninth_layout_learns_parts(logbook: Path) -> None:
    written_first(logbook, ONE_OF_EACH[:21], NOW)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        for kind, name in connection.execute(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall():
            connection.execute(f"DROP {kind} {name}")
        for table in ("seal_part", "attestation", "attached"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("ALTER TABLE site DROP COLUMN as_built")
        connection.execute("UPDATE alembic_version SET version_num = '0009'")
    before = reader.last_seal(logbook)
    assert len(exchange.export(logbook).splitlines()) == 21   # a backup of it still gives its entries
    append(logbook, [load()], now=NOW)
    assert not store.stale(logbook) and seal.verify(logbook, noted=[f"{before[0]}:{before[1]}"]).holds
    assert asked(logbook, "SELECT seq FROM seal_part") == [(22,)]


# --- a logbook that was handed on without names -------------------------------------------------------------


def test_a_logbook_can_be_made_without_people_s_names(filled: Path, tmp_path: Path) -> None:
    content = exchange.export(filled, disclosure=DISCLOSURES[NEXT_TENANT])
    other = tmp_path / "other.db"
    exchange.import_into(other, content)
    assert reader.last_seal(other) == reader.last_seal(filled)
    assert reader.read(other) == [without_who(replace(fact, note=None)) for fact in reader.read(filled)]
    assert [fact.name for fact in reader.read(other) if isinstance(fact, Person)] == [stand_in(2), stand_in(23)]
    assert b"In\xc3\xaas" not in other.read_bytes()
    found = seal.verify(other)
    assert found.holds and found.levels[1].detail == \
        "4 notes left out, names, where there were any, left out of 16 entries"
    append(other, [Person(**common(), name=stand_in(2), active=False), load(recorded_by="Benno")], now=NOW)
    assert seal.verify(other).holds
    # Handed on once more: what was left out stays left out, and the new names go too.
    again = tmp_path / "again.db"
    exchange.import_into(again, exchange.export(other, disclosure=DISCLOSURES[NEXT_TENANT]))
    assert seal.verify(again).levels[1].detail == \
        "4 notes left out, names, where there were any, left out of 18 entries"
    assert b"Benno" not in again.read_bytes()


@pytest.mark.parametrize(("shown", "said"), [
    ({WHAT, WHO, PRIVATE}, "of entry 1 it does not hold when it happened"), ({WHAT, WHEN}, "everything of what it w"),
    ({WHEN, WHO, PRIVATE}, "of entry 10 it does not hold what it was")])
def test_no_logbook_is_made_where_more_than_names_is_left_out(shown: set[str], said: str, filled: Path,
                                                              tmp_path: Path) -> None:
    content = exchange.export(filled, disclosure=Disclosure("x", frozenset(shown), notes=True))
    with pytest.raises(BadInput, match=said):
        exchange.import_into(tmp_path / "none.db", content)
    assert list(tmp_path.iterdir()) == []


@given(facts=st.lists(
    st.sampled_from([kind for kind in KINDS if kind not in ("resolution", "withdrawal")]).flatmap(made_up),
    min_size=1, max_size=5), shown=st.sampled_from(COMBINATIONS))
@settings(max_examples=8)
def test_whatever_was_logged_holds_in_every_copy(facts: list[Fact], shown: frozenset[str], blank: Path,
                                                 tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("any") / "logbook.db"
    shutil.copyfile(blank, path)
    append(path, facts, now=NOW)
    content = exchange.export(path, disclosure=Disclosure("x", shown, notes=True))
    assert check_seal.check_entries(content.splitlines())[2] is None
    if {WHAT, WHEN, PRIVATE} <= shown:
        wanted = reader.read(path) if WHO in shown else None
        found = exchange.read_export(content)
        assert found[-1][0].hash == reader.last_seal(path)[1]
        assert wanted is None or [fact for _, fact in found] == wanted


def test_the_moment_is_the_one_that_was_sealed(filled: Path) -> None:
    with reader.reading(filled) as connection:
        told = [entry.said for entry in exchange.sealed_entries(connection)]
    assert told[9]["happened_at"] == THEN.isoformat().replace("+00:00", "Z")
    assert told[9]["contents"] == ["dye", "soiled"]
