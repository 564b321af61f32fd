"""check_seal.py knows each kind of entry and what its columns accept; here it is held to the tables of the logbook."""

from __future__ import annotations

import json
import types
from dataclasses import fields
from datetime import date, datetime
from typing import Any, Literal, Union, get_args, get_origin

import pytest
from annotated_types import Ge, Le, MaxLen, MinLen
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from gwlog.journal import check_seal
from gwlog.journal.chain import body_of, canonical
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.tables import TABLES, Entry
from tests.journal.samples import ONE_OF_EACH

NOT_OF_THE_KIND = {"id", "note"}


def rule(annotation: Any, limits: dict[type, Any]) -> str:
    """What a column accepts, as check_seal.py spells it."""
    if get_origin(annotation) in (Union, types.UnionType):
        inner = [one for one in get_args(annotation) if one is not type(None)]
        return rule(inner[0], limits) + "?"
    if hasattr(annotation, "__metadata__"):
        own = {type(one): one for one in annotation.__metadata__}
        return rule(annotation.__origin__, {**limits, **own})
    if get_origin(annotation) is tuple:
        within = rule(get_args(annotation)[0], {})
        return f"[{within}]" + (f"*{limits[MinLen].min_length}" if MinLen in limits else "")
    if get_origin(annotation) is Literal:
        return "|".join(get_args(annotation))
    if annotation is bool:
        return "yes/no"
    if annotation is int:
        return f"{limits[Ge].ge}..{limits[Le].le}" if Ge in limits else "number"
    if annotation is str:
        return f"{limits[MaxLen].max_length} signs" if MaxLen in limits else "10 signs"
    return {datetime: "moment", date: "day"}[annotation]


def spelled() -> dict[str, str]:
    """The table as it should stand in check_seal.py: the columns that every entry has, then each kind's own."""
    def words(row: type[Entry], left_out: set[str]) -> str:
        return "; ".join(f"{name} {rule(field.annotation, {type(one): one for one in field.metadata})}"
                         for name, field in row.model_fields.items() if name not in left_out)

    common = set(Entry.model_fields)
    return {"": words(Entry, NOT_OF_THE_KIND), **{kind: words(TABLES[kind], common) for kind in KINDS}}


def body(fact: Fact) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(canonical(body_of(fact, fact.id, None)))
    return found


def test_the_program_knows_every_column_of_every_kind() -> None:
    assert spelled() == check_seal.COLUMNS, "\n".join(f'    "{kind}": "{words}",' for kind, words in spelled().items())


def test_one_of_each_kind_is_accepted() -> None:
    assert {fact.KIND for fact in ONE_OF_EACH} == set(KINDS)
    for fact in ONE_OF_EACH:
        assert check_seal.value_fault(body(fact)) is None


@settings(max_examples=150)
@given(st.data())
def test_a_value_that_the_table_refuses_is_found(data: st.DataObject) -> None:
    """Held against pydantic's own judgment of the table, for integers, words and lists of each column."""
    fact = data.draw(st.sampled_from(ONE_OF_EACH))
    part = data.draw(st.sampled_from([part for part in fields(fact) if part.name not in
                                      ("id", "note", "happened_at", "recorded_at", "corrects_id")]))
    value = data.draw(st.none() | st.booleans() | st.integers(-2**40, 2**40) | st.text(max_size=70)
                      | st.lists(st.integers(-3, 14) | st.sampled_from(["a", "diapers", "", 61 * "b"]), max_size=13))
    changed = {**body(fact), part.name: value}
    row = {one.name: getattr(fact, one.name) for one in fields(fact)}
    row |= {part.name: tuple(value) if isinstance(value, list) else value, "id": 1, "recorded_at": fact.happened_at}
    try:
        TABLES[fact.KIND].model_validate(row)
        refused = False
    except ValidationError:
        refused = True
    if not refused:
        assert check_seal.value_fault(changed) is None
    elif part.type not in ("str", "str | None", "date", "date | None") and "tuple[str" not in str(part.type):
        # of a text's inner form (a wall time, a day in a list) the program judges the length alone
        assert check_seal.value_fault(changed) is not None


@pytest.mark.parametrize(("changed", "words"), [
    ({"kind": "wish"}, "a kind"), ({"volume_ml": 0}, "volume_ml"), ({"volume_ml": 2_000_001}, "volume_ml"),
    ({"went_to": "street"}, "went_to"), ({"more": 1}, "more"), ({"volume_ml": True}, "volume_ml"),
    ({"contents": ["gold"]}, "contents"), ({"happened_at": "2026-07-14"}, "happened_at"), ({"zone": ""}, "zone"),
])
def test_what_no_load_holds_is_named(changed: dict[str, Any], words: str) -> None:
    load = next(fact for fact in ONE_OF_EACH if fact.KIND == "wash_load")
    found = check_seal.value_fault({**body(load), **changed})
    assert found is not None and words in found
