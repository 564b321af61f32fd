"""The answers of witnesses, kept with the logbook as they came: the file of a signature, a time stamp or a statement.

The entry “seal number witnessed” seals an answer's digest; the table `attached` holds its bytes.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from sqlite3 import Connection

from gwlog.errors import BadInput
from gwlog.journal import reader
from gwlog.journal.facts import WITNESSED, Attestation

LARGEST = 100_000
"""An answer of more bytes is none: a signature takes some hundred, a time stamp with its certificates some thousand."""

ENDINGS = {"SSH signature": "sig", "time stamp": "tsr", "statement": "txt"}
FOLDER = "witness"


def digest(content: bytes) -> str:
    """The SHA-256 digest by which an answer is kept. Raises BadInput for what is no answer by its size."""
    if not 0 < len(content) <= LARGEST:
        raise BadInput(f"A witness's answer has 1 to {LARGEST:,} bytes; this has {len(content):,}.")
    return sha256(content).hexdigest()


def name_of(number: int, means: str | None) -> str:
    """The name under which the answer of an entry travels: “witness/1201.sig”."""
    return f"{FOLDER}/{number}.{ENDINGS.get(means or '', 'txt')}"


def content_of(connection: Connection, one: Attestation) -> bytes | None:
    """The answer that an entry seals, None where it is not here."""
    row = connection.execute("SELECT content FROM attached WHERE sha256 = ?", (one.file_sha256,)).fetchone()
    return None if row is None else bytes(row[0])


def files(connection: Connection) -> dict[str, bytes]:
    """Every answer of a witness by the name under which it travels in a pack."""
    found = connection.execute(
        "SELECT a.id, a.means, f.content FROM attestation a JOIN attached f ON f.sha256 = a.file_sha256 "
        "WHERE a.attested = ? ORDER BY a.id", (WITNESSED,))
    return {name_of(number, means): bytes(content) for number, means, content in found}


def every(path: Path) -> list[bytes]:
    """The content of every answer that a logbook holds."""
    with reader.reading(path) as connection:
        return [bytes(row[0]) for row in connection.execute("SELECT content FROM attached ORDER BY sha256")]
