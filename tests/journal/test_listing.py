"""Lists that are asked of SQLite say what the lists made by reading everything say."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gwlog.errors import NotALogbook
from gwlog.journal import listing, reader
from gwlog.journal.facts import (
    KINDS,
    Fact,
    Observation,
    Person,
    Resolution,
    Standing,
    UpkeepDone,
    ValveSwitch,
    WeatherDay,
    Withdrawal,
    standing_entries,
)
from gwlog.journal.listing import Lists, asking
from gwlog.journal.writer import append, withhold_note
from tests.journal.raw import unguarded, write
from tests.journal.samples import NOW, ONE_OF_EACH, THEN, common, load

Step = tuple[str, int, int]
KINDS_MADE = ("load", "valve", "weather", "seen", "done", "person", "correct", "correct", "withdraw", "resolve")


@st.composite
def histories(draw: st.DrawFn) -> list[Fact]:
    """Entries in any order of moments, some at the very same one, corrected, withdrawn and resolved by any number."""
    entries: list[Fact] = []
    for step, hour, place in draw(st.lists(st.tuples(
            st.sampled_from(KINDS_MADE), st.integers(-6, 6), st.integers(0, 40)), max_size=24)):
        made = _made(entries, step, THEN + timedelta(hours=hour // 2, microseconds=place % 2), place)
        if made is not None:
            entries.append(replace(made, id=len(entries) + 1, recorded_at=NOW + timedelta(minutes=len(entries))))
    return entries


def _made(entries: Sequence[Fact], step: str, when: datetime, place: int) -> Fact | None:
    parts: dict[str, Any] = common(happened_at=when)
    if step in ("correct", "withdraw", "resolve"):
        if not entries:
            return None
        named = entries[-1 - place % min(len(entries), 4)] if place < 30 else entries[place % len(entries)]
        if step == "resolve":
            return Resolution(**parts, resolves_id=named.id)
        if step == "withdraw":
            twice = any(isinstance(one, Withdrawal) and one.withdraws_id == named.id for one in entries)
            return None if twice else Withdrawal(**parts, withdraws_id=named.id)
        corrected = any(one.corrects_id == named.id for one in entries) or isinstance(named, Withdrawal)
        return None if corrected else replace(named, happened_at=when, corrects_id=named.id)
    made: dict[str, Fact] = {
        "load": load(happened_at=when), "valve": ValveSwitch(**parts, position="sewer"),
        "weather": WeatherDay(**parts, day=when.date(), rain_um=place), "person": Person(**parts, name="Ivo"),
        "seen": Observation(**parts, observed="ponding"), "done": UpkeepDone(**parts, task="valve"),
    }
    return made[step]


@pytest.fixture(scope="module")
def bare(blank: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return unguarded(blank, tmp_path_factory.mktemp("lists") / "logbook.db")


@contextmanager
def asked(path: Path, entries: Sequence[Fact], now: datetime) -> Iterator[tuple[Lists, Standing]]:
    write(path, entries)
    with asking(path, now) as lists:
        yield lists, standing_entries(list(entries))


def read_all(entries: Sequence[Fact], standing: Standing, now: datetime, *, every: bool,
             kinds: Sequence[str] | None = None) -> list[Fact]:
    """The list made from everything, newest first."""
    chosen = entries if every else standing.facts
    return sorted((one for one in chosen if one.happened_at <= now and (kinds is None or one.KIND in kinds)),
                  key=lambda one: (one.happened_at, one.id), reverse=True)


def fate(standing: Standing, fact: Fact) -> str:
    """What became of an entry, from everything."""
    if fact.id in standing.withdrawn:
        return f"withdrawn by {standing.withdrawn[fact.id]}"
    if fact.id in standing.root:
        return f"corrects {fact.corrects_id}"
    if fact.id in standing.replaced_by:
        by = standing.replaced_by[fact.id]
        while fact.corrects_id is not None and by in standing.replaced_by:
            by = standing.replaced_by[by]
        return f"corrected by {by}"
    return ""


def last_wording(standing: Standing, number: int) -> int:
    """The number of the wording that stands."""
    while number in standing.replaced_by:
        number = standing.replaced_by[number]
    return number


MOMENTS = st.integers(-4, 4).map(lambda hours: THEN + timedelta(hours=hours))


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories(), MOMENTS, st.booleans(), st.none() | st.sets(st.sampled_from(list(KINDS)), min_size=1),
       st.none() | MOMENTS, st.none() | MOMENTS, st.integers(0, 5), st.none() | st.integers(1, 9))
def test_every_list_is_the_one_made_from_everything(
        bare: Path, entries: list[Fact], now: datetime, every: bool, kinds: set[str] | None, since: datetime | None,
        until: datetime | None, skip: int, most: int | None) -> None:
    with asked(bare, entries, now) as (lists, standing):
        whole = read_all(entries, standing, now, every=every, kinds=None if kinds is None else sorted(kinds))
        stretch = [one for one in whole if (since is None or one.happened_at >= since)
                   and (until is None or one.happened_at <= until)]
        found = lists.newest(kinds=kinds, since=since, until=until, skip=skip, most=most, every=every)
        assert [one.fact for one in found] == stretch[skip:None if most is None else skip + most]
        wanted = [one for one in whole if since is None or one.happened_at >= since]
        lately = sorted(one.id if every else last_wording(standing, one.id) for one in wanted)[-(most or 3):]
        assert [one.written for one in lists.written_last(most or 3, kinds=kinds, since=since, every=every)] == [
            number for one in wanted for number in (one.id if every else last_wording(standing, one.id),)
            if number in lately]
        assert lists.count(kinds=kinds, every=every) == len(whole)
        assert lists.count(kinds=kinds, since=since, every=every) == sum(
            since is None or one.happened_at >= since for one in whole)
        recorded = {one.id: one.recorded_at for one in entries}
        assert [one.first_recorded for one in found] == [
            recorded[standing.root.get(one.fact.id, one.fact.id)] for one in found]
        assert [lists.fates.told(one.fact, stands=not every) for one in found] == [
            fate(standing, one.fact) for one in found]


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories(), MOMENTS, st.booleans())
def test_one_entry_its_wordings_and_its_place_are_those_of_everything(
        bare: Path, entries: list[Fact], now: datetime, every: bool) -> None:
    with asked(bare, entries, now) as (lists, standing):
        root = standing.root
        assert lists.highest == len(entries)
        assert (lists.fates.replaced_by, lists.fates.withdrawn, lists.fates.root) == (
            standing.replaced_by, standing.withdrawn, root)
        whole = read_all(entries, standing, now, every=every)
        assert lists.kinds(every=every) == [kind for kind in KINDS if any(kind == one.KIND for one in whole)]
        ids = [one.id for one in whole]
        by_number = {one.id: one for one in standing.facts}
        for number in range(len(entries) + 2):
            first = root.get(number, number)
            assert lists.wordings(number) == [
                one for one in entries if one.id == first or root.get(one.id) == first
                or (isinstance(one, Withdrawal) and root.get(one.withdraws_id, one.withdraws_id) == first)]
            wanted = number if number in ids else first
            assert lists.place_of(number, every=every) == (ids.index(wanted) if wanted in ids else None)
            assert lists.standing(number) == by_number.get(number)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(histories(), MOMENTS, MOMENTS)
def test_the_weather_of_days_and_the_last_one_before_a_moment(bare: Path, entries: list[Fact], now: datetime,
                                                              moment: datetime) -> None:
    with asked(bare, entries, now) as (lists, standing):
        whole = read_all(entries, standing, now, every=False)
        first = moment.date()
        assert [one.fact for one in lists.weather(first, first)] == [
            one for one in whole if isinstance(one, WeatherDay) and one.day == first]
        before = [one for one in standing.facts if isinstance(one, ValveSwitch) and one.happened_at < moment]
        found = lists.last_before(moment, "valve_switch", "position", "sewer")
        assert (found is None) == (not before)
        assert found is None or found.happened_at == before[-1].happened_at


def test_the_site_in_force_is_the_one_of_the_moment(logbook: Path) -> None:
    site = ONE_OF_EACH[0]
    append(logbook, [site], now=NOW)
    append(logbook, [replace(site, happened_at=THEN + timedelta(hours=2), zone="UTC")], now=NOW)
    for moment, zone in ((THEN, site.zone), (THEN + timedelta(hours=2), "UTC")):
        with asking(logbook, moment) as lists:
            assert lists.site is not None and lists.site.zone == zone
    with asking(logbook, THEN - timedelta(hours=1)) as lists:
        assert lists.site is None and lists.described


def test_an_entry_that_was_withdrawn_twice_was_withdrawn_by_the_first(bare: Path) -> None:
    entries: list[Fact] = [load(id=1), load(id=2, corrects_id=1), Withdrawal(**common(), id=3, withdraws_id=1),
                           Withdrawal(**common(), id=4, withdraws_id=2)]
    with asked(bare, entries, NOW) as (lists, standing):
        assert lists.fates.withdrawn == standing.withdrawn == {1: 3, 2: 4}


def test_the_kinds_with_notes_are_those_whose_words_are_kept(logbook: Path) -> None:
    append(logbook, [load(note="a"), load(), ValveSwitch(**common(note="b"), position="sewer")], now=NOW)
    with asking(logbook) as lists:
        assert lists.noted_kinds() == ["valve_switch", "wash_load"]
    withhold_note(logbook, 1)
    with asking(logbook) as lists:
        assert lists.noted_kinds() == ["valve_switch"]
        assert [[fact.id for fact in lists.each(kind)] for kind in ("wash_load", "valve_switch")] == [[1, 2], [3]]


def test_a_list_of_the_last_reads_no_more_rows_when_the_logbook_is_longer(bare: Path) -> None:
    """Steps of SQLite's machine, not seconds: each thousand counts once."""
    steps = {}
    for years in (1, 10):
        write(bare, [load(id=number, happened_at=THEN - timedelta(hours=number)) for number in range(1, 400 * years)])
        with asking(bare, NOW) as lists:
            told: list[None] = []
            lists._connection.set_progress_handler(lambda told=told: told.append(None), 100)  # type: ignore[misc]
            assert len(lists.newest(most=20)) == 20
            steps[years] = len(told)
    assert steps[10] <= steps[1] + 5


def test_more_rows_than_one_statement_takes(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listing, "AT_ONCE", 3)
    entries: list[Fact] = [load(id=number, recorded_at=NOW) for number in range(1, 11)]
    entries += [load(id=10 + number, recorded_at=NOW, volume_ml=number, corrects_id=number) for number in range(1, 9)]
    with asked(bare, entries, NOW) as (lists, standing):
        assert [one.fact for one in lists.newest()] == list(reversed(standing.facts))
        assert lists.count() == 10


def test_a_row_that_cannot_be_read_is_told(bare: Path) -> None:
    write(bare, [load(id=1)])
    with sqlite3.connect(bare) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("UPDATE wash_load SET products = 'x'")
    connection.close()
    with pytest.raises(NotALogbook, match="cannot be read"), asking(bare, NOW) as lists:
        lists.newest()
    with pytest.raises(NotALogbook):
        reader.read(bare)


