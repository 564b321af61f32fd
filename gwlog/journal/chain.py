"""The hash chain over the entries: what is hashed of an entry, how it is spelt, and how one hash follows from another.

hash(n) = SHA-256("gwlog-seal-1\\n" + hash(n-1) + "\\n" + body(n)), UTF-8, as 64 hex digits; hash(0) is 64 zeros.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from datetime import datetime
from functools import cache
from hashlib import sha256
from operator import attrgetter
from typing import Any

from gwlog.journal.facts import KINDS, Fact
from gwlog.values import fields

START = "0" * 64
RULE = "gwlog-seal-1"
NOTE_RULE = "gwlog-note-1"

_dumps = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False, check_circular=False,
).encode


def canonical(body: dict[str, Any]) -> str:
    """The one spelling of a body that is hashed: RFC 8785, given ASCII keys, no floats, integers within 2^53."""
    return _dumps(body)


def canonical_list(values: Iterable[Any]) -> str:
    """A list column's one spelling."""
    return _dumps(list(values))


def _moment(value: datetime) -> str:
    return value.isoformat().replace("+00:00", "Z")


@cache
def _plan(kind: str) -> tuple[tuple[str, ...], Callable[[Fact], tuple[Any, ...]], tuple[str, ...]]:
    parts = [part for part in fields(KINDS[kind]) if part.name not in ("id", "note")]
    names = tuple(part.name for part in parts)
    return names, attrgetter(*names), tuple(part.name for part in parts if part.type in ("date", "date | None"))


def body_of(fact: Fact, seq: int, note_digest: str | None) -> dict[str, Any]:
    """What is sealed of an entry: its kind, number and columns; of the note only the salted digest.

    A column that a later layout brought is left out where it is empty, so that older entries keep their bodies.
    """
    names, values, days = _plan(fact.KIND)
    body = dict(zip(names, values(fact), strict=True))
    for name in fact.ADDED_LATER:
        if body[name] is None:
            del body[name]
    body["happened_at"] = _moment(fact.happened_at)
    body["recorded_at"] = _moment(fact.recorded_at)
    for name in days:
        if body.get(name) is not None:
            body[name] = body[name].isoformat()
    body["kind"], body["id"], body["note_sha256"] = fact.KIND, seq, note_digest
    return body


def digest_of_note(note: str | None, salt: str | None) -> str | None:
    """SHA-256("gwlog-note-1\\n" + salt + "\\n" + note) as hex; None without a note.

    The salt keeps a short note from being guessed from its digest once it is withheld.
    """
    if note is None:
        return None
    return sha256(f"{NOTE_RULE}\n{salt}\n{note}".encode()).hexdigest()


def link(prev_hash: str, body: str) -> str:
    """The hash of an entry, from the hash of the one before and its canonical body."""
    return sha256(f"{RULE}\n{prev_hash}\n{body}".encode()).hexdigest()
