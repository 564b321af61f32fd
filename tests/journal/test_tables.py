"""The facts, the writer's tables and the migrated file say the same about every column."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from dataclasses import fields
from pathlib import Path
from typing import get_args

import pytest
from sqlalchemy.dialects import sqlite
from sqlalchemy.schema import CreateTable
from sqlmodel import SQLModel

from gwlog.journal import columns, facts, store
from gwlog.journal.tables import TABLES
from tests.journal.samples import ONE_OF_EACH


@pytest.mark.parametrize("kind", list(facts.KINDS))
def test_a_fact_has_exactly_the_columns_of_its_table(kind: str) -> None:
    table = TABLES[kind].__table__  # type: ignore[attr-defined]
    assert [part.name for part in fields(facts.KINDS[kind])] == [column.name for column in table.columns]


def test_every_kind_has_a_table_and_a_sample() -> None:
    assert list(TABLES) == list(facts.KINDS)
    assert {type(fact) for fact in ONE_OF_EACH} == set(facts.KINDS.values())


@pytest.mark.parametrize(("choice", "words"), [
    (columns.Valve, facts.VALVE), (columns.Units, facts.UNITS), (columns.Aim, facts.AIMS),
    (columns.Machine, facts.WASHER_KINDS), (columns.Edible, facts.EDIBLE), (columns.Form, facts.FORMS),
    (columns.ProductKind, facts.PRODUCT_KINDS), (columns.Content, facts.CONTENTS),
    (columns.Observed, facts.OBSERVATIONS), (columns.MulchAction, facts.MULCH_ACTIONS),
    (columns.Answer, ("seen", "snoozed")),
])
def test_a_choice_accepts_the_words_of_the_facts(choice: object, words: tuple[str, ...]) -> None:
    assert get_args(choice) == words


def _said(sql: str) -> tuple[set[str], set[str]]:
    """The columns with their types, and the constraints, of a CREATE TABLE, however it is laid out."""
    body = " ".join(sql[sql.index("(") + 1:sql.rindex(")")].split())
    rules = set(re.findall(r"CONSTRAINT (\"?\w+\"? CHECK \((?:[^()']|'[^']*'|\([^()]*\))*\))", body))
    body = re.sub(r" ?,? ?CONSTRAINT \"?\w+\"? CHECK \((?:[^()']|'[^']*'|\([^()]*\))*\)", "", body)
    return {part.strip() for part in re.split(r",(?![^(]*\))", body)}, rules


def test_the_migrated_file_is_what_the_tables_describe(logbook: Path) -> None:
    with closing(sqlite3.connect(logbook)) as connection, connection:
        made = dict(connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name <> 'alembic_version'"
        ).fetchall())
    connection.close()
    described = {
        name: str(CreateTable(table).compile(dialect=sqlite.dialect()))  # type: ignore[no-untyped-call]
        for name, table in SQLModel.metadata.tables.items()
    }
    assert set(made) == set(described)
    for name, sql in described.items():
        assert _said(made[name]) == _said(sql), name
    assert len(_said(made["basin"])[1]) > 15


def test_the_migrated_file_has_the_indexes_that_the_tables_describe(logbook: Path) -> None:
    with sqlite3.connect(logbook) as connection:
        made = set(connection.execute("SELECT name, tbl_name FROM sqlite_master WHERE type = 'index' AND sql > ''"))
    connection.close()
    described = {(index.name, name) for name, table in SQLModel.metadata.tables.items() for index in table.indexes}
    assert made == described
    assert {kind.KIND for kind in facts.HAPPENINGS} <= {table for _, table in made}


def test_the_known_layouts_are_the_migrations_in_their_order() -> None:
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(store.MIGRATIONS).replace("%", "%%"))
    steps = [step.revision for step in ScriptDirectory.from_config(config).walk_revisions()]
    assert tuple(reversed(steps)) == store.REVISIONS
