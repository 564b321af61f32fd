"""The hash chain over the entries: what is hashed of an entry, how it is spelt, and how one hash follows from another.

hash(n) = SHA-256("gwlog-seal-1\\n" + hash(n-1) + "\\n" + body(n)), UTF-8, as 64 hex digits; hash(0) is 64 zeros.
A body of the second form holds some columns only as the salted digests of their parts, so that they can be left out
and still be verified; entries written before have bodies of the first form, which hold every column.
"""

from __future__ import annotations

import hmac
import json
import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from functools import cache, lru_cache
from hashlib import sha256
from operator import attrgetter
from typing import Any

from gwlog.journal.disclosure import PARTS, WHAT, WHEN
from gwlog.journal.facts import KINDS, Fact
from gwlog.journal.sealed_parts import OPEN, columns_of_parts, hides, parts_of_columns
from gwlog.values import fields

START = "0" * 64
RULE = "gwlog-seal-1"
NOTE_RULE = "gwlog-note-1"
PART_RULE = "gwlog-part-1"

IN_PARTS = '"parts_sha256":'
"""What a body of the second form holds, and one of the first cannot: within words the quotation marks are escaped."""

KIND_IN_PART = f'"{WHAT}":"'
"""What such a body holds where the kind of the entry is sealed in a part."""

SECRET = "part_salts"
"""Under this name the logbook keeps the secret from which the salts of parts are made; it never leaves the file."""

_SALT = re.compile("[0-9a-f]{32}")
_KEPT = re.compile(rf'"({"|".join(PARTS)})":\{{"salt":"([0-9a-f]{{32}})","text":"')

_IN_ORDER = tuple(sorted(PARTS))

_dumps = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False, check_circular=False,
).encode


def canonical(body: Mapping[str, Any]) -> str:
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


def _columns(fact: Fact) -> dict[str, Any]:
    """The columns of an entry as they are spelled, without number and note.

    A column that a later layout brought is left out where it is empty, so that older entries keep their bodies.
    """
    names, values, days = _plan(fact.KIND)
    columns = dict(zip(names, values(fact), strict=True))
    for name in fact.ADDED_LATER:
        if columns[name] is None:
            del columns[name]
    columns["happened_at"] = _moment(fact.happened_at)
    columns["recorded_at"] = _moment(fact.recorded_at)
    for name in days:
        if columns.get(name) is not None:
            columns[name] = columns[name].isoformat()
    return columns


def body_of(fact: Fact, seq: int, note_digest: str | None) -> dict[str, Any]:
    """A body of the first form: kind, number and every column; of the note only the salted digest."""
    return {**_columns(fact), "kind": fact.KIND, "id": seq, "note_sha256": note_digest}


def spelled(fact: Fact) -> tuple[dict[str, Any], dict[str, str]]:
    """What a body of the second form is made of: the columns that stand open, and the text of each part.

    A part in which every column is empty is left out, unless that would tell the kind of what happened.
    """
    kind = fact.KIND
    names, values, parts = _parted(kind)
    columns = dict(zip(names, values(fact), strict=True))
    for name in fact.ADDED_LATER:
        if name in columns and columns[name] is None:
            del columns[name]
    texts = {}
    for part, inside in parts:
        held = inside(fact)
        # What is said of loads and by whom is said again and again, what is said of moments never.
        text = _text(kind, part, *held) if part != WHEN else _spelled(kind, part, held)
        if text is not None:
            texts[part] = text
    return columns, texts


_Values = Callable[[Fact], tuple[Any, ...]]


@cache
def _parted(kind: str) -> tuple[tuple[str, ...], _Values, tuple[tuple[str, _Values], ...]]:
    """The names and values of a kind's open columns, and the values of each part's."""
    found = parts_of_columns(kind)
    open_columns = tuple(name for name in found if found[name] is OPEN)
    parts = tuple((part, _values(names)) for part, names in columns_of_parts(kind).items())
    return open_columns, _values(open_columns), parts


def _values(names: tuple[str, ...]) -> _Values:
    if not names:
        return lambda fact: ()
    get = attrgetter(*names)
    return get if len(names) > 1 else lambda fact: (get(fact),)


@lru_cache(maxsize=1024, typed=True)
def _text(kind: str, part: str, *values: Any) -> str | None:
    return _spelled(kind, part, values)


