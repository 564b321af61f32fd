"""The SQL triggers that keep the file append-only, in order and sealed. Standard library alone.

They are generated from the facts' fields for the writer, the upgrade and the verification alike.
"""

from __future__ import annotations

from collections.abc import Iterator

from gwlog.journal.chain import IN_PARTS, START
from gwlog.journal.facts import KINDS
from gwlog.values import fields


def triggers() -> dict[str, str]:
    """Trigger name -> its SQL, for every table."""
    return dict(_all())


def _all() -> Iterator[tuple[str, str]]:
    for kind, fact in KINDS.items():
        kept = [part.name for part in fields(fact) if part.name != "note"]
        unique = ["id", "corrects_id", *(["withdraws_id"] if kind == "withdrawal" else [])]
        yield from _no_delete(kind)
        yield from _one(kind, "change", "BEFORE UPDATE", _changed(kept, "note"),
                        "an entry is never changed; correct it with a new one")
        # INSERT OR REPLACE would delete the old row without the delete trigger: refuse before it does.
        yield from _one(kind, "replace", "BEFORE INSERT", _taken(kind, unique), "an entry is never replaced")
        yield from _one(
            kind, "unsealed", "BEFORE INSERT",
            f"NOT EXISTS (SELECT 1 FROM seal WHERE seq = NEW.id AND entry_kind = '{kind}')",
            "an entry is written together with its seal",
        )
    yield from _no_delete("seal")
    yield from _one("seal", "change", "BEFORE UPDATE", "1", "the seal is never changed")
    yield from _one("seal", "replace", "BEFORE INSERT", _taken("seal", ["seq", "entry_id", "prev", "hash"]),
                    "the seal is never replaced")
    yield from _one(
        "seal", "order", "BEFORE INSERT",
        "NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM seal) OR NEW.prev IS NOT "
        f"coalesce((SELECT hash FROM seal ORDER BY seq DESC LIMIT 1), '{START}')",
        "the seal grows at its end only",
    )
    yield from _no_delete("note_salt")
    yield from _one("note_salt", "change", "BEFORE UPDATE", _changed(["seq"], "salt"),
                    "a salt can only be withheld together with its note")
    yield from _one("note_salt", "replace", "BEFORE INSERT", _taken("note_salt", ["seq"]),
                    "a salt is never replaced")
    yield from _no_delete("seal_part")
    yield from _one("seal_part", "change", "BEFORE UPDATE", "1", "what was sealed in parts is never changed")
    yield from _one("seal_part", "replace", "BEFORE INSERT", _taken("seal_part", ["seq"]),
                    "what was sealed in parts is never replaced")
    yield from _one("seal_part", "unsealed", "BEFORE INSERT",
                    f"NOT EXISTS (SELECT 1 FROM seal WHERE seq = NEW.seq AND instr(body, '{IN_PARTS}'))",
                    "parts are written together with their seal")
    yield from _no_delete("attached")
    yield from _one("attached", "change", "BEFORE UPDATE", "1", "the answer of a witness is never changed")
    yield from _one("attached", "replace", "BEFORE INSERT", _taken("attached", ["sha256"]),
                    "the answer of a witness is never replaced")
    yield from _no_delete("meta")
    yield from _one("meta", "change", "BEFORE UPDATE", "1", "what the logbook says about itself stays")
    yield from _one("meta", "replace", "BEFORE INSERT", _taken("meta", ["key"]),
                    "what the logbook says about itself stays")


def _one(table: str, what: str, when: str, condition: str, message: str) -> Iterator[tuple[str, str]]:
    name = f"{table}_no_{what}"
    yield name, (f"CREATE TRIGGER {name} {when} ON {table} WHEN {condition} "
                 f"BEGIN SELECT RAISE(ABORT, '{message}'); END")


def _no_delete(table: str) -> Iterator[tuple[str, str]]:
    yield from _one(table, "delete", "BEFORE DELETE", "1", "nothing is deleted from a logbook; withdraw it")


def _changed(kept: list[str], withheld: str) -> str:
    """The SQL condition that is true unless only `withheld` is emptied and every column of `kept` stays."""
    same = " AND ".join(f"NEW.{name} IS OLD.{name}" for name in kept)
    return f"NOT (NEW.{withheld} IS NULL AND OLD.{withheld} IS NOT NULL AND {same})"


def _taken(table: str, unique: list[str]) -> str:
    return f"EXISTS (SELECT 1 FROM {table} WHERE {' OR '.join(f'{name} = NEW.{name}' for name in unique)})"
