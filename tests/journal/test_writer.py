"""The one writer: what is appended is what is read, and what cannot be used leaves no trace."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gwlog.errors import BadInput, GwlogError, LogbookNewer, NoLogbook
from gwlog.journal import chain, reader, seal, store
from gwlog.journal.facts import KINDS, Fact, Observation, Product, Resolution, Site, WeatherDay, Withdrawal
from gwlog.journal.writer import append, withhold_note
from gwlog.text import clean_note
from tests.journal.samples import NASTY, NOW, ONE_OF_EACH, THEN, common, load, made_up, names


def test_one_of_each_kind_is_read_as_it_was_appended(logbook: Path) -> None:
    written = append(logbook, ONE_OF_EACH, now=NOW)
    assert reader.read(logbook) == written
    assert written == [
        replace(fact, id=number, recorded_at=NOW) for number, fact in enumerate(ONE_OF_EACH, start=1)
    ]
    assert seal.verify(logbook).holds


@pytest.mark.parametrize("kind", list(KINDS))
def test_whatever_the_columns_accept_comes_back_equal(kind: str, logbook: Path) -> None:
    if kind in ("resolution", "withdrawal"):
        append(logbook, [Observation(**common(), observed="ponding")], now=NOW)

    @settings(max_examples=5)
    @given(st.lists(made_up(kind), min_size=1, max_size=1 if kind == "withdrawal" else 6))
    def back(batch: list[Fact]) -> None:
        if kind == "withdrawal":
            append(logbook, [Observation(**common(), observed="ponding")], now=NOW)
            batch = [replace(batch[0], withdraws_id=len(reader.read(logbook)))]
        written = append(logbook, batch, now=NOW)
        assert reader.read(logbook)[-len(batch):] == written
        assert [fact.note for fact in written] == [clean_note(fact.note) for fact in batch]

    back()
    assert seal.verify(logbook).holds


@pytest.mark.parametrize("words", NASTY)
def test_nasty_words_are_stored_without_what_could_act(words: str, logbook: Path) -> None:
    [written] = append(logbook, [load(note=words, recorded_by=words or None)], now=NOW)
    [found] = reader.read(logbook)
    assert found == written
    for text in (found.note or "", found.recorded_by or ""):
        assert not set(text) & set("\x1b\x00\x07\u202e\u202c\ud83d\r")
        text.encode()


@given(names())
@settings(max_examples=30)
def test_names_are_stored_composed_and_on_one_line(name: str) -> None:
    from gwlog.journal.writer import _cleaned

    cleaned = _cleaned(Product(**common(), name="e\u0301" + name, product_kind="other"), NOW)
    assert isinstance(cleaned, Product) and cleaned.name.startswith("é") and "\n" not in cleaned.name
    assert _cleaned(cleaned, NOW) == cleaned


def test_numbers_go_on_without_a_gap_over_every_kind(logbook: Path) -> None:
    append(logbook, [load(), Observation(**common(), observed="leak")], now=NOW)
    append(logbook, [load(id=77, recorded_at=THEN)], now=NOW)
    assert [(fact.id, fact.recorded_at) for fact in reader.read(logbook)] == [(1, NOW), (2, NOW), (3, NOW)]
    assert append(logbook, [], now=NOW) == []


def test_moments_of_any_zone_are_stored_as_utc(logbook: Path) -> None:
    east = timezone(timedelta(hours=9, minutes=30))
    append(logbook, [load(happened_at=THEN.astimezone(east))], now=NOW.astimezone(east))
    [found] = reader.read(logbook)
    assert (found.happened_at, found.recorded_at) == (THEN, NOW)
    assert found.happened_at.utcoffset() == timedelta(0)


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"volume_ml": 0}, "volume_ml 0 cannot be used; use at least 1"),
    ({"volume_ml": 2_000_001}, "volume_ml 2000001 cannot be used; use at most 2000000"),
    ({"volume_ml": "3"}, "volume_ml “3”"),
    ({"volume_ml": True}, "volume_ml True"),
    ({"went_to": "moon"}, "went_to “moon” cannot be used; use 'garden' or 'sewer'"),
    ({"contents": ("diapers", "feathers")}, "contents “feathers”"),
    ({"washer": ""}, "washer “” cannot be used"),
    ({"washer": "x" * 61}, "use up to 60 characters"),
    ({"note": "x" * 100_000}, "The note has 100,000 characters"),
    ({"zone": "Moon/Far_Side"}, "“Moon/Far_Side” is not a time zone"),
    ({"happened_at": datetime(2026, 1, 1)}, "does not say its time zone"),  # noqa: DTZ001
    ({"happened_at": datetime(1899, 1, 1, tzinfo=timezone.utc)}, "out of range"),  # noqa: UP017
    ({"corrects_id": 99}, "There is no entry 99 to correct"),
]


@pytest.mark.parametrize(("slip", "said"), REFUSED, ids=[said[:30] for _, said in REFUSED])
def test_a_value_that_cannot_be_used_is_named_and_nothing_of_the_batch_is_written(
        slip: dict[str, Any], said: str, logbook: Path) -> None:
    with pytest.raises(BadInput) as refused:
        append(logbook, [load(), replace(load(), **slip), load()], now=NOW)
    assert said in refused.value.message
    assert reader.last_seal(logbook) == (0, chain.START, None)
    assert reader.read(logbook) == []


def test_what_only_the_file_can_refuse_is_told_and_nothing_is_written(logbook: Path) -> None:
    upside_down = WeatherDay(**common(), day=THEN.date(), tmin_mdegc=9_000, tmax_mdegc=1_000)
    with pytest.raises(BadInput, match="tmin_below_tmax"):
        append(logbook, [load(), upside_down], now=NOW)
    with pytest.raises(BadInput, match="something_measured"):
        append(logbook, [replace(upside_down, tmin_mdegc=None, tmax_mdegc=None)], now=NOW)
    assert reader.read(logbook) == []


def refused(logbook: Path, fact: Fact) -> GwlogError:
    before = reader.data_version(logbook)
    with pytest.raises(BadInput) as said:
        append(logbook, [fact], now=NOW)
    assert reader.data_version(logbook) == before
    return said.value


def test_only_the_latest_wording_of_the_same_kind_is_corrected(logbook: Path) -> None:
    append(logbook, [load(), load(corrects_id=1), Observation(**common(), observed="leak")], now=NOW)
    again = refused(logbook, load(corrects_id=1))
    assert "its latest version is entry 2" in again.message and again.hint and "Correct entry 2" in again.hint
    assert "a wash load cannot correct it" in refused(logbook, load(corrects_id=3)).message
    append(logbook, [load(corrects_id=2)], now=NOW)
    assert "entry 4" in refused(logbook, load(corrects_id=2)).message


def test_a_withdrawn_entry_stays_withdrawn_under_every_number(logbook: Path) -> None:
    append(logbook, [load(), load(corrects_id=1), Withdrawal(**common(), withdraws_id=1)], now=NOW)
    for entry in (1, 2):
        assert "withdrawn already (by entry 3)" in refused(logbook, Withdrawal(**common(), withdraws_id=entry)).message
        assert "withdrawn already" in refused(logbook, load(corrects_id=entry)).message
        assert "withdrawn already" in refused(logbook, Resolution(**common(), resolves_id=entry)).message
    assert "is a withdrawal itself" in refused(logbook, Withdrawal(**common(), withdraws_id=3)).message
    correcting = Withdrawal(**common(corrects_id=3), withdraws_id=1)
    assert "withdrawn already" in refused(logbook, correcting).message


def test_what_is_resolved_is_an_observation_or_a_load(logbook: Path) -> None:
    append(logbook, ONE_OF_EACH[:5], now=NOW)
    assert "only an observation or a load" in refused(logbook, Resolution(**common(), resolves_id=2)).message
    assert "no entry 6 to resolve" in refused(logbook, Resolution(**common(), resolves_id=6)).message
    append(logbook, [load(), Resolution(**common(), resolves_id=6)], now=NOW)


def test_the_first_description_of_the_site_is_corrected_not_withdrawn(logbook: Path) -> None:
    site = ONE_OF_EACH[0]
    assert isinstance(site, Site)
    append(logbook, [site, replace(site, occupants=4), replace(site, name="Tern", corrects_id=1)], now=NOW)
    for wording in (1, 3):
        said = refused(logbook, Withdrawal(**common(), withdraws_id=wording))
        assert "cannot be withdrawn" in said.message and said.hint and "gwlog setup apply" in str(said.hint)
    append(logbook, [Withdrawal(**common(), withdraws_id=2)], now=NOW)


def test_a_withheld_note_is_gone_from_the_file_and_the_seal_holds(logbook: Path) -> None:
    append(logbook, [load(note="the neighbour's secret"), load(note="kept")], now=NOW)
    assert b"neighbour's secret" in logbook.read_bytes()
    withhold_note(logbook, 1)
    assert [fact.note for fact in reader.read(logbook)] == [None, "kept"]
    assert b"neighbour's secret" not in b"".join(part.read_bytes() for part in logbook.parent.iterdir())
    found = seal.verify(logbook)
    assert found.holds and "1 note left out" in {level.detail for level in found.levels}
    for entry in (1, 99):
        with pytest.raises(BadInput, match="no note to erase"):
            withhold_note(logbook, entry)


def test_a_full_disk_is_told_and_nothing_is_written(logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    open_plainly = store._plain

    def nearly_full(path: Path) -> sqlite3.Connection:
        connection = open_plainly(path)
        connection.execute(f"PRAGMA max_page_count = {connection.execute('PRAGMA page_count').fetchone()[0] + 2}")
        return connection

    monkeypatch.setattr(store, "_plain", nearly_full)
    with pytest.raises(GwlogError, match=r"disk with the logbook .* is full") as full:
        append(logbook, [load(note="x" * 4_000)] * 30, now=NOW)
    assert full.value.exit_code == 1
    monkeypatch.undo()
    assert reader.read(logbook) == []
    assert len(append(logbook, [load()], now=NOW)) == 1


def test_there_must_be_a_logbook_of_a_known_layout(logbook: Path, tmp_path: Path) -> None:
    with pytest.raises(NoLogbook) as missing:
        append(tmp_path / "none.db", [load()], now=NOW)
    assert missing.value.hint and "gwlog begin" in str(missing.value.hint)
    with closing(sqlite3.connect(logbook)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    with pytest.raises(LogbookNewer) as newer:
        append(logbook, [load()], now=NOW)
    assert newer.value.exit_code == 5