def _spelled(kind: str, part: str, values: tuple[Any, ...]) -> str | None:
    """The text of a part; None where every column is empty and the part can be left out."""
    held: dict[str, Any] = {"kind": kind} if part == WHAT else {}
    later = KINDS[kind].ADDED_LATER
    for name, value in zip(columns_of_parts(kind)[part], values, strict=True):
        if isinstance(value, datetime):
            held[name] = _moment(value)
        elif isinstance(value, date):
            held[name] = value.isoformat()
        elif value is not None or name not in later:
            held[name] = value
    return _dumps(held) if hides(kind) or any(value is not None for value in values) else None


def body_in_parts(kind: str, seq: int, note_digest: str | None, columns: Mapping[str, Any],
                  digests: Mapping[str, str]) -> dict[str, Any]:
    """A body of the second form: number, kind unless it is sealed in a part, the open columns and the digest of each
    part; of the note its digest."""
    shown = columns if hides(kind) else {**columns, "kind": kind}
    return {**shown, "id": seq, "note_sha256": note_digest, "parts_sha256": dict(digests)}


def kind_in(body: Mapping[str, Any], parts: Parts | None) -> str:
    """The kind of an entry by its body and the parts of it that are shown; empty where it is not shown.

    Raises ValueError, KeyError or TypeError where they are no entry's.
    """
    digests = body.get("parts_sha256", {})
    if WHAT not in digests:
        return str(body["kind"])
    return str(json.loads(parts[WHAT][1])["kind"]) if parts and WHAT in parts else ""


def digest_of_note(note: str | None, salt: str | None) -> str | None:
    """SHA-256("gwlog-note-1\\n" + salt + "\\n" + note) as hex; None without a note.

    The salt keeps a short note from being guessed from its digest once it is withheld.
    """
    if note is None:
        return None
    return sha256(f"{NOTE_RULE}\n{salt}\n{note}".encode()).hexdigest()


def digest_of_part(text: str, salt: str) -> str:
    """SHA-256("gwlog-part-1\\n" + salt + "\\n" + text) as hex; every part has a salt of its own, as notes do."""
    return sha256(f"{PART_RULE}\n{salt}\n{text}".encode()).hexdigest()


def salt_of_part(secret: str, prev_hash: str, part: str, text: str) -> str:
    """The salt of a part's digest: 128 bits, random to everybody who does not have the logbook's secret.

    HMAC-SHA-256 (RFC 2104) of the part and its place in the chain: whoever has the logbook can make a lost salt anew
    from the entry itself, and no salt tells anything about another.
    """
    return hmac.new(bytes.fromhex(secret), f"{prev_hash}\n{part}\n{text}".encode(), "sha256").hexdigest()[:32]


Parts = Mapping[str, tuple[str, str]]
"""Part -> the salt of its digest and its text."""


def parts_line(parts: Parts) -> str:
    """The parts as they are kept in the logbook: the canonical JSON of part -> salt and text.

    Put together here because every entry's is compared in a verification; a text is canonical JSON itself, so that
    nothing in it but these two signs needs escaping once more.
    """
    told = []
    for part in _IN_ORDER:
        if part in parts:
            salt, text = parts[part]
            escaped = text.replace("\\", "\\\\").replace('"', '\\"')
            told.append(f'"{part}":{{"salt":"{salt}","text":"{escaped}"}}')
    return f"{{{','.join(told)}}}"


def salts_of(line: str) -> dict[str, str]:
    """The salts in parts_line(): part -> salt."""
    return dict(_KEPT.findall(line))


def read_parts(told: Any) -> dict[str, tuple[str, str]]:
    """The parts of a line of an export, or of parts_line() read as JSON. Raises ValueError for anything else."""
    if not isinstance(told, dict) or not all(
            part in PARTS and isinstance(one, dict) and set(one) == {"salt", "text"} and
            isinstance(one["text"], str) and isinstance(one["salt"], str) and _SALT.fullmatch(one["salt"])
            for part, one in told.items()):
        raise ValueError("its parts are no parts")
    return {part: (one["salt"], one["text"]) for part, one in told.items()}


def link(prev_hash: str, body: str) -> str:
    """The hash of an entry, from the hash of the one before and its canonical body."""
    return sha256(f"{RULE}\n{prev_hash}\n{body}".encode()).hexdigest()
