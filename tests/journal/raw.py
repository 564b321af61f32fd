"""Writes rows past the writer and the guards, so that odd histories can be made quickly and in any order."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import fields
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from gwlog.journal.facts import NOT_YET, Fact


def unguarded(blank: Path, path: Path) -> Path:
    """A copy of an empty logbook without triggers and views, which nobody needs to find after a power cut."""
    path.write_bytes(blank.read_bytes())
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA journal_mode = MEMORY")
        for kind, name in connection.execute(
                "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchall():
            connection.execute(f"DROP {kind} {name}")
    connection.close()
    return path


def write(path: Path, facts: Sequence[Fact]) -> None:
    """Put the facts into their tables, in place of whatever stood there."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA synchronous = OFF")
    with connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
            if name not in ("meta", "alembic_version"):
                connection.execute(f"DELETE FROM {name}")
        for fact in facts:
            names = [part.name for part in fields(fact)]
            connection.execute(f"INSERT INTO {fact.KIND} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})",
                               [_stored(fact, name) for name in names])
    connection.close()


def _stored(fact: Fact, name: str) -> Any:
    value = getattr(fact, name)
    if value == NOT_YET:
        value = fact.happened_at
    if isinstance(value, datetime):
        return value.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False) if isinstance(value, tuple) else value
