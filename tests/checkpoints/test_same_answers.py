"""With a checkpoint every answer is the same as without it, to the last bit, whatever was logged, wherever it lies."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from gwlog.checkpoints.log import Log, Part, part_from
from gwlog.checkpoints.make import Unfit, content
from gwlog.checkpoints.parts import clean_day, ranges, raw_numbers
from gwlog.decisions.benefit import benefit
from gwlog.household import Household
from gwlog.journal.facts import Fact, standing_entries
from gwlog.water.garden import rest_ended
from tests.checkpoints.lives import FIRST, Life

NOWHERE = Path("nowhere.db")
QUICK = (Phase.explicit, Phase.reuse, Phase.generate)
"""A life does not get simpler by a smaller seed: nothing is shrunk."""


def checkpoint(entries: list[Fact], latest: date, earliest: date) -> dict[str, Any] | None:
    """A checkpoint of these entries as it comes from the file; None where there is no place for one."""
    standing = standing_entries(entries)
    found = clean_day(standing.facts, latest, earliest)
    if found is None:
        return None
    day, moment, zone = found
    try:
        made = content(standing, moment, day)
    except Unfit:
        return None
    held: dict[str, Any] = json.loads(json.dumps({
        "number": len(entries), "hash": "", "moment": moment.isoformat(), "day": day.toordinal(), "zone": zone,
        "behind": ranges(raw_numbers(standing, moment)), "content": made,
        "written": entries[-1].recorded_at.isoformat()}))
    return held


def behind(held: Mapping[str, Any], entries: list[Fact]) -> Part | None:
    """The part of the entries behind a checkpoint."""
    by_number = {fact.id: fact for fact in entries}
    kept = {one for first, last in held["behind"] for one in range(first, last + 1)}

    def fetch(numbers: Mapping[str, Iterable[int]]) -> Iterator[Fact]:
        for kind, found in numbers.items():
            for number in found:
                assert kind == by_number[number].KIND
                yield by_number[number]

    standing = standing_entries(entries)
    return part_from(held, [fact for fact in entries if fact.id in kept or fact.id > held["number"]], fetch, fetch,
                     lambda: standing.facts, lambda number: standing.root.get(number, number))


def answers(home: Household) -> Iterator[tuple[str, Any]]:
    """What the light commands tell, then everything else."""
    yield "reminders", home.every_reminder
    yield "loads", home.advice.loads
    yield "plan", home.advice.plan()
    yield "open exceptions", home.open_exceptions
    yield "problems", home.problems
    yield "upkeep", home.upkeep
    garden = home.garden
    for name, basin in garden.basins.items():
        yield f"the rest of {name}", rest_ended(home.state, basin, garden.sky)
        for part in fields(basin):
            yield f"{name} {part.name}", getattr(basin, part.name)
    for name, salt in garden.salts.items():
        for part in fields(salt):
            value = getattr(salt, part.name)
            yield f"salts of {name} {part.name}", vars(value) if part.name == "layers" else value
    yield "benefit", benefit(home.state, garden)
    yield "exceptions", home.exceptions
    for part in fields(home.state):
        if part.compare:
            value = getattr(home.state, part.name)
            yield part.name, list(value.items()) if part.name in ("observations", "resolved", "basins") else value


def differences(entries: list[Fact], part: Part, now: datetime) -> list[str]:
    """What is told otherwise with the part than with all entries."""
    light = Household(NOWHERE, now, Log(path=NOWHERE, head=len(entries), part=part))
    whole = Household(NOWHERE, now, entries)
    return [what for (what, one), (_, other) in zip(answers(light), answers(whole), strict=True) if one != other]


def lived(seed: int, cold: bool, tap: bool, before: int, after: int) -> None:
    life = Life(seed, cold=cold, tap=tap)
    life.write(before, back=30)
    first = list(life.entries)
    held = checkpoint(first, life.today - timedelta(days=20), FIRST)
    if held is None:
        return
    for days in (0, after):
        life.write(days, back=12)
        part = behind(held, life.entries)
        if part is None or not part.serves(life.now):
            continue
        assert not differences(life.entries, part, life.now), (part.day, len(first))
        then = life.now - timedelta(days=9, hours=4)
        if part.serves(then):
            assert not differences(life.entries, part, then), (part.day, "earlier")


@settings(max_examples=8, phases=QUICK)
@given(st.integers(0, 10**6), st.booleans(), st.booleans(), st.integers(45, 110), st.integers(1, 40))
def test_whatever_was_logged(seed: int, cold: bool, tap: bool, before: int, after: int) -> None:
    lived(seed, cold, tap, before, after)


@pytest.mark.long
@settings(max_examples=60, phases=QUICK)
@given(st.integers(0, 10**6), st.booleans(), st.booleans(), st.integers(40, 420), st.integers(1, 120))
def test_whatever_was_logged_in_longer_lives(seed: int, cold: bool, tap: bool, before: int, after: int) -> None:
    lived(seed, cold, tap, before, after)


